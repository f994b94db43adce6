//! The keeper: holds logbook and view together.
//!
//! Write: catch up, decide, compare-and-append, fold. Read: catch up, look. Whenever the view fails it is thrown away
//! and folded again, on disk if that works and in memory if not; whenever the logbook fails the record is read-only
//! and says why.

mod feed;
mod folder;
mod verify;

use std::fs::File;
use std::ops::ControlFlow;
use std::path::PathBuf;
use std::time::{Duration, Instant};

use jiff::Timestamp;
use jiff::civil::Date;
use thiserror::Error;

use feed::{Fed, feed};
use folder::{Opened, new_store};
pub use verify::Verified;

use super::entry::{Entry, EntryError};
use super::fold::{Meta, fold};
use super::view::{View, ViewError};
use crate::logbook::{Append, Draft, Head, Logbook, LogbookError, LogbookId, Tail};
use crate::units::{Act, Initials};

/// How many views of a home may fail: one, and the one made in its place; then it is folded in memory.
const MOST_FAILURES: u32 = 2;
/// The view's folder; the number is its format.
pub const VIEW_FOLDER: &str = "view-6-desk";
const WAIT_TO_BOOK: Duration = Duration::from_secs(10);

/// Where the view lives.
#[derive(Debug, Clone)]
pub enum ViewPlace {
    /// In memory.
    Memory,
    /// In a folder of this home.
    Home(PathBuf),
}

/// Something the person should know beside the answer.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Notice {
    /// Another program has the view.
    #[error("the view is in use by another program; answered from the logbook, which takes longer")]
    ViewBusy,
    /// The view cannot be kept on disk.
    #[error("the view cannot be used here ({0}); answered from the logbook, which takes longer")]
    ViewUnusable(String),
    /// The view was thrown away.
    #[error("the view was made anew from the logbook ({0})")]
    ViewMadeAnew(String),
    /// An unfinished line stands at the end.
    #[error(
        "{bytes} bytes of an unfinished entry stand behind entry {after}; it was never acknowledged, and the next booking sets it aside"
    )]
    Unfinished {
        /// How many bytes.
        bytes: u64,
        /// Behind which entry.
        after: u64,
    },
    /// It was set aside.
    #[error("an unfinished entry that was never acknowledged was set aside in {0}")]
    SetAside(String),
}

/// Why the record is read-only, and up to which entry look-ups are answered.
#[derive(Debug, Error)]
pub enum Trouble {
    /// The logbook.
    #[error("{0}")]
    Logbook(LogbookError),
    /// A newer program wrote the rest.
    #[error("answered as of entry {seen}; {why}: use the newer spareseat to book")]
    Newer {
        /// The last entry understood.
        seen: u64,
        /// What stands there.
        why: EntryError,
    },
}

impl Trouble {
    /// Whether a look-up is still the whole truth as of its entry, so that nothing is wrong with answering it.
    pub fn lets_look(&self) -> bool {
        matches!(
            self,
            Self::Newer { .. } | Self::Logbook(LogbookError::Locked { .. } | LogbookError::Newer { .. })
        )
    }

    /// Whether it may be over by now, so that asking again makes sense.
    fn may_pass(&self) -> bool {
        matches!(self, Self::Logbook(LogbookError::Locked { .. } | LogbookError::Unreadable { .. }))
    }
}

