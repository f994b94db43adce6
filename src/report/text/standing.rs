//! How cases stand: closed, with a visit that has not ended, with a check set; and what waits for somebody.

use std::fmt::Write as _;

use jiff::civil::Date;

use super::super::table::table;
use super::counted;
use crate::cases::standing::{Check, Due};
use crate::record::{CaseState, OpenVisit, PieceRow};
use crate::units::{show_date, visible};

/// How a case stands, a line each; nothing where nothing is to be said.
pub fn state(s: &CaseState) -> String {
    let mut out = String::new();
    if let Some((since, why)) = &s.closed {
        let _ = writeln!(out, "CLOSED since {}: {why}", show_date(*since));
    }
    if let Some(visit) = &s.visit {
        let _ = writeln!(out, "A {}", open_visit(visit));
    }
    if let Some((due, why)) = &s.check {
        let _ = writeln!(out, "Next check on {}: {why}", show_date(*due));
    }
    out
}

fn open_visit(v: &OpenVisit) -> String {
    let booked =
        v.booked.map_or("no tray booked yet".to_owned(), |entry| format!("tray booked by entry {entry}"));
    format!(
        "visit at {} ({}), begun on {} (entry {}), has not ended; {}; {booked}",
        v.site,
        v.site.words(),
        show_date(v.on),
        v.entry,
        v.broken.report(),
    )
}

/// A piece that was kept, in a line.
pub fn kept(p: &PieceRow) -> String {
    let r = &p.removed;
    let lot = r.lot.as_ref().map_or("lot not recorded".to_owned(), |l| format!("lot {l}"));
    let since = r.since.map_or("fitted when not recorded".to_owned(), |d| format!("fitted {}", show_date(d)));
    let broken = if r.broken { "; it is the one that gave way" } else { "" };
    format!(
        "{}, {}: {}, {lot}, {since}, removed {} (entry {}){broken}",
        r.site,
        r.position.words(),
        r.part,
        show_date(p.on),
        p.entry
    )
}

/// When a check falls due, seen from today.
fn when(check: &Check, today: Date) -> String {
    let days = |n: i32| counted(n.unsigned_abs() as usize, "day", "days");
    match check.days_left(today) {
        0 => "today".to_owned(),
        n if n < 0 => format!("overdue by {}", days(n)),
        n => format!("in {}", days(n)),
    }
}

/// What waits for somebody.
pub fn due(d: &Due, within: Option<i32>, today: Date) -> String {
    let overdue = d.checks.iter().filter(|c| c.days_left(today) < 0).count();
    let until = within.map_or("set".to_owned(), |n| match n {
        0 => "due by today".to_owned(),
        n => format!("due within {}", counted(n.unsigned_abs() as usize, "day", "days")),
    });
    let mut out = match d.checks.len() {
        0 => format!("No check {until}"),
        n => format!("{} {until}", counted(n, "check", "checks")),
    };
    if overdue > 0 {
        let _ = write!(out, ", {overdue} of these OVERDUE");
    }
    let _ = match d.visits.len() {
        0 => writeln!(out, "; no visit open."),
        n => writeln!(out, "; {} not ended.", counted(n, "visit", "visits")),
    };
    if !d.checks.is_empty() {
        let rows = d
            .checks
            .iter()
            .map(|c| vec![format!("case {}", c.case), show_date(c.due), when(c, today), c.why.to_string()]);
        let _ = write!(out, "\n{}", table(&["case", "check on", "when", "what for"], rows));
    }
    if !d.visits.is_empty() {
        let _ = writeln!(out, "\nVisits that have not ended");
        for (case, visit) in &d.visits {
            let _ = writeln!(out, "  - case {case}: {}", visible(&open_visit(visit)));
        }
    }
    if d.closed > 0 {
        let cases = counted(d.closed, "closed case with a check set is", "closed cases with a check set are");
        let _ = writeln!(out, "\n{cases} not listed.");
    }
    out
}
