//! A disk in memory that keeps every step that was done to it, so that the state after a power cut can be worked out.
//!
//! A step changes what everyone sees at once, as a page cache does. Whether it lasts is decided by the syncs after it:
//! the first sync of its file makes it last; if that sync failed it may or may not last, whatever later syncs say
//! (a failed fsync marks the pages clean); without a sync it may or may not last. Names last by syncs of the folder.

use std::collections::BTreeMap;
use std::io;
use std::sync::{Arc, Condvar, Mutex, MutexGuard};
use std::time::{Duration, Instant};

use spareseat::logbook::{Disk, LockError, LockKind};

/// What a step is, for choosing which one fails.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Bytes into a file.
    Write,
    /// A file made to last.
    Sync,
    /// A file made shorter.
    Cut,
    /// A file under another name.
    Rename,
    /// The names made to last.
    SyncFolder,
}

/// One step; files are numbers, names point at them.
#[derive(Debug, Clone)]
enum Op {
    Write { file: usize, at: usize, bytes: Vec<u8> },
    Cut { file: usize, len: usize },
    Sync { file: usize, done: bool },
    Name { name: String, file: usize },
    Rename { from: String, to: String },
    SyncFolder { done: bool },
}

/// Which steps fail: of that kind (or all), after `skip` of them, `times` of them.
#[derive(Debug, Clone, Copy)]
pub struct Fault {
    /// Which kind; `None` for every kind.
    pub kind: Option<Kind>,
    /// How many go well first.
    pub skip: usize,
    /// How many fail then; `usize::MAX` for ever.
    pub times: usize,
}

/// What becomes of the steps that no sync made last.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fate {
    /// None of them.
    Dropped,
    /// All of them.
    Kept,
    /// Names and lengths, but the bytes are zeros.
    Zeroed,
    /// Of each write the first so many sectors of 512 bytes, and the file ends there.
    Torn(usize),
    /// Of each write the first so many sectors, zeros behind them.
    TornZeros(usize),
    /// Of each write zeros in the first so many sectors, the rest as written: disks write in any order.
    Hole(usize),
}

impl Fate {
    /// Every fate that makes a difference for writes of up to `sectors` sectors.
    pub fn all(sectors: usize) -> Vec<Self> {
        let torn = (1..sectors).flat_map(|n| [Self::Torn(n), Self::TornZeros(n), Self::Hole(n)]);
        [Self::Dropped, Self::Kept, Self::Zeroed].into_iter().chain(torn).collect()
    }
}

/// Names and contents.
pub type Files = BTreeMap<String, Vec<u8>>;

#[derive(Default)]
struct State {
    /// What lasted from the beginning.
    base: (Vec<Vec<u8>>, BTreeMap<String, usize>),
    ops: Vec<Op>,
    contents: Vec<Vec<u8>>,
    names: BTreeMap<String, usize>,
    fault: Option<Fault>,
    append_fails: bool,
    readers: usize,
    writer: bool,
    pause: Duration,
    after_unlock: Option<Box<dyn FnOnce() + Send>>,
}

#[derive(Default)]
struct Shared {
    state: Mutex<State>,
    freed: Condvar,
}

/// A handle; clones see the same disk, as two processes would.
#[derive(Clone, Default)]
pub struct SimDisk(Arc<Shared>);

fn lost(kind: Kind) -> io::Error {
    io::Error::other(format!("the disk failed on purpose ({kind:?})"))
}

impl SimDisk {
    /// A disk with these files on it, all of them lasting.
    pub fn holding(files: &Files) -> Self {
        let disk = Self::default();
        {
            let mut state = disk.state();
            for (name, content) in files {
                let file = state.contents.len();
                state.contents.push(content.clone());
                state.names.insert(name.clone(), file);
            }
            state.base = (state.contents.clone(), state.names.clone());
        }
        disk
    }

