//! The answer to a call.

use std::fmt::Write as _;

use jiff::civil::Date;

use super::super::table::table;
use super::swap::{Detail, candidate};
use super::{finding, fitted_rows, pieces, section, worth_reading};
use crate::case::Fitted;
use crate::catalog::Part;
use crate::desk::visit::{TrayRow, Use, Visit, teeth, usable_on};
use crate::matching::{Finding, Verdict};
use crate::units::visible;

fn tray_rows(rows: &[TrayRow], today: Date) -> String {
    let shown = rows.iter().map(|r| {
        let take = match r.usage {
            Use::Take => format!("take {} ({} here)", r.quantity, r.pick.here),
            Use::Instead => format!("or instead ({} here)", r.pick.here),
            Use::Leave => format!("LEAVE ({} here)", r.pick.here),
        };
        vec![
            take,
            r.part.code.to_string(),
            format!("lot {}", r.pick.lot),
            r.pick.place.to_string(),
            r.judgement.verdict.to_string(),
            usable_on(r.pick.expiry, today),
        ]
    });
    table(&["do", "part", "lot", "place", "verdict", "usable"], shown)
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
        let torque = if row.usage == Use::Leave { String::new() } else { format!("; {}", row.torque()) };
        let _ = writeln!(
            out,
            "  {} = {}{torque}; {}",
            row.part.code,
            row.part.description,
            row.part.sterile.words()
        );
    }
    let mut done: Vec<&Part> = Vec::new();
    for row in rows.iter().filter(|r| r.judgement.verdict != Verdict::SamePart) {
        if !done.contains(&&row.part) {
            done.push(&row.part);
            findings(out, &row.part, row.judgement.verdict, &row.judgement.findings, why);
        }
    }
}

/// The answer to a call.
pub fn visit(v: &Visit, today: Date, why: bool) -> String {
    let mut out = String::new();
    for line in &v.answer {
        let _ = writeln!(out, "{}", visible(line));
    }
    let made_up = if v.made_up { " MADE UP: no real patient, no real part." } else { "" };
    let what = if v.site.iso().to_string() == v.span {
        format!("crown {}", v.span)
    } else {
        format!("bridge {}", v.span)
    };
    let _ = writeln!(
        out,
        "\nCase {}, {} ({}), {what}: {}; left behind: {}.{made_up}",
        v.case,
        v.site,
        v.site.words(),
        v.broken.report(),
        v.left.word().replace('-', " ")
    );
    section(&mut out, "Before the first turn", &v.before);
    let _ = writeln!(out, "\nFitted at {} ({})", v.site, v.site.words());
    let fitted: Vec<Fitted> = v.fitted.iter().map(|r| r.fitted.clone()).collect();
    out.push_str(&fitted_rows(&fitted));
    if !v.undo.is_empty() {
        let _ = writeln!(out, "\nUndo");
        for row in &v.undo {
            let driver =
                if row.driver.is_empty() { String::new() } else { format!("; {}", visible(&row.driver)) };
            let _ = writeln!(out, "  - {}: {}{driver}", teeth(&row.sites), row.what);
        }
    }
    section(&mut out, "The fragment", &v.fragment);
    if !v.tray.is_empty() {
        let _ = writeln!(out, "\nPut back");
        out.push_str(&tray_rows(&v.tray, today));
        details(&mut out, &v.tray, why);
    }
    section(&mut out, "Stop rule", std::slice::from_ref(&v.stop_rule));
    if !v.if_fragment_stays_words.is_empty() {
        section(&mut out, "If the fragment stays", &v.if_fragment_stays_words);
        if v.if_fragment_stays.is_empty() {
            let _ = writeln!(out, "  Nothing for that position lies in the house.");
        } else {
            out.push_str(&tray_rows(&v.if_fragment_stays, today));
            details(&mut out, &v.if_fragment_stays, why);
        }
    }
    for missing in &v.missing {
        let _ = writeln!(
            out,
            "\nNot in the house: {} for {}. To order: {} of {}. Nearest substitutes:",
            missing.position.words(),
            teeth(&missing.sites),
            pieces(missing.sites.len() as i64),
            missing.fitted.code
        );
        for c in &missing.nearest {
            candidate(&mut out, c, today, Detail { whole: false, why });
        }
        if missing.nearest.is_empty() {
            let _ = writeln!(out, "  none");
        }
    }
    section(&mut out, "The rest of the bridge", &v.rest_of_bridge);
    section(&mut out, "After", &v.after);
    section(&mut out, "Cautions", &v.cautions);
    out
}
