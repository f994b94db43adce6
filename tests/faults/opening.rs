//! Homes on disk: opened as a command would, copied, and how long the tests may take over them.

use std::path::Path;
use std::time::Duration;

use spareseat::desk::{Desk, Home, HomeError, open_home};
use spareseat::record::Notice;

use super::world::today;

/// Opens a desk, again if the view is still being closed by this very process: sled gives its lock back a moment late.
pub fn patiently<E>(open: impl Fn() -> Result<Desk, E>) -> Result<(Desk, Vec<Notice>), E> {
    for wait in 1.. {
        let mut desk = open()?;
        let notices = desk.notices();
        if wait == 100 || !notices.contains(&Notice::ViewBusy) {
            return Ok((desk, notices));
        }
        drop(desk);
        std::thread::sleep(Duration::from_millis(wait));
    }
    unreachable!("it returns at the hundredth time")
}

/// Opens a home as a command would.
pub fn open(home: &Path) -> Result<(Desk, Vec<Notice>), HomeError> {
    patiently(|| open_home(&Home::at(home), today()))
}

/// Copies a home, or any folder.
pub fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).expect("a folder");
    for entry in std::fs::read_dir(from).expect("a folder to copy") {
        let entry = entry.expect("an entry");
        let target = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy(&entry.path(), &target);
        } else {
            std::fs::copy(entry.path(), target).expect("a file to copy");
        }
    }
}

/// Whether the long form was asked for.
pub fn long() -> bool {
    std::env::var_os("SPARESEAT_LONG").is_some()
}
