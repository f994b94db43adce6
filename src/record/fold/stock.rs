//! What an entry does to the balances of lots: movements, and the rows they change.

use super::super::entry::{Became, Entry, Replaced, UseLine};
use super::super::key;
use super::super::view::{BelowZero, LotRow, View, ViewError};
use super::visits::is_replaced;
use crate::stock::{Movement, Spot};
use crate::units::{Expiry, Lot, PartCode};

/// Lots are longer than the other items.
const STOCK_CHUNK: usize = 32;

/// Gives each movement of units in an entry, in order.
pub fn movements<E>(entry: &Entry, mut each: impl FnMut(Movement<'_>) -> Result<(), E>) -> Result<(), E> {
    match entry {
        Entry::Received(e) => e.lines.iter().try_for_each(|l| {
            let (from, to) = (Spot::Supplier, Spot::House(&l.place));
            each(Movement { part: &l.part, lot: &l.lot, from, to, quantity: l.quantity, expiry: l.expiry })
        }),
        Entry::Moved(e) => e.lines.iter().try_for_each(|l| {
            let (from, to) = (Spot::House(&l.from), Spot::House(&l.to));
            each(Movement { part: &l.part, lot: &l.lot, from, to, quantity: l.quantity, expiry: None })
        }),
        Entry::Used(e) => e.lines.iter().try_for_each(|l| put_in(l, &mut each)),
        Entry::UsedHeld(e) => e.lines.iter().try_for_each(|l| put_in(l, &mut each)),
        Entry::Tray(e) => {
            e.lines.iter().try_for_each(|l| put_in(l, &mut each))?;
            let gone = e.removed.iter().filter(|r| !is_replaced(&e.lines, r));
            for (part, lot, became) in gone.filter_map(|r| Some((&r.part, r.lot.as_ref()?, r.became))) {
                let (from, to) = (Spot::Cases, became_of(became));
                each(Movement { part, lot, from, to, quantity: 1, expiry: None })?;
            }
            e.spoiled.iter().try_for_each(|s| {
                let to = if s.to_reprocess { Spot::Reprocess } else { Spot::Waste };
                let from = Spot::House(&s.place);
                each(Movement { part: &s.part, lot: &s.lot, from, to, quantity: 1, expiry: None })
            })
        }
        Entry::Discarded(e) => e.lines.iter().try_for_each(|l| {
            let (from, to) = (Spot::of(&l.from), Spot::Waste);
            each(Movement { part: &l.part, lot: &l.lot, from, to, quantity: l.quantity, expiry: None })
        }),
        Entry::Returned(e) => e.lot.iter().try_for_each(|lot| {
            let (from, to) = (Spot::Cases, Spot::of(&e.to));
            each(Movement { part: &e.part, lot, from, to, quantity: 1, expiry: None })
        }),
        Entry::Reprocessed(e) => {
            let (from, to) = (Spot::Reprocess, Spot::House(&e.place));
            each(Movement { part: &e.part, lot: &e.lot, from, to, quantity: e.quantity, expiry: None })
        }
        Entry::Quarantined(e) => e.lines.iter().try_for_each(|l| {
            let (from, to) = (Spot::of(&l.from), Spot::Quarantine);
            each(Movement { part: &e.part, lot: &e.lot, from, to, quantity: l.quantity, expiry: None })
        }),
        Entry::QuarantineLifted(e) => {
            let (from, to) = (Spot::Quarantine, Spot::House(&e.place));
            each(Movement { part: &e.part, lot: &e.lot, from, to, quantity: e.quantity, expiry: None })
        }
        Entry::CalledBack(e) => e.lines.iter().try_for_each(|l| {
            let (from, to) = (Spot::of(&l.from), Spot::Quarantine);
            each(Movement { part: &e.part, lot: &e.lot, from, to, quantity: l.quantity, expiry: None })
        }),
        Entry::Counted(e) => e.lines.iter().filter(|l| l.counted != l.on_record).try_for_each(|l| {
            let (house, quantity) = (Spot::House(&e.place), l.counted.abs_diff(l.on_record));
            let found = l.counted > l.on_record;
            let (from, to) = if found { (Spot::Correction, house) } else { (house, Spot::Correction) };
            each(Movement { part: &l.part, lot: &l.lot, from, to, quantity, expiry: None })
        }),
        Entry::Countered(e) => e.moved_back.iter().try_for_each(|m| {
            let (from, to) = (Spot::of(&m.from), Spot::of(&m.to));
            each(Movement { part: &m.part, lot: &m.lot, from, to, quantity: m.quantity, expiry: None })
        }),
        _ => Ok(()),
    }
}

fn became_of(became: Became) -> Spot<'static> {
    match became {
        Became::Discarded => Spot::Waste,
        Became::Kept => Spot::KeptPieces,
    }
}

