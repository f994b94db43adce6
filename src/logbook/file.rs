//! The logbook in one file, `logbook.jsonl`, with its editions beside it.

use std::io::{BufReader, Read, Write as _};
use std::ops::ControlFlow;
use std::sync::Mutex;
use std::time::Duration;

use flate2::Compression;
use flate2::read::GzDecoder;
use flate2::write::GzEncoder;

use super::chain;
use super::checked::Checked;
use super::disk::{Disk, LockError, LockKind};
use super::line::{self, Draft, Founding, Head, LineRef, LogbookId, draft_line, next_line};
use super::sum::Sum;
use super::{Append, EachLine, Logbook, LogbookError, Tail};
use crate::catalog::EditionId;

/// The file's name in the home.
pub const LOGBOOK_FILE: &str = "logbook.jsonl";

const WAIT_TO_WRITE: Duration = Duration::from_secs(10);
const WAIT_TO_READ: Duration = Duration::from_secs(2);
const CHUNK: usize = 1 << 20;

/// A logbook on a disk.
pub struct FileLogbook<D> {
    disk: D,
    /// One writer in this process at a time, before the lock that keeps other processes out.
    writing: Mutex<()>,
}

impl<D: Disk> FileLogbook<D> {
    /// The logbook on `disk`; it need not exist yet.
    pub fn new(disk: D) -> Self {
        Self { disk, writing: Mutex::new(()) }
    }

    /// The disk below.
    pub fn disk(&self) -> &D {
        &self.disk
    }

    /// Writes the first line, if there is none yet; whoever comes second is told so with `Moved`.
    pub fn found(&self, id: LogbookId, draft: &Draft) -> Result<Append, LogbookError> {
        let _mutex = self.writing.lock().unwrap_or_else(|e| e.into_inner());
        let _lock = self.lock(LockKind::Exclusive, WAIT_TO_WRITE)?;
        if self.len()?.is_some() {
            return Ok(Append::Moved);
        }
        let (bytes, head) = draft_line(&Head::start(id), draft);
        let doing = "make the logbook";
        self.disk.place(LOGBOOK_FILE, &bytes).map_err(|why| LogbookError::NotWritten { doing, why })?;
        Ok(Append::Appended(head, None))
    }

    /// Copies the whole logbook, as it stands under the lock, to `take`.
    pub fn copy(&self, take: &mut dyn FnMut(&[u8]) -> std::io::Result<()>) -> Result<(), LogbookError> {
        let _lock = self.lock(LockKind::Shared, WAIT_TO_READ)?;
        let len = self.len()?.ok_or(LogbookError::Missing)?;
        let mut at = 0;
        while at < len {
            let bytes = self.bytes(at, CHUNK)?;
            if bytes.is_empty() {
                break;
            }
            at += bytes.len() as u64;
            take(&bytes).map_err(|why| LogbookError::Unreadable { what: "the copy".to_owned(), why })?;
        }
        Ok(())
    }

    fn lock(&self, kind: LockKind, patience: Duration) -> Result<Box<dyn Send>, LogbookError> {
        self.disk.lock(kind, patience).map_err(|e| match e {
            LockError::Held { pid } => LogbookError::Locked { pid, seconds: patience.as_secs() },
            LockError::Io(why) if kind == LockKind::Exclusive => {
                LogbookError::NotWritten { doing: "lock the logbook", why }
            }
            LockError::Io(why) => LogbookError::Unreadable { what: "the lock".to_owned(), why },
        })
    }

    fn len(&self) -> Result<Option<u64>, LogbookError> {
        self.disk.len(LOGBOOK_FILE).map_err(LogbookError::unreadable)
    }

    fn bytes(&self, offset: u64, most: usize) -> Result<Vec<u8>, LogbookError> {
        self.disk.read_at(LOGBOOK_FILE, offset, most).map_err(LogbookError::unreadable)
    }

    /// Whether the line of `head` still stands where it stood, by its own sum.
    fn still_holds(&self, head: &Head) -> Result<bool, LogbookError> {
        if head.seq == 0 {
            return Ok(true);
        }
        // The line and the sum of the one before it; 8 KiB hold both almost always.
        for reach in [8 << 10, (line::MOST_BYTES as u64) + 256] {
            let from = head.offset.saturating_sub(reach);
            let bytes = self.bytes(from, (head.offset - from) as usize)?;
            if bytes.len() as u64 != head.offset - from || bytes.last() != Some(&b'\n') {
                return Ok(false);
            }
            let text = &bytes[..bytes.len() - 1];
            let begin = text.iter().rposition(|b| *b == b'\n').map(|n| n + 1);
            let Some(begin) = begin.or((from == 0).then_some(0)) else { continue };
            let before = match begin {
                0 => Sum::ZERO,
                // The newline, `"}` and 64 digits before it.
                n if n >= 67 => match Sum::parse(&text[n - 67..n - 3]) {
                    Some(sum) => sum,
                    None => return Ok(false),
                },
                _ => continue,
            };
            let offset = from + begin as u64;
            let stood = Head { id: head.id, seq: head.seq - 1, sum: before, offset };
            return Ok(matches!(next_line(&stood, &text[begin..]), Ok((_, h)) if h.sum == head.sum));
        }
        Ok(false)
    }

