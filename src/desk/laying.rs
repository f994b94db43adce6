//! The tray of a visit, booked in one entry: what went in, what came out, what was spoiled.

mod line;
mod remarks;
mod scanned;
mod taking;

use jiff::civil::Date;
use thiserror::Error;

use super::Failing;
use super::lookup::NotFound;
use super::moving::TakeError;
use super::packs::PackError;
use super::visit::{self, Reply, TrayRow, Use, Visit, VisitError, VisitQuestion};
use crate::case::{Fitted, TorqueRecord};
use crate::catalog::{Lean, Position, Reuse, Sterile, TorqueSpec, Value};
use crate::record::{
    Became, Entry, RecordError, Removed, Replaced, Shown, Spoiled, Spoilt, TrayBooked, UseLine, View,
    ViewError,
};
use crate::units::{CaseNumber, Expiry, Lot, Note, PartCode, PlaceId, RawLabel, Tooth};
pub use line::Line;
pub use remarks::remarks;
use taking::{Taking, caps_off};

/// What is said beside 'book the tray'.
#[derive(Debug, Clone, Default)]
#[allow(missing_docs)]
pub struct Told {
    /// For every line that no other torque names.
    pub torque: Option<TorqueRecord>,
    pub torques: Vec<(Line, TorqueRecord)>,
    pub leans: Vec<(Line, Lean)>,
    /// The step up was taken: its parts went in too.
    pub step_up: bool,
    pub except: Vec<Line>,
    pub dropped: Vec<Line>,
    pub opened: Vec<Line>,
    pub old: Vec<(Line, Became)>,
    /// Packs as they were scanned: each must be of the tray.
    pub labels: Vec<RawLabel>,
    pub note: Option<Note>,
}

/// Why it was not booked.
#[derive(Debug, Error)]
pub enum LayingError {
    /// Something named is not on record.
    #[error(transparent)]
    NotFound(#[from] NotFound),
    /// The visit does not answer.
    #[error(transparent)]
    Visit(#[from] VisitError),
    /// No visit.
    #[error(
        "no visit is open on case {0}: put it on record first, 'spareseat --as INITIALS visit {0} --site TOOTH --broken WHAT --open'; nothing was booked"
    )]
    NoneOpen(CaseNumber),
    /// Twice.
    #[error(
        "the tray of this visit was booked already, as entry {entry}: nothing was booked now. If that was a mistake: 'spareseat --as INITIALS counter {entry}'"
    )]
    BookedBefore {
        /// By which entry.
        entry: u64,
    },
    /// What lies ready is not what was shown.
    #[error(
        "the tray has changed since it was shown; nothing was booked. Shown: {then}. Now: {now}. Look at it again: 'spareseat --as INITIALS visit {case} --narrow' puts it on record as it is now"
    )]
    Changed {
        /// Whose.
        case: CaseNumber,
        /// What was shown.
        then: String,
        /// What is there.
        now: String,
    },
    /// Nothing to book.
    #[error(
        "nothing of the tray of case {0} is left to be booked. What went in otherwise: 'spareseat use {0} --site TOOTH --position POSITION --part PART --lot LOT --torque NCM'; nothing was booked"
    )]
    Empty(CaseNumber),
    /// A line that the tray does not have.
    #[error("{option} {line}: the tray has no such line. It has: {there}. Nothing was booked")]
    NoSuchLine {
        /// Which option names it.
        option: &'static str,
        /// Which.
        line: Line,
        /// What there is.
        there: String,
    },
    /// Straight parts do not lean.
    #[error("part {0} is straight: leave out its --lean. Nothing was booked")]
    Straight(PartCode),
    /// A label that is not one of a pack.
    #[error(transparent)]
    Pack(#[from] PackError),
    /// Another pack than the one that was laid out.
    #[error(
        "the label is that of part {part}, lot {lot}, which the tray does not have. It has: {tray}. Take what was laid out. Or leave that line out with --except, and this label too, and book this pack by itself afterwards: 'spareseat use CASE --site TOOTH --position POSITION --label LABEL --torque NCM'. Nothing was booked"
    )]
    NotOfTray {
        /// Which part.
        part: PartCode,
        /// Which lot.
        lot: Lot,
        /// What there is.
        tray: String,
    },
    /// More serial numbers than units.
    #[error(
        "more serial numbers of part {part}, lot {lot}, were scanned than the tray has pieces of it: scan those that go in. Nothing was booked"
    )]
    TooMany {
        /// Which part.
        part: PartCode,
        /// Which lot.
        lot: Lot,
    },
    /// The record has it otherwise.
    #[error(
        "part {part}, lot {lot}: the label says EXPIRED, {expiry}. Take another pack; or leave that line out with --except and book this one by itself with --expired-because. Nothing was booked"
    )]
    Over {
        /// Which part.
        part: PartCode,
        /// Which lot.
        lot: Lot,
        /// As the label says.
        expiry: Expiry,
    },
    /// Not there to be taken.
    #[error(transparent)]
    Take(#[from] TakeError),
    /// The record.
    #[error(transparent)]
    Record(#[from] RecordError),
}

impl From<ViewError> for LayingError {
    fn from(e: ViewError) -> Self {
        Self::NotFound(e.into())
    }
}

impl Failing for LayingError {
    fn is_view(&self) -> bool {
        match self {
            Self::NotFound(NotFound::View(_)) => true,
            Self::Visit(e) => e.is_view(),
            Self::Pack(e) => e.is_view(),
            _ => false,
        }
    }
}

/// A unit of the tray.
#[derive(Clone, Copy)]
struct Unit<'a> {
    site: Tooth,
    row: &'a TrayRow,
}

