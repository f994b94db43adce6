//! A home: the folder with the logbook, its editions, and the view.

use std::io;
use std::path::{Path, PathBuf};

use thiserror::Error;

use super::class::{ExitClass, of_record};
use super::{Desk, Today};
use crate::logbook::{
    Append, Draft, FileLogbook, FolderDisk, Founding, LOGBOOK_FILE, LogbookError, LogbookId, network_drive,
};
use crate::record::{Entry, Record, RecordError, VIEW_FOLDER, ViewPlace};
use crate::units::{Act, Initials, PracticeName};

/// Why a folder is no home.
#[derive(Debug, Error)]
pub enum HomeError {
    /// Nothing there.
    #[error(
        "no home at {0}: make one with 'spareseat --home {0} new --practice NAME', or a made-up one with 'spareseat demo'"
    )]
    Missing(String),
    /// A file.
    #[error("{0} is a file: a home is a folder")]
    IsFile(String),
    /// Somebody else's, or not readable.
    #[error("{home} cannot be read: {why}. Mend its rights, or ask whoever keeps it; make no second home")]
    NoRights {
        /// The folder.
        home: String,
        /// What the system said.
        why: io::Error,
    },
    /// There is one already.
    #[error("{0} is a home already: nothing was made")]
    Exists(String),
    /// Something else lies there.
    #[error("{0} is not empty and no home: choose an empty folder")]
    NotEmpty(String),
    /// A view without its logbook.
    #[error(
        "{home} has a view but no logbook.jsonl: entries are missing; restore the logbook from a backup before anything else"
    )]
    ViewOnly {
        /// The folder.
        home: String,
    },
    /// An entry that is not there.
    #[error("there is no entry {asked}: the record ends at entry {last}")]
    NoSuchEntry {
        /// What was asked.
        asked: u64,
        /// What there is.
        last: u64,
    },
    /// On a network drive.
    #[error(
        "{home} is on a network drive ({kind}): locks and syncs there cannot be trusted; choose a folder on this machine's own disk"
    )]
    Network {
        /// The folder.
        home: String,
        /// Which file system.
        kind: &'static str,
    },
    /// Cannot be made.
    #[error("could not make {home}: {why}")]
    NotMade {
        /// The folder.
        home: String,
        /// What the system said.
        why: io::Error,
    },
    /// The record.
    #[error(transparent)]
    Record(#[from] RecordError),
}

impl HomeError {
    /// As what it counts.
    pub fn class(&self) -> ExitClass {
        match self {
            Self::Record(e) => of_record(e),
            Self::Missing(_)
            | Self::NoRights { .. }
            | Self::ViewOnly { .. }
            | Self::NotMade { .. }
            | Self::Network { .. } => ExitClass::Record,
            Self::IsFile(_) | Self::Exists(_) | Self::NotEmpty(_) | Self::NoSuchEntry { .. } => {
                ExitClass::Typed
            }
        }
    }
}

/// A folder that is, or may become, a home.
#[derive(Debug, Clone)]
pub struct Home {
    root: PathBuf,
}

impl Home {
    /// The folder at `root`, whatever is there.
    pub fn at(root: &Path) -> Self {
        Self { root: root.to_owned() }
    }

    /// Its path for a message.
    pub fn shown(&self) -> String {
        crate::units::printable(&self.root.to_string_lossy())
    }

    /// Its path.
    pub fn root(&self) -> &Path {
        &self.root
    }

    /// The logbook in it.
    pub fn logbook(&self) -> FileLogbook<FolderDisk> {
        FileLogbook::new(FolderDisk::new(&self.root))
    }

    /// Whether a logbook stands there.
    pub fn has_logbook(&self) -> bool {
        self.root.join(LOGBOOK_FILE).exists()
    }

    fn check_local(&self) -> Result<(), HomeError> {
        // The nearest folder that exists decides where the home would lie.
        let there = self.root.ancestors().find(|p| p.exists()).unwrap_or(Path::new("."));
        let Ok(stat) = rustix::fs::statfs(there) else { return Ok(()) };
        #[allow(clippy::unnecessary_cast, reason = "the type differs between machines")]
        match network_drive(stat.f_type as i64) {
            Some(kind) => Err(HomeError::Network { home: self.shown(), kind }),
            None => Ok(()),
        }
    }

