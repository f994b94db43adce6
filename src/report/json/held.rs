//! What lies where, and what of it is set aside.

use jiff::civil::Date;
use serde_json::{Value as Json, json};

use super::VERSION;
use crate::lots::holds::Standing;
use crate::record::{Entry, HeldLot, Needed, Released, ReleasedHold, SetAside, movements};
use crate::shelf::counting::Compared;
use crate::shelf::low::Low;
use crate::shelf::planning::Planned;
use crate::shelf::shelves::{Apart, Row};

/// A hold that stands.
pub(super) fn standing(s: &Standing) -> Json {
    json!({
        "hold": s.hold.entry, "case": s.hold.case.as_str(), "part": s.part.as_str(), "lot": s.hold.lot.as_str(),
        "quantity": s.hold.left(), "covered": s.covered, "short": s.is_short(),
        "on": s.hold.on.to_string(), "until": s.hold.until.to_string(),
    })
}

/// Holds that stand.
pub fn holds(all: &[Standing]) -> Json {
    all.iter().map(standing).collect()
}

pub(super) fn rows(all: &[Row], today: Date) -> Json {
    let row = |r: &Row| {
        json!({
            "part": r.part.as_str(), "lot": r.lot.as_str(), "place": r.place.as_str(), "quantity": r.quantity,
            "expiry": r.expiry.code(), "days_left": r.expiry.days_left(today), "called_back_by": r.called_back,
        })
    };
    all.iter().map(row).collect()
}

/// What is kept apart.
pub(super) fn kept_apart(all: &[Apart]) -> Json {
    let one = |a: &Apart| {
        json!({
            "part": a.part.as_str(), "lot": a.lot.as_str(), "place": a.place.to_string(), "quantity": a.quantity,
            "called_back_by": a.called_back,
        })
    };
    all.iter().map(one).collect()
}

/// What lies where.
pub fn stock(
    lying: &[Row],
    held: &[Standing],
    apart: &[Apart],
    needs: &[Planned],
    today: Date,
    as_of: u64,
) -> Json {
    json!({
        "version": VERSION, "as_of": as_of, "rows": rows(lying, today), "holds": holds(held),
        "needs": needs.iter().map(|p| json!({
            "need": p.need.entry, "case": p.need.case.as_str(), "part": p.part.as_str(), "on": p.need.on.to_string(),
            "quantity": p.need.quantity, "there": p.there, "short": p.is_short(),
            "because": p.need.because.as_ref().map(|n| n.as_str()),
        })).collect::<Json>(),
        "apart": kept_apart(apart),
    })
}

/// What is low.
pub fn low(all: &[Low], as_of: u64) -> Json {
    let one = |l: &Low| {
        let visit = l.one_visit.as_ref();
        json!({
            "part": l.part.as_str(), "there": l.there, "wanted": l.wanted(), "promised": l.promised, "cases": l.cases,
            "one_visit": visit.map(|v| json!({ "quantity": v.quantity, "case": v.case.as_str(), "at": v.at })),
        })
    };
    json!({ "version": VERSION, "as_of": as_of, "low": all.iter().map(one).collect::<Json>() })
}

/// A count held against the record, before it is booked; only what differs says what the record has.
pub fn compared(c: &Compared, as_of: u64) -> Json {
    let different = c.differences().map(|l| {
        json!({
            "part": l.part.as_str(), "lot": l.lot.as_str(), "counted": l.counted, "on_record": l.on_record,
            "difference": i64::from(l.counted) - i64::from(l.on_record),
        })
    });
    json!({
        "version": VERSION, "as_of": as_of, "place": c.place.as_str(), "counted_lots": c.lines.len(),
        "differences": different.collect::<Json>(), "not_counted_lots": c.not_counted,
    })
}

/// Planned work.
fn needed(e: &Needed) -> Json {
    json!({
        "case": e.case.as_str(), "part": e.part.as_str(), "on": e.on.to_string(), "quantity": e.quantity,
        "because": e.because.as_ref().map(|n| n.as_str()),
    })
}

/// An act on stock: what it set aside or let go of, else what it moved.
pub fn act(entry: &Entry) -> Json {
    let because = match entry {
        Entry::SetAside(e) => return set_aside(e),
        Entry::Released(e) => return released(e),
        Entry::Needed(e) => return needed(e),
        Entry::NeedOff(e) => {
            let because = e.because.as_ref().map(|n| n.as_str());
            return json!({ "case": e.case.as_str(), "called_off": e.need, "part": e.part.as_str(), "because": because });
        }
        Entry::Counted(e) => Some(&e.because),
        Entry::Discarded(e) => Some(&e.because),
        Entry::Returned(e) => Some(&e.because),
        Entry::Quarantined(e) => Some(&e.because),
        Entry::QuarantineLifted(e) => Some(&e.because),
        Entry::CalledBack(e) => e.because.as_ref(),
        _ => None,
    };
    json!({ "case": entry.case().map(|c| c.as_str()), "because": because.map(|n| n.as_str()) })
}

/// The units that an entry moved.
pub fn moved(entry: &Entry) -> Json {
    let mut moved = Vec::new();
    let _: Result<(), std::convert::Infallible> = movements(entry, |m| {
        moved.push(json!({
            "part": m.part.as_str(), "lot": m.lot.as_str(), "quantity": m.quantity,
            "from": m.from.place().to_string(), "to": m.to.place().to_string(),
        }));
        Ok(())
    });
    moved.into()
}

/// What was set aside.
fn set_aside(e: &SetAside) -> Json {
    let lot = |l: &HeldLot| json!({ "lot": l.lot.as_str(), "quantity": l.quantity });
    json!({
        "case": e.case.as_str(), "part": e.part.as_str(), "lots": e.lots.iter().map(lot).collect::<Json>(),
        "quantity": e.lots.iter().map(|l| l.quantity).sum::<u32>(), "until": e.until.to_string(),
        "because": e.because.as_ref().map(|n| n.as_str()),
    })
}

/// What became free again.
fn released(e: &Released) -> Json {
    let hold = |h: &ReleasedHold| json!({ "hold": h.hold, "case": h.case.as_str(), "part": h.part.as_str() });
    json!({
        "released": e.holds.iter().map(hold).collect::<Json>(), "because": e.because.as_ref().map(|n| n.as_str()),
    })
}
