//! Counter: takes back an entry that was booked by mistake, by a new entry and never by an erasure.
//!
//! What the entry says and what stood there before it are read from the logbook first; the decision then rests on
//! these and on the view, and is made again when something came meanwhile.

mod stays;
mod target;

use std::collections::BTreeMap;

use jiff::civil::Date;
use thiserror::Error;

use crate::desk::lookup::{self, NotFound};
use crate::desk::{Desk, DeskError, ExitClass, HomeError, Refusal, Refused};
use crate::logbook::Head;
use crate::record::{Booked, Countered, Entry, MovedBack, View, movements};
use crate::stock::Where;
use crate::units::{Act, CaseNumber, Initials, Lot, Note, PartCode, Tooth, show_date};
use stays::stays;
use target::{Target, before, fitted_at};

/// Which entry is taken back.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Counter {
    pub entry: u64,
    pub because: Option<Note>,
    /// The parts were in a mouth: they are thrown away instead of lying in a drawer again.
    pub was_in_mouth: bool,
}

/// Why it was not taken back.
#[derive(Debug, Error)]
pub enum CounterError {
    /// Nothing of that number.
    #[error("there is no entry {entry}: the record ends at entry {last}. See 'spareseat logbook show'")]
    NoSuchEntry {
        /// What was asked.
        entry: u64,
        /// What there is.
        last: u64,
    },
    /// Another day, or somebody else's.
    #[error(
        "entry {entry} was booked by {by} on {}: an entry is taken back only on its own day and by whoever booked it; today is {}, you are {you}. Book what puts it right as an act of its own; nothing was booked",
        show_date(*.on), show_date(*.today)
    )]
    NotYours {
        /// Which entry.
        entry: u64,
        /// Who booked it.
        by: String,
        /// For which day.
        on: Date,
        /// Which day it is.
        today: Date,
        /// Who asks.
        you: Initials,
    },
    /// A kind that is put right in another way.
    #[error("entry {entry} {why}. Nothing was booked")]
    Stays {
        /// Which entry.
        entry: u64,
        /// What it is, and what to do instead.
        why: String,
    },
    /// Twice.
    #[error("entry {entry} was taken back already, by entry {counter}: nothing was booked")]
    Already {
        /// Which entry.
        entry: u64,
        /// The one that took it back.
        counter: u64,
    },
    /// The units are not where it put them.
    #[error(
        "entry {entry} cannot be taken back: {} of part {}, lot {}, would leave {}, {here} there. Of this lot elsewhere: {elsewhere}. Counter first what took them from there, if that was a mistake too; nothing was booked",
        lookup::pieces(.back.quantity), .back.part, .back.lot, .back.from
    )]
    Gone {
        /// Which entry.
        entry: u64,
        /// What would go back.
        back: Box<MovedBack>,
        /// How many lie there, in words.
        here: String,
        /// Where the others are.
        elsewhere: String,
    },
    /// Something stands on it.
    #[error(
        "entry {entry} cannot be taken back: entry {later} changed {site} of case {case} after it. {what_to_do}; nothing was booked"
    )]
    ChangedSince {
        /// Which entry.
        entry: u64,
        /// The later one.
        later: u64,
        /// Where.
        site: Tooth,
        /// Whose.
        case: CaseNumber,
        /// What can be done about it.
        what_to_do: &'static str,
    },
    /// Nothing that was ever near a mouth.
    #[error("entry {0} put no part into a mouth: leave out --was-in-mouth; nothing was booked")]
    NoMouth(u64),
    /// Another booking came between reading and deciding; read on and decide again.
    #[error("another entry came meanwhile")]
    Meanwhile,
    /// Something named is not on record.
    #[error(transparent)]
    NotFound(#[from] NotFound),
    /// The state before the entry.
    #[error(transparent)]
    Home(#[from] HomeError),
}

impl Refusal for CounterError {
    fn class(&self) -> ExitClass {
        match self {
            Self::NotFound(e) => e.class(),
            Self::Home(e) => e.class(),
            Self::NoSuchEntry { .. } | Self::NoMouth(_) => ExitClass::Typed,
            Self::NotYours { .. }
            | Self::Stays { .. }
            | Self::Already { .. }
            | Self::Gone { .. }
            | Self::ChangedSince { .. }
            | Self::Meanwhile => ExitClass::Facts,
        }
    }
}

/// Takes an entry back; `earlier` opens the record as it was after an entry.
///
/// Gives the booking, and what was booked unless the same act had booked it before.
pub fn counter(
    desk: &mut Desk,
    by: Option<&Initials>,
    act: Act,
    ask: &Counter,
    earlier: impl Fn(u64) -> Result<Desk, HomeError>,
) -> Result<(Booked, Option<Countered>), DeskError<CounterError>> {
    let start = Head::start(desk.view().head().head.id);
    let mut target = Target::read(desk.record().logbook(), ask.entry, start)?;
    if let Some((case, all)) = target.changed_sites() {
        target.before = before(case, &all, ask.entry - 1, earlier)?;
    }
    let today = desk.today();
    let mut booked_as = None;
    loop {
        let booked = desk.book(by, act, |view| {
            let entry = decide(view, ask, &target, by, today)?;
            booked_as = Some(entry.clone());
            Ok(Entry::Countered(entry))
        });
        match booked {
            Err(DeskError::Refused(CounterError::Meanwhile)) => target.read_on(desk.record().logbook())?,
            other => return other.map(|booked| (booked, booked_as)),
        }
    }
}

/// The entry that takes another one back.
fn decide(
    view: &View,
    ask: &Counter,
    target: &Target,
    by: Option<&Initials>,
    today: Date,
) -> Result<Countered, Refused<CounterError>> {
    let last = view.head().head.seq;
    if target.read.seq != last {
        return Err(CounterError::Meanwhile.into());
    }
    let number = ask.entry;
    let Some((entry, on, who)) = &target.line else {
        return Err(CounterError::NoSuchEntry { entry: number, last }.into());
    };
    if let Some(why) = stays(entry) {
        return Err(CounterError::Stays { entry: number, why }.into());
    }
    if let Some(counter) = target.counter {
        return Err(CounterError::Already { entry: number, counter }.into());
    }
    if let Some(you) = by.filter(|you| *on != today || who != you.as_str()) {
        let (by, on, you) = (who.clone(), *on, you.clone());
        return Err(CounterError::NotYours { entry: number, by, on, today, you }.into());
    }
    let fitted_at = fitted_at(entry);
    if ask.was_in_mouth && fitted_at.is_empty() {
        return Err(CounterError::NoMouth(number).into());
    }
    if let (Some((later, site, what_to_do)), Some(case)) = (target.later.first(), entry.case()) {
        let (later, site, case) = (*later, *site, case.clone());
        return Err(CounterError::ChangedSince { entry: number, later, site, case, what_to_do }.into());
    }
    let moved_back = moved_back(entry, ask.was_in_mouth);
    check_stock(view, number, &moved_back)?;
    Ok(Countered {
        entry: number,
        on: *on,
        case: entry.case().cloned(),
        moved_back,
        restored: target.before.clone(),
        fitted_at,
        because: ask.because.clone(),
    })
}

/// What must be heard about units that lie in a drawer again by the record.
pub fn remark(done: &Countered, was_in_mouth: bool) -> Option<String> {
    if done.case.is_none() || was_in_mouth {
        return None;
    }
    let mut text = String::new();
    if !done.fitted_at.is_empty() {
        text.push_str(
            "By the record these parts never left their drawers. One that was in a mouth must not go back: then book \
             the use anew and counter it with --was-in-mouth.",
        );
    }
    let spoiled = |m: &MovedBack| m.to.house().is_some() && m.from != Where::Cases;
    if done.moved_back.iter().any(spoiled) {
        let space = if text.is_empty() { "" } else { " " };
        text.push_str(space);
        text.push_str("One that was opened or dropped must not lie in a drawer either: then book that anew.");
    }
    Some(text)
}

/// Every movement the other way, the last one first, so that no drawer is empty before it is filled.
///
/// What was in a mouth does not come back: it is thrown away, and what lay beside it opened or dropped stays where it
/// went. Found units were there, so their correction stands. The part that stood there before does go back in.
fn moved_back(entry: &Entry, was_in_mouth: bool) -> Vec<MovedBack> {
    let mut all = Vec::new();
    let _: Result<(), std::convert::Infallible> = movements(entry, |m| {
        let (from, to) = (m.to.place(), m.from.place());
        let to = match (&from, &to) {
            _ if !was_in_mouth => Some(to),
            (Where::Cases, Where::House(_)) => Some(Where::Waste),
            (Where::Waste | Where::KeptPieces, Where::Cases) => Some(Where::Cases),
            _ => None,
        };
        let (part, lot, quantity) = (m.part.clone(), m.lot.clone(), m.quantity);
        all.extend(to.map(|to| MovedBack { part, lot, quantity, from, to }));
        Ok(())
    });
    all.reverse();
    all
}

/// Refuses to take from a drawer what does not lie there.
fn check_stock(view: &View, entry: u64, back: &[MovedBack]) -> Result<(), Refused<CounterError>> {
    let mut held: BTreeMap<(&PartCode, &Lot, &Where), i64> = BTreeMap::new();
    for m in back {
        let lines = view.stock_of(&m.part)?;
        let of_lot = || lines.iter().filter(|l| l.lot == m.lot);
        let on_record = |place: &Where| of_lot().find(|l| l.place == *place).map_or(0, |l| l.quantity);
        *held.entry((&m.part, &m.lot, &m.to)).or_insert_with(|| on_record(&m.to)) += i64::from(m.quantity);
        let here = held.entry((&m.part, &m.lot, &m.from)).or_insert_with(|| on_record(&m.from));
        let there = *here;
        *here -= i64::from(m.quantity);
        if m.from.is_under_roof() && *here < 0 {
            let others = of_lot().filter(|l| l.quantity > 0 && l.place != m.from);
            let elsewhere =
                lookup::list(others.map(|l| format!("{} ({})", l.place, lookup::pieces(l.quantity))));
            let here = match there {
                1 => "1 piece lies".to_owned(),
                0 => "none lies".to_owned(),
                n => format!("{n} pieces lie"),
            };
            return Err(CounterError::Gone { entry, back: Box::new(m.clone()), here, elsewhere }.into());
        }
    }
    Ok(())
}