/// A part goes in; what stood there goes to waste or is kept, never to a drawer.
fn put_in<E>(l: &UseLine, each: &mut impl FnMut(Movement<'_>) -> Result<(), E>) -> Result<(), E> {
    let (part, lot, house) = (&l.part.code, &l.lot, Spot::House(&l.place));
    let one = |part, lot, from, to| Movement { part, lot, from, to, quantity: 1, expiry: None };
    if l.found {
        each(one(part, lot, Spot::Correction, house))?;
    }
    each(one(part, lot, house, Spot::Cases))?;
    let Some(Replaced { part, lot: Some(lot), became }) = &l.replaced else { return Ok(()) };
    each(one(part, lot, Spot::Cases, became_of(*became)))
}

/// Changes the balances of a lot, and its expiry where the movement states it.
pub(super) fn shift(
    view: &mut View,
    seq: u64,
    movement: &Movement<'_>,
    changes: [(Spot<'_>, i64); 2],
) -> Result<(), ViewError> {
    let (part, lot) = (movement.part, movement.lot);
    let in_force = view.head().edition_by;
    let (chunk, at) = match place_of_lot(view, part, lot)? {
        Some(found) => found,
        None => new_lot(view, part, lot, movement.expiry.unwrap_or(Expiry::NotRecorded))?,
    };
    let mut lots = view.open_list::<LotRow>(key::stock(part, chunk))?;
    let row = &mut lots[at as usize];
    if let Some(stated) = movement.expiry {
        row.expiry = stated;
    }
    // A lot keeps the numbers that it first came with: whatever is said of its part later, its units stay what they are.
    if row.edition == 0 && matches!(movement.to, Spot::House(_)) {
        row.edition = in_force;
    }
    let mut below = Vec::new();
    for (spot, by) in changes {
        let quantity = match row.balances.iter_mut().find(|(place, _)| spot.is(place)) {
            Some((_, quantity)) => {
                *quantity += by;
                *quantity
            }
            None => {
                // One more at a time: a million lots with room for places they never see would not fit in memory.
                row.balances.reserve_exact(1);
                row.balances.push((spot.place(), by));
                by
            }
        };
        let place = spot.place();
        if quantity < 0 && place.is_under_roof() {
            let (part, lot) = (part.clone(), lot.clone());
            below.push(BelowZero { seq, part, lot, place, quantity });
        }
    }
    below.into_iter().for_each(|what| view.note_below_zero(what));
    Ok(())
}

/// In which chunk a lot of a part is, and where there.
pub(super) fn place_of_lot(
    view: &mut View,
    part: &PartCode,
    lot: &Lot,
) -> Result<Option<(u32, u32)>, ViewError> {
    match view.ends().lot(part, lot) {
        Some((chunk, at)) => {
            let rows = view.open_list::<LotRow>(key::stock(part, chunk))?;
            if rows.get(at as usize).is_some_and(|r| r.lot == *lot) {
                return Ok(Some((chunk, at)));
            }
        }
        None if view.ends().stock(part).is_some() => return Ok(None),
        None => {}
    }
    let mut found = None;
    for chunk in 0.. {
        let rows = view.open_list::<LotRow>(key::stock(part, chunk))?;
        let lots: Vec<Lot> = rows.iter().map(|r| r.lot.clone()).collect();
        if lots.is_empty() {
            view.ends().set_stock(part, chunk);
            break;
        }
        for (at, there) in lots.iter().enumerate() {
            view.ends().set_lot(part, there, (chunk, at as u32));
            if there == lot {
                found = Some((chunk, at as u32));
            }
        }
    }
    Ok(found)
}

fn new_lot(view: &mut View, part: &PartCode, lot: &Lot, expiry: Expiry) -> Result<(u32, u32), ViewError> {
    let mut chunk = view.ends().stock(part).unwrap_or(0).saturating_sub(1);
    if view.open_list::<LotRow>(key::stock(part, chunk))?.len() >= STOCK_CHUNK {
        chunk += 1;
    }
    let mut rows = view.open_list::<LotRow>(key::stock(part, chunk))?;
    rows.push(LotRow { lot: lot.clone(), expiry, edition: 0, balances: Vec::new() });
    let at = (chunk, rows.len() as u32 - 1);
    view.ends().set_stock(part, chunk + 1);
    view.ends().set_lot(part, lot, at);
    Ok(at)
}