/// Why there is no record to speak of.
#[derive(Debug, Error)]
pub enum RecordError {
    /// Nothing can be answered at all.
    #[error(transparent)]
    Logbook(#[from] LogbookError),
    /// Not even a view in memory.
    #[error(transparent)]
    View(#[from] ViewError),
}

/// When, by whom, and which act.
#[derive(Debug, Clone)]
pub struct Stamp {
    /// The clock.
    pub at: Timestamp,
    /// The day it counts for.
    pub on: Date,
    /// Who.
    pub by: Initials,
    /// Which act.
    pub act: Act,
}

/// A booking that stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Booked {
    /// Its entry.
    pub seq: u64,
    /// It had been made before by the same act, and was not made again.
    pub before: bool,
    /// What was decided; none where it had been made before.
    pub entry: Option<Entry>,
}

/// Why nothing was booked.
#[derive(Debug, Error)]
pub enum BookError<E> {
    /// The facts or the person.
    #[error(transparent)]
    Refused(E),
    /// The record.
    #[error(transparent)]
    Logbook(LogbookError),
    /// The record is read-only.
    #[error("the record is read-only, nothing was booked: {0}")]
    ReadOnly(String),
    /// The view, even in memory.
    #[error(transparent)]
    View(ViewError),
}

/// Logbook and view together.
pub struct Record {
    logbook: Box<dyn Logbook>,
    place: ViewPlace,
    view: View,
    /// Held while the view on disk is open.
    lock: Option<File>,
    notices: Vec<Notice>,
    trouble: Option<Trouble>,
}

impl Record {
    /// Opens the view, or makes one, and catches up with the logbook.
    pub fn open(logbook: Box<dyn Logbook>, place: ViewPlace) -> Result<Self, RecordError> {
        let identity = logbook.identity();
        let mut notices = Vec::new();
        let (view, lock) = match folder::open(&place, &mut notices) {
            Opened::View(view, lock) => (view, Some(lock)),
            Opened::Nothing(lock) => {
                let id = identity?;
                let mut record =
                    Self { logbook, place, view: View::in_memory(id), lock, notices, trouble: None };
                record.fresh(id)?;
                return Ok(record);
            }
        };
        let head = view.head().head;
        let mut record = Self { logbook, place, view: *view, lock, notices, trouble: None };
        let lost = LogbookError::Lost { seen: head.seq, found: 0 };
        match identity {
            Ok(id) if id == head.id => record.catch_up_or_anew()?,
            Ok(_) => {
                let other = |found| LogbookError::Other { seen: head.seq, found };
                let trouble = record.count().map_or_else(|damage| damage, other);
                record.trouble = Some(Trouble::Logbook(trouble));
            }
            Err(LogbookError::Missing) => record.trouble = Some(Trouble::Logbook(lost)),
            Err(e) => record.trouble = Some(Trouble::Logbook(e)),
        }
        Ok(record)
    }

    /// The record as it was after entry `until`, in memory and read-only.
    pub fn open_as_of(logbook: Box<dyn Logbook>, until: u64) -> Result<Self, RecordError> {
        let id = logbook.identity()?;
        let view = View::in_memory(id);
        let mut record =
            Self { logbook, place: ViewPlace::Memory, view, lock: None, notices: Vec::new(), trouble: None };
        record.catch_up(until)?;
        Ok(record)
    }

    /// The view to look at.
    pub fn view(&self) -> &View {
        &self.view
    }

    /// The logbook below, for listing and copying.
    pub fn logbook(&self) -> &dyn Logbook {
        &*self.logbook
    }

    /// What the person should know, once.
    pub fn take_notices(&mut self) -> Vec<Notice> {
        std::mem::take(&mut self.notices)
    }

    /// Why the record is read-only, if it is.
    pub fn trouble(&self) -> Option<&Trouble> {
        self.trouble.as_ref()
    }

    /// Asks the view; if the view itself fails, throws it away, folds again and asks once more; the last time in memory.
    pub fn ask<T, E>(
        &mut self,
        ask: impl Fn(&View) -> Result<T, E>,
        failed: impl Fn(&E) -> bool,
    ) -> Result<T, E>
    where
        E: From<RecordError>,
    {
        let mut failures = 0;
        loop {
            match ask(&self.view) {
                Err(e) if failed(&e) && self.trouble.is_none() && failures < MOST_FAILURES => {
                    self.another(&mut failures, "a row could not be read")?;
                }
                other => return other,
            }
        }
    }

    /// Another view in place of one that failed: on disk, and when that one fails as well, as on a full disk it may at
    /// any time, in memory.
    fn another(&mut self, failures: &mut u32, why: &str) -> Result<(), RecordError> {
        *failures += 1;
        if *failures < MOST_FAILURES {
            return self.anew(why);
        }
        let id = self.view.head().head.id;
        self.notices.push(Notice::ViewUnusable(why.to_owned()));
        self.view = View::in_memory(id);
        self.catch_up(u64::MAX)
    }

