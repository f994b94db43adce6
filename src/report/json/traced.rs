//! Where the units of a lot went, and which lots a patient has.

use serde_json::{Value as Json, json};

use super::{VERSION, tooth, torque_record};
use crate::desk::NotComplete;
use crate::tracing::trace::{CaseTrace, EntryOf, InMouth, LotTrace, LotTraces, TakenOut, TraceStep};
use crate::units::Tooth;

fn booked(b: Option<&EntryOf>) -> Json {
    b.map_or(Json::Null, |b| json!({ "entry": b.entry, "on": b.on.to_string(), "by": b.by }))
}

fn in_mouth(u: &InMouth) -> Json {
    let (torque_ncm, torque) = torque_record(&u.torque);
    json!({
        "case": u.case.as_str(), "site": tooth(u.site), "site_words": u.site.words(), "position": u.position.slug(),
        "since": u.since.map(|d| d.to_string()), "torque_ncm": torque_ncm, "torque": torque,
        "booked": booked(u.booked.as_ref()),
    })
}

fn taken_out(t: &TakenOut) -> Json {
    json!({
        "case": t.case.as_str(), "site": tooth(t.site), "site_words": t.site.words(), "position": t.position.slug(),
        "since": t.since.map(|d| d.to_string()), "out": booked(Some(&t.out)), "to": t.to.to_string(),
    })
}

fn step(s: &TraceStep) -> Json {
    json!({
        "booked": booked(Some(&s.booked)), "part": s.part.as_str(), "lot": s.lot.as_str(), "quantity": s.quantity,
        "from": s.from.to_string(), "to": s.to.to_string(), "case": s.happened.case.as_ref().map(|c| c.as_str()),
        "site": s.happened.site.map(tooth), "position": s.happened.position.map(|p| p.slug()),
        "taken_back_by": s.taken_back,
    })
}

/// How far a list could be read; null where it is complete.
pub fn not_complete(short: Option<&NotComplete>) -> Json {
    short.map_or(
        Json::Null,
        |s| json!({ "read_up_to": s.read_up_to, "of": s.of, "words": s.to_string(), "why": s.why }),
    )
}

/// Where the units of a lot are, and how they came there.
pub fn lots(all: &LotTraces, as_of: u64) -> Json {
    let one = |t: &LotTrace| {
        json!({
            "part": t.part.as_str(), "lot": t.lot.as_str(), "expiry": t.expiry.code(), "called_back_by": t.called_back,
            "in_mouths": t.in_mouths.iter().map(in_mouth).collect::<Json>(), "astray": t.astray(),
            "taken_out": t.taken_out.iter().map(taken_out).collect::<Json>(),
            "places": t.places.iter().map(|(place, n)| json!({ "place": place.to_string(), "quantity": n })).collect::<Json>(),
            "steps": t.steps.iter().map(step).collect::<Json>(),
        })
    };
    json!({
        "version": VERSION, "as_of": as_of, "not_complete": not_complete(all.not_complete.as_ref()),
        "lots": all.lots.iter().map(one).collect::<Json>(),
    })
}

/// Which lots a patient has and had.
pub fn case_trace(t: &CaseTrace, as_of: u64) -> Json {
    let now = |(site, f, by): &(Tooth, crate::case::Fitted, Option<EntryOf>)| {
        let mut one = super::fitted(f);
        one["site"] = tooth(*site).into();
        one["booked"] = booked(by.as_ref());
        one
    };
    json!({
        "version": VERSION, "as_of": as_of, "not_complete": not_complete(t.not_complete.as_ref()),
        "case": t.case.as_str(), "now": t.now.iter().map(now).collect::<Json>(), "steps": t.steps.iter().map(step).collect::<Json>(),
    })
}
