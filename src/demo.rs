//! The made-up practice: five cases, its drawers, and a patient who has just walked in.
//!
//! Everything in it is invented. Dates are laid relative to the day it is made.

use jiff::civil::Date;
use jiff::{Timestamp, ToSpan as _};
use thiserror::Error;

use crate::case::{Broken, TorqueRecord};
use crate::cases::entering;
use crate::catalog::shipped;
use crate::chair::visit::{Visit, VisitQuestion};
use crate::desk::{Desk, DeskError, ExitClass, Home, HomeError, Refusal, Refused, Today, open_home};
use crate::fitting::laying::{self, LayingError, Line, Told};
use crate::fitting::visiting::{self, VisitingError, WalkIn};
use crate::maintenance::parts;
use crate::record::Outcome;
use crate::shelf::receiving::{self, Receive, ReceiveError};
use crate::units::{Act, CaseNumber, Expiry, Initials, Lot, Note, PartCode, PlaceId, PracticeName, Tooth};

/// The cases, file name and text; `{…}` in them is a day before today.
const CASES: [(&str, &str); 5] = [
    ("demo/cases/1047.toml", include_str!("../demo/cases/1047.toml")),
    ("demo/cases/2210.toml", include_str!("../demo/cases/2210.toml")),
    ("demo/cases/3306.toml", include_str!("../demo/cases/3306.toml")),
    ("demo/cases/4051.toml", include_str!("../demo/cases/4051.toml")),
    ("demo/cases/6188.toml", include_str!("../demo/cases/6188.toml")),
];
/// The deliveries: part, lot, quantity, place, expiry.
const STOCK: &str = include_str!("../demo/stock.txt");

/// Why the demo was not laid down.
#[derive(Debug, Error)]
pub enum DemoError {
    /// The home.
    #[error(transparent)]
    Home(#[from] HomeError),
    /// A real practice's home.
    #[error(
        "{0} is the home of a practice that is not made up: the demo never writes there. Choose another --home"
    )]
    RealHome(String),
    /// The old demo could not be cleared.
    #[error("could not clear the old demo in {home}: {why}")]
    NotCleared {
        /// Which folder.
        home: String,
        /// What the system said.
        why: std::io::Error,
    },
    /// The system gave no random numbers for an act.
    #[error("{0}")]
    NoAct(String),
    /// A mistake in the demo's own files: ours.
    #[error("the demo's own data is wrong ({what}): {why}")]
    Data {
        /// Which file.
        what: String,
        /// What is wrong.
        why: String,
    },
}

impl Refusal for DemoError {
    fn class(&self) -> ExitClass {
        match self {
            Self::Home(e) => e.class(),
            Self::RealHome(_) => ExitClass::Typed,
            Self::NotCleared { .. } => ExitClass::Record,
            Self::NoAct(_) | Self::Data { .. } => ExitClass::Bug,
        }
    }
}

fn data(what: &str, why: impl ToString) -> DemoError {
    DemoError::Data { what: what.to_owned(), why: why.to_string() }
}

/// Puts days relative to today for `{today}`, `{-5 days}`, `{+14 months}`, `{month +9 months}`.
pub fn lay_dates(text: &str, today: Date) -> Result<String, DemoError> {
    let mut out = String::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once('{') {
        let Some((inside, after)) = after.split_once('}') else { break };
        out.push_str(before);
        match one_date(inside, today) {
            Some(date) => out.push_str(&date),
            // An inline table of TOML.
            None => out.push_str(&format!("{{{inside}}}")),
        }
        rest = after;
    }
    out.push_str(rest);
    Ok(out)
}