    /// Books what `decide` makes of the view; decides again whenever someone else booked meanwhile.
    pub fn book<E>(
        &mut self,
        stamp: &Stamp,
        mut decide: impl FnMut(&View) -> Result<Entry, E>,
        failed: impl Fn(&E) -> bool,
    ) -> Result<Booked, BookError<E>> {
        let view_error = |e: RecordError| match e {
            RecordError::Logbook(e) => BookError::Logbook(e),
            RecordError::View(e) => BookError::View(e),
        };
        let mut failures = 0;
        let began = Instant::now();
        loop {
            self.refresh().map_err(view_error)?;
            match &mut self.trouble {
                // Reading on gives up early, so that look-ups answer; a booking has longer.
                Some(Trouble::Logbook(LogbookError::Locked { .. })) if began.elapsed() < WAIT_TO_BOOK => {
                    continue;
                }
                Some(Trouble::Logbook(LogbookError::Locked { seconds, pid })) => {
                    let (pid, seconds) = (*pid, (*seconds).max(began.elapsed().as_secs()));
                    return Err(BookError::Logbook(LogbookError::Locked { pid, seconds }));
                }
                Some(trouble) => return Err(BookError::ReadOnly(trouble.to_string())),
                None => {}
            }
            match self.view.entry_of(stamp.act) {
                Ok(Some(seq)) => return Ok(Booked { seq, before: true, entry: None }),
                Ok(None) => {}
                Err(e) if failures < MOST_FAILURES => {
                    self.another(&mut failures, &e.to_string()).map_err(view_error)?;
                    continue;
                }
                Err(e) => return Err(BookError::View(e)),
            }
            let entry = match decide(&self.view) {
                Err(e) if failed(&e) && failures < MOST_FAILURES => {
                    self.another(&mut failures, "a row could not be read").map_err(view_error)?;
                    continue;
                }
                other => other.map_err(BookError::Refused)?,
            };
            let practice = self.view.head().practice.clone();
            let practice = practice.ok_or(BookError::Logbook(LogbookError::Missing))?;
            let draft = Draft {
                at: stamp.at,
                on: stamp.on,
                by: stamp.by.clone(),
                practice,
                act: stamp.act,
                entry: entry.to_raw(),
            };
            let after = self.view.head().head;
            match self.logbook.append(&after, &draft).map_err(BookError::Logbook)? {
                Append::Moved => continue,
                Append::Appended(head, aside) => {
                    self.notices.extend(aside.map(Notice::SetAside));
                    self.fold_own(stamp, entry.clone(), &head);
                    return Ok(Booked { seq: head.seq, before: false, entry: Some(entry) });
                }
            }
        }
    }

    /// After the sync the act is done: trouble with the view is the view's, never the booking's.
    fn fold_own(&mut self, stamp: &Stamp, entry: Entry, head: &Head) {
        let meta = Meta { at: stamp.at.as_second(), on: stamp.on, act: stamp.act, practice: None };
        let folded = fold(&mut self.view, head, &meta, entry)
            .and_then(|()| self.view.load_edition(&*self.logbook))
            .and_then(|()| self.view.settle());
        if let Err(e) = folded
            && let Err(e) = self.anew(&e.to_string())
        {
            self.notices.push(Notice::ViewUnusable(e.to_string()));
        }
    }

    /// Reads on to the end of the logbook.
    pub fn refresh(&mut self) -> Result<(), RecordError> {
        self.trouble.take_if(|trouble| trouble.may_pass());
        if self.trouble.is_none() { self.catch_up_or_anew() } else { Ok(()) }
    }

    fn catch_up_or_anew(&mut self) -> Result<(), RecordError> {
        match self.catch_up(u64::MAX) {
            Err(RecordError::View(e)) if !self.view.is_in_memory() => self.anew(&e.to_string()),
            other => other,
        }
    }

