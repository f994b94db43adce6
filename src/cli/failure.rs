//! Failures at the rim: exit code, sentence, and what to do.

use std::fmt;
use std::io;

use crate::desk::lookup::NotFound;
use crate::desk::{ClockError, DeskError, ExitClass, HomeError, NotComplete, Refusal, Refused, of_record};
use crate::logbook::LogbookError;
use crate::record::RecordError;

/// The answer is no, or the facts refuse.
pub const NO: u8 = 1;
/// What was typed is wrong.
pub const TYPED: u8 = 2;
/// The record is unavailable or damaged.
pub const RECORD: u8 = 3;
/// Ours.
pub const BUG: u8 = 70;

/// What to do about a damaged record.
pub const DECIDE: &str = "what to do: keep a copy of the whole home as it is; compare the sum of the last entry with the one on paper; restore logbook.jsonl from a backup, or, once a person has decided that the logbook in place is the right one, 'spareseat logbook accept --because REASON'";

const BUG_HINT: &str = "this is a fault of the program, not yours: please report it";

/// A command that did not go through.
#[derive(Debug)]
pub struct Failure {
    code: u8,
    text: String,
    hint: Option<&'static str>,
    broken_pipe: bool,
}

impl Failure {
    fn new(code: u8, text: impl ToString) -> Self {
        Self { code, text: text.to_string(), hint: None, broken_pipe: false }
    }

    /// With the exit code of its class, and the sentence that goes with every fault of ours.
    fn of(class: ExitClass, text: impl ToString) -> Self {
        match class {
            ExitClass::Typed => Self::new(TYPED, text),
            ExitClass::Facts => Self::new(NO, text),
            ExitClass::Record => Self::new(RECORD, text),
            ExitClass::Bug => Self { hint: Some(BUG_HINT), ..Self::new(BUG, text) },
        }
    }

    /// What was typed is wrong.
    pub fn typed(text: impl ToString) -> Self {
        Self::new(TYPED, text)
    }

    /// Our own fault.
    pub fn bug(text: impl ToString) -> Self {
        Self::of(ExitClass::Bug, text)
    }

    /// A list that is not complete, where half a one must not be given.
    pub fn not_complete(short: &NotComplete) -> Self {
        let text = format!("{short}, so no bundle is made of it: {}", short.why);
        Self { hint: Some(DECIDE), ..Self::new(RECORD, text) }
    }

    /// The same failure, met when the booking already stood.
    pub fn after_booking(self, entry: u64) -> Self {
        Self {
            text: format!(
                "entry {entry} WAS booked, do not book it again; only the answer failed: {}",
                self.text
            ),
            ..self
        }
    }

    /// The exit code.
    pub fn code(&self) -> u8 {
        self.code
    }

    /// Whether only the reader of our output went away.
    pub fn is_broken_pipe(&self) -> bool {
        self.broken_pipe
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "spareseat: {}", self.text)?;
        self.hint.map_or(Ok(()), |hint| write!(f, "\n{hint}"))
    }
}

impl From<io::Error> for Failure {
    fn from(e: io::Error) -> Self {
        let broken_pipe = e.kind() == io::ErrorKind::BrokenPipe;
        Self { broken_pipe, ..Self::new(RECORD, format!("could not write the answer: {e}")) }
    }
}

impl From<RecordError> for Failure {
    fn from(e: RecordError) -> Self {
        let hint = match &e {
            RecordError::Logbook(LogbookError::Locked { .. }) => Some(
                "nothing was booked or judged; what to do: wait for the other program, or end it if it hangs; then try again",
            ),
            RecordError::Logbook(LogbookError::NotWritten { .. }) => {
                Some("what to do: make room on the disk or mend its rights, then book again")
            }
            RecordError::Logbook(
                LogbookError::Damaged { .. }
                | LogbookError::Lost { .. }
                | LogbookError::Other { .. }
                | LogbookError::Edition { .. },
            ) => Some(DECIDE),
            _ => None,
        };
        Self { hint, ..Self::of(of_record(&e), e) }
    }
}

impl From<HomeError> for Failure {
    fn from(e: HomeError) -> Self {
        match e {
            HomeError::Record(e) => e.into(),
            other => Self::of(other.class(), other),
        }
    }
}

impl From<ClockError> for Failure {
    fn from(e: ClockError) -> Self {
        Self::new(RECORD, e)
    }
}

impl From<NotFound> for Failure {
    fn from(e: NotFound) -> Self {
        Self::of(e.class(), e)
    }
}

impl<E: Refusal> From<E> for Failure {
    fn from(e: E) -> Self {
        let remedy = e.remedy();
        let failure = Self::of(e.class(), e);
        if remedy.is_some() { Self { hint: remedy, ..failure } } else { failure }
    }
}

impl<E: Refusal> From<Refused<E>> for Failure {
    fn from(e: Refused<E>) -> Self {
        match e {
            Refused::View(e) => Self::of(ExitClass::Record, e),
            Refused::Record(e) => e.into(),
            Refused::Act(e) => e.into(),
        }
    }
}

impl<E: Refusal> From<DeskError<E>> for Failure {
    fn from(e: DeskError<E>) -> Self {
        match e {
            DeskError::Refused(e) => e.into(),
            DeskError::Record(e) => e.into(),
            DeskError::Clock(e) => e.into(),
            DeskError::ReadOnly(why) => Self {
                hint: Some(DECIDE),
                ..Self::new(RECORD, format!("the record is read-only, nothing was booked: {why}"))
            },
            DeskError::NoInitials => Self::typed("say who books: --as INITIALS"),
            DeskError::Initials(e) => Self::typed(e),
            DeskError::AsOf => Self::typed("--as-of shows an earlier state: nothing can be booked there"),
        }
    }
}
