//! A backup: begun under another name, complete before anybody could take it for a home.

use std::fs;
use std::io::{self, Write as _};
use std::os::unix::fs::{DirBuilderExt as _, OpenOptionsExt as _};
use std::path::{Path, PathBuf};

use super::{UpkeepError, verify};
use crate::desk::{Desk, Home, Refused};
use crate::logbook::LOGBOOK_FILE;
use crate::record::Verified;
use crate::units::printable;

/// The logbook of a copy until every byte of it is on the disk: a folder without a logbook is no home.
const BEGUN_LOGBOOK: &str = "logbook.begun";

/// Copies logbook and editions into a new folder; gives the head of what was copied.
///
/// The folder gets its name last, so that a kill, a power cut or a full disk leaves the whole copy there or nothing.
pub fn backup(home: &Home, desk: &mut Desk, to: &Path) -> Result<Verified, Refused<UpkeepError>> {
    let verified = verify(desk)?;
    let shown = printable(&to.to_string_lossy());
    if to.symlink_metadata().is_ok() {
        return Err(UpkeepError::Exists(shown).into());
    }
    let Some(begun) = begun_beside(to) else { return Err(UpkeepError::NoName(shown).into()) };
    let copied = named_last(home, &begun, to, verified.head.offset);
    copied.map_err(|why| {
        // Whatever is left of it is no home, so that failing to clear it away harms nobody.
        let _ = fs::remove_dir_all(&begun);
        UpkeepError::NotCopied { to: shown, why }
    })?;
    Ok(verified)
}

/// The name a copy has until it is whole; another one for each program that makes one.
fn begun_beside(to: &Path) -> Option<PathBuf> {
    let mut name = to.file_name()?.to_owned();
    name.push(format!(".begun-{}", std::process::id()));
    Some(to.with_file_name(name))
}

/// The folder in which a path lies.
fn around(path: &Path) -> &Path {
    path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

fn named_last(home: &Home, begun: &Path, to: &Path, len: u64) -> io::Result<()> {
    let parent = around(to);
    // Folders that are made on the way last no longer than the entry in the folder above them.
    let made: Vec<&Path> =
        parent.ancestors().take_while(|p| !p.as_os_str().is_empty() && !p.exists()).collect();
    fs::DirBuilder::new().recursive(true).mode(0o700).create(parent)?;
    match fs::remove_dir_all(begun) {
        // Of a program that had the same number and was killed.
        Err(e) if e.kind() != io::ErrorKind::NotFound => return Err(e),
        _ => {}
    }
    fs::DirBuilder::new().mode(0o700).create(begun)?;
    copy_editions(home, begun)?;
    // The logbook last: it must never name an edition the copy lacks.
    copy_logbook(home, begun, len)?;
    fs::rename(begun, to)?;
    sync(parent)?;
    made.into_iter().try_for_each(|folder| sync(around(folder)))
}

fn copy_editions(home: &Home, begun: &Path) -> io::Result<()> {
    let editions = home.root().join("editions");
    if !editions.is_dir() {
        return Ok(());
    }
    let copies = begun.join("editions");
    fs::DirBuilder::new().mode(0o700).create(&copies)?;
    for entry in fs::read_dir(editions)? {
        let entry = entry?;
        let target = copies.join(entry.file_name());
        fs::copy(entry.path(), &target)?;
        sync(&target)?;
    }
    sync(&copies)
}

fn copy_logbook(home: &Home, begun: &Path, len: u64) -> io::Result<()> {
    let path = begun.join(BEGUN_LOGBOOK);
    let mut file = fs::OpenOptions::new().write(true).create_new(true).mode(0o600).open(&path)?;
    let mut left = len;
    let copy = home.logbook().copy(&mut |bytes| {
        // What was booked since it was verified is not in the copy.
        let part = &bytes[..bytes.len().min(usize::try_from(left).unwrap_or(usize::MAX))];
        left -= part.len() as u64;
        file.write_all(part)
    });
    copy.map_err(|e| io::Error::other(e.to_string()))?;
    if left > 0 {
        return Err(io::Error::other(format!("the logbook lost {left} bytes while it was copied")));
    }
    file.sync_all()?;
    fs::rename(path, begun.join(LOGBOOK_FILE))?;
    sync(begun)
}

fn sync(path: &Path) -> io::Result<()> {
    fs::File::open(path)?.sync_all()
}