    fn state(&self) -> MutexGuard<'_, State> {
        self.0.state.lock().unwrap_or_else(|e| e.into_inner())
    }

    /// From now on these steps fail; `None` mends the disk.
    pub fn fail(&self, fault: Option<Fault>) {
        self.state().fault = fault;
    }

    /// The sync of the next append fails, whoever else syncs before it.
    pub fn fail_next_append(&self) {
        self.state().append_fails = true;
    }

    /// Every sync takes so long, with the bytes already to be seen.
    pub fn slow_syncs(&self, pause: Duration) {
        self.state().pause = pause;
    }

    /// Does this once, right after the next shared lock is given back: whatever another process may do then.
    pub fn after_next_unlock(&self, what: impl FnOnce() + Send + 'static) {
        self.state().after_unlock = Some(Box::new(what));
    }

    /// How many steps were done.
    pub fn steps(&self) -> usize {
        self.state().ops.len()
    }

    /// What everyone sees now.
    pub fn seen(&self) -> Files {
        let state = self.state();
        state.names.iter().map(|(name, file)| (name.clone(), state.contents[*file].clone())).collect()
    }

    /// What stands on the disk if the power goes after the first `steps` steps.
    pub fn after_power_cut(&self, steps: usize, fate: Fate) -> Files {
        let state = self.state();
        let ops = &state.ops[..steps];
        let lasts = |n: usize, file: Option<usize>| {
            let sync = ops[n + 1..].iter().find_map(|op| match (op, file) {
                (Op::Sync { file, done }, Some(own)) if *file == own => Some(*done),
                (Op::SyncFolder { done }, None) => Some(*done),
                _ => None,
            });
            sync == Some(true)
        };
        let mut contents: BTreeMap<usize, Vec<u8>> = state.base.0.iter().cloned().enumerate().collect();
        let mut names = state.base.1.clone();
        for (n, op) in ops.iter().enumerate() {
            match op {
                Op::Write { file, at, bytes } => {
                    let content = contents.entry(*file).or_default();
                    if lasts(n, Some(*file)) {
                        put(content, *at, bytes);
                    } else {
                        put_by_fate(content, *at, bytes, fate);
                    }
                }
                Op::Cut { file, len } if lasts(n, Some(*file)) || fate != Fate::Dropped => {
                    contents.entry(*file).or_default().truncate(*len);
                }
                Op::Name { name, file } if lasts(n, None) || fate != Fate::Dropped => {
                    names.insert(name.clone(), *file);
                }
                Op::Rename { from, to } if lasts(n, None) || fate != Fate::Dropped => {
                    let file = names.remove(from);
                    names.extend(file.map(|file| (to.clone(), file)));
                }
                _ => {}
            }
        }
        names
            .into_iter()
            .map(|(name, file)| (name, contents.get(&file).cloned().unwrap_or_default()))
            .collect()
    }

    /// Does one step, or fails it; a failed write leaves half of its bytes behind.
    fn step(&self, kind: Kind, op: Op) -> io::Result<()> {
        let mut state = self.state();
        let fails = matches!(op, Op::Sync { done: false, .. });
        let fails = fails
            || match &mut state.fault {
                Some(fault) if fault.kind.is_none_or(|k| k == kind) => {
                    if fault.skip > 0 {
                        fault.skip -= 1;
                        false
                    } else if fault.times > 0 {
                        fault.times = if fault.times == usize::MAX { usize::MAX } else { fault.times - 1 };
                        true
                    } else {
                        false
                    }
                }
                _ => false,
            };
        let op = match op {
            Op::Write { file, at, mut bytes } if fails => {
                bytes.truncate(bytes.len() / 2);
                Op::Write { file, at, bytes }
            }
            Op::Sync { file, .. } => Op::Sync { file, done: !fails },
            Op::SyncFolder { .. } => Op::SyncFolder { done: !fails },
            Op::Cut { .. } | Op::Rename { .. } if fails => return Err(lost(kind)),
            op => op,
        };
        match &op {
            Op::Write { file, at, bytes } => {
                let (file, at) = (*file, *at);
                put(&mut state.contents[file], at, bytes);
            }
            Op::Cut { file, len } => state.contents[*file].truncate(*len),
            Op::Name { name, file } => {
                state.names.insert(name.clone(), *file);
            }
            Op::Rename { from, to } => {
                let file =
                    state.names.remove(from).ok_or_else(|| io::Error::from(io::ErrorKind::NotFound))?;
                state.names.insert(to.clone(), file);
            }
            Op::Sync { .. } | Op::SyncFolder { .. } => {}
        }
        state.ops.push(op);
        let pause = if kind == Kind::Sync { state.pause } else { Duration::ZERO };
        drop(state);
        if !pause.is_zero() {
            std::thread::sleep(pause);
        }
        if fails { Err(lost(kind)) } else { Ok(()) }
    }

    fn file(&self, name: &str) -> io::Result<usize> {
        self.state().names.get(name).copied().ok_or_else(|| io::Error::from(io::ErrorKind::NotFound))
    }
}

fn put(content: &mut Vec<u8>, at: usize, bytes: &[u8]) {
    if content.len() < at + bytes.len() {
        content.resize(at + bytes.len(), 0);
    }
    content[at..at + bytes.len()].copy_from_slice(bytes);
}

/// Puts what is left of an unsynced write. Sectors are counted from the file's beginning, as on a disk.
fn put_by_fate(content: &mut Vec<u8>, at: usize, bytes: &[u8], fate: Fate) {
    let first = |sectors: usize| bytes.len().min((at / 512 + sectors) * 512 - at);
    let mut left = bytes.to_vec();
    match fate {
        Fate::Dropped => return,
        Fate::Kept => {}
        Fate::Zeroed => left.fill(0),
        Fate::Torn(n) => left.truncate(first(n)),
        Fate::TornZeros(n) => left[first(n)..].fill(0),
        Fate::Hole(n) => left[..first(n)].fill(0),
    }
    put(content, at, &left);
}

/// Gives the lock back when dropped.
struct Held {
    disk: SimDisk,
    kind: LockKind,
}

