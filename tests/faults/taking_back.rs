//! An entry of the small practice is taken back.

use std::io::Read as _;
use std::ops::ControlFlow;

use spareseat::amend::countering::{self, Counter};
use spareseat::desk::{Desk, HomeError};
use spareseat::logbook::{Append, Draft, Head, Logbook, MemoryLogbook};
use spareseat::record::{Booked, Entry, Record, RecordError};
use spareseat::units::Act;

use super::world::{by, practice, today};

/// The same lines and editions in memory: what the record was like before an entry is read from there, so that the disk
/// under test sees the booking alone.
fn copy(logbook: &dyn Logbook) -> Result<MemoryLogbook, RecordError> {
    let id = logbook.identity()?;
    let copy = MemoryLogbook::new(id);
    let (mut head, mut drafts) = (Head::start(id), Vec::new());
    logbook.read(&head, &mut |line, _| {
        let entry =
            serde_json::value::RawValue::from_string(line.entry.to_owned()).expect("an entry is JSON");
        let at = line.at.parse().expect("a time");
        drafts.push(Draft { at, on: line.on, by: by(), practice: practice(), act: line.act, entry });
        ControlFlow::Continue(())
    })?;
    for draft in drafts {
        if let Ok(Entry::Catalogue(changed)) = Entry::parse(draft.entry.get()) {
            let mut content = Vec::new();
            logbook.fetch(&changed.edition)?.read_to_end(&mut content).expect("an edition is read");
            copy.keep(&content)?;
        }
        match copy.append(&head, &draft)? {
            Append::Appended(next, _) => head = next,
            Append::Moved => panic!("nobody else writes into the copy"),
        }
    }
    Ok(copy)
}

/// Books it.
pub fn book(desk: &mut Desk, act: Act, entry: u64) -> Result<Booked, String> {
    let ask = Counter { entry, because: None, was_in_mouth: false };
    let before = copy(desk.record().logbook()).map_err(|e| e.to_string())?;
    let before = std::cell::Cell::new(Some(before));
    let earlier = |until| {
        let logbook = before.take().expect("it is asked once");
        Ok::<_, HomeError>(Desk::as_of(Record::open_as_of(Box::new(logbook), until)?, today()))
    };
    countering::counter(desk, Some(&by()), act, &ask, earlier)
        .map(|(booked, _)| booked)
        .map_err(|e| e.to_string())
}

/// The command that books it.
pub fn command(entry: u64) -> Vec<String> {
    ["reverse".to_owned(), entry.to_string()].into()
}