impl Unit<'_> {
    fn position(&self) -> Position {
        self.row.position
    }

    fn is_named(&self, lines: &[Line]) -> bool {
        lines.iter().any(|l| l.names(self.site, self.position()))
    }
}

fn units<'a>(rows: impl Iterator<Item = &'a TrayRow>) -> Vec<Unit<'a>> {
    rows.flat_map(|row| row.sites.iter().map(move |site| Unit { site: *site, row })).collect()
}

/// The entry for the tray of the open visit.
pub fn decide(view: &View, number: &CaseNumber, told: &Told, today: Date) -> Result<Entry, LayingError> {
    let ask = VisitQuestion { case: number.clone(), site: None, broken: None, left: None };
    super::lookup::case(view, number)?;
    let Some(open) = view.state(number)?.visit else { return Err(LayingError::NoneOpen(number.clone())) };
    if let Some(entry) = open.booked {
        return Err(LayingError::BookedBefore { entry });
    }
    let visit = match visit::answer(view, &ask, today)? {
        Reply::Visit(visit) => visit,
        Reply::NotThere(_) => return Err(LayingError::Empty(number.clone())),
    };
    let first = units(visit.tray.iter());
    let step_up = units(visit.if_fragment_stays.iter().filter(|r| r.usage == Use::Take));
    let all: Vec<Unit<'_>> = first.iter().chain(&step_up).copied().collect();
    check_lines(&all, told)?;
    let mut used = first.clone();
    if told.step_up {
        used.extend(&step_up);
    }
    used.retain(|u| !u.is_named(&told.except) && !u.is_named(&told.opened));
    // A bare tooth means what was to go in; the step up only when it was taken, or named with its position.
    let meant = |u: &&Unit<'_>, lines: &[Line]| {
        let step = step_up.iter().any(|s| s.site == u.site && s.position() == u.position());
        let named = |l: &&Line| !step || told.step_up || l.position.is_some();
        lines.iter().filter(named).any(|l| l.names(u.site, u.position()))
    };
    let taken_out: Vec<Unit<'_>> =
        all.iter().filter(|u| meant(u, &told.opened) || meant(u, &told.dropped)).copied().collect();
    if used.is_empty() && taken_out.is_empty() {
        return Err(LayingError::Empty(number.clone()));
    }
    check_unchanged(number, &visit, &open.tray, told.step_up || !taken_out.is_empty())?;
    let mut stock = Taking { view, case: number, today, taken: Vec::new() };
    let mut booked = TrayBooked {
        case: number.clone(),
        lines: Vec::new(),
        removed: Vec::new(),
        spoiled: Vec::new(),
        note: told.note.clone(),
    };
    // The one that fell is the one that was shown; what goes in for it may be of another lot.
    for unit in &taken_out {
        let how = if unit.is_named(&told.opened) { Spoilt::OpenedNotUsed } else { Spoilt::Dropped };
        let (lot, place) = stock.take(unit)?;
        let part = &unit.row.part;
        let to_reprocess = may_be_sterilised_again(part.sterile, part.reuse);
        booked.spoiled.push(Spoiled { part: part.code.clone(), lot, place, how, to_reprocess });
    }
    // It takes its lot last, whichever site it is for: the others are taken as they were shown.
    let mut taken: Vec<Option<(Lot, PlaceId)>> = vec![None; used.len()];
    for fell in [false, true] {
        for (unit, taken) in used.iter().zip(&mut taken).filter(|(u, _)| u.is_named(&told.dropped) == fell) {
            *taken = Some(if fell { stock.take_another(unit)? } else { stock.take(unit)? });
        }
    }
    for (unit, taken) in used.iter().zip(taken.into_iter().flatten()) {
        let (line, removed) = put_in(view, number, unit, taken, told, &visit)?;
        booked.lines.push(line);
        booked.removed.extend(removed);
    }
    scanned::keep(view, &told.labels, &mut booked.lines, today)?;
    booked.removed.extend(caps_off(view, number, &booked.lines)?);
    Ok(Entry::Tray(booked))
}

