//! The fold: what an entry does to the view. It applies, it never judges: an entry accepted once is folded for ever.

mod shares;
mod sites;
mod visits;

use jiff::civil::Date;

use super::entry::{Became, Entry, Replaced, UseLine};
use super::key;
use super::view::{ActRow, BelowZero, BuiltOn, Item, LotRow, PlaceRow, View, ViewError};
use crate::case::{CaseHead, Event, Fitted, Happening, Sure};
use crate::catalog::Value;
use crate::logbook::Head;
use crate::stock::{Movement, Spot};
use crate::units::{Act, CaseNumber, Expiry, Lot, Note, PartCode, PlaceId, PracticeName, Tooth};
use shares::{confirmed, taken};
use visits::{change_state, countered, is_replaced, tray, visit};

/// How many items a chunk of a long list holds.
const CHUNK: usize = 128;
/// Lots are longer than the other items.
const STOCK_CHUNK: usize = 32;

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

/// Applies one entry; `head` is the logbook's head after its line.
pub fn fold(view: &mut View, head: &Head, meta: &Meta, entry: Entry) -> Result<(), ViewError> {
    movements(&entry, |movement| {
        let quantity = i64::from(movement.quantity);
        shift(view, head.seq, &movement, [(movement.from, -quantity), (movement.to, quantity)])
    })?;
    match entry {
        Entry::Founded(e) => {
            view.head_mut().made_up = e.made_up;
            view.head_mut().practice = meta.practice.clone();
        }
        Entry::Catalogue(e) => view.head_mut().edition = Some(e.edition),
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
        Entry::Used(e) => used(view, meta, &e.case, e.lines)?,
        Entry::Tray(e) => tray(view, head.seq, meta, e)?,
        Entry::Visit(e) => visit(view, head.seq, meta, e)?,
        Entry::Countered(e) => countered(view, head.seq, e)?,
        Entry::CaseClosed(e) => {
            change_state(view, &e.case, |s| s.closed = e.closed.then(|| (meta.on, e.because.clone())))?;
        }
        Entry::CheckSet(e) => {
            change_state(view, &e.case, |s| s.check = e.due.map(|due| (due, e.because.clone())))?;
        }
        Entry::Case(e) => {
            forget_case(view, &e.case.number)?;
            *view.open_list(key::restorations(&e.case.number))? = e.restorations;
            for (tooth, assembly) in e.case.sites.iter().zip(e.assemblies) {
                *view.open_list(key::fitted(&e.case.number, *tooth))? = assembly;
            }
            for event in e.events {
                push(view, CHUNK, |n| key::events(&e.case.number, n), event)?;
            }
            let key = key::case(&e.case.number);
            *view.open_list(key)? = vec![e.case];
        }
        Entry::Fitted(e) => {
            let mut heads = view.open_list::<CaseHead>(key::case(&e.case))?;
            if let Some(case) = heads.first_mut().filter(|c| !c.sites.contains(&e.site)) {
                case.sites.push(e.site);
                case.sites.sort_by_key(|t| (!t.is_upper(), t.along_arch()));
            }
            // Somebody looked and says what stands there: that is what the restoration stands on.
            view.open_list::<BuiltOn>(key::built_on(&e.case, e.site))?
                .retain(|b| b.position != e.fitted.position);
            fit(view, &e.case, e.site, e.fitted, false)?;
        }
        Entry::Happened(e) => {
            if e.event.what == Happening::Checked {
                change_state(view, &e.case, |s| s.check = None)?;
            }
            push(view, CHUNK, |n| key::events(&e.case, n), e.event)?;
        }
        Entry::Verification(e) => {
            view.open_list(key::verifications(&e.verification.fitted.code))?.push(e.verification);
        }
        Entry::Taken(e) | Entry::TakenWithForms(e) => taken(view, head.seq, meta, e)?,
        Entry::Confirmed(e) => confirmed(view, head.seq, meta, e)?,
        Entry::Measured(e) => sites::measured(view, head.seq, meta, e)?,
        Entry::BandsSet(e) => *view.open_list(key::bands())? = vec![e.bands],
        Entry::Accepted(_) => {}
    }
    push::<ActRow>(view, CHUNK, |n| key::acts(meta.act, n), (meta.act.bits(), head.seq))?;
    let own = view.head_mut();
    own.head = *head;
    own.last_at = meta.at;
    own.last_on = Some(meta.on);
    Ok(())
}

fn place(view: &mut View, id: &PlaceId) -> Result<(), ViewError> {
    let mut rows = view.open_list::<PlaceRow>(key::place(id))?;
    if rows.is_empty() {
        rows.push(PlaceRow { id: id.clone() });
    }
    Ok(())
}

fn used(view: &mut View, meta: &Meta, case: &CaseNumber, lines: Vec<UseLine>) -> Result<(), ViewError> {
    for line in lines {
        place(view, &line.place)?;
        let fitted = Fitted {
            position: line.position,
            lot: Some(line.lot),
            label: line.label,
            on: Some(meta.on),
            torque: line.torque,
            lean: if line.part.is_angled() { line.lean } else { Value::NotApplicable },
            driver: None,
            sure: Sure::Label,
            part: line.part,
        };
        keep_measure(view, case, line.site, &fitted)?;
        fit(view, case, line.site, fitted, true)?;
        let event = Event {
            on: meta.on,
            tooth: Some(line.site),
            position: Some(line.position),
            what: Happening::Replaced,
            note: None,
            kept: line
                .replaced
                .as_ref()
                .filter(|old| old.became == Became::Kept)
                .and_then(|old| Note::new(&format!("the old {}", old.part)).ok()),
        };
        push(view, CHUNK, |n| key::events(case, n), event)?;
    }
    Ok(())
}