    /// Folds the lines the view lacks; what is wrong with the logbook becomes the record's trouble.
    fn catch_up(&mut self, until: u64) -> Result<(), RecordError> {
        let after = self.view.head().head;
        match self.logbook.has_grown(&after) {
            Ok(false) => return Ok(()),
            Ok(true) => {}
            Err(e) => return self.in_trouble(e),
        }
        let Fed { read, entry, view } = feed(&*self.logbook, &mut self.view, until, &mut |_| {});
        view?;
        let seen = self.view.head().head.seq;
        match entry {
            Some(why @ EntryError::NewerKind(_)) => self.trouble = Some(Trouble::Newer { seen, why }),
            Some(why) => {
                let why = why.to_string();
                self.trouble = Some(Trouble::Logbook(LogbookError::Damaged { line: seen + 1, why }));
            }
            None => {}
        }
        match read {
            Ok(Tail::Unfinished { bytes }) => {
                let notice = Notice::Unfinished { bytes, after: seen };
                if !self.notices.contains(&notice) {
                    self.notices.push(notice);
                }
            }
            Ok(Tail::Clean) => {}
            Err(e) => self.in_trouble(e)?,
        }
        match self.view.load_edition(&*self.logbook) {
            // Parts cannot be looked up, everything else can.
            Err(ViewError::Logbook(e)) => self.in_trouble(e)?,
            Err(ViewError::Edition(e)) => {
                let why = e.to_string();
                let edition = self.view.head().edition.clone();
                if let Some(edition) = edition {
                    self.in_trouble(LogbookError::Edition { edition, why })?;
                }
            }
            other => other?,
        }
        if self.trouble.as_ref().is_some_and(|t| matches!(t, Trouble::Logbook(LogbookError::Edition { .. })))
        {
            return Ok(()); // nothing half-loaded is settled
        }
        Ok(self.view.settle()?)
    }

    fn in_trouble(&mut self, e: LogbookError) -> Result<(), RecordError> {
        if self.view.head().head.seq == 0 {
            return Err(e.into());
        }
        self.trouble = Some(Trouble::Logbook(e));
        Ok(())
    }

    /// Throws the view away and folds the logbook into a new one.
    pub fn anew(&mut self, why: &str) -> Result<(), RecordError> {
        let id = self.view.head().head.id;
        self.view = View::in_memory(id); // closes the store before its folder goes
        self.notices.push(Notice::ViewMadeAnew(why.to_owned()));
        self.fresh(id)
    }

    /// A new view: on disk where that works, in memory where not.
    fn fresh(&mut self, id: LogbookId) -> Result<(), RecordError> {
        match (&self.place, &self.lock) {
            (ViewPlace::Home(home), Some(_)) => match new_store(home) {
                Ok(store) => {
                    self.view = View::over(store, id);
                    match self.catch_up(u64::MAX) {
                        Err(RecordError::View(e)) => self.notices.push(Notice::ViewUnusable(e.to_string())),
                        other => return other,
                    }
                }
                Err(e) => self.notices.push(Notice::ViewUnusable(e)),
            },
            (ViewPlace::Home(_) | ViewPlace::Memory, _) => {}
        }
        self.view = View::in_memory(id);
        self.catch_up(u64::MAX)
    }

    /// How many entries the logbook has, whatever the view says.
    pub fn count(&self) -> Result<u64, LogbookError> {
        let mut found = 0;
        let start = Head::start(self.view.head().head.id);
        self.logbook.read(&start, &mut |line, _| {
            found = line.seq;
            ControlFlow::Continue(())
        })?;
        Ok(found)
    }

    /// Takes the logbook as it is found in place of the one the view knew, in memory; gives what was seen and what is
    /// there.
    ///
    /// The view on disk stays until `accepted`: it alone knows that entries are missing, and a kill before the decision
    /// is on record must not take that away.
    pub fn accept(&mut self) -> Result<(u64, u64), RecordError> {
        let seen = self.view.head().head.seq;
        let id = self.logbook.identity()?;
        self.trouble = None;
        self.view = View::in_memory(id);
        self.catch_up(u64::MAX)?;
        Ok((seen, self.view.head().head.seq))
    }

    /// The decision is on record: the view on disk that knew another logbook makes room for one of this one.
    pub fn accepted(&mut self) {
        let id = self.view.head().head.id;
        if let Err(e) = self.fresh(id) {
            self.notices.push(Notice::ViewUnusable(e.to_string()));
        }
    }
}
