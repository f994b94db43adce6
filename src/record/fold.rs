//! The fold: what an entry does to the view. It applies, it never judges: an entry accepted once is folded for ever.

use jiff::civil::Date;

use super::entry::{Became, Entry, Used};
use super::key;
use super::view::{ActRow, BelowZero, Item, PlaceRow, View, ViewError};
use crate::case::{CaseHead, Event, Fitted, Happening, Sure};
use crate::catalog::Value;
use crate::logbook::Head;
use crate::stock::{Movement, StockLine, Where};
use crate::units::{Act, CaseNumber, Expiry, Note, PlaceId, PracticeName, Tooth};

/// How many items a chunk of a long list holds.
const CHUNK: usize = 128;
/// Stock lines are longer than the other items.
const STOCK_CHUNK: usize = 48;

/// What a line says beside its entry.
#[derive(Debug, Clone)]
pub struct Meta {
    /// The clock, seconds since 1970.
    pub at: i64,
    /// The day it counts for.
    pub on: Date,
    /// Which act.
    pub act: Act,
    /// Whose logbook.
    pub practice: Option<PracticeName>,
}

/// Where the units of an entry go, in order.
pub fn movements(entry: &Entry) -> Vec<Movement> {
    match entry {
        Entry::Received(e) => e
            .lines
            .iter()
            .map(|l| Movement {
                part: l.part.clone(),
                lot: l.lot.clone(),
                from: Where::Supplier,
                to: Where::House(l.place.clone()),
                quantity: l.quantity,
                expiry: l.expiry,
            })
            .collect(),
        Entry::Moved(e) => e
            .lines
            .iter()
            .map(|l| Movement {
                part: l.part.clone(),
                lot: l.lot.clone(),
                from: Where::House(l.from.clone()),
                to: Where::House(l.to.clone()),
                quantity: l.quantity,
                expiry: None,
            })
            .collect(),
        Entry::Used(e) => used_movements(e),
        _ => Vec::new(),
    }
}

fn used_movements(used: &Used) -> Vec<Movement> {
    let case = || Where::Case(used.case.clone());
    let mut out = Vec::new();
    for line in &used.lines {
        let go = |from, to| Movement {
            part: line.part.code.clone(),
            lot: line.lot.clone(),
            from,
            to,
            quantity: 1,
            expiry: None,
        };
        if line.found {
            out.push(go(Where::Correction, Where::House(line.place.clone())));
        }
        out.push(go(Where::House(line.place.clone()), case()));
        if let Some(old) = &line.replaced {
            if let Some(lot) = &old.lot {
                let to = match old.became {
                    Became::Discarded => Where::Waste,
                    Became::Kept => Where::KeptPieces,
                };
                let (part, lot) = (old.part.clone(), lot.clone());
                out.push(Movement { part, lot, from: case(), to, quantity: 1, expiry: None });
            }
        }
    }
    out
}

/// Applies one entry; `head` is the logbook's head after its line.
pub fn fold(view: &mut View, head: &Head, meta: &Meta, entry: &Entry) -> Result<(), ViewError> {
    match entry {
        Entry::Founded(e) => {
            view.head_mut().made_up = e.made_up;
            view.head_mut().practice = meta.practice.clone();
        }
        Entry::Catalogue(e) => view.head_mut().edition = Some(e.edition.clone()),
        Entry::Received(e) => {
            for line in &e.lines {
                place(view, &line.place)?;
            }
        }
        Entry::Moved(e) => {
            for line in &e.lines {
                place(view, &line.to)?;
            }
        }
        Entry::Used(e) => used(view, meta, e)?,
        Entry::Case(e) => {
            forget_case(view, &e.case.number)?;
            *view.edit(&key::case(&e.case.number))? = vec![e.case.clone()];
            *view.edit(&key::restorations(&e.case.number))? = e.restorations.clone();
            for (tooth, assembly) in e.case.sites.iter().zip(&e.assemblies) {
                *view.edit(&key::fitted(&e.case.number, *tooth))? = assembly.clone();
            }
            for event in &e.events {
                push(view, CHUNK, |n| key::events(&e.case.number, n), event.clone())?;
            }
        }
        Entry::Fitted(e) => {
            let heads: &mut Vec<CaseHead> = view.edit(&key::case(&e.case))?;
            if let Some(case) = heads.first_mut().filter(|c| !c.sites.contains(&e.site)) {
                case.sites.push(e.site);
                case.sites.sort_by_key(|t| (!t.is_upper(), t.along_arch()));
            }
            fit(view, &e.case, e.site, e.fitted.clone())?;
        }
        Entry::Happened(e) => push(view, CHUNK, |n| key::events(&e.case, n), e.event.clone())?,
        Entry::Verification(e) => {
            view.edit(&key::verifications(&e.verification.fitted.code))?.push(e.verification.clone());
        }
        Entry::Accepted(_) => {}
    }
    for movement in movements(entry) {
        let quantity = i64::from(movement.quantity);
        shift(view, head.seq, &movement, &movement.from, -quantity)?;
        shift(view, head.seq, &movement, &movement.to, quantity)?;
    }
    push::<ActRow>(view, CHUNK, |n| key::acts(meta.act, n), (meta.act.bits(), head.seq))?;
    let own = view.head_mut();
    own.head = *head;
    own.last_at = meta.at;
    own.last_on = Some(meta.on);
    Ok(())
}