fn one_date(inside: &str, today: Date) -> Option<String> {
    if inside == "today" {
        return Some(today.to_string());
    }
    let (month_only, span) = inside.strip_prefix("month ").map_or((false, inside), |s| (true, s));
    let (count, unit) = span.split_once(' ')?;
    let count: i64 = count.parse().ok()?;
    let date = match unit {
        "days" => today.checked_add(count.days()).ok()?,
        "months" => today.checked_add(count.months()).ok()?,
        _ => return None,
    };
    let text = date.to_string();
    Some(if month_only { text[..7].to_owned() } else { text })
}

fn clear(home: &Home, today: Today) -> Result<(), Refused<DemoError>> {
    if !home.has_logbook() {
        return Ok(());
    }
    let made_up = {
        let mut desk = open_home(home, today)?;
        desk.notices();
        desk.view().head().made_up
    };
    if !made_up {
        return Err(DemoError::RealHome(home.shown()).into());
    }
    let not_cleared = |why| DemoError::NotCleared { home: home.shown(), why };
    // The view first: a home cut off here has lost nothing it could miss.
    let mut views = Vec::new();
    for entry in std::fs::read_dir(home.root()).map_err(not_cleared)? {
        let name = entry.map_err(not_cleared)?.file_name().to_string_lossy().into_owned();
        // One of another format too: an older program may have left it there.
        if name.starts_with("view-") && (name.ends_with("-desk") || name.ends_with("-desk.lock")) {
            views.push(name);
        }
    }
    let (locks, folders): (Vec<String>, Vec<String>) = views.into_iter().partition(|n| n.ends_with(".lock"));
    for name in folders.iter().map(String::as_str).chain(["editions", "cut-off"]) {
        gone(std::fs::remove_dir_all(home.root().join(name))).map_err(not_cleared)?;
    }
    for name in locks.iter().map(String::as_str).chain([crate::logbook::LOGBOOK_FILE]) {
        gone(std::fs::remove_file(home.root().join(name))).map_err(not_cleared)?;
    }
    Ok(())
}

/// What was not there is gone as well.
fn gone(removed: std::io::Result<()>) -> std::io::Result<()> {
    match removed {
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => Ok(()),
        other => other,
    }
}

/// Makes the made-up practice in `home`, which must be missing, empty, or made up already; starts over there.
pub fn lay_down(
    home: &Home,
    today: Today,
    mut act: impl FnMut() -> Result<Act, DemoError>,
) -> Result<Desk, Refused<DemoError>> {
    clear(home, today)?;
    let by = Initials::new("DEMO").map_err(|e| data("initials", e))?;
    let practice = PracticeName::new("Mudflat Practice (made up)").map_err(|e| data("practice", e))?;
    home.make(act()?, true, &practice, &by, today, act()?)?;
    let mut desk = open_home(home, today)?;
    let files: Vec<(String, String)> =
        shipped().iter().map(|(f, t)| ((*f).to_owned(), (*t).to_owned())).collect();
    parts::import(&mut desk, Some(&by), act()?, &files).map_err(|e| data("catalogue", e))?;
    for (file, text) in CASES {
        let text = lay_dates(text, today.date)?;
        desk.book(Some(&by), act()?, |view| entering::import(view, file, &text, false, today.date))
            .map_err(|e| data(file, e))?;
    }
    for (n, line) in lay_dates(STOCK, today.date)?.lines().enumerate() {
        let words: Vec<&str> = line.split_whitespace().collect();
        match words[..] {
            [] => {}
            [first, ..] if first.starts_with('#') => {}
            _ => {
                let ask =
                    stock_line(&words).map_err(|e| data("demo/stock.txt", format!("line {}: {e}", n + 1)))?;
                let booked: Result<_, DeskError<ReceiveError>> =
                    desk.book(Some(&by), act()?, |view| receiving::decide(view, &ask));
                booked.map_err(|e| data("demo/stock.txt", format!("line {}: {e}", n + 1)))?;
            }
        }
    }
    let walk_in = WalkIn {
        case: CaseNumber::new("5120").map_err(|e| data("walk-in", e))?,
        site: Tooth::parse("36").map_err(|e| data("walk-in", e))?,
        broken: Broken::NotKnown,
        left: None,
        note: Note::new("walked in: a crown made elsewhere turns").ok(),
    };
    let booked: Result<_, DeskError<VisitingError>> =
        desk.book(Some(&by), act()?, |view| visiting::walk_in(view, &walk_in));
    booked.map_err(|e| data("walk-in", e))?;
    Ok(desk)
}

