//! What goes into a position of the restoration that is empty: the part that stood there before, or what its neighbour
//! has, as a candidate that nobody has confirmed.

use super::scene::{Need, Scene};
use super::tray::{TrayRow, TrayUse, alternatives};
use crate::bench::fit::Judging;
use crate::cases::empty::{Empty, Known};
use crate::record::ViewError;
use crate::units::Tooth;

/// The parts that stood in empty positions before: laid out with the rest, in the order in which what runs short is
/// shared out.
pub(super) fn add_stood_before<'s>(scene: &'s Scene<'_>, empty: &'s [Empty], wanted: &mut Vec<Need<'s>>) {
    let rank = |site: Tooth| scene.order.iter().position(|t| *t == site);
    for empty in empty.iter().filter(|e| matches!(e.known, Known::StoodBefore(_))) {
        let Some(need) = scene.need_of(empty) else { continue };
        let comes_later =
            |w: &Need<'_>| w.fitted.position == empty.position && rank(w.site) > rank(empty.site);
        let at = wanted.iter().position(comes_later).unwrap_or(wanted.len());
        wanted.insert(at, need);
    }
}

/// What the neighbours of empty positions have: the first of it that is in the house, and not to be taken unseen.
pub(super) fn candidates(
    scene: &Scene<'_>,
    judging: &Judging<'_>,
    empty: &[Empty],
) -> Result<Vec<TrayRow>, ViewError> {
    let mut rows: Vec<TrayRow> = Vec::new();
    for empty in empty.iter().filter(|e| matches!(e.known, Known::Neighbour(..))) {
        let Some(need) = scene.need_of(empty) else { continue };
        let own =
            alternatives(scene, judging, &need)?.into_iter().find(|r| r.part.code == need.fitted.part.code);
        let Some(mut row) = own else { continue };
        (row.usage, row.quantity) = (TrayUse::Leave, 0);
        empty.lower(&mut row.judgement);
        rows.push(row);
    }
    Ok(rows)
}
