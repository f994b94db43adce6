//! What visits, trays, counters and the state of a case do to the view.

use super::{Meta, bridges, claims, happened, place, place_of_lot, push, used};
use crate::case::{CaseHead, Event, Grinding, Happening, LoadSigns, Splint};
use crate::record::entry::{Became, Countered, Removed, Returned, Step, TrayBooked, UseLine, VisitStep};
use crate::record::key;
use crate::record::view::{BuiltOn, CaseState, EventRow, LotRow, OpenVisit, PieceRow, View, ViewError};
use crate::stock::Where;
use crate::units::{CaseNumber, Expiry, Lot, Note, PartCode};

/// Pieces are longer than most items.
const PIECES_CHUNK: usize = 32;

/// Changes what stands with a case beside what is fitted.
pub(super) fn change_state(
    view: &mut View,
    case: &CaseNumber,
    change: impl FnOnce(&mut CaseState),
) -> Result<(), ViewError> {
    let mut rows = view.open_list::<CaseState>(key::state(case))?;
    let mut state = rows.pop().unwrap_or_default();
    change(&mut state);
    // A case of which nothing is to be said has no row.
    if state != CaseState::default() {
        rows.push(state);
    }
    Ok(())
}

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

/// Whether something went in where this came out; a cap comes out and nothing takes its place.
pub(super) fn is_replaced(lines: &[UseLine], removed: &Removed) -> bool {
    lines.iter().any(|l| l.site == removed.site && l.position == removed.position)
}

pub(super) fn tray(view: &mut View, seq: u64, meta: &Meta, e: TrayBooked) -> Result<(), ViewError> {
    for spoiled in &e.spoiled {
        place(view, &spoiled.place)?;
        // It was set aside for this patient as well, and is gone.
        claims::taken(view, (seq, meta.on), &e.case, &spoiled.part, &spoiled.lot)?;
    }
    for gone in e.removed.iter().filter(|r| !is_replaced(&e.lines, r)) {
        bridges::emptied(view, &e.case, gone.site, gone.position)?;
    }
    used(view, seq, meta, &e.case, e.lines)?;
    for removed in e.removed {
        let piece = PieceRow { entry: seq, on: meta.on, removed, taken_back: false };
        push(view, PIECES_CHUNK, |n| key::pieces(&e.case, n), piece)?;
    }
    change_state(view, &e.case, |s| {
        s.visit.iter_mut().for_each(|v| v.booked = Some(seq));
    })
}

/// A part came back: its position is empty, and what is not in the house any more is among the pieces.
pub(super) fn returned(view: &mut View, seq: u64, meta: &Meta, e: Returned) -> Result<(), ViewError> {
    if let Some(drawer) = e.to.house() {
        place(view, drawer)?;
    }
    bridges::emptied(view, &e.case, e.site, e.position)?;
    let became = match e.to {
        Where::Waste => Some(Became::Discarded),
        Where::KeptPieces => Some(Became::Kept),
        _ => None,
    };
    let event = Event {
        on: meta.on,
        tooth: Some(e.site),
        position: Some(e.position),
        what: Happening::Noted,
        note: Note::new(&format!("{} came out, by entry {seq}", e.part)).ok(),
        kept: Note::new(&format!("the old {}", e.part)).ok().filter(|_| became == Some(Became::Kept)),
    };
    happened(view, seq, &e.case, event)?;
    let Some(became) = became else { return Ok(()) };
    let Returned { site, position, part, lot, since, torque, .. } = e;
    let removed = Removed { site, position, part, lot, since, torque, became, broken: false };
    let piece = PieceRow { entry: seq, on: meta.on, removed, taken_back: false };
    push(view, PIECES_CHUNK, |n| key::pieces(&e.case, n), piece)
}

pub(super) fn countered(view: &mut View, seq: u64, e: Countered) -> Result<(), ViewError> {
    for back in &e.moved_back {
        if let Some(id) = back.to.house() {
            place(view, id)?;
        }
        forget_expiry(view, &back.part, &back.lot)?;
        claims::taken_back(view, e.entry, &back.part)?;
    }
    let Some(case) = &e.case else { return Ok(()) };
    for before in e.restored {
        *view.open_list(key::fitted(case, before.site))? = before.fitted;
        let built_on = before.built_on.into_iter().map(|(position, part)| BuiltOn { position, part });
        *view.open_list(key::built_on(case, before.site))? = built_on.collect();
    }
    // What was said to have happened did not: marked in its place, since a list that is full is never made shorter.
    for n in 0.. {
        let mut events = view.open_list::<EventRow>(key::events(case, n))?;
        if events.is_empty() {
            break;
        }
        if !events.iter().any(|row| row.entry == e.entry) {
            continue;
        }
        for EventRow { event, .. } in events.iter_mut().filter(|row| row.entry == e.entry) {
            let was =
                if event.what == Happening::Replaced { "booked as replaced" } else { "did not come out" };
            event.what = Happening::Noted;
            event.kept = None;
            event.note = Note::new(&format!("{was}; taken back by entry {seq}")).ok();
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

/// A lot of which no unit ever came has no expiry and no numbers either: what was typed with the delivery was taken back
/// with it.
fn forget_expiry(view: &mut View, part: &PartCode, lot: &Lot) -> Result<(), ViewError> {
    let Some((chunk, at)) = place_of_lot(view, part, lot)? else { return Ok(()) };
    let in_force = view.head().edition_by;
    let mut lots = view.open_list::<LotRow>(key::stock(part, chunk))?;
    let row = &mut lots[at as usize];
    if row.balances.iter().all(|(_, quantity)| *quantity == 0) {
        row.expiry = Expiry::NotRecorded;
        let came_under = std::mem::take(&mut row.edition);
        if came_under != in_force {
            // The rows of earlier numbers are made with the parts: without this lot there may be others.
            view.head_mut().loaded = None;
        }
    }
    Ok(())
}
