//! The few things the file logbook asks of a disk; tests put a disk there that loses power, fills up or fails to sync.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, Read as _, Seek as _, SeekFrom, Write as _};
use std::os::unix::fs::{DirBuilderExt as _, FileExt as _, OpenOptionsExt as _};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

/// Who may come in beside the holder.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LockKind {
    /// Other readers.
    Shared,
    /// Nobody.
    Exclusive,
}

/// Why there is no lock.
#[derive(Debug)]
pub enum LockError {
    /// Somebody holds it.
    Held {
        /// Whose process, when it said so.
        pid: Option<u32>,
    },
    /// The disk said no.
    Io(io::Error),
}

/// A folder of files with durable appends. Names are relative, with at most one folder in them.
pub trait Disk: Send + Sync {
    /// How long the file is; `None` when there is none.
    fn len(&self, file: &str) -> io::Result<Option<u64>>;
    /// Reads up to `most` bytes from `offset`.
    fn read_at(&self, file: &str, offset: u64, most: usize) -> io::Result<Vec<u8>>;
    /// Writes at the end, which is at `offset`, and syncs; on failure some of it may stand there.
    fn append(&self, file: &str, offset: u64, bytes: &[u8]) -> io::Result<()>;
    /// Makes what stands there last.
    fn sync(&self, file: &str) -> io::Result<()>;
    /// Cuts the file to `len`, and syncs.
    fn cut(&self, file: &str, len: u64) -> io::Result<()>;
    /// Puts a whole file in place: temporary name, sync, rename, sync the folder.
    fn place(&self, file: &str, bytes: &[u8]) -> io::Result<()>;
    /// Locks the folder until the guard is dropped.
    fn lock(&self, kind: LockKind, patience: Duration) -> Result<Box<dyn Send>, LockError>;
}

/// A folder on a local disk.
#[derive(Debug)]
pub struct FolderDisk {
    root: PathBuf,
}

impl FolderDisk {
    /// The folder at `root`; nothing is opened or made yet.
    pub fn new(root: &Path) -> Self {
        Self { root: root.to_owned() }
    }

    /// Makes the folder and, durably, its name in the folder above.
    pub fn make(root: &Path) -> io::Result<Self> {
        fs::DirBuilder::new().recursive(true).mode(0o700).create(root)?;
        let above = root.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
        File::open(above)?.sync_all()?;
        Ok(Self::new(root))
    }

    fn path(&self, file: &str) -> PathBuf {
        self.root.join(file)
    }

    fn open_lock(&self, kind: LockKind) -> io::Result<Option<File>> {
        let path = self.path("lock");
        let open =
            OpenOptions::new().read(true).write(true).create(true).truncate(false).mode(0o600).open(&path);
        match open {
            Ok(file) => Ok(Some(file)),
            // A reader of a read-only home: lock what is there; if nothing is, nobody can be writing.
            Err(_) if kind == LockKind::Shared => match File::open(&path) {
                Ok(file) => Ok(Some(file)),
                Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(None),
                Err(e) => Err(e),
            },
            Err(e) => Err(e),
        }
    }
}

impl Disk for FolderDisk {
    fn len(&self, file: &str) -> io::Result<Option<u64>> {
        match fs::metadata(self.path(file)) {
            Ok(meta) => Ok(Some(meta.len())),
            Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(None),
            Err(e) => Err(e),
        }
    }

    fn read_at(&self, file: &str, offset: u64, most: usize) -> io::Result<Vec<u8>> {
        let mut open = File::open(self.path(file))?;
        open.seek(SeekFrom::Start(offset))?;
        // Room for all of it: grown piece by piece it would be read in a dozen calls.
        let mut out = Vec::with_capacity(most);
        open.take(most as u64).read_to_end(&mut out)?;
        Ok(out)
    }

    fn append(&self, file: &str, offset: u64, bytes: &[u8]) -> io::Result<()> {
        // One handle for write and sync, so that a write error surfaces at this sync and nowhere else.
        let open =
            OpenOptions::new().write(true).create(true).truncate(false).mode(0o600).open(self.path(file))?;
        open.write_all_at(bytes, offset)?;
        open.sync_data()
    }

    fn sync(&self, file: &str) -> io::Result<()> {
        // A home that cannot be opened for writing cannot hold an unsynced line of ours either.
        File::open(self.path(file))?.sync_data()
    }

    fn cut(&self, file: &str, len: u64) -> io::Result<()> {
        let open = OpenOptions::new().write(true).open(self.path(file))?;
        open.set_len(len)?;
        open.sync_all()
    }

