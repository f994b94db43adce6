//! The answer to a call.

use std::fmt::Write as _;

use jiff::civil::Date;

use super::super::table::table;
use super::swap::{Detail, candidate};
use super::{finding, fitted_rows, pieces, section, worth_reading};
use crate::case::{Fitted, Left};
use crate::catalog::Part;
use crate::chair::visit::{Missing, NotThere, ToolRow, TrayRow, TrayUse, Visit, usable_on};
use crate::matching::{Finding, StandsOn, Verdict};
use crate::units::{show_date, teeth, visible};

fn tray_rows(rows: &[TrayRow], today: Date) -> String {
    let shown = rows.iter().map(|r| {
        let take = match r.usage {
            TrayUse::Take => format!("take {} ({} here)", r.quantity, r.pick.here),
            TrayUse::Instead => format!("or instead ({} here)", r.pick.here),
            TrayUse::Leave => format!("LEAVE ({} here)", r.pick.here),
        };
        let torque = match r.usage {
            TrayUse::Leave => String::new(),
            _ => r.torque.to_string(),
        };
        vec![
            take,
            r.part.code.to_string(),
            teeth(&r.sites),
            torque,
            format!("lot {}", r.pick.lot),
            r.pick.place.to_string(),
            r.judgement.verdict.to_string(),
            usable_on(r.pick.expiry, today),
        ]
    });
    table(&["do", "part", "for", "torque", "lot", "place", "verdict", "usable"], shown)
}

fn findings(out: &mut String, part: &Part, verdict: Verdict, all: &[Finding], why: bool) {
    if all.is_empty() {
        return;
    }
    let _ = writeln!(out, "  {}: {verdict}", part.code);
    for f in worth_reading(verdict, all) {
        let _ = writeln!(out, "    - {}", finding(f, why));
    }
}

fn details(out: &mut String, rows: &[TrayRow], why: bool) {
    let mut done: Vec<&Part> = Vec::new();
    for row in rows {
        if done.contains(&&row.part) {
            continue;
        }
        done.push(&row.part);
        let _ = writeln!(out, "  {} = {}; {}", row.part.code, row.part.description, row.part.sterile.words());
    }
    let mut done: Vec<&Part> = Vec::new();
    for row in rows.iter().filter(|r| r.judgement.verdict != Verdict::SamePart) {
        if !done.contains(&&row.part) {
            done.push(&row.part);
            findings(out, &row.part, row.judgement.verdict, &row.judgement.findings, why);
        }
    }
}

/// Tools and caps: what lies where, and for what.
fn tool_rows(rows: &[ToolRow], today: Date) -> String {
    let shown = rows.iter().map(|r| {
        let here = r.pick.as_ref().map_or(0, |p| p.here);
        let take = match (r.usage, &r.pick) {
            (_, None) => "look for it".to_owned(),
            (TrayUse::Take, _) => format!("take {} ({here} here)", r.quantity),
            _ => format!("or instead ({here} here)"),
        };
        let torque = r.torque().map_or(String::new(), |t| format!("; {t}"));
        vec![
            take,
            r.part
                .as_ref()
                .map_or_else(|| format!("{}: none in the catalogue", r.description), |p| p.code.to_string()),
            r.pick.as_ref().map_or("not in the house by this record".to_owned(), |p| p.place.to_string()),
            format!("{}, {}{torque}", r.what_for, teeth(&r.sites)),
            r.pick
                .as_ref()
                .filter(|p| p.expiry.last_day().is_some())
                .map_or(String::new(), |p| usable_on(p.expiry, today)),
            r.sterile().words().to_owned(),
        ]
    });
    table(&["do", "tool", "place", "what for", "usable", "sterile or not"], shown)
}

/// A part is not there: one sentence.
pub fn not_there(n: &NotThere) -> String {
    let made_up = if n.made_up { MADE_UP } else { "" };
    format!("{}{made_up}\n", visible(&n.sentence))
}

const MADE_UP: &str = " MADE UP: no real patient, no real part.";

/// The answer to a call.
pub fn visit(v: &Visit, today: Date, why: bool) -> String {
    let mut out = String::new();
    for line in &v.head.answer {
        let _ = writeln!(out, "{}", visible(line));
    }
    head(&mut out, v);
    section(&mut out, "Before the first turn", &v.way.before);
    if v.mouth.fitted.is_empty() {
        let _ =
            writeln!(out, "\nFitted at {} ({}): nothing is on record", v.asked.site, v.asked.site.words());
    } else {
        let _ = writeln!(out, "\nFitted at {} ({})", v.asked.site, v.asked.site.words());
        let fitted: Vec<Fitted> = v.mouth.fitted.iter().map(|r| r.fitted.clone()).collect();
        out.push_str(&fitted_rows(&fitted));
    }
    if !v.way.undo.is_empty() {
        let _ = writeln!(out, "\nUndo");
        for row in &v.way.undo {
            let driver =
                if row.driver.is_empty() { String::new() } else { format!("; {}", visible(&row.driver)) };
            let _ = writeln!(out, "  - {}: {}{driver}", teeth(&row.sites), row.what);
        }
    }
    section(&mut out, "The fragment", &v.way.fragment);
    let rows = [&v.tray.rows[..], &v.tray.candidates].concat();
    if !rows.is_empty() {
        let _ = writeln!(out, "\nPut back");
        out.push_str(&tray_rows(&rows, today));
        details(&mut out, &rows, why);
        for line in &v.way.put_back {
            let _ = writeln!(out, "  - {}", visible(line));
        }
    }
    if !v.tools.rows.is_empty() {
        let _ = writeln!(out, "\nTools for the tray");
        out.push_str(&tool_rows(&v.tools.rows, today));
    }
    possible(&mut out, v);
    section(&mut out, "Stop rule", std::slice::from_ref(&v.way.stop_rule));
    step_up(&mut out, v, today, why);
    if !v.otherwise.tools.is_empty() || !v.otherwise.words.is_empty() {
        let _ = writeln!(out, "\nIf the {} cannot go back today", v.restoration());
        if !v.otherwise.tools.is_empty() {
            out.push_str(&tool_rows(&v.otherwise.tools, today));
        }
        for line in &v.otherwise.words {
            let _ = writeln!(out, "  - {}", visible(line));
        }
    }
    section(&mut out, "To the laboratory with it", &v.otherwise.to_laboratory);
    for missing in &v.tray.missing {
        not_in_house(&mut out, missing, today, why);
    }
    section(&mut out, &format!("The rest of the {}", v.restoration()), &v.otherwise.rest_of_bridge);
    section(&mut out, "After", &v.after.steps);
    section(&mut out, "Cautions", &v.after.cautions);
    out
}

