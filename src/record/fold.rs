//! The fold: what an entry does to the view. It applies, it never judges: an entry accepted once is folded for ever.

mod bridges;
mod claims;
mod editions;
mod shares;
mod sites;
mod stock;
mod visits;

use jiff::civil::Date;

use super::entry::{Became, Entry, UseLine};
use super::key;
use super::view::{ActRow, BuiltOn, EventRow, Item, PlaceRow, View, ViewError};
use crate::case::{CaseHead, Event, Fitted, Happening, Sure};
use crate::catalog::Value;
use crate::logbook::Head;
use crate::units::{Act, CaseNumber, Note, PlaceId, PracticeName, Tooth};
use shares::{confirmed, taken};
pub use stock::movements;
use stock::{place_of_lot, shift};
use visits::{change_state, countered, tray, visit};

/// How many items a chunk of a long list holds.
const CHUNK: usize = 128;

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
        Entry::Catalogue(e) => editions::in_force(view, head.seq, e.edition)?,
        Entry::CatalogueCorrected(e) => editions::corrected(view, head.seq, e)?,
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
        Entry::Used(e) => used(view, head.seq, meta, &e.case, e.lines)?,
        Entry::UsedHeld(e) => used(view, head.seq, meta, &e.case, e.lines)?,
        Entry::SetAside(e) => claims::set_aside(view, head.seq, meta, e)?,
        Entry::Released(e) => claims::released(view, e)?,
        Entry::Discarded(_) | Entry::Quarantined(_) | Entry::Counted(_) => {}
        Entry::Needed(e) => claims::needed(view, head.seq, meta, e)?,
        Entry::NeedOff(e) => claims::need_off(view, e)?,
        Entry::Returned(e) => visits::returned(view, head.seq, meta, e)?,
        Entry::Reprocessed(e) => place(view, &e.place)?,
        Entry::QuarantineLifted(e) => place(view, &e.place)?,
        Entry::CalledBack(e) => claims::called_back(view, head.seq, meta, e)?,
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
                happened(view, head.seq, &e.case.number, event)?;
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
            happened(view, head.seq, &e.case, e.event)?;
        }
        Entry::Verification(e) => {
            view.open_list(key::verifications(&e.verification.fitted.code))?.push(e.verification);
        }
        Entry::Taken(e) | Entry::TakenWithForms(e) => taken(view, head.seq, meta, e)?,
        Entry::Confirmed(e) => confirmed(view, head.seq, meta, e)?,
        Entry::Measured(e) => sites::measured(view, head.seq, meta, e)?,
        Entry::Bridge(e) => bridges::bridge(view, head.seq, e)?,
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

fn used(
    view: &mut View,
    seq: u64,
    meta: &Meta,
    case: &CaseNumber,
    lines: Vec<UseLine>,
) -> Result<(), ViewError> {
    for line in lines {
        claims::taken(view, (seq, meta.on), case, &line.part.code, &line.lot)?;
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
        happened(view, seq, case, event)?;
    }
    Ok(())
}

/// Puts an event with a case, under the number of the entry that says so.
fn happened(view: &mut View, entry: u64, case: &CaseNumber, event: Event) -> Result<(), ViewError> {
    push(view, CHUNK, |n| key::events(case, n), EventRow { entry, event })
}

/// Remembers what the restoration was built on when a part with other numbers goes in, until the same comes back.
fn keep_measure(view: &mut View, case: &CaseNumber, site: Tooth, fitted: &Fitted) -> Result<(), ViewError> {
    let assembly = view.open_list::<Fitted>(key::fitted(case, site))?;
    let there = Fitted::at(&assembly, fitted.position).map(|f| f.part.clone());
    // Of a position that was empty it is remembered already what the restoration was built on.
    if there.as_ref().is_some_and(|there| there.is_same_as(&fitted.part)) {
        return Ok(());
    }
    let mut built = view.open_list::<BuiltOn>(key::built_on(case, site))?;
    match built.iter().position(|b| b.position == fitted.position) {
        Some(at) if built[at].part.is_same_as(&fitted.part) => {
            built.remove(at);
        }
        Some(_) => {}
        None => built.extend(there.map(|part| BuiltOn { position: fitted.position, part })),
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
        let mut events = view.open_list::<EventRow>(key::events(number, n))?;
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
