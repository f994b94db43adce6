//! What keeps a visit's tray from being whole, and what the fit says of what is on it.

use super::Visit;
use super::tray::{Missing, TrayRow};
use crate::bench::candidate::Candidate;
use crate::bench::fit::FIT;
use crate::catalog::{Part, Position, Value};
use crate::matching::{Level, RECORD};
use crate::stock::StockLine;
use crate::units::{Tooth, teeth};

/// What of the restoration is not on record, or is empty: before everything that lies ready.
pub(super) fn not_whole(visit: &Visit) -> Vec<String> {
    let mut lines = Vec::new();
    if visit.mouth.bridge_not_on_record {
        lines.push(format!(
            "NOT KNOWN: what else holds this bridge, which other screws? No restoration is on record at {}. Enter it first: spareseat --as INITIALS case bridge {} TEETH --retention HOW",
            visit.asked.site, visit.mouth.case
        ));
    }
    lines.extend(visit.mouth.empty.iter().map(|e| format!("EMPTY, {}: {}.", e.site, e.words())));
    lines
}

pub(super) fn not_in_house(visit: &Visit) -> Vec<String> {
    let mut lines = Vec::new();
    for missing in &visit.tray.missing {
        let (kind, wanted) = (missing.fitted.kind.short(), missing.sites.len() + missing.served.len());
        let (code, sites) = (&missing.fitted.code, teeth(&missing.sites));
        lines.push(match (made_for(&missing.fitted, &missing.sites), &missing.doubt) {
            (Some(made), _) => made,
            (None, Some(doubt)) => format!("NOT CONFIRMED, {sites}: {doubt}."),
            (None, None) if missing.served.is_empty() => {
                format!("NOT IN THE HOUSE: no {kind} like {code} for {sites}.")
            }
            (None, None) => format!(
                "NOT COMPLETE: {} of {wanted} {kind}s like {code} in the house. First {}; missing for {sites}.",
                missing.served.len(),
                teeth(&missing.served)
            ),
        });
        lines.extend(by_statement(missing));
        lines.extend(missing.held.iter().map(|s| {
            format!(
                "SET ASIDE FOR ANOTHER CASE: {}, of {}. It is taken only once somebody lets go of it: 'spareseat release {}'.",
                s.words(),
                s.part,
                s.hold.entry
            )
        }));
    }
    lines.extend(visit.tools.missing.iter().map(|what| format!("NOT IN THE HOUSE: {what}.")));
    lines
}

/// What lies in the house and fits by its maker's statement alone: shown at once with its drawer, never to take unseen.
fn by_statement(missing: &Missing) -> Vec<String> {
    let stated = missing.nearest.iter().filter(|c| c.judgement.is_by_statement());
    let line = |(candidate, stock): (&Candidate, &StockLine)| {
        let unknown = candidate.judgement.findings.iter().find(|f| f.level == Level::Stated);
        format!(
            "BY THE MAKER'S WORD ONLY: {}, lot {}, {}. {}. Compare it with the old part before you fit it.",
            candidate.part.code,
            stock.lot,
            stock.place,
            unknown.map_or(String::new(), |f| upper_first(&f.effect)),
        )
    };
    stated.flat_map(|c| c.in_house.iter().map(move |stock| (c, stock))).map(line).collect()
}

fn upper_first(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or(String::new(), |c| c.to_uppercase().chain(chars).collect())
}

/// What the fit says of an abutment, as 'spareseat fit' says it.
pub(super) fn seats(row: &TrayRow) -> String {
    let fit = row.judgement.findings.iter().find(|f| f.rule == FIT);
    let height = match row.part.seat_height {
        Value::Known(height) if row.position == Position::Abutment => format!(" Seat height {height}."),
        _ => String::new(),
    };
    let fit = fit.map_or(String::new(), |f| format!(" {}.", f.effect.replacen("the fit", "The fit", 1)));
    height + &fit
}

/// Why a part that lies in the house is not taken: the record says two things of its site.
pub(super) fn doubted(rows: &[TrayRow], position: Position) -> Option<&str> {
    let mut findings = rows.iter().filter(|r| r.position == position).flat_map(|r| &r.judgement.findings);
    findings.find(|f| f.rule == RECORD).map(|f| f.effect.as_str())
}

/// A part that was made for one patient is looked for in no drawer.
pub(super) fn made_for(part: &Part, sites: &[Tooth]) -> Option<String> {
    let made = part.made.as_ref()?;
    Some(format!(
        "LABORATORY WORK: the {} at {} was made for this patient ({}, job {}): no drawer holds another.",
        part.kind.short(),
        teeth(sites),
        made.laboratory,
        made.job
    ))
}
