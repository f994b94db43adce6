//! Which lot went in at which tooth, where alike parts of a tray are of several lots.
//!
//! Alike parts cannot be told apart on a tray: what was laid out for a tooth need not be what went in there. So nothing
//! is taken from what was shown, and somebody says it, by the lot or by its label.

use jiff::civil::Date;

use super::{LayingError, Line, Told, Unit};
use crate::chair::visit::TrayRow;
use crate::desk::Refused;
use crate::desk::lookup;
use crate::lots::pack::{Said, pack};
use crate::record::View;
use crate::units::{Lot, PlaceId};

/// Units of a lot in a drawer that were laid out and are not said to be anywhere yet.
struct Laid<'a> {
    row: &'a TrayRow,
    left: u32,
}

/// What went in where, as far as somebody said it.
pub(super) struct Lots<'a> {
    laid: Vec<Laid<'a>>,
    said: Vec<(Line, Lot, Option<PlaceId>)>,
}

fn line_of(unit: &Unit<'_>) -> Line {
    Line { site: unit.site, position: Some(unit.position()) }
}

fn are_alike(a: &TrayRow, b: &TrayRow) -> bool {
    (a.position, &a.part) == (b.position, &b.part)
}

impl<'a> Lots<'a> {
    /// What is said of the lots of `used`; refused where it must be said and is not, or cannot be.
    pub fn said(
        view: &View,
        all: &[Unit<'a>],
        used: &[Unit<'a>],
        told: &Told,
        today: Date,
    ) -> Result<Self, Refused<LayingError>> {
        let mut rows: Vec<&'a TrayRow> = Vec::new();
        for unit in all {
            if !rows.iter().any(|row| std::ptr::eq(*row, unit.row)) {
                rows.push(unit.row);
            }
        }
        let laid = rows.into_iter().map(|row| Laid { row, left: row.quantity }).collect();
        let mut lots = Self { laid, said: Vec::new() };
        let mut silent: Vec<&Unit<'_>> = Vec::new();
        for unit in used {
            match said_of(view, unit, &lots.of_its_set(unit), told, today)? {
                Some(lot) => lots.put(unit, lot, told)?,
                None if lots.of_its_set(unit).len() > 1 => silent.push(unit),
                None => {}
            }
        }
        // What is said of a tooth must be said of a part there.
        for (line, lot) in &told.lots {
            let is_kept = |(at, kept, _): &(Line, Lot, Option<PlaceId>)| {
                kept == lot && at.position.is_some_and(|position| line.names(at.site, position))
            };
            let named = used.iter().find(|u| line.names(u.site, u.position()));
            if let Some(unit) = named.filter(|_| !lots.said.iter().any(is_kept)) {
                return Err(lots.not_that(unit, lot.clone()).into());
            }
        }
        let Some(first) = silent.first().copied() else { return Ok(lots) };
        silent.retain(|unit| are_alike(unit.row, first.row));
        let set = lots.of_its_set(first);
        Err(LayingError::WhichLots {
            set: format!("{}s {}", first.row.part.kind.short(), first.row.part.code),
            number: set.len(),
            lots: in_words(&set),
            silent: lookup::list(silent.iter().map(|unit| line_of(unit).to_string())),
            example: line_of(first).typed(),
        }
        .into())
    }

    /// The lots of the set that a unit is of, with how many pieces were laid out.
    fn of_its_set(&self, unit: &Unit<'_>) -> Vec<(&'a Lot, u32)> {
        let mut lots: Vec<(&'a Lot, u32)> = Vec::new();
        for Laid { row, .. } in self.laid.iter().filter(|l| are_alike(l.row, unit.row)) {
            match lots.iter_mut().find(|(lot, _)| **lot == row.pick.lot) {
                Some((_, n)) => *n += row.quantity,
                None => lots.push((&row.pick.lot, row.quantity)),
            }
        }
        lots
    }

    /// Notes that a unit of that lot went in there.
    fn put(&mut self, unit: &Unit<'_>, lot: Lot, told: &Told) -> Result<(), Refused<LayingError>> {
        let line = line_of(unit);
        // For one that fell another was taken, which was not on the tray.
        let fell = unit.is_named(&told.dropped);
        let its = |l: &&mut Laid<'_>| are_alike(l.row, unit.row) && l.row.pick.lot == lot && l.left > 0;
        let place = match self.laid.iter_mut().find(its) {
            _ if fell => None,
            Some(laid) => {
                laid.left -= 1;
                Some(laid.row.pick.place.clone())
            }
            None => {
                return Err(self.not_that(unit, lot).into());
            }
        };
        self.said.push((line, lot, place));
        Ok(())
    }

    /// A lot that was not laid out for it, or not so many of it.
    fn not_that(&self, unit: &Unit<'_>, lot: Lot) -> LayingError {
        let set = self.of_its_set(unit);
        let there = match set.iter().find(|(l, _)| **l == lot) {
            Some((_, n)) => format!("{} and no more", lookup::pieces(*n)),
            None => "no piece".to_owned(),
        };
        LayingError::NotThatLot { line: line_of(unit), lot, there, lots: in_words(&set) }
    }

    /// The lot that went in there, and the drawer it had been laid out from.
    pub fn of(&self, unit: &Unit<'_>) -> Option<(Lot, Option<PlaceId>)> {
        let line = line_of(unit);
        self.said.iter().find(|(l, ..)| *l == line).map(|(_, lot, place)| (lot.clone(), place.clone()))
    }

    /// Of a set of several lots, the unit that is in no mouth: the one shown there, or one that is left.
    pub fn left_of(&mut self, unit: &Unit<'_>) -> Option<(Lot, PlaceId)> {
        if self.of_its_set(unit).len() < 2 {
            return None;
        }
        let its = |l: &&mut Laid<'_>| are_alike(l.row, unit.row) && l.left > 0;
        let mut left: Vec<&mut Laid<'_>> = self.laid.iter_mut().filter(its).collect();
        left.sort_by_key(|l| !std::ptr::eq(l.row, unit.row));
        let laid = left.into_iter().next()?;
        laid.left -= 1;
        Some((laid.row.pick.lot.clone(), laid.row.pick.place.clone()))
    }
}

fn in_words(lots: &[(&Lot, u32)]) -> String {
    lookup::list(lots.iter().map(|(lot, n)| format!("{} of lot {lot}", lookup::pieces(*n))))
}

/// The lot that somebody says of a unit: typed, or by the label of its pack.
fn said_of(
    view: &View,
    unit: &Unit<'_>,
    set: &[(&Lot, u32)],
    told: &Told,
    today: Date,
) -> Result<Option<Lot>, Refused<LayingError>> {
    let names = |line: &Line| line.names(unit.site, unit.position());
    // '25' means whichever part there is of that lot; for one that fell it may be any lot.
    let fell = unit.is_named(&told.dropped);
    let may_be =
        |line: &Line, lot: &Lot| fell || line.position.is_some() || set.iter().any(|(l, _)| *l == lot);
    let typed = told.lots.iter().rev().find(|(line, lot)| names(line) && may_be(line, lot));
    if let Some((_, lot)) = typed {
        return Ok(Some(lot.clone()));
    }
    let labelled = told.labels.iter().rev().find_map(|(line, label)| Some(((*line).filter(names)?, label)));
    let Some((line, label)) = labelled else { return Ok(None) };
    let pack =
        pack(view, Said { label: Some(label.as_raw()), ..Said::default() }, today).map_err(Refused::lift)?;
    let part = &unit.row.part.code;
    if pack.part != *part {
        // '25' may mean two parts: the label is that of the other one.
        if line.position.is_none() {
            return Ok(None);
        }
        return Err(LayingError::OtherPart { line, label: pack.part, part: part.clone() }.into());
    }
    Ok(Some(pack.lot().map_err(LayingError::from)?.clone()))
}
