//! The desk: a home opened for work. A look-up asks the view; an act reads it, decides purely and writes one entry.
//!
//! The rooms above say what is asked and decided. The desk sees no clock: [`Today`] and the operator's initials are arguments.

mod class;
mod home;
pub mod lookup;
mod paper;
pub mod reading;
mod refusal;

use jiff::Timestamp;
use jiff::civil::Date;
use thiserror::Error;

pub use class::{ExitClass, Refusal, of_record};
pub use home::{Home, HomeError, open_home, open_home_after, open_home_as_of};
pub use paper::{PaperError, write_whole};
pub use reading::NotComplete;
pub use refusal::Refused;

use crate::logbook::Logbook;
use crate::record::{BookError, Booked, Entry, Notice, Record, RecordError, Stamp, Trouble, View};
use crate::units::{Act, IdError, Initials, show_date};

/// The caution on every answer that could lead to a part in a mouth.
pub const CAUTION: &str =
    "Decision support. A licensed clinician decides; the maker's instructions and local rules come first.";

/// The clock and the calendar, as given from outside.
#[derive(Debug, Clone, Copy)]
pub struct Today {
    /// The clock.
    pub now: Timestamp,
    /// The day that counts.
    pub date: Date,
    /// The day was said by the person, so the clock does not matter.
    pub said: bool,
}

/// The clock is behind the record, so no date can be judged.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("the clock says {}, the last entry was made on {}: set the clock or say --on DATE; nothing was judged or booked", show_date(*.clock), show_date(*.last))]
pub struct ClockError {
    clock: Date,
    last: Date,
}

/// Why nothing was booked, around what an act itself refuses.
#[derive(Debug, Error)]
pub enum DeskError<E> {
    /// The act refuses.
    #[error(transparent)]
    Refused(E),
    /// The record.
    #[error(transparent)]
    Record(#[from] RecordError),
    /// The record is read-only.
    #[error("the record is read-only, nothing was booked: {0}")]
    ReadOnly(String),
    /// The clock.
    #[error(transparent)]
    Clock(#[from] ClockError),
    /// Nobody said who books.
    #[error("say who books: --as INITIALS")]
    NoInitials,
    /// Not initials.
    #[error(transparent)]
    Initials(#[from] IdError),
    /// Looking at the past.
    #[error("--as-of shows an earlier state: nothing can be booked there")]
    AsOf,
}

impl<E> From<Refused<E>> for DeskError<E> {
    fn from(e: Refused<E>) -> Self {
        match e {
            Refused::View(e) => Self::Record(e.into()),
            Refused::Record(e) => Self::Record(e),
            Refused::Act(e) => Self::Refused(e),
        }
    }
}

/// A home opened for work.
pub struct Desk {
    record: Record,
    today: Today,
    as_of: bool,
}

impl Desk {
    /// A desk over a record.
    pub fn new(record: Record, today: Today) -> Self {
        Self { record, today, as_of: false }
    }

    /// A desk over an earlier state.
    pub fn as_of(record: Record, today: Today) -> Self {
        Self { record, today, as_of: true }
    }

    /// The day that counts.
    pub fn today(&self) -> Date {
        self.today.date
    }

    /// The view.
    pub fn view(&self) -> &View {
        self.record.view()
    }

    /// The view, and the logbook it is folded from.
    pub fn view_and_logbook(&self) -> (&View, &dyn Logbook) {
        (self.record.view(), self.record.logbook())
    }

    /// The record below.
    pub fn record(&mut self) -> &mut Record {
        &mut self.record
    }

    /// Up to which entry answers are.
    pub fn entry(&self) -> u64 {
        self.record.view().head().head.seq
    }

    /// What the person should know beside the answer.
    pub fn notices(&mut self) -> Vec<Notice> {
        self.record.take_notices()
    }

    /// Why the record is read-only, if it is.
    pub fn trouble(&self) -> Option<&Trouble> {
        self.record.trouble()
    }

    /// Refuses to judge dates by a clock that is behind the record.
    pub fn check_clock(&self) -> Result<(), ClockError> {
        let last = self.view().head().last_at;
        if self.today.said || self.as_of || self.today.now.as_second() >= last - 86_400 {
            return Ok(());
        }
        let day = |second: i64| {
            Timestamp::from_second(second)
                .map_or(self.today.date, |t| jiff::tz::TimeZone::UTC.to_datetime(t).date())
        };
        Err(ClockError { clock: day(self.today.now.as_second()), last: day(last) })
    }

    /// Asks the view; a view that fails is made anew once.
    pub fn ask<T, E>(&mut self, ask: impl Fn(&View) -> Result<T, Refused<E>>) -> Result<T, Refused<E>> {
        self.record.ask(ask, Refused::is_view)
    }

    /// Books what `decide` makes of the view.
    pub fn book<E>(
        &mut self,
        by: Option<&Initials>,
        act: Act,
        decide: impl FnMut(&View) -> Result<Entry, Refused<E>>,
    ) -> Result<Booked, DeskError<E>> {
        if self.as_of {
            return Err(DeskError::AsOf);
        }
        let by = by.cloned().ok_or(DeskError::NoInitials)?;
        if self.trouble().is_none() {
            self.check_clock()?;
        }
        let stamp = Stamp { at: self.today.now, on: self.today.date, by, act };
        self.record.book(&stamp, decide, Refused::is_view).map_err(|e| match e {
            BookError::Refused(e) => e.into(),
            BookError::Logbook(e) => DeskError::Record(e.into()),
            BookError::View(e) => DeskError::Record(e.into()),
            BookError::ReadOnly(why) => DeskError::ReadOnly(why),
        })
    }
}
