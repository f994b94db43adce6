//! Files that leave the home: whole or not there, for their owner alone, never by accident over another.

use std::fs::{self, File, OpenOptions};
use std::io::{self, Write as _};
use std::os::unix::fs::OpenOptionsExt as _;
use std::path::{Path, PathBuf};

use thiserror::Error;

use super::Home;
use super::class::{ExitClass, Refusal};
use crate::units::printable;

/// Why a file was not written.
#[derive(Debug, Error)]
pub enum PaperError {
    /// There is something there.
    #[error("{0} exists: nothing was written. Choose another name, or add --over to put this in its place")]
    Exists(String),
    /// In the home itself.
    #[error(
        "{file} lies in the home {home}: what is in there is the record's own. Choose another folder; nothing was written"
    )]
    InHome {
        /// The file.
        file: String,
        /// The home.
        home: String,
    },
    /// Not a file.
    #[error("{0} is a folder: name a file in it. Nothing was written")]
    Folder(String),
    /// Written, and its folder could not be synced.
    #[error(
        "{file} was written, but the system does not promise that it lasts: {why}. Look whether it is there"
    )]
    MayNotLast {
        /// The file.
        file: String,
        /// What the system said.
        why: io::Error,
    },
    /// The system refuses.
    #[error("could not write {file}: {why}. Nothing was left there")]
    NotWritten {
        /// The file.
        file: String,
        /// What the system said.
        why: io::Error,
    },
}

impl Refusal for PaperError {
    fn class(&self) -> ExitClass {
        match self {
            Self::NotWritten { .. } | Self::MayNotLast { .. } => ExitClass::Record,
            Self::Exists(_) | Self::InHome { .. } | Self::Folder(_) => ExitClass::Typed,
        }
    }
}

/// Writes a file whole: under a temporary name, synced, then given its own; 0600.
///
/// # Errors
/// Without `over` when there is something there; always when it would lie in the home or is a folder.
pub fn write_whole(home: &Home, path: &Path, bytes: &[u8], over: bool) -> Result<(), PaperError> {
    let file = printable(&path.to_string_lossy());
    let not_written = |why| PaperError::NotWritten { file: file.clone(), why };
    if path.is_dir() || path.file_name().is_none() {
        return Err(PaperError::Folder(file));
    }
    let folder = match path.parent() {
        Some(p) if !p.as_os_str().is_empty() => p,
        _ => Path::new("."),
    };
    let real = folder.canonicalize().map_err(not_written)?;
    if home.root().canonicalize().is_ok_and(|home| real.starts_with(home)) {
        return Err(PaperError::InHome { file, home: home.shown() });
    }
    if !over && path.symlink_metadata().is_ok() {
        return Err(PaperError::Exists(file));
    }
    let temporary = temporary_name(path);
    let written = (|| {
        let mut open = OpenOptions::new().write(true).create_new(true).mode(0o600).open(&temporary)?;
        open.write_all(bytes)?;
        open.sync_all()?;
        if over { fs::rename(&temporary, path) } else { name_once(&temporary, path) }
    })();
    if written.is_err() {
        let _ = fs::remove_file(&temporary);
    }
    written.map_err(|why| match why.kind() {
        io::ErrorKind::AlreadyExists if !over => PaperError::Exists(file.clone()),
        _ => not_written(why),
    })?;
    File::open(&real).and_then(|f| f.sync_all()).map_err(|why| PaperError::MayNotLast { file, why })
}

fn temporary_name(path: &Path) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(format!(".new-{}", std::process::id()));
    name.into()
}

/// Gives a file its name unless somebody else took it since we looked.
fn name_once(temporary: &Path, path: &Path) -> io::Result<()> {
    match fs::hard_link(temporary, path) {
        Ok(()) => fs::remove_file(temporary),
        Err(e) if e.kind() == io::ErrorKind::AlreadyExists => Err(e),
        // A stick that knows no second names: there the look before has to be enough.
        Err(_) => fs::rename(temporary, path),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::os::unix::fs::PermissionsExt as _;

    #[test]
    fn a_file_is_written_whole_for_its_owner_and_never_over_another() {
        let folder = tempfile::tempdir().unwrap();
        let home = Home::at(&folder.path().join("home"));
        fs::create_dir(home.root()).unwrap();
        let path = folder.path().join("a.json");
        write_whole(&home, &path, b"one", false).unwrap();
        assert_eq!(fs::metadata(&path).unwrap().permissions().mode() & 0o777, 0o600);
        let again = write_whole(&home, &path, b"two", false).unwrap_err();
        assert!(matches!(again, PaperError::Exists(_)));
        assert_eq!(fs::read(&path).unwrap(), b"one");
        write_whole(&home, &path, b"two", true).unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"two");
        assert!(matches!(write_whole(&home, folder.path(), b"", true), Err(PaperError::Folder(_))));
        let inside = home.root().join("logbook.jsonl");
        assert!(matches!(write_whole(&home, &inside, b"", true), Err(PaperError::InHome { .. })));
        let nowhere = folder.path().join("none").join("a.json");
        assert!(matches!(write_whole(&home, &nowhere, b"", true), Err(PaperError::NotWritten { .. })));
        let left: Vec<_> = fs::read_dir(folder.path()).unwrap().map(|e| e.unwrap().file_name()).collect();
        assert_eq!(left.len(), 2, "{left:?}");
    }

    #[test]
    fn a_name_taken_meanwhile_is_left_alone() {
        let folder = tempfile::tempdir().unwrap();
        let (temporary, path) = (folder.path().join("t"), folder.path().join("p"));
        fs::write(&temporary, "ours").unwrap();
        fs::write(&path, "theirs").unwrap();
        assert_eq!(name_once(&temporary, &path).unwrap_err().kind(), io::ErrorKind::AlreadyExists);
        assert_eq!(fs::read(&path).unwrap(), b"theirs");
    }
}