/// It was in no mouth: what came to the chair unsterile is cleaned and sterilised again, what came in a sterile pack
/// is thrown away once the pack is open, unless its maker calls it reusable.
fn may_be_sterilised_again(sterile: Sterile, reuse: Reuse) -> bool {
    sterile == Sterile::ToBeSterilised || reuse == Reuse::Reusable
}

/// Every line an option names must be there, or somebody meant another one.
fn check_lines(all: &[Unit<'_>], told: &Told) -> Result<(), LayingError> {
    let named = [("--except", &told.except), ("--dropped", &told.dropped), ("--opened", &told.opened)]
        .into_iter()
        .flat_map(|(option, lines)| lines.iter().map(move |l| (option, *l)))
        .chain(told.torques.iter().map(|(l, _)| ("--torque", *l)))
        .chain(told.leans.iter().map(|(l, _)| ("--lean", *l)))
        .chain(told.old.iter().map(|(l, _)| ("--old", *l)));
    for (option, line) in named {
        if !all.iter().any(|u| line.names(u.site, u.position())) {
            let there =
                super::lookup::list(all.iter().map(|u| format!("{}:{}", u.site.iso(), u.position().slug())));
            return Err(LayingError::NoSuchLine { option, line, there });
        }
    }
    for (line, _) in &told.leans {
        for unit in all.iter().filter(|u| line.names(u.site, u.position())) {
            if line.position.is_some() && !unit.row.part.is_angled() {
                return Err(LayingError::Straight(unit.row.part.code.clone()));
            }
        }
        let site: Vec<&Unit<'_>> = all.iter().filter(|u| line.names(u.site, u.position())).collect();
        if !site.iter().any(|u| u.row.part.is_angled()) {
            return Err(LayingError::Straight(site[0].row.part.code.clone()));
        }
    }
    Ok(())
}

/// What is booked must be what somebody saw: a lot that has moved or run out meanwhile is another tray.
fn check_unchanged(
    number: &CaseNumber,
    visit: &Visit,
    shown: &[Shown],
    with_step_up: bool,
) -> Result<(), LayingError> {
    let mut first: Vec<Shown> = visit.tray.iter().flat_map(TrayRow::units).collect();
    first.sort();
    let now = if with_step_up { visit.shown() } else { first };
    // Of what was shown, that which is not on the tray now and not of the step up.
    let in_step_up = |s: &Shown| {
        visit
            .if_fragment_stays_needs
            .iter()
            .any(|(site, position, _)| *site == s.site && *position == s.position)
    };
    let then: Vec<Shown> = shown.iter().filter(|s| with_step_up || !in_step_up(s)).cloned().collect();
    let (gone, come) = (visit::difference(&then, &now), visit::difference(&now, &then));
    if gone.is_empty() && come.is_empty() {
        return Ok(());
    }
    let list = |all: Vec<String>| super::lookup::list(all.into_iter());
    Err(LayingError::Changed { case: number.clone(), then: list(gone), now: list(come) })
}

fn put_in(
    view: &View,
    number: &CaseNumber,
    unit: &Unit<'_>,
    (lot, place): (Lot, PlaceId),
    told: &Told,
    visit: &Visit,
) -> Result<(UseLine, Option<Removed>), LayingError> {
    let (site, position) = (unit.site, unit.position());
    let assembly = view.assembly(number, site)?;
    let old = Fitted::at(&assembly, position);
    // What gave way is kept for its maker, the rest of the set is thrown away.
    let broken = visit.is_what_broke(site, position);
    let named = told.old.iter().rev().find(|(l, _)| l.names(site, position)).map(|(_, b)| *b);
    let became = named.unwrap_or(if broken { Became::Kept } else { Became::Discarded });
    let part = unit.row.part.clone();
    let said = told.torques.iter().rev();
    let said = said
        .clone()
        .find(|(l, _)| l.position.is_some() && l.names(site, position))
        .or_else(|| said.clone().find(|(l, _)| l.names(site, position)));
    let torque = match said.map(|(_, t)| *t).or(told.torque) {
        _ if part.torque == TorqueSpec::NotApplicable => TorqueRecord::NotRecorded,
        Some(torque) => torque,
        None => TorqueRecord::NotRecorded,
    };
    let lean = told.leans.iter().rev().find(|(l, _)| l.names(site, position)).map(|(_, lean)| *lean);
    let line = UseLine {
        site,
        position,
        lot,
        place,
        label: None,
        torque,
        lean: match lean {
            Some(lean) if part.is_angled() => Value::Known(lean),
            _ if part.is_angled() => Value::Unknown,
            _ => Value::NotApplicable,
        },
        found: false,
        expired_because: None,
        replaced: old.map(|o| Replaced { part: o.part.code.clone(), lot: o.lot.clone(), became }),
        part,
    };
    let removed = old.map(|o| Removed {
        site,
        position,
        part: o.part.code.clone(),
        lot: o.lot.clone(),
        since: o.on,
        torque: o.torque,
        became,
        broken,
    });
    Ok((line, removed))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_opened_part_is_sterilised_again_only_where_somebody_says_that_it_may_be() {
        for (sterile, reuse, again) in [
            (Sterile::ToBeSterilised, Reuse::SingleUse, true),
            (Sterile::ToBeSterilised, Reuse::NotStated, true),
            (Sterile::Sterile, Reuse::Reusable, true),
            (Sterile::NotStated, Reuse::Reusable, true),
            (Sterile::Sterile, Reuse::SingleUse, false),
            (Sterile::Sterile, Reuse::NotStated, false),
            (Sterile::NotStated, Reuse::SingleUse, false),
            (Sterile::NotStated, Reuse::NotStated, false),
        ] {
            assert_eq!(may_be_sterilised_again(sterile, reuse), again, "{sterile:?}, {reuse:?}");
        }
    }
}
