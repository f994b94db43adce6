//! The view's folder: its lock, opening it, throwing it away.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::os::unix::fs::{DirBuilderExt as _, OpenOptionsExt as _};
use std::path::Path;
use std::time::{Duration, Instant};

use super::{Notice, VIEW_FOLDER, ViewPlace};
use crate::record::view::View;
use crate::store::{Store, StoreError};

const WAIT_FOR_VIEW: Duration = Duration::from_millis(250);

/// What stands in the view's place, with the lock on it when there is one.
pub(super) enum Opened {
    /// A whole view.
    View(Box<View>, File),
    /// Nothing of use; without the lock nothing may be put there either.
    Nothing(Option<File>),
}

/// Opens what stands in the view's place.
pub(super) fn open(place: &ViewPlace, notices: &mut Vec<Notice>) -> Opened {
    let ViewPlace::Home(home) = place else { return Opened::Nothing(None) };
    let lock = match lock_view(home) {
        Ok(lock) => lock,
        Err(notice) => {
            notices.push(notice);
            return Opened::Nothing(None);
        }
    };
    let folder = home.join(VIEW_FOLDER);
    if !folder.exists() {
        return Opened::Nothing(Some(lock));
    }
    let opened = match open_store(&folder) {
        // Somebody who does not keep our lock: leave the folder alone.
        Err(StoreError::Busy) => {
            notices.push(Notice::ViewBusy);
            return Opened::Nothing(None);
        }
        other => other.map_err(|e| e.to_string()),
    };
    match opened.and_then(|store| View::open(store).map_err(|e| e.to_string())) {
        Ok(Some(view)) => Opened::View(Box::new(view), lock),
        Ok(None) => {
            notices.push(Notice::ViewMadeAnew("it had been left half-written".to_owned()));
            Opened::Nothing(Some(lock))
        }
        Err(e) => {
            notices.push(Notice::ViewMadeAnew(e));
            Opened::Nothing(Some(lock))
        }
    }
}

fn lock_view(home: &Path) -> Result<File, Notice> {
    let path = home.join(format!("{VIEW_FOLDER}.lock"));
    let open = OpenOptions::new().read(true).write(true).create(true).truncate(false).mode(0o600).open(path);
    let file = open.map_err(|e| Notice::ViewUnusable(e.to_string()))?;
    let until = Instant::now() + WAIT_FOR_VIEW;
    loop {
        match file.try_lock() {
            Ok(()) => return Ok(file),
            Err(TryLockError::WouldBlock) if Instant::now() < until => {
                std::thread::sleep(Duration::from_millis(1))
            }
            Err(TryLockError::WouldBlock) => return Err(Notice::ViewBusy),
            Err(TryLockError::Error(e)) => return Err(Notice::ViewUnusable(e.to_string())),
        }
    }
}

/// An empty store in the home; what stood there is thrown away.
pub(super) fn new_store(home: &Path) -> Result<Box<dyn Store>, String> {
    let folder = home.join(VIEW_FOLDER);
    match fs::remove_dir_all(&folder) {
        Err(e) if e.kind() != std::io::ErrorKind::NotFound => return Err(e.to_string()),
        _ => {}
    }
    fs::DirBuilder::new().mode(0o700).create(&folder).map_err(|e| e.to_string())?;
    open_store(&folder).map_err(|e| e.to_string())
}

#[cfg(feature = "view-on-disk")]
fn open_store(folder: &Path) -> Result<Box<dyn Store>, StoreError> {
    Ok(Box::new(crate::store::SledStore::open(folder)?))
}

#[cfg(not(feature = "view-on-disk"))]
fn open_store(_: &Path) -> Result<Box<dyn Store>, StoreError> {
    Err(StoreError::Broken("built without the feature view-on-disk".to_owned()))
}
