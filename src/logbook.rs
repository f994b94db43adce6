//! S: the logbook: append, read on from, keep and fetch editions. One logbook a practice; it is the record.
//!
//! The trait speaks of heads and lines, never of files or locks, so that a server database can stand behind it later.

mod chain;
mod checked;
mod disk;
mod file;
mod line;
mod memory;
mod sum;

use std::io::Read;
use std::ops::ControlFlow;

use thiserror::Error;

pub use disk::{Disk, FolderDisk, LockError, LockKind, network_drive};
pub use file::{FileLogbook, LOGBOOK_FILE};
pub use line::{Draft, Founding, Head, LineRef, LogbookId, draft_line, next_line};
pub use memory::MemoryLogbook;
pub use sum::Sum;

use crate::catalog::EditionId;

/// What an append came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Append {
    /// Written, synced, acknowledged: the new head, and what was cut off before it, if anything.
    Appended(Head, Option<String>),
    /// Someone else appended meanwhile: read on, decide again.
    Moved,
}

/// What stands behind the last good line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Tail {
    /// Nothing.
    Clean,
    /// An unfinished line that was never acknowledged; the next append moves it to cut-off/.
    Unfinished {
        /// How many bytes.
        bytes: u64,
    },
}

/// Called with each line and the head after it.
pub type EachLine<'a> = dyn FnMut(&LineRef<'_>, &Head) -> ControlFlow<()> + 'a;

/// The record: lines in order, nothing ever changed.
pub trait Logbook: Send + Sync {
    /// The first line's identity: which logbook this is.
    fn identity(&self) -> Result<LogbookId, LogbookError>;

    /// Whether anything stands after `head`; cheap, may err towards yes.
    fn has_grown(&self, head: &Head) -> Result<bool, LogbookError>;

    /// Makes sure that what is there lasts, then gives every line after `after` to `each` until it breaks.
    ///
    /// Begins by checking that the line of `after` still stands where it stood.
    fn read(&self, after: &Head, each: &mut EachLine<'_>) -> Result<Tail, LogbookError>;

    /// Appends one line if `after` is still the last one.
    fn append(&self, after: &Head, draft: &Draft) -> Result<Append, LogbookError>;

    /// Keeps the content of an edition durably, before any line names it.
    fn keep(&self, content: &[u8]) -> Result<EditionId, LogbookError>;

    /// The content of an edition; reading its end fails when it does not match its name.
    fn fetch(&self, edition: &EditionId) -> Result<Box<dyn Read + '_>, LogbookError>;
}

/// Why the record cannot be read or written.
#[derive(Debug, Error)]
pub enum LogbookError {
    /// A line is wrong and good ones or none follow: a person decides.
    #[error("the logbook is damaged at line {line}: {why}")]
    Damaged {
        /// Which line, from 1.
        line: u64,
        /// What is wrong.
        why: String,
    },
    /// The line that was last seen is not there any more.
    #[error("entries are missing: the view has entry {seen}, the logbook ends at entry {found}")]
    Lost {
        /// The last entry the view holds.
        seen: u64,
        /// The last entry the logbook holds.
        found: u64,
    },
    /// The same number of entries or more, but not the same ones.
    #[error(
        "another logbook was put in place: the view holds entry {seen} of one, this one has {found} entries and another entry {seen}"
    )]
    Other {
        /// The last entry the view holds.
        seen: u64,
        /// The last entry the logbook holds.
        found: u64,
    },
    /// Written by a newer program.
    #[error(
        "line {line} of the logbook is of format {format}; this program reads format 1: use the newer spareseat"
    )]
    Newer {
        /// Which line.
        line: u64,
        /// Which format.
        format: u64,
    },
    /// Somebody holds the lock.
    #[error("the logbook is locked by another program{}, waited {seconds} s", .pid.map_or(String::new(), |p| format!(" (process {p})")))]
    Locked {
        /// Whose process, when it said so.
        pid: Option<u32>,
        /// How long was waited.
        seconds: u64,
    },
    /// There is none.
    #[error("no logbook here")]
    Missing,
    /// The entry was not booked.
    #[error("could not {doing}: {why}; nothing was booked")]
    NotWritten {
        /// What was being done.
        doing: &'static str,
        /// What the system said.
        why: std::io::Error,
    },
    /// The write failed and so did taking it back.
    #[error(
        "could not {doing}: {why}; taking it back failed too ({back}): the entry may or may not stand, see 'spareseat logbook show'"
    )]
    Uncertain {
        /// What was being done.
        doing: &'static str,
        /// What the system said.
        why: std::io::Error,
        /// What the system said to the cut.
        back: std::io::Error,
    },
    /// Could not be read.
    #[error("could not read {what}: {why}")]
    Unreadable {
        /// Which file.
        what: String,
        /// What the system said.
        why: std::io::Error,
    },
    /// An edition named by a line is absent or not what its name says.
    #[error("catalogue edition {edition} {why}")]
    Edition {
        /// Which.
        edition: EditionId,
        /// What is wrong.
        why: String,
    },
    /// Longer than a line may be.
    #[error("the entry has {len} bytes: at most {most} are kept; nothing was booked")]
    TooLong {
        /// How long it is.
        len: usize,
        /// How long it may be.
        most: usize,
    },
}

impl LogbookError {
    /// The system's own word about the logbook's file.
    fn unreadable(why: std::io::Error) -> Self {
        if why.kind() == std::io::ErrorKind::NotFound {
            return Self::Missing;
        }
        Self::Unreadable { what: LOGBOOK_FILE.to_owned(), why }
    }
}