impl Drop for Held {
    fn drop(&mut self) {
        let mut state = self.disk.state();
        let then = match self.kind {
            LockKind::Shared => {
                state.readers -= 1;
                state.after_unlock.take()
            }
            LockKind::Exclusive => {
                state.writer = false;
                None
            }
        };
        drop(state);
        self.disk.0.freed.notify_all();
        if let Some(then) = then {
            then();
        }
    }
}

impl Disk for SimDisk {
    fn len(&self, file: &str) -> io::Result<Option<u64>> {
        let state = self.state();
        Ok(state.names.get(file).map(|n| state.contents[*n].len() as u64))
    }

    fn read_at(&self, file: &str, offset: u64, most: usize) -> io::Result<Vec<u8>> {
        let n = self.file(file)?;
        let state = self.state();
        let from = state.contents[n].get(offset as usize..).unwrap_or_default();
        Ok(from[..from.len().min(most)].to_vec())
    }

    fn append(&self, file: &str, offset: u64, bytes: &[u8]) -> io::Result<()> {
        let n = self.file(file)?;
        self.step(Kind::Write, Op::Write { file: n, at: offset as usize, bytes: bytes.to_vec() })?;
        let fails = std::mem::take(&mut self.state().append_fails);
        self.step(Kind::Sync, Op::Sync { file: n, done: !fails })
    }

    fn sync(&self, file: &str) -> io::Result<()> {
        self.step(Kind::Sync, Op::Sync { file: self.file(file)?, done: true })
    }

    fn cut(&self, file: &str, len: u64) -> io::Result<()> {
        let n = self.file(file)?;
        self.step(Kind::Cut, Op::Cut { file: n, len: len as usize })?;
        self.step(Kind::Sync, Op::Sync { file: n, done: true })
    }

    fn place(&self, file: &str, bytes: &[u8]) -> io::Result<()> {
        let temporary = format!("{file}.new");
        let n = {
            let mut state = self.state();
            state.contents.push(Vec::new());
            state.contents.len() - 1
        };
        let name = Op::Name { name: temporary.clone(), file: n };
        let placed = self
            .step(Kind::Write, name)
            .and_then(|()| self.step(Kind::Write, Op::Write { file: n, at: 0, bytes: bytes.to_vec() }))
            .and_then(|()| self.step(Kind::Sync, Op::Sync { file: n, done: true }))
            .and_then(|()| {
                self.step(Kind::Rename, Op::Rename { from: temporary.clone(), to: file.to_owned() })
            })
            .and_then(|()| self.step(Kind::SyncFolder, Op::SyncFolder { done: true }));
        if placed.is_err() {
            self.state().names.remove(&temporary);
        }
        placed
    }

    fn lock(&self, kind: LockKind, patience: Duration) -> Result<Box<dyn Send>, LockError> {
        let until = Instant::now() + patience;
        let mut state = self.state();
        loop {
            let free = match kind {
                LockKind::Shared => !state.writer,
                LockKind::Exclusive => !state.writer && state.readers == 0,
            };
            if free {
                match kind {
                    LockKind::Shared => state.readers += 1,
                    LockKind::Exclusive => state.writer = true,
                }
                return Ok(Box::new(Held { disk: self.clone(), kind }));
            }
            let left = until.saturating_duration_since(Instant::now());
            if left.is_zero() {
                return Err(LockError::Held { pid: Some(1) });
            }
            state = self.0.freed.wait_timeout(state, left).unwrap_or_else(|e| e.into_inner()).0;
        }
    }
}

#[test]
fn a_power_cut_takes_what_was_not_synced() {
    let disk = SimDisk::default();
    disk.place("a", b"one").unwrap();
    disk.append("a", 3, &[b'x'; 1200]).unwrap();
    let (all, name) = (disk.steps(), "a".to_owned());
    // make, write, sync, rename, sync the folder; write, sync
    assert_eq!(all, 7);
    assert_eq!(disk.after_power_cut(3, Fate::Dropped), Files::new());
    assert_eq!(disk.after_power_cut(5, Fate::Dropped)[&name], b"one");
    assert_eq!(disk.after_power_cut(7, Fate::Dropped)[&name].len(), 1203);
    for (fate, len, zeros) in [
        (Fate::Dropped, 3, 0),
        (Fate::Kept, 1203, 0),
        (Fate::Zeroed, 1203, 1200),
        (Fate::Torn(1), 512, 0),
        (Fate::TornZeros(2), 1203, 179),
        (Fate::Hole(1), 1203, 509),
    ] {
        let files = disk.after_power_cut(6, fate);
        let left = &files[&name];
        assert_eq!((left.len(), left.iter().filter(|b| **b == 0).count()), (len, zeros), "{fate:?}");
    }
    // A sync that failed once is not mended by the next one.
    disk.fail(Some(Fault { kind: Some(Kind::Sync), skip: 0, times: 1 }));
    disk.append("a", 1203, b"tail").unwrap_err();
    disk.sync("a").unwrap();
    assert_eq!(disk.seen()[&name].len(), 1207);
    assert_eq!(disk.after_power_cut(disk.steps(), Fate::Dropped)[&name].len(), 1203);
    assert_eq!(disk.after_power_cut(disk.steps(), Fate::Kept)[&name].len(), 1207);
}
