//! From the lines of a logbook into a view.

use std::ops::ControlFlow;

use crate::logbook::{LineRef, Logbook, LogbookError, Tail};
use crate::record::entry::{Entry, EntryError};
use crate::record::fold::{Meta, fold};
use crate::record::reader::EntryReader;
use crate::record::view::{View, ViewError};
use crate::units::PracticeName;

/// What came of it.
pub(super) struct Fed {
    /// What the logbook said.
    pub read: Result<Tail, LogbookError>,
    /// An entry that could not be read, the first one behind the view's head.
    pub entry: Option<EntryError>,
    /// The view's own failure.
    pub view: Result<(), ViewError>,
}

/// Folds the lines that `view` lacks, up to entry `until`; `each` sees every entry before it is folded.
///
/// On one thread: with reading and folding on two, a million entries took as long and a quarter more work, since what
/// one allocates the other frees.
pub(super) fn feed(logbook: &dyn Logbook, view: &mut View, until: u64, each: &mut dyn FnMut(&Entry)) -> Fed {
    let after = view.head().head;
    let mut reader = EntryReader::default();
    let (mut wrong, mut folded) = (None, Ok(()));
    let read = logbook.read(&after, &mut |line, head| {
        if line.seq > until {
            return ControlFlow::Break(());
        }
        match read_entry(&mut reader, line) {
            Ok((meta, entry)) => {
                each(&entry);
                folded = fold(view, head, &meta, entry);
            }
            Err(e) => wrong = Some(e),
        }
        if wrong.is_none() && folded.is_ok() { ControlFlow::Continue(()) } else { ControlFlow::Break(()) }
    });
    Fed { read, entry: wrong, view: folded }
}

fn read_entry(reader: &mut EntryReader, line: &LineRef<'_>) -> Result<(Meta, Entry), EntryError> {
    let entry = reader.parse(line.entry)?;
    let form = |what: &str| EntryError::Form(what.to_owned());
    let at = line.clock().ok_or_else(|| form("its clock is no time"))?;
    let practice = match entry {
        Entry::Founded(_) => Some(PracticeName::new(&line.practice).map_err(|e| form(&e.to_string()))?),
        _ => None,
    };
    Ok((Meta { at: at.as_second(), on: line.on, act: line.act, practice }, entry))
}