fn place(view: &mut View, id: &PlaceId) -> Result<(), ViewError> {
    let key = key::place(id);
    if view.peek::<PlaceRow>(&key)?.is_empty() {
        view.edit(&key)?.push(PlaceRow { id: id.clone() });
    }
    Ok(())
}

fn used(view: &mut View, meta: &Meta, used: &Used) -> Result<(), ViewError> {
    for line in &used.lines {
        place(view, &line.place)?;
        let fitted = Fitted {
            position: line.position,
            part: line.part.clone(),
            lot: Some(line.lot.clone()),
            label: line.label.clone(),
            on: Some(meta.on),
            torque: line.torque,
            lean: if line.part.is_angled() { line.lean } else { Value::NotApplicable },
            // The way to the screw does not change with the screw.
            driver: Fitted::at(view.peek(&key::fitted(&used.case, line.site))?, line.position)
                .and_then(|old| old.driver.clone()),
            sure: Sure::Label,
        };
        fit(view, &used.case, line.site, fitted)?;
        let event = Event {
            on: meta.on,
            tooth: Some(line.site),
            position: Some(line.position),
            what: Happening::Replaced,
            note: None,
            kept: line.replaced.as_ref().filter(|old| old.became == Became::Kept).and_then(|old| {
                Note::new(&format!("the old {}", old.part)).ok()
            }),
        };
        push(view, CHUNK, |n| key::events(&used.case, n), event)?;
    }
    Ok(())
}

fn fit(view: &mut View, case: &CaseNumber, site: Tooth, fitted: Fitted) -> Result<(), ViewError> {
    let assembly: &mut Vec<Fitted> = view.edit(&key::fitted(case, site))?;
    assembly.retain(|f| f.position != fitted.position);
    assembly.push(fitted);
    assembly.sort_by_key(|f| f.position);
    Ok(())
}

fn forget_case(view: &mut View, number: &CaseNumber) -> Result<(), ViewError> {
    let Some(old) = view.peek::<CaseHead>(&key::case(number))?.first().cloned() else { return Ok(()) };
    for tooth in old.sites {
        view.edit::<Fitted>(&key::fitted(number, tooth))?.clear();
    }
    for n in 0.. {
        let key = key::events(number, n);
        if view.peek::<Event>(&key)?.is_empty() {
            break;
        }
        view.edit::<Event>(&key)?.clear();
    }
    Ok(())
}

/// Puts an item at the end of a list kept in chunks.
fn push<T: Item>(view: &mut View, most: usize, key_of: impl Fn(u32) -> Vec<u8>, item: T) -> Result<(), ViewError> {
    for n in 0.. {
        if view.peek::<T>(&key_of(n))?.len() < most {
            view.edit::<T>(&key_of(n))?.push(item);
            break;
        }
    }
    Ok(())
}

/// Changes the balance of a lot in a place, and the lot's expiry where the movement states it.
fn shift(view: &mut View, seq: u64, movement: &Movement, place: &Where, by: i64) -> Result<(), ViewError> {
    let place = place.balance();
    let mut expiry = movement.expiry;
    let mut found = None;
    let mut chunks = 0;
    for n in 0.. {
        let key = key::stock(&movement.part, n);
        let lines: &Vec<StockLine> = view.peek(&key)?;
        if lines.is_empty() {
            break;
        }
        chunks = n + 1;
        for (at, line) in lines.iter().enumerate().filter(|(_, l)| l.lot == movement.lot) {
            expiry = expiry.or(Some(line.expiry));
            if line.place == place {
                found = Some((n, at));
            }
        }
        if let Some(stated) = movement.expiry {
            if lines.iter().any(|l| l.lot == movement.lot && l.expiry != stated) {
                let lines: &mut Vec<StockLine> = view.edit(&key)?;
                lines.iter_mut().filter(|l| l.lot == movement.lot).for_each(|l| l.expiry = stated);
            }
        }
    }
    let quantity = match found {
        Some((n, at)) => {
            let line = &mut view.edit::<StockLine>(&key::stock(&movement.part, n))?[at];
            line.quantity += by;
            line.quantity
        }
        None => {
            let expiry = expiry.unwrap_or(Expiry::NotRecorded);
            let line = StockLine { lot: movement.lot.clone(), expiry, place: place.clone(), quantity: by };
            let last: u32 = chunks.saturating_sub(1);
            let full = view.peek::<StockLine>(&key::stock(&movement.part, last))?.len() >= STOCK_CHUNK;
            view.edit(&key::stock(&movement.part, if full { last + 1 } else { last }))?.push(line);
            by
        }
    };
    if let Some(house) = place.house().filter(|_| quantity < 0) {
        view.note_below_zero(BelowZero {
            seq,
            part: movement.part.clone(),
            lot: movement.lot.clone(),
            place: house.clone(),
            quantity,
        });
    }
    Ok(())
}
