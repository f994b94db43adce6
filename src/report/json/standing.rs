//! How cases stand, and what waits for somebody.

use jiff::civil::Date;
use serde_json::{Value as Json, json};

use super::{VERSION, tooth, torque_record};
use crate::cases::standing::{Check, Due};
use crate::record::{CaseState, OpenVisit, PieceRow};
use crate::units::CaseNumber;

/// Puts how a case stands, and what was kept of its parts, into its object.
pub fn add_state(case: &mut Json, s: &CaseState, kept: &[PieceRow]) {
    case["closed"] = s
        .closed
        .as_ref()
        .map_or(Json::Null, |(on, why)| json!({ "on": on.to_string(), "because": why.as_str() }));
    case["open_visit"] = s.visit.as_ref().map_or(Json::Null, visit);
    case["check"] = s
        .check
        .as_ref()
        .map_or(Json::Null, |(due, why)| json!({ "due": due.to_string(), "because": why.as_str() }));
    case["kept_pieces"] = kept.iter().map(piece).collect();
}

fn visit(v: &OpenVisit) -> Json {
    json!({
        "entry": v.entry, "begun_on": v.on.to_string(), "site": tooth(v.site), "site_words": v.site.words(),
        "broken": v.broken.word(), "left": v.left.word(), "booked_by_entry": v.booked,
    })
}

/// A part that came out of a mouth.
pub fn piece(p: &PieceRow) -> Json {
    let r = &p.removed;
    let (torque_ncm, torque) = torque_record(&r.torque);
    json!({
        "entry": p.entry, "removed_on": p.on.to_string(), "site": tooth(r.site), "site_words": r.site.words(),
        "position": r.position.slug(), "part": r.part.as_str(), "lot": r.lot.as_ref().map(|l| l.as_str()),
        "fitted_on": r.since.map(|d| d.to_string()), "torque_ncm": torque_ncm, "torque": torque,
        "became": r.became.word(), "broken": r.broken,
    })
}

/// What waits for somebody.
pub fn due(d: &Due, today: Date, as_of: u64) -> Json {
    let check = |c: &Check| {
        json!({
            "case": c.case.as_str(), "due": c.due.to_string(), "days_left": c.days_left(today), "because": c.why.as_str(),
        })
    };
    let open = |(case, v): &(CaseNumber, OpenVisit)| {
        let mut one = visit(v);
        one["case"] = case.as_str().into();
        one
    };
    json!({
        "version": VERSION, "as_of": as_of, "checks": d.checks.iter().map(check).collect::<Json>(),
        "open_visits": d.visits.iter().map(open).collect::<Json>(), "closed_not_listed": d.closed,
    })
}
