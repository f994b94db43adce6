//! Alike parts of one visit: which lots must be kept apart on the tray, and what of a hold it leaves.

use jiff::civil::Date;

use super::tray::{TrayRow, TrayUse};
use crate::catalog::{Part, Position};
use crate::desk::lookup::pieces;
use crate::lots::holds::{self, Standing};
use crate::record::{View, ViewError};
use crate::units::{CaseNumber, Lot, PartCode, Tooth, teeth};

/// A set of alike parts of which the tray has more than one lot.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Mixed {
    pub position: Position,
    pub part: Part,
    /// Each lot with the sites it was laid out for.
    pub lots: Vec<(Lot, Vec<Tooth>)>,
}

/// The sets whose lots must be kept apart.
pub fn mixed(tray: &[TrayRow]) -> Vec<Mixed> {
    let mut sets: Vec<Mixed> = Vec::new();
    for row in tray.iter().filter(|r| r.usage == TrayUse::Take) {
        let at = sets.iter().position(|m| (m.position, &m.part) == (row.position, &row.part));
        let at = at.unwrap_or_else(|| {
            sets.push(Mixed { position: row.position, part: row.part.clone(), lots: Vec::new() });
            sets.len() - 1
        });
        let lots = &mut sets[at].lots;
        match lots.iter_mut().find(|(lot, _)| *lot == row.pick.lot) {
            Some((_, sites)) => sites.extend(&row.sites),
            None => lots.push((row.pick.lot.clone(), row.sites.clone())),
        }
    }
    sets.retain(|m| m.lots.len() > 1);
    sets
}

/// What is held for the case of the parts on the tray, and the tray does not take; with how many units that are.
pub fn left_over(
    view: &View,
    case: &CaseNumber,
    tray: &[TrayRow],
    today: Date,
) -> Result<Vec<(Standing, u32)>, ViewError> {
    let mut codes: Vec<&PartCode> = tray.iter().map(|r| &r.part.code).collect();
    codes.sort_unstable();
    codes.dedup();
    let mut left = Vec::new();
    for code in codes {
        let mut used: Vec<(&Lot, u32)> = Vec::new();
        for row in tray.iter().filter(|r| r.part.code == *code) {
            used.push((&row.pick.lot, row.quantity));
        }
        for held in holds::standing_on(view, code, today)?.into_iter().filter(|s| s.hold.case == *case) {
            let mut units = held.covered;
            for (_, taken) in used.iter_mut().filter(|(lot, _)| **lot == held.hold.lot) {
                let some = units.min(*taken);
                units -= some;
                *taken -= some;
            }
            if units > 0 {
                left.push((held, units));
            }
        }
    }
    Ok(left)
}

/// Alike parts of several lots, and where each is to go.
pub(super) fn keep_apart(set: &Mixed) -> String {
    let lots: Vec<String> =
        set.lots.iter().map(|(lot, sites)| format!("lot {lot} for {}", teeth(sites))).collect();
    format!(
        "KEEP APART: the {}s {} are of {} lots: {}. Lay each by itself, with its tooth and its lot written beside it.",
        set.part.kind.short(),
        set.part.code,
        set.lots.len(),
        lots.join("; ")
    )
}

/// What is held for this patient and stays in its drawer.
pub(super) fn hold_left(held: &Standing, units: u32) -> String {
    let some = if units == held.hold.left() {
        "this tray takes none of it".to_owned()
    } else {
        format!("this tray leaves {}", pieces(units))
    };
    format!(
        "HOLD LEFT OVER: {}, {}; {some}. When it is not needed any more: 'spareseat --as INITIALS release {}'",
        held.words(),
        held.part,
        held.hold.entry
    )
}
