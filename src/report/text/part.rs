//! Parts and interfaces.

use std::fmt::Write as _;

use super::super::{json, table::table};
use super::counted;
use crate::catalog::{Interface, Part, Weight};
use crate::maintenance::parts::{Changed, PartHoles};
use crate::units::visible;

/// Parts, a line each.
pub fn parts(all: &[Part]) -> String {
    let rows =
        all.iter().map(|p| vec![p.code.to_string(), p.kind.short().to_owned(), p.description.to_string()]);
    let parts = counted(all.len(), "part", "parts");
    format!("{parts} in the catalogue.\n\n{}", table(&["code", "kind", "description"], rows))
}

/// A part, from the JSON shape, so that both say the same.
pub fn part(p: &Part) -> String {
    let json = json::part(p);
    let mut out = format!("{} ({})\n", p.description, p.code);
    let Some(map) = json.as_object() else { return out };
    for (key, value) in map.iter().filter(|(k, _)| *k != "ports" && *k != "description" && *k != "code") {
        if value == "n/a" {
            continue;
        }
        let words = key.replace('_', " ");
        let shown = match value {
            serde_json::Value::Null => "not known".to_owned(),
            serde_json::Value::String(s) => visible(s),
            other => other.to_string(),
        };
        let _ = writeln!(out, "  {words}: {shown}");
    }
    for port in json["ports"].as_array().into_iter().flatten() {
        let fields: Vec<String> = port
            .as_object()
            .into_iter()
            .flatten()
            .filter(|(k, v)| *k != "kind" && *k != "side" && *v != "n/a")
            .map(|(k, v)| {
                let v = if v.is_null() {
                    "not known".to_owned()
                } else {
                    v.to_string().trim_matches('"').to_owned()
                };
                format!("{} {v}", k.replace('_', " "))
            })
            .collect();
        let word = |key: &str| port[key].as_str().unwrap_or_default().to_owned();
        let _ = writeln!(out, "  {} {}: {}", word("kind"), word("side"), fields.join(", "));
    }
    out
}

/// Parts of which something is not known, after an import or a check: empty when there is none.
pub fn holes(all: &[PartHoles]) -> String {
    let names = |p: &PartHoles, weight| {
        let named: Vec<String> =
            p.holes.iter().filter(|h| h.weight == weight).map(ToString::to_string).collect();
        named.join(", ")
    };
    let (closed, open): (Vec<_>, Vec<_>) =
        all.iter().partition(|p| p.holes.iter().any(|h| h.weight == Weight::Must));
    let mut out = String::new();
    if !closed.is_empty() {
        let _ = write!(
            out,
            "\n\nNOT KNOWN, so no other code is confirmed in place of {}:",
            counted(closed.len(), "part", "parts")
        );
        for p in closed {
            let _ = write!(out, "\n  {}: {}", p.part, names(p, Weight::Must));
        }
    }
    if !open.is_empty() {
        let _ = write!(out, "\n\nNot known, so another code is at best 'fits, with changes':");
        for p in open {
            let _ = write!(out, "\n  {}: {}", p.part, names(p, Weight::Change));
        }
    }
    out
}

/// The parts whose numbers an import changed: what that is taken for, and which lots and mouths it concerns.
pub fn changed_parts(all: &[Changed]) -> String {
    let mut out = String::new();
    for c in all {
        let _ = write!(out, "\n  {}: {}", c.now.code, visible(&c.numbers().join("; ")));
        let lots: Vec<&str> = c.lots.iter().map(|l| l.as_str()).collect();
        let lots = if lots.is_empty() { "none".to_owned() } else { lots.join(", ") };
        let mouths = c.mouths.iter().map(|m| format!("case {}, {}, {}", m.case, m.site, m.position.words()));
        let mouths: Vec<String> = mouths.collect();
        let mouths = if mouths.is_empty() { "none".to_owned() } else { mouths.join("; ") };
        let _ = match c.wrong {
            true => write!(
                out,
                "\n    The number was wrong: lots and patients have the right one now. Lots: {lots}. Patients: {mouths}."
            ),
            false => write!(
                out,
                "\n    The article changed: lots and patients keep the numbers of before. Lots: {lots}. Patients: {mouths}.\n    If the number was wrong: import the same files again with --number-was-wrong {}",
                c.now.code
            ),
        };
    }
    out
}

/// Interfaces with their revisions.
pub fn interfaces(all: &[Interface]) -> String {
    let mut out = format!("{}.\n", counted(all.len(), "interface", "interfaces"));
    for i in all {
        let _ = writeln!(out, "\n{}: {} ({})\n  seating: {}", i.id, i.description, i.source, i.form);
        for r in &i.revisions {
            let _ = writeln!(out, "  - revision {}: {}", r.revision, r.what);
        }
    }
    out
}
