//! What goes between a practice and its laboratory.

use serde_json::{Value as Json, json};

use super::{VERSION, tooth};
use crate::lab::sharing::{AnswerFile, ShareFile, Shared, SharedSite};
use crate::record::{ConfirmedRow, Origin, OriginRow};

fn um(tenths: u32) -> f64 {
    f64::from(tenths) / 10.0
}

fn whose(o: &Origin) -> Json {
    json!({ "practice": o.practice.as_str(), "logbook": o.logbook.to_string(), "case": o.case.as_str() })
}

fn sites(all: &[SharedSite]) -> Json {
    let one = |s: &SharedSite| json!({ "site": tooth(s.standing.site), "sum": s.sum.to_string() });
    all.iter().map(one).collect()
}

/// Puts where a case came from, and what laboratories answered about it, into its object.
pub fn add_shares(case: &mut Json, origin: Option<&OriginRow>, answers: &[ConfirmedRow]) {
    case["origin"] = origin.map_or(Json::Null, |row| {
        let mut out = whose(&row.origin);
        out["as_of"] = row.as_of.into();
        out["shared_on"] = row.shared_on.to_string().into();
        out["file_sum"] = row.file.to_string().into();
        out["taken_on"] = row.on.to_string().into();
        out["entry"] = row.entry.into();
        out
    });
    case["confirmations"] = answers.iter().map(confirmed).collect();
    if let Some(events) = case["events"].as_array_mut() {
        events.extend(answers.iter().map(event));
        // Stable: what happened on one day stays in the order it was entered.
        events.sort_by(|a, b| a["on"].as_str().cmp(&b["on"].as_str()));
    }
}

fn event(row: &ConfirmedRow) -> Json {
    let one = if let [swap] = &row.swaps[..] { Some(swap) } else { None };
    json!({
        "on": row.on.to_string(), "site": one.map(|s| tooth(s.site)), "position": one.map(|s| s.position.slug()),
        "what": "confirmed", "note": crate::report::confirmed::confirmed(row), "kept": null,
    })
}

fn confirmed(row: &ConfirmedRow) -> Json {
    let swaps: Json = row
        .swaps
        .iter()
        .map(|s| json!({ "site": tooth(s.site), "position": s.position.slug(), "part": s.part.as_str() }))
        .collect();
    json!({
        "entry": row.entry, "taken_on": row.taken_on.to_string(), "on": row.on.to_string(), "by": row.by.as_str(),
        "laboratory": row.laboratory.as_str(), "swaps": swaps, "verdict": row.verdict.words(),
        "worst_gap_um": row.worst_gap.map(um), "keeps_up_to_um": um(row.bands.keeps),
        "try_in_up_to_um": um(row.bands.try_in), "file_sum": row.answer.to_string(),
    })
}

/// A case that was written to a file.
pub fn shared(s: &Shared, file: &str) -> Json {
    let f = &s.file;
    json!({
        "version": VERSION, "as_of": f.as_of, "case": f.case.as_str(), "file": file, "bytes": s.text.len(),
        "sites": sites(&f.sites), "file_sum": s.sum.to_string(),
    })
}

/// What was booked for a case that was taken.
pub fn taken(here: &str, f: &ShareFile, replaced: bool, remarks: &[String]) -> Json {
    json!({
        "took": "case", "case": here, "origin": whose(&f.origin()), "replaced": replaced, "sites": sites(&f.sites),
        "remarks": remarks,
    })
}

/// What was booked for an answer.
pub fn answered(f: &AnswerFile, remarks: &[String]) -> Json {
    json!({
        "took": "answer", "case": f.origin.case.as_str(), "laboratory": f.laboratory.as_str(), "by": f.by.as_str(),
        "on": f.on.to_string(), "verdict": f.verdict.words(), "worst_gap_um": f.worst_gap_tenths_um.map(um),
        "sites": sites(&f.sites), "remarks": remarks,
    })
}
