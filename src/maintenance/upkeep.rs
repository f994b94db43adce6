//! Upkeep of the record: verify, rebuild, back up, accept, show.

mod backup;

use std::io;
use std::ops::ControlFlow;

use jiff::civil::Date;
use thiserror::Error;

use crate::desk::reading::{NotComplete, read_all};
use crate::desk::{Desk, DeskError, ExitClass, HomeError, Refusal, Refused};
use crate::logbook::{Head, Logbook, LogbookError};
use crate::record::{Accepted, Booked, Entry, EntryError, RecordError, Trouble, Verified};
use crate::units::{Act, CaseNumber, Initials, Lot, Note};
pub use backup::backup;

/// Why upkeep did not go through.
#[derive(Debug, Error)]
pub enum UpkeepError {
    /// The home.
    #[error(transparent)]
    Home(#[from] HomeError),
    /// The copy could not be written.
    #[error("could not write the backup to {to}: {why}. No backup was made")]
    NotCopied {
        /// Where to.
        to: String,
        /// What the system said.
        why: io::Error,
    },
    /// There is something there.
    #[error("{0} exists: a backup goes into a new folder")]
    Exists(String),
    /// Not the name of a folder that could be made.
    #[error(
        "{0} is not the name of a new folder: a backup goes into a folder of its own, such as backups/{example}",
        example = "2026-11-25"
    )]
    NoName(String),
    /// Nothing to accept.
    #[error("nothing to accept: the view and the logbook agree, up to entry {0}")]
    NothingToAccept(u64),
    /// The record is in trouble that this act does not mend.
    #[error("{0}. Restore the logbook from a backup")]
    Damage(String),
}

impl Refusal for UpkeepError {
    fn class(&self) -> ExitClass {
        match self {
            Self::Home(e) => e.class(),
            Self::NotCopied { .. } | Self::Damage(_) => ExitClass::Record,
            Self::Exists(_) | Self::NoName(_) => ExitClass::Typed,
            Self::NothingToAccept(_) => ExitClass::Facts,
        }
    }

    fn remedy(&self) -> Option<&'static str> {
        matches!(self, Self::NotCopied { .. })
            .then_some("what to do: make room there or choose another disk, then back up again")
    }
}

/// Checks everything there is to check.
pub fn verify(desk: &mut Desk) -> Result<Verified, Refused<UpkeepError>> {
    Ok(desk.record().verify()?)
}

/// Throws the view away and folds it again.
///
/// Not while the view knows entries that the logbook lacks: then the view is what is left of them.
pub fn rebuild(desk: &mut Desk) -> Result<u64, Refused<UpkeepError>> {
    if let Some(Trouble::Logbook(e)) = desk.trouble() {
        return Err(UpkeepError::Damage(e.to_string()).into());
    }
    // The view is only let go of when every line it would be folded from is good.
    let head = desk.view().head().head;
    match desk.record().logbook().read(&Head::start(head.id), &mut |_, _| ControlFlow::Continue(())) {
        // What a newer program wrote no view here holds.
        Ok(_) | Err(LogbookError::Newer { .. }) => {}
        Err(e @ LogbookError::Damaged { .. }) => return Err(UpkeepError::Damage(e.to_string()).into()),
        Err(e) => return Err(RecordError::from(e).into()),
    }
    desk.record().anew("asked for")?;
    Ok(desk.entry())
}

/// Goes on with the logbook as it is found, once a person has decided; the decision is an entry of its own.
pub fn accept(
    desk: &mut Desk,
    by: Option<&Initials>,
    act: Act,
    why: &Note,
) -> Result<(u64, u64, Booked), DeskError<UpkeepError>> {
    if by.is_none() {
        return Err(DeskError::NoInitials);
    }
    match desk.trouble() {
        Some(Trouble::Logbook(LogbookError::Lost { .. } | LogbookError::Other { .. })) => {}
        Some(other) => return Err(DeskError::Refused(UpkeepError::Damage(other.to_string()))),
        None => return Err(DeskError::Refused(UpkeepError::NothingToAccept(desk.entry()))),
    }
    let (seen, found) = desk.record().accept()?;
    let entry = Entry::Accepted(Accepted { seen, found, why: why.clone() });
    let booked = desk.book::<UpkeepError>(by, act, |_| Ok(entry.clone()))?;
    desk.record().accepted();
    Ok((seen, found, booked))
}

/// The entry of that number.
pub fn entry(logbook: &dyn Logbook, head: &Head, seq: u64) -> Result<Option<Entry>, Refused<UpkeepError>> {
    let mut found = None;
    let read = logbook.read(&Head::start(head.id), &mut |line, _| {
        if line.seq < seq {
            return ControlFlow::Continue(());
        }
        found = Entry::parse(line.entry).ok();
        ControlFlow::Break(())
    });
    read.map_err(RecordError::from)?;
    Ok(found)
}

/// A line as it is listed.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Listed {
    pub seq: u64,
    pub at: String,
    pub on: Date,
    pub by: String,
    pub entry: Result<Entry, EntryError>,
}

/// Entries, oldest first.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Listing {
    pub entries: Vec<Listed>,
    /// Where the logbook could not be read to its end.
    pub not_complete: Option<NotComplete>,
}

/// The entries, oldest first, that concern a case, name a lot, or came after a day.
///
/// Those of another logbook that was put in place are listed as found: a person looks at them before deciding.
pub fn list(
    logbook: &dyn Logbook,
    head: &Head,
    case: Option<&CaseNumber>,
    lot: Option<&Lot>,
    since: Option<Date>,
) -> Result<Listing, Refused<UpkeepError>> {
    let mut entries = Vec::new();
    // Every lot stands behind this word; in a text that a person typed the quotation marks are escaped.
    let named = lot.map(|l| format!("\"lot\":{}", serde_json::Value::from(l.as_str())));
    let read = read_all(logbook, head, &mut |line, _| {
        if named.as_ref().is_some_and(|named| !line.entry.contains(named.as_str())) {
            return ControlFlow::Continue(());
        }
        let entry = Entry::parse(line.entry);
        let concerns = case.is_none_or(|c| entry.as_ref().is_ok_and(|e| e.concerns(c)));
        if concerns && since.is_none_or(|d| line.on >= d) {
            let by = crate::units::printable(&line.by);
            let at = crate::units::printable(&line.at);
            entries.push(Listed { seq: line.seq, at, on: line.on, by, entry });
        }
        ControlFlow::Continue(())
    });
    let not_complete = match read {
        Err(RecordError::Logbook(LogbookError::Other { .. })) => None,
        other => other?,
    };
    Ok(Listing { entries, not_complete })
}
