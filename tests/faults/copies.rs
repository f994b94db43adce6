//! A backup is whole or it is not there, whatever stopped the one who made it.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

use spareseat::logbook::LOGBOOK_FILE;
use spareseat::record::{Record, ViewPlace};

use crate::support::{DAY, code, text};

/// The words of the command.
pub fn words(to: &Path) -> Vec<String> {
    vec!["logbook".to_owned(), "backup".to_owned(), to.to_string_lossy().into_owned()]
}

/// Backs `home` up to `to`.
pub fn back_up(home: &Path, to: &Path) -> Output {
    let mut command = crate::support::started();
    command.arg("--home").arg(home).args(["--on", DAY]).args(words(to)).env_remove("SPARESEAT_HOME");
    command.output().expect("the program starts")
}

/// Logbook and editions of a folder, by name.
fn held(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let editions = fs::read_dir(folder.join("editions")).into_iter().flatten().flatten().map(|e| e.path());
    let read = |path: PathBuf| {
        let name = path.strip_prefix(folder).expect("it lies in there").to_owned();
        fs::read(&path).ok().map(|bytes| (name, bytes))
    };
    editions.chain([folder.join(LOGBOOK_FILE)]).filter_map(read).collect()
}

/// The copy holds what the home holds, every byte, and verifies as a home of its own.
pub fn same(home: &Path, to: &Path) -> Result<(), String> {
    if held(home) != held(to) {
        return Err(format!("{} is there and does not hold what the home holds", to.display()));
    }
    let logbook = spareseat::desk::Home::at(to).logbook();
    let mut record = Record::open(Box::new(logbook), ViewPlace::Memory).map_err(|e| e.to_string())?;
    record.verify().map(|_| ()).map_err(|e| e.to_string())
}

/// Whatever else lies beside the copy is no home, or the whole one under another name.
fn no_half_homes(home: &Path, folder: &Path) -> Result<(), String> {
    // Killed early, nothing was made yet.
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        if entry.path() != home && entry.path().join(LOGBOOK_FILE).exists() {
            same(home, &entry.path())?;
        }
    }
    Ok(())
}

/// What must be true where a backup was killed: it is there and whole, or not there, and then it can be made.
pub fn after_the_kill(home: &Path, to: &Path, out: &Output) -> Result<(), String> {
    no_half_homes(home, to.parent().expect("a folder around it"))?;
    if to.exists() {
        return same(home, to);
    }
    if text(&out.stdout).contains("Backed up to") {
        return Err("it was told that there is a backup, and there is none".to_owned());
    }
    let again = back_up(home, to);
    if code(&again) != 0 {
        return Err(format!("again: {}", text(&again.stderr)));
    }
    same(home, to)
}
