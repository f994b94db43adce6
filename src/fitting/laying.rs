//! The tray of a visit, booked in one entry: what went in, what came out, what was spoiled.

mod line;
mod lots;
mod refusal;
mod remarks;
mod scanned;
mod taking;
mod torques;

use jiff::civil::Date;

use super::put_in::PutIn;
use crate::case::{Fitted, TorqueRecord};
use crate::catalog::{Lean, Position, Reuse, Sterile, TorqueSpec};
use crate::chair::visit::{self, Reply, TrayRow, TrayUse, Visit, VisitQuestion};
use crate::desk::Refused;
use crate::desk::lookup;
use crate::record::{Became, Entry, Removed, Shown, Spoiled, Spoilt, TrayBooked, UseLine, View};
use crate::units::{CaseNumber, Lot, Note, PlaceId, RawLabel, Tooth};
pub use line::Line;
use lots::Lots;
pub use refusal::LayingError;
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
    /// Which lot went in where, of alike parts of several lots.
    pub lots: Vec<(Line, Lot)>,
    /// Packs as they were scanned, each of the tray, with the line where somebody says it.
    pub labels: Vec<(Option<Line>, RawLabel)>,
    pub note: Option<Note>,
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
pub fn decide(
    view: &View,
    number: &CaseNumber,
    told: &Told,
    today: Date,
) -> Result<Entry, Refused<LayingError>> {
    let ask = VisitQuestion { case: number.clone(), site: None, broken: None, left: None };
    lookup::case(view, number)?;
    let Some(open) = view.state(number)?.visit else {
        return Err(LayingError::NoneOpen(number.clone()).into());
    };
    if let Some(entry) = open.booked {
        return Err(LayingError::BookedBefore { entry }.into());
    }
    let visit = match visit::answer(view, &ask, today).map_err(Refused::lift)? {
        Reply::Visit(visit) => visit,
        Reply::NotThere(_) => return Err(LayingError::Empty(number.clone()).into()),
    };
    let first = units(visit.tray.rows.iter());
    let step_up = units(visit.step_up.rows.iter().filter(|r| r.usage == TrayUse::Take));
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
        return Err(LayingError::Empty(number.clone()).into());
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
    torques::one_for_all(&used, told)?;
    let mut lots = Lots::said(view, &all, &used, told, today)?;
    // The one that fell is the one that was shown; what goes in for it may be of another lot.
    for unit in &taken_out {
        let how = if unit.is_named(&told.opened) { Spoilt::OpenedNotUsed } else { Spoilt::Dropped };
        let (lot, place) = match lots.left_of(unit) {
            Some((lot, place)) => stock.take_from(unit, &lot, &place)?,
            None => stock.take(unit)?,
        };
        let part = &unit.row.part;
        let to_reprocess = may_be_sterilised_again(part.sterile, part.reuse);
        booked.spoiled.push(Spoiled { part: part.code.clone(), lot, place, how, to_reprocess });
    }
    // It takes its lot last, whichever site it is for: the others are taken as they were shown.
    let mut taken: Vec<Option<(Lot, PlaceId)>> = vec![None; used.len()];
    for fell in [false, true] {
        for (unit, taken) in used.iter().zip(&mut taken).filter(|(u, _)| u.is_named(&told.dropped) == fell) {
            *taken = Some(match lots.of(unit) {
                Some((lot, Some(place))) => stock.take_from(unit, &lot, &place)?,
                Some((lot, None)) => stock.take_another(unit, Some(&lot))?,
                None if fell => stock.take_another(unit, None)?,
                None => stock.take(unit)?,
            });
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
fn check_lines(all: &[Unit<'_>], told: &Told) -> Result<(), Refused<LayingError>> {
    let named = [("--except", &told.except), ("--dropped", &told.dropped), ("--opened", &told.opened)]
        .into_iter()
        .flat_map(|(option, lines)| lines.iter().map(move |l| (option, *l)))
        .chain(told.torques.iter().map(|(l, _)| ("--torque", *l)))
        .chain(told.lots.iter().map(|(l, _)| ("--lot", *l)))
        .chain(told.labels.iter().filter_map(|(l, _)| Some(("--label", (*l)?))))
        .chain(told.leans.iter().map(|(l, _)| ("--lean", *l)))
        .chain(told.old.iter().map(|(l, _)| ("--old", *l)));
    for (option, line) in named {
        if !all.iter().any(|u| line.names(u.site, u.position())) {
            let there = lookup::list(all.iter().map(|u| format!("{}:{}", u.site.iso(), u.position().slug())));
            return Err(LayingError::NoSuchLine { option, line, there }.into());
        }
    }
    for (line, _) in &told.leans {
        for unit in all.iter().filter(|u| line.names(u.site, u.position())) {
            if line.position.is_some() && !unit.row.part.is_angled() {
                return Err(LayingError::Straight(unit.row.part.code.clone()).into());
            }
        }
        let site: Vec<&Unit<'_>> = all.iter().filter(|u| line.names(u.site, u.position())).collect();
        if !site.iter().any(|u| u.row.part.is_angled()) {
            return Err(LayingError::Straight(site[0].row.part.code.clone()).into());
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
) -> Result<(), Refused<LayingError>> {
    let mut first: Vec<Shown> = visit.tray.rows.iter().flat_map(TrayRow::units).collect();
    first.sort();
    let now = if with_step_up { visit.shown() } else { first };
    // Of what was shown, that which is not on the tray now and not of the step up.
    let in_step_up = |s: &Shown| {
        visit.step_up.needs.iter().any(|(site, position, _)| *site == s.site && *position == s.position)
    };
    let then: Vec<Shown> = shown.iter().filter(|s| with_step_up || !in_step_up(s)).cloned().collect();
    let (gone, come) = (visit::difference(&then, &now), visit::difference(&now, &then));
    if gone.is_empty() && come.is_empty() {
        return Ok(());
    }
    let list = |all: Vec<String>| lookup::list(all.into_iter());
    Err(LayingError::Changed { case: number.clone(), then: list(gone), now: list(come) }.into())
}

fn put_in(
    view: &View,
    number: &CaseNumber,
    unit: &Unit<'_>,
    (lot, place): (Lot, PlaceId),
    told: &Told,
    visit: &Visit,
) -> Result<(UseLine, Option<Removed>), Refused<LayingError>> {
    let (site, position) = (unit.site, unit.position());
    let assembly = view.assembly(number, site)?;
    let old = Fitted::at(&assembly, position);
    // What gave way is kept for its maker, the rest of the set is thrown away.
    let broken = visit.is_what_broke(site, position);
    let named = told.old.iter().rev().find(|(l, _)| l.names(site, position)).map(|(_, b)| *b);
    let became = named.unwrap_or(if broken { Became::Kept } else { Became::Discarded });
    // What is said of the whole tray, or of a whole site, is not said of what nobody tightens there.
    let tightened = unit.row.part.torque != TorqueSpec::NotApplicable;
    let said = told.torques.iter().rev().filter(|(l, _)| l.names(site, position));
    let said = said.clone().find(|(l, _)| l.position.is_some()).or_else(|| said.clone().find(|_| tightened));
    let of_all = told.torque.filter(|_| tightened);
    let lean = told.leans.iter().rev().find(|(l, _)| l.names(site, position)).map(|(_, lean)| *lean);
    let line = PutIn {
        site,
        position,
        part: unit.row.part.clone(),
        lot,
        place,
        label: None,
        torque: said.map(|(_, torque)| *torque).or(of_all).unwrap_or(TorqueRecord::NotRecorded),
        lean,
        found: false,
        expired_because: None,
        became,
    };
    let line = line.line(&assembly);
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