    fn check_there(&self) -> Result<(), HomeError> {
        if self.root.is_file() {
            return Err(HomeError::IsFile(self.shown()));
        }
        // A folder without rights is no missing home: making another one beside it would split the record.
        if let Err(why) = self.root.join(LOGBOOK_FILE).try_exists() {
            return Err(HomeError::NoRights { home: self.shown(), why });
        }
        self.check_local()?;
        if self.has_logbook() {
            return Ok(());
        }
        if self.root.join(VIEW_FOLDER).exists() {
            return Err(HomeError::ViewOnly { home: self.shown() });
        }
        Err(HomeError::Missing(self.shown()))
    }

    /// Makes the home: the folder and the first line of its logbook. One of two who try at once is told `Exists`.
    pub fn make(
        &self,
        id: LogbookId,
        made_up: bool,
        practice: &PracticeName,
        by: &Initials,
        today: Today,
        act: Act,
    ) -> Result<(), HomeError> {
        match self.check_there() {
            Ok(()) => return Err(HomeError::Exists(self.shown())),
            Err(HomeError::Missing(_)) => {}
            Err(e) => return Err(e),
        }
        let not_made = |why| HomeError::NotMade { home: self.shown(), why };
        if self.root.is_dir() && self.holds_strangers().map_err(not_made)? {
            return Err(HomeError::NotEmpty(self.shown()));
        }
        let disk = FolderDisk::make(&self.root).map_err(not_made)?;
        let founding = Entry::Founded(Founding { format: 1, logbook: id, made_up });
        let draft = Draft {
            at: today.now,
            on: today.date,
            by: by.clone(),
            practice: practice.clone(),
            act,
            entry: founding.to_raw(),
        };
        match FileLogbook::new(disk).found(id, &draft).map_err(RecordError::from)? {
            Append::Appended(..) => Ok(()),
            Append::Moved => Err(HomeError::Exists(self.shown())),
        }
    }

    /// Whether there is anything in the folder that a half-made home would not have.
    fn holds_strangers(&self) -> io::Result<bool> {
        for entry in std::fs::read_dir(&self.root)? {
            let name = entry?.file_name();
            let name = name.to_string_lossy();
            // A logbook that came since we looked is somebody else's home, and founding it says so.
            if name != "lock" && name != LOGBOOK_FILE && !name.starts_with("logbook.new-") {
                return Ok(true);
            }
        }
        Ok(false)
    }
}

/// Opens the home for work.
pub fn open_home(home: &Home, today: Today) -> Result<Desk, HomeError> {
    match home.check_there() {
        // The view may still answer; the record says what is missing.
        Ok(()) | Err(HomeError::ViewOnly { .. }) => {}
        Err(e) => return Err(e),
    }
    let place = ViewPlace::Home(home.root.clone());
    match Record::open(Box::new(home.logbook()), place) {
        Ok(record) => Ok(Desk::new(record, today)),
        Err(RecordError::Logbook(LogbookError::Missing)) if home.root.join(VIEW_FOLDER).exists() => {
            Err(HomeError::ViewOnly { home: home.shown() })
        }
        Err(e) => Err(e.into()),
    }
}

/// Opens the home as it was after an entry.
pub fn open_home_as_of(home: &Home, today: Today, entry: u64) -> Result<Desk, HomeError> {
    home.check_there()?;
    let record = Record::open_as_of(Box::new(home.logbook()), entry)?;
    let last = record.view().head().head.seq;
    if record.trouble().is_none() && !(1..=last).contains(&entry) {
        let last = record.count().map_err(RecordError::from)?;
        return Err(HomeError::NoSuchEntry { asked: entry, last });
    }
    Ok(Desk::as_of(record, today))
}

/// The same for what must not rest on an older state than the one that is meant: a logbook that cannot be read so far
/// is an error here.
pub fn open_home_after(home: &Home, today: Today, entry: u64) -> Result<Desk, HomeError> {
    let mut desk = open_home_as_of(home, today, entry)?;
    let last = desk.entry();
    if last == entry {
        return Ok(desk);
    }
    desk.record().verify()?; // says what is wrong
    Err(HomeError::NoSuchEntry { asked: entry, last })
}
