//! As what a refusal counts: the exit status, said beside each.

use crate::logbook::LogbookError;
use crate::record::RecordError;

/// What was wrong: the words that were typed, the facts, the record, or the program.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ExitClass {
    /// What was typed is wrong.
    Typed,
    /// The facts refuse.
    Facts,
    /// The record is unavailable or damaged.
    Record,
    /// Our own fault.
    Bug,
}

/// What an act or a look-up itself refuses, apart from a view or a record that fails.
pub trait Refusal: std::error::Error {
    /// As what it counts. Matched without a catch-all, so that a new refusal is not counted in silence.
    fn class(&self) -> ExitClass;

    /// What to do about it, where its own sentence does not say so.
    fn remedy(&self) -> Option<&'static str> {
        None
    }
}

/// As what a record counts that does not answer.
pub fn of_record(e: &RecordError) -> ExitClass {
    match e {
        RecordError::View(_) => ExitClass::Record,
        RecordError::Logbook(e) => match e {
            // What somebody typed does not fit into a line; the logbook is well.
            LogbookError::TooLong { .. } => ExitClass::Typed,
            LogbookError::Damaged { .. }
            | LogbookError::Lost { .. }
            | LogbookError::Other { .. }
            | LogbookError::Newer { .. }
            | LogbookError::Locked { .. }
            | LogbookError::Missing
            | LogbookError::NotWritten { .. }
            | LogbookError::Uncertain { .. }
            | LogbookError::Unreadable { .. }
            | LogbookError::Edition { .. } => ExitClass::Record,
        },
    }
}
