//! Sheets to print.

use serde_json::{Value as Json, json};

use super::{VERSION, event, fitted, tooth};
use crate::desk::CAUTION;
use crate::tracing::sheets::{Complaint, Piece, Report};

/// The labels for the bags with the broken pieces.
pub fn bags(all: &[Piece], as_of: u64) -> Json {
    json!({ "version": VERSION, "as_of": as_of, "labels": all.iter().map(piece).collect::<Json>() })
}

fn piece(p: &Piece) -> Json {
    let mut json = super::standing::piece(&p.row);
    json["made_up"] = p.made_up.into();
    json["case"] = p.case.as_str().into();
    json["description"] = p.description.as_ref().map(|d| d.as_str()).into();
    json["by"] = p.by.as_deref().into();
    json["reuse"] = "not for reuse".into();
    json
}

/// The complaints to the maker.
pub fn complaints(all: &[Complaint], as_of: u64) -> Json {
    json!({
        "version": VERSION, "as_of": as_of, "sheets": all.iter().map(complaint).collect::<Json>(),
        "cautions": [CAUTION],
    })
}

fn complaint(c: &Complaint) -> Json {
    let report = |r: &Report| {
        json!({
            "on": r.on.to_string(), "entry": r.entry, "site": tooth(r.step.site), "broken": r.step.broken.word(),
            "words": r.step.broken.report(), "left": r.step.left.word(), "note": r.step.note.as_ref().map(|n| n.as_str()),
        })
    };
    let mut json = piece(&c.piece);
    json["maker"] = c.maker.as_ref().map(|m| m.as_str()).into();
    json["practice"] = c.piece.practice.as_ref().map(|p| p.as_str()).into();
    json["system"] = c.part.as_ref().map(|p| p.system.as_str()).into();
    json["days_in_mouth"] = c.days_in_mouth.into();
    json["reported"] = c.report.as_ref().map_or(Json::Null, report);
    json["events"] = c.events.iter().map(event).collect();
    json["events_before"] = c.before.iter().map(event).collect();
    json["assembly"] = c.assembly.iter().map(fitted).collect();
    json["load"] = super::load_signs(&c.load);
    json["earlier_failures"] = json!({ "pieces": c.earlier.0, "cases": c.earlier.1 });
    json
}