fn not_in_house(out: &mut String, missing: &Missing, today: Date, why: bool) {
    let (what, sites) = (missing.position.words(), teeth(&missing.sites));
    let _ = match &missing.fitted.made {
        Some(made) => writeln!(
            out,
            "\nNot in the house: {what} for {sites}. {} was made for this patient by {}, job {}; the laboratory makes it again. Nearest substitutes:",
            missing.fitted.code, made.laboratory, made.job
        ),
        None => writeln!(
            out,
            "\nNot in the house: {what} for {sites}. To order: {} of {}. Nearest substitutes:",
            pieces(missing.sites.len() as i64),
            missing.fitted.code
        ),
    };
    for c in &missing.nearest {
        candidate(out, c, today, Detail { whole: false, why });
    }
    if missing.nearest.is_empty() {
        let _ = writeln!(out, "  none");
    }
}

/// Who, where, what is reported; the visit on record; and where nobody has looked, what it may be.
fn head(out: &mut String, v: &Visit) {
    let made_up = if v.mouth.made_up { MADE_UP } else { "" };
    let left = match v.asked.left {
        Left::NotKnown => "not known what is left behind".to_owned(),
        left => format!("left behind: {}", left.word().replace('-', " ")),
    };
    let stands = match v.mouth.stands_on {
        _ if v.mouth.bridge_not_on_record => "restoration not on record".to_owned(),
        StandsOn::Nothing => "no restoration on record".to_owned(),
        _ => format!("{} {}", v.restoration(), v.mouth.span),
    };
    let _ = writeln!(
        out,
        "\nCase {}, {} ({}), {stands}: {}; {left}.{made_up}",
        v.mouth.case,
        v.asked.site,
        v.asked.site.words(),
        v.call.report,
    );
    if let Some(open) = &v.mouth.open {
        let since = format!("since {} (entry {})", show_date(open.on), open.entry);
        let booked =
            open.booked.map_or(String::new(), |entry| format!("; its tray is booked, entry {entry}"));
        let _ = if (open.site, open.broken) == (v.asked.site, v.asked.broken) {
            writeln!(out, "Visit on record {since}{booked}.")
        } else {
            let (site, report) = (open.site, open.broken.report());
            writeln!(
                out,
                "Another visit is open {since}: {site}, {report}{booked}. This answer is to another question."
            )
        };
    }
    if !v.head.causes.is_empty() {
        let _ = writeln!(out, "\nLikely, in this order; what tells them apart ({})", sources(v));
        for cause in &v.head.causes {
            let on_tray = if cause.covered { "" } else { " (not covered by this tray)" };
            let _ = writeln!(out, "  - {}: {}{on_tray}.", cause.report, cause.tells);
        }
        let words: Vec<&str> = v.head.causes.iter().map(|c| c.broken.word()).collect();
        let _ = writeln!(
            out,
            "  As soon as it is known ask again, with --broken and one of: {}",
            words.join(", ")
        );
    }
}

/// Where the order of causes comes from, each source once.
fn sources(v: &Visit) -> String {
    let mut all: Vec<&str> = v.head.causes.iter().map(|c| c.source.as_str()).collect();
    all.dedup();
    all.join("; ")
}

fn possible(out: &mut String, v: &Visit) {
    if v.tray.possible.is_empty() {
        return;
    }
    let _ = writeln!(out, "\nIn the house, and it might be one of these: measure before anything is taken");
    let rows = v.tray.possible.iter().map(|p| {
        vec![
            p.part.kind.short().to_owned(),
            p.part.code.to_string(),
            p.pick.place.to_string(),
            p.part.description.to_string(),
        ]
    });
    out.push_str(&table(&["what", "part", "place", "description"], rows));
    if v.tray.possible_more > 0 {
        let _ = writeln!(out, "  and {} more: 'spareseat stock'", v.tray.possible_more);
    }
}

fn step_up(out: &mut String, v: &Visit, today: Date, why: bool) {
    if v.step_up.words.is_empty() {
        return;
    }
    section(out, v.step_up_title(), &v.step_up.words);
    if v.step_up.rows.is_empty() && !v.step_up.needs.is_empty() {
        let _ = writeln!(out, "  Nothing for that position lies in the house.");
    } else if !v.step_up.rows.is_empty() {
        out.push_str(&tray_rows(&v.step_up.rows, today));
        details(out, &v.step_up.rows, why);
    }
    if !v.step_up.tools.is_empty() {
        out.push_str(&tool_rows(&v.step_up.tools, today));
    }
}
