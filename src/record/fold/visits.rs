//! What happens around a visit, folded: its steps, its tray, an entry taken back.

use super::{Meta, change_state, place, place_of_lot, push, used};
use crate::case::{CaseHead, Event, Grinding, Happening, LoadSigns, Splint};
use crate::record::entry::{Countered, Step, TrayBooked, VisitStep};
use crate::record::key;
use crate::record::view::{BuiltOn, LotRow, OpenVisit, PieceRow, View, ViewError};
use crate::units::{Expiry, Lot, Note, PartCode};

/// How many pieces a chunk of them holds: they are longer than the other items.
const PIECES_CHUNK: usize = 32;

pub(super) fn visit(view: &mut View, seq: u64, meta: &Meta, e: VisitStep) -> Result<(), ViewError> {
    if e.step == (Step::Begun { new_case: true }) {
        let load =
            LoadSigns { grinding: Grinding::NotAsked, signs: None, splint: Splint::NotAsked, against: None };
        let made_up = view.head().made_up;
        let number = e.case.clone();
        let case = CaseHead { number, made_up, load, sites: vec![e.site], measured: Vec::new() };
        *view.open_list(key::case(&e.case))? = vec![case];
    }
    change_state(view, &e.case, |state| {
        let (entry, on) = state.visit.as_ref().map_or((seq, meta.on), |v| (v.entry, v.on));
        let VisitStep { step, site, broken, left, tray, .. } = e;
        // What was booked was booked for what was known then: once narrowed there is another tray to book.
        let open = |entry, on| OpenVisit { entry, on, site, broken, left, tray, booked: None };
        state.visit = match step {
            Step::Begun { .. } => Some(open(seq, meta.on)),
            Step::Narrowed => Some(open(entry, on)),
            Step::Ended(_) => None,
        };
    })
}

pub(super) fn tray(view: &mut View, seq: u64, meta: &Meta, e: TrayBooked) -> Result<(), ViewError> {
    for spoiled in &e.spoiled {
        place(view, &spoiled.place)?;
    }
    used(view, meta, &e.case, e.lines)?;
    for removed in e.removed {
        let piece = PieceRow { entry: seq, on: meta.on, removed, taken_back: false };
        push(view, PIECES_CHUNK, |n| key::pieces(&e.case, n), piece)?;
    }
    change_state(view, &e.case, |s| {
        s.visit.iter_mut().for_each(|v| v.booked = Some(seq));
    })
}

pub(super) fn countered(view: &mut View, seq: u64, e: Countered) -> Result<(), ViewError> {
    for back in &e.moved_back {
        if let Some(id) = back.to.house() {
            place(view, id)?;
        }
        forget_expiry(view, &back.part, &back.lot)?;
    }
    let Some(case) = &e.case else { return Ok(()) };
    for before in e.restored {
        *view.open_list(key::fitted(case, before.site))? = before.fitted;
        let built_on = before.built_on.into_iter().map(|(position, part)| BuiltOn { position, part });
        *view.open_list(key::built_on(case, before.site))? = built_on.collect();
    }
    // What was said to have happened did not: marked in its place, since a list that is full is never made shorter.
    // The last ones first: the same place may have been booked twice that day.
    let mut left = e.fitted_at;
    let mut chunks = 0;
    while !view.open_list::<Event>(key::events(case, chunks))?.is_empty() {
        chunks += 1;
    }
    for n in (0..chunks).rev() {
        let mut events = view.open_list::<Event>(key::events(case, n))?;
        // A person's own note carries words, a booking's event carries none.
        let booked = |x: &&mut Event| x.on == e.on && x.what == Happening::Replaced && x.note.is_none();
        for event in events.iter_mut().rev().filter(booked) {
            let at = left.iter().position(|(t, p)| event.tooth == Some(*t) && event.position == Some(*p));
            if let Some(at) = at {
                left.swap_remove(at);
                event.what = Happening::Noted;
                event.kept = None;
                event.note = Note::new(&format!("booked as replaced; taken back by entry {seq}")).ok();
            }
        }
    }
    for n in 0.. {
        let mut pieces = view.open_list::<PieceRow>(key::pieces(case, n))?;
        if pieces.is_empty() {
            break;
        }
        pieces.iter_mut().filter(|p| p.entry == e.entry).for_each(|p| p.taken_back = true);
    }
    change_state(view, case, |s| {
        s.visit.iter_mut().filter(|v| v.booked == Some(e.entry)).for_each(|v| v.booked = None);
    })
}

/// A lot of which no unit ever came has no expiry either: what was typed with the delivery was taken back with it.
fn forget_expiry(view: &mut View, part: &PartCode, lot: &Lot) -> Result<(), ViewError> {
    let Some((chunk, at)) = place_of_lot(view, part, lot)? else { return Ok(()) };
    let mut lots = view.open_list::<LotRow>(key::stock(part, chunk))?;
    let row = &mut lots[at as usize];
    if row.balances.iter().all(|(_, quantity)| *quantity == 0) {
        row.expiry = Expiry::NotRecorded;
    }
    Ok(())
}