    /// The line of `seen` is not where it stood: says whether that is damage, loss or another logbook.
    fn diagnose(&self, seen: &Head) -> LogbookError {
        let mut found = 0;
        let start = Head::start(seen.id);
        let len = match self.len() {
            Ok(len) => len.unwrap_or(0),
            Err(e) => return e,
        };
        match self.scan(&start, len, &mut |line, _| {
            found = line.seq;
            ControlFlow::Continue(())
        }) {
            Ok(_) if found < seen.seq => LogbookError::Lost { seen: seen.seq, found },
            Ok(_) => LogbookError::Other { seen: seen.seq, found },
            Err(e) => e,
        }
    }

    fn scan(&self, after: &Head, until: u64, each: &mut EachLine<'_>) -> Result<(Head, Tail), LogbookError> {
        chain::scan(&self.disk, after, until, each)
    }

    /// Without the lock only the last line may be unsynced, since nobody writes one before he has synced those before
    /// it: everything but that line is read, so that a look-up is answered while a stopped program holds the lock.
    fn read_settled(&self, after: &Head, each: &mut EachLine<'_>) -> Result<(), LogbookError> {
        let len = self.len()?.ok_or(LogbookError::Missing)?;
        if !self.still_holds(after)? {
            return Ok(()); // whose lock it is will say more once he lets go of it
        }
        let from = len.saturating_sub(2 * line::MOST_BYTES as u64);
        let bytes = self.bytes(from, (len - from) as usize)?;
        let ends = |bytes: &[u8]| bytes.iter().rposition(|b| *b == b'\n');
        let last = ends(&bytes).and_then(|end| ends(&bytes[..end])).map_or(0, |end| from + end as u64 + 1);
        self.scan(after, last, each).map(|_| ())
    }

    /// Whether what stands between `after` and `len` ends in a line that no writer will ever set aside.
    fn ends_finished(&self, after: &Head, len: u64) -> Result<bool, LogbookError> {
        let from = len.saturating_sub(line::MOST_BYTES as u64).max(after.offset);
        let bytes = self.bytes(from, len.saturating_sub(from) as usize)?;
        let Some((last, before)) = bytes.split_last() else { return Ok(true) };
        let begin = before.iter().rposition(|b| *b == b'\n').map_or(0, |n| n + 1);
        Ok(*last == b'\n' && !before[begin..].contains(&0))
    }

    /// Moves what stands after `head` to cut-off/; it was never acknowledged.
    fn cut_off(&self, head: &Head, bytes: u64) -> Result<String, LogbookError> {
        let doing = "set the unfinished line aside";
        let wrong = |why| LogbookError::NotWritten { doing, why };
        let content = self.bytes(head.offset, bytes as usize)?;
        let name = format!("cut-off/after-entry-{}-{}", head.seq, &EditionId::of(&content).as_str()[..16]);
        self.disk.place(&name, &content).map_err(wrong)?;
        self.disk.cut(LOGBOOK_FILE, head.offset).map_err(wrong)?;
        Ok(name)
    }
}

fn edition_file(edition: &EditionId) -> String {
    format!("editions/{edition}.jsonl.gz")
}

impl<D: Disk> Logbook for FileLogbook<D> {
    fn identity(&self) -> Result<LogbookId, LogbookError> {
        #[derive(serde::Deserialize)]
        struct First {
            #[serde(rename = "new.1")]
            founding: Founding,
        }
        let mut first = None;
        let len = self.len()?.ok_or(LogbookError::Missing)?;
        let start = Head::start(LogbookId::from_bits(0));
        self.scan(&start, len, &mut |line, _| {
            first = serde_json::from_str::<First>(line.entry).ok();
            ControlFlow::Break(())
        })?;
        let why = || "it does not say which logbook this is".to_owned();
        match first {
            Some(First { founding }) if founding.format == 1 => Ok(founding.logbook),
            Some(First { founding }) => {
                Err(LogbookError::Newer { line: 1, format: u64::from(founding.format) })
            }
            None => Err(LogbookError::Damaged { line: 1, why: why() }),
        }
    }