/// Plays the visit of `answer` to its end: the shank came out with a probe, so the screws are used and the abutment
/// stays in its drawer. Gives the entries with what they are.
pub fn play(
    desk: &mut Desk,
    question: &VisitQuestion,
    answer: &Visit,
    mut act: impl FnMut() -> Result<Act, DemoError>,
) -> Result<Vec<(u64, &'static str)>, Refused<DemoError>> {
    let today = desk.today();
    let wrong = |e: &dyn ToString| data("visit", e.to_string());
    let by = Initials::new("DEMO").map_err(|e| wrong(&e))?;
    let note = Note::new("bridge loose; the shank came out with a probe").map_err(|e| wrong(&e))?;
    let sits = Note::new("no gap in the one-screw test, from either end").map_err(|e| wrong(&e))?;
    let mut torques = Vec::new();
    for row in &answer.tray.rows {
        let stated = row.part.torque.stated().map_or(TorqueRecord::NotMeasured, TorqueRecord::Measured);
        torques.extend(
            row.sites.iter().map(|site| (Line { site: *site, position: Some(row.position) }, stated)),
        );
    }
    let told = Told { torques, ..Told::default() };
    let case = &question.case;
    let begun = desk
        .book::<VisitingError>(Some(&by), act()?, |v| visiting::begin(v, question, Some(&note), today))
        .map_err(|e| wrong(&e))?;
    let laid = desk
        .book::<LayingError>(Some(&by), act()?, |v| laying::decide(v, case, &told, today))
        .map_err(|e| wrong(&e))?;
    let ended = desk
        .book::<VisitingError>(Some(&by), act()?, |v| visiting::end(v, case, Outcome::BackIn, Some(&sits)))
        .map_err(|e| wrong(&e))?;
    Ok(vec![
        (begun.seq, "visit begun"),
        (
            laid.seq,
            "the tray: three prosthetic screws in, 15 Ncm each; the broken one is kept, the others are discarded",
        ),
        (ended.seq, "visit ended, the restoration is back in"),
    ])
}

fn stock_line(words: &[&str]) -> Result<Receive, String> {
    let [part, lot, quantity, place, expiry] = words else {
        return Err("expected part, lot, quantity, place, expiry".to_owned());
    };
    let text = |e: &dyn ToString| e.to_string();
    Ok(Receive {
        part: PartCode::new(part).map_err(|e| text(&e))?,
        lot: Lot::new(lot).map_err(|e| text(&e))?,
        quantity: quantity.parse().map_err(|e: std::num::ParseIntError| text(&e))?,
        place: PlaceId::new(place).map_err(|e| text(&e))?,
        new_place: true,
        expiry: if *expiry == "-" { None } else { Some(Expiry::parse(expiry).map_err(|e| text(&e))?) },
        label: None,
    })
}

/// The clock a test or a reader may fix: noon, UTC, of a day.
pub fn noon(date: Date) -> Option<Timestamp> {
    jiff::tz::TimeZone::UTC.to_timestamp(date.at(12, 0, 0, 0)).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn dates_are_laid_relative_to_today() {
        let text = "on = \"{-14 months}\" to {+5 days}, {month +9 months}, {today}; { laboratory = \"x\" }";
        assert_eq!(
            lay_dates(text, date(2026, 11, 25)).unwrap(),
            "on = \"2025-09-25\" to 2026-11-30, 2027-08, 2026-11-25; { laboratory = \"x\" }"
        );
    }
}
