//! Ordered bytes in sled, the accelerator. The one file that names it.
//!
//! sled 0.34 panics on some damage instead of answering, so every call runs inside `catch_unwind` with a quiet hook;
//! its flush is no fsync, it cannot open on a full disk or a read-only home. All harmless here: a view that fails is
//! thrown away and folded again.

use std::cell::Cell;
use std::ops::ControlFlow;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::sync::Once;

use super::{EachRow, Store, StoreError, Write};

const CACHE_BYTES: u64 = 32 << 20;

/// A sled database in a folder.
pub struct SledStore {
    db: sled::Db,
}

thread_local! {
    static QUIET: Cell<bool> = const { Cell::new(false) };
}

/// Runs `call`; a panic inside it is an error, not a message on the screen.
fn guarded<T>(call: impl FnOnce() -> sled::Result<T>) -> Result<T, StoreError> {
    static HOOK: Once = Once::new();
    HOOK.call_once(|| {
        let loud = std::panic::take_hook();
        std::panic::set_hook(Box::new(move |info| {
            if !QUIET.get() {
                loud(info);
            }
        }));
    });
    let before = QUIET.replace(true);
    let outcome = catch_unwind(AssertUnwindSafe(call));
    QUIET.set(before);
    match outcome {
        Ok(Ok(value)) => Ok(value),
        Ok(Err(sled::Error::Io(e))) if e.to_string().contains("could not acquire lock") => {
            Err(StoreError::Busy)
        }
        Ok(Err(e)) => Err(StoreError::Broken(e.to_string())),
        Err(panic) => {
            let text = panic.downcast_ref::<String>().map(String::as_str);
            let text = text.or(panic.downcast_ref::<&str>().copied()).unwrap_or("it panicked");
            Err(StoreError::Broken(text.to_owned()))
        }
    }
}

impl SledStore {
    /// Opens or makes the database in `folder`.
    pub fn open(folder: &Path) -> Result<Self, StoreError> {
        // A leftover of this name, empty, blocks opening for ever.
        if let Ok(entries) = std::fs::read_dir(folder) {
            for entry in entries.flatten() {
                let name = entry.file_name();
                if name.to_string_lossy().ends_with(".generating") {
                    let _ = std::fs::remove_file(entry.path());
                }
            }
        }
        let config = sled::Config::new()
            .path(folder)
            .cache_capacity(CACHE_BYTES)
            .flush_every_ms(None)
            .mode(sled::Mode::HighThroughput);
        guarded(|| config.open()).map(|db| Self { db })
    }
}

impl Store for SledStore {
    fn get(&self, key: &[u8]) -> Result<Option<Vec<u8>>, StoreError> {
        guarded(|| Ok(self.db.get(key)?.map(|v| v.to_vec())))
    }

    fn scan(&self, prefix: &[u8], each: &mut EachRow<'_>) -> Result<(), StoreError> {
        guarded(|| {
            for row in self.db.scan_prefix(prefix) {
                let (key, value) = row?;
                if each(&key, &value) == ControlFlow::Break(()) {
                    break;
                }
            }
            Ok(())
        })
    }

    fn apply(&self, writes: Vec<Write>) -> Result<(), StoreError> {
        guarded(|| {
            let mut batch = sled::Batch::default();
            for (key, value) in writes {
                match value {
                    Some(value) => batch.insert(key, value),
                    None => batch.remove(key),
                }
            }
            self.db.apply_batch(batch)
        })
    }

    fn flush(&self) -> Result<(), StoreError> {
        guarded(|| self.db.flush()).map(|_| ())
    }
}
