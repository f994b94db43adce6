//! Reading the logbook for a list: how far that went, so that no list is shorter in silence.

use std::fmt;

use crate::logbook::{EachLine, Head, Logbook, LogbookError};
use crate::record::RecordError;

/// A list that was not read to its end.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotComplete {
    /// The last entry that was read.
    pub read_up_to: u64,
    /// The last entry there is, where a view remembers more than was read.
    pub of: Option<u64>,
    /// What is wrong with the logbook.
    pub why: String,
}

impl fmt::Display for NotComplete {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { read_up_to, of, .. } = self;
        match of {
            Some(of) => write!(f, "read up to entry {read_up_to} of {of}: this list is not complete"),
            None => {
                write!(f, "read up to entry {read_up_to}, where the damage begins: this list is not complete")
            }
        }
    }
}

/// Gives every line to `each` until it breaks; what is left unread of the entries up to `until`, where there are such.
///
/// Another logbook than that of `until` is an error, said when all its lines were given.
pub fn read_all(
    logbook: &dyn Logbook,
    until: &Head,
    each: &mut EachLine<'_>,
) -> Result<Option<NotComplete>, RecordError> {
    let (mut found, mut other) = (0, false);
    let read = logbook.read(&Head::start(until.id), &mut |line, head| {
        found = head.seq;
        other |= head.seq == until.seq && head.sum != until.sum;
        each(line, head)
    });
    let seen = until.seq;
    let why = match read {
        Err(e @ LogbookError::Damaged { .. }) => e,
        // What a newer program wrote behind them takes nothing away from the entries that were asked for.
        Err(LogbookError::Newer { .. }) if found >= seen => return Ok(None),
        Err(e) => return Err(e.into()),
        Ok(_) if other => return Err(LogbookError::Other { seen, found }.into()),
        Ok(_) if found < seen => LogbookError::Lost { seen, found },
        Ok(_) => return Ok(None),
    };
    let of = Some(seen).filter(|seen| found < *seen);
    Ok(Some(NotComplete { read_up_to: found, of, why: why.to_string() }))
}