    fn has_grown(&self, head: &Head) -> Result<bool, LogbookError> {
        Ok(self.len()?.ok_or(LogbookError::Missing)? != head.offset || !self.still_holds(head)?)
    }

    fn read(&self, after: &Head, each: &mut EachLine<'_>) -> Result<Tail, LogbookError> {
        let lock = match self.lock(LockKind::Shared, WAIT_TO_READ) {
            Ok(lock) => lock,
            Err(locked @ LogbookError::Locked { .. }) => {
                self.read_settled(after, each)?;
                return Err(locked);
            }
            Err(e) => return Err(e),
        };
        let len = self.len()?.ok_or(LogbookError::Missing)?;
        if !self.still_holds(after)? {
            return Err(self.diagnose(after));
        }
        if len > after.offset {
            // A writer may have been killed between its write and its sync: no view may hold that line yet.
            match self.disk.sync(LOGBOOK_FILE) {
                Err(why) if why.kind() != std::io::ErrorKind::ReadOnlyFilesystem => {
                    return Err(LogbookError::unreadable(why));
                }
                _ => {}
            }
        }
        // Finished lines never change, so a long read keeps no writer waiting. An unfinished one may be set aside and
        // written over, by a line whose sync then fails: it is read with the lock held.
        let _lock = if self.ends_finished(after, len)? {
            drop(lock);
            None
        } else {
            Some(lock)
        };
        self.scan(after, len, each).map(|(_, tail)| tail)
    }

    fn append(&self, after: &Head, draft: &Draft) -> Result<Append, LogbookError> {
        let (bytes, head) = draft_line(after, draft);
        if bytes.len() > line::MOST_BYTES {
            return Err(LogbookError::TooLong { len: bytes.len(), most: line::MOST_BYTES });
        }
        let _mutex = self.writing.lock().unwrap_or_else(|e| e.into_inner());
        let _lock = self.lock(LockKind::Exclusive, WAIT_TO_WRITE)?;
        let len = self.len()?.ok_or(LogbookError::Missing)?;
        if !self.still_holds(after)? {
            return Err(self.diagnose(after));
        }
        let mut set_aside = None;
        if len != after.offset {
            let (now, tail) = self.scan(after, len, &mut |_: &LineRef<'_>, _| ControlFlow::Break(()))?;
            if now.seq != after.seq {
                return Ok(Append::Moved);
            }
            if let Tail::Unfinished { bytes } = tail {
                set_aside = Some(self.cut_off(after, bytes)?);
            }
        }
        let doing = "write to the logbook";
        if let Err(why) = self.disk.append(LOGBOOK_FILE, after.offset, &bytes) {
            return Err(match self.disk.cut(LOGBOOK_FILE, after.offset) {
                Ok(()) => LogbookError::NotWritten { doing, why },
                Err(back) => LogbookError::Uncertain { doing, why, back },
            });
        }
        Ok(Append::Appended(head, set_aside))
    }

    fn keep(&self, content: &[u8]) -> Result<EditionId, LogbookError> {
        let doing = "keep the catalogue edition";
        let wrong = |why| LogbookError::NotWritten { doing, why };
        let edition = EditionId::of(content);
        let mut gzip = GzEncoder::new(Vec::new(), Compression::default());
        let bytes = gzip.write_all(content).and_then(|()| gzip.finish()).map_err(wrong)?;
        self.disk.place(&edition_file(&edition), &bytes).map_err(wrong)?;
        Ok(edition)
    }

    fn fetch(&self, edition: &EditionId) -> Result<Box<dyn Read + '_>, LogbookError> {
        let wrong = |why: String| LogbookError::Edition { edition: edition.clone(), why };
        let file = edition_file(edition);
        let len = self.disk.len(&file).map_err(|e| wrong(format!("cannot be read: {e}")))?;
        len.ok_or_else(|| wrong(format!("is missing: expected the file {file}")))?;
        let bytes = BufReader::with_capacity(CHUNK, DiskReader { disk: &self.disk, file, at: 0 });
        Ok(Box::new(Checked::new(GzDecoder::new(bytes), edition.clone())))
    }
}

/// A file of a disk, read from its beginning.
struct DiskReader<'d, D> {
    disk: &'d D,
    file: String,
    at: u64,
}

impl<D: Disk> Read for DiskReader<'_, D> {
    fn read(&mut self, buf: &mut [u8]) -> std::io::Result<usize> {
        let bytes = self.disk.read_at(&self.file, self.at, buf.len())?;
        buf[..bytes.len()].copy_from_slice(&bytes);
        self.at += bytes.len() as u64;
        Ok(bytes.len())
    }
}