    fn place(&self, file: &str, bytes: &[u8]) -> io::Result<()> {
        let path = self.path(file);
        let folder = path.parent().unwrap_or(&self.root).to_owned();
        fs::DirBuilder::new().recursive(true).mode(0o700).create(&folder)?;
        // Two threads may place the same edition at once.
        static PLACED: AtomicU64 = AtomicU64::new(0);
        let number = PLACED.fetch_add(1, Ordering::Relaxed);
        let temporary = path.with_extension(format!("new-{}-{number}", std::process::id()));
        let written = (|| {
            let mut open =
                OpenOptions::new().write(true).create(true).truncate(true).mode(0o600).open(&temporary)?;
            open.write_all(bytes)?;
            open.sync_all()?;
            fs::rename(&temporary, &path)?;
            File::open(&folder)?.sync_all()?;
            File::open(&self.root)?.sync_all()
        })();
        if written.is_err() {
            let _ = fs::remove_file(&temporary);
        }
        written
    }

    fn lock(&self, kind: LockKind, patience: Duration) -> Result<Box<dyn Send>, LockError> {
        let Some(mut file) = self.open_lock(kind).map_err(LockError::Io)? else { return Ok(Box::new(())) };
        let until = Instant::now() + patience;
        let mut pause = Duration::from_micros(200);
        loop {
            let tried = match kind {
                LockKind::Shared => file.try_lock_shared(),
                LockKind::Exclusive => file.try_lock(),
            };
            match tried {
                Ok(()) => break,
                Err(TryLockError::Error(e)) => return Err(LockError::Io(e)),
                Err(TryLockError::WouldBlock) if Instant::now() >= until => {
                    let mut pid = String::new();
                    let _ = file.seek(SeekFrom::Start(0)).and_then(|_| file.read_to_string(&mut pid));
                    return Err(LockError::Held { pid: pid.trim().parse().ok() });
                }
                Err(TryLockError::WouldBlock) => {
                    std::thread::sleep(pause);
                    pause = (pause * 2).min(Duration::from_millis(5));
                }
            }
        }
        if kind == LockKind::Exclusive {
            // For the message of whoever waits; failing to say it is no reason not to book.
            let _ = say_who(&file);
        }
        Ok(Box::new(file))
    }
}

/// Writes whose process holds the lock, when the file does not say so already.
///
/// It is cut only when it was longer: a cut costs as much as the sync of the booking itself.
fn say_who(lock: &File) -> io::Result<()> {
    let own = std::process::id().to_string();
    let mut said = [0; 32];
    let len = lock.read_at(&mut said, 0)?;
    if said[..len] == *own.as_bytes() {
        return Ok(());
    }
    lock.write_all_at(own.as_bytes(), 0)?;
    if len > own.len() { lock.set_len(own.len() as u64) } else { Ok(()) }
}

/// The name of a network file system, by the type number `statfs` gives; `None` for a local one.
///
/// Numbers: linux/magic.h (public kernel header). Locks and syncs on these are not to be trusted.
pub fn network_drive(kind: i64) -> Option<&'static str> {
    Some(match kind as u32 {
        0x6969 => "NFS",
        0x517B => "SMB",
        0xFF53_4D42 => "CIFS",
        0xFE53_4D42 => "SMB2",
        0x0102_1997 => "9P",
        0x5346_414F => "AFS",
        0x00C3_6400 => "Ceph",
        0x7375_7245 => "Coda",
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn network_drives_are_known_by_number() {
        assert_eq!(network_drive(0x6969), Some("NFS"));
        assert_eq!(network_drive(0xFF53_4D42_u32 as i64), Some("CIFS"));
        assert_eq!(
            network_drive(0xFF53_4D42_u32 as i32 as i64),
            Some("CIFS"),
            "sign-extended on some machines"
        );
        assert_eq!(network_drive(0xEF53), None, "ext4");
        assert_eq!(network_drive(0x0102_1994), None, "tmpfs");
    }

    #[test]
    fn a_lock_names_its_holder_and_readers_share() {
        let folder = tempfile::tempdir().unwrap();
        let disk = FolderDisk::new(folder.path());
        let held = disk.lock(LockKind::Exclusive, Duration::ZERO).unwrap();
        for kind in [LockKind::Shared, LockKind::Exclusive] {
            let Err(LockError::Held { pid }) = disk.lock(kind, Duration::from_millis(1)) else {
                panic!("{kind:?}")
            };
            assert_eq!(pid, Some(std::process::id()));
        }
        drop(held);
        let _one = disk.lock(LockKind::Shared, Duration::ZERO).unwrap();
        let _two = disk.lock(LockKind::Shared, Duration::ZERO).unwrap();
        assert!(disk.lock(LockKind::Exclusive, Duration::ZERO).is_err());
    }
}