/// Remembers what the restoration was built on when a part with other numbers goes in, until the same comes back.
fn keep_measure(view: &mut View, case: &CaseNumber, site: Tooth, fitted: &Fitted) -> Result<(), ViewError> {
    let assembly = view.open_list::<Fitted>(key::fitted(case, site))?;
    let before =
        Fitted::at(&assembly, fitted.position).filter(|f| f.part != fitted.part).map(|f| f.part.clone());
    let Some(before) = before else { return Ok(()) };
    let mut built = view.open_list::<BuiltOn>(key::built_on(case, site))?;
    match built.iter().position(|b| b.position == fitted.position) {
        Some(at) if built[at].part == fitted.part => {
            built.remove(at);
        }
        Some(_) => {}
        None => built.push(BuiltOn { position: fitted.position, part: before }),
    }
    Ok(())
}

/// Puts a part where it stands now, in place of what stood there.
fn fit(
    view: &mut View,
    case: &CaseNumber,
    site: Tooth,
    mut fitted: Fitted,
    same_way: bool,
) -> Result<(), ViewError> {
    let mut assembly = view.open_list::<Fitted>(key::fitted(case, site))?;
    if same_way {
        // The way to the screw does not change with the screw.
        fitted.driver = Fitted::at(&assembly, fitted.position).and_then(|old| old.driver.clone());
    }
    assembly.retain(|f| f.position != fitted.position);
    let at = assembly.iter().position(|f| f.position > fitted.position).unwrap_or(assembly.len());
    assembly.insert(at, fitted);
    if !assembly.is_sorted_by_key(|f| f.position) {
        assembly.sort_by_key(|f| f.position);
    }
    Ok(())
}

/// Empties the sites of a case; gives whether there was one.
fn forget_sites(view: &mut View, number: &CaseNumber) -> Result<bool, ViewError> {
    let Some(old) = view.open_list::<CaseHead>(key::case(number))?.first().cloned() else {
        return Ok(false);
    };
    sites::forget(view, number)?;
    for tooth in old.sites {
        view.open_list::<Fitted>(key::fitted(number, tooth))?.clear();
        view.open_list::<BuiltOn>(key::built_on(number, tooth))?.clear();
    }
    Ok(true)
}

fn forget_case(view: &mut View, number: &CaseNumber) -> Result<(), ViewError> {
    if !forget_sites(view, number)? {
        return Ok(());
    }
    shares::forget(view, number)?;
    view.ends().set_chunk(&key::events(number, 0), 0);
    for n in 0.. {
        let mut events = view.open_list::<Event>(key::events(number, n))?;
        if events.is_empty() {
            break;
        }
        events.clear();
    }
    Ok(())
}

/// Puts an item at the end of a list kept in chunks.
fn push<T: Item>(
    view: &mut View,
    most: usize,
    key_of: impl Fn(u32) -> Vec<u8>,
    item: T,
) -> Result<(), ViewError> {
    let first = key_of(0);
    let remembered = view.ends().chunk(&first);
    for n in remembered.. {
        let mut items = view.open_list::<T>(key_of(n))?;
        if items.len() < most {
            items.push(item);
            if n > remembered {
                view.ends().set_chunk(&first, n);
            }
            break;
        }
        // Full: nothing will be added to it any more.
        view.pack(&key_of(n))?;
    }
    Ok(())
}

/// Changes the balances of a lot, and its expiry where the movement states it.
fn shift(
    view: &mut View,
    seq: u64,
    movement: &Movement<'_>,
    changes: [(Spot<'_>, i64); 2],
) -> Result<(), ViewError> {
    let (part, lot) = (movement.part, movement.lot);
    let (chunk, at) = match place_of_lot(view, part, lot)? {
        Some(found) => found,
        None => new_lot(view, part, lot, movement.expiry.unwrap_or(Expiry::NotRecorded))?,
    };
    let mut lots = view.open_list::<LotRow>(key::stock(part, chunk))?;
    let row = &mut lots[at as usize];
    if let Some(stated) = movement.expiry {
        row.expiry = stated;
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
        if let (Spot::House(place), true) = (spot, quantity < 0) {
            let (part, lot, place) = (part.clone(), lot.clone(), place.clone());
            below.push(BelowZero { seq, part, lot, place, quantity });
        }
    }
    below.into_iter().for_each(|what| view.note_below_zero(what));
    Ok(())
}

/// In which chunk a lot of a part is, and where there.
fn place_of_lot(view: &mut View, part: &PartCode, lot: &Lot) -> Result<Option<(u32, u32)>, ViewError> {
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
    rows.push(LotRow { lot: lot.clone(), expiry, balances: Vec::new() });
    let at = (chunk, rows.len() as u32 - 1);
    view.ends().set_stock(part, chunk + 1);
    view.ends().set_lot(part, lot, at);
    Ok(at)
}
