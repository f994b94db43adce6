//! A logbook in memory: for trying an act, for tests, and as the second voice in the contract suite.

use std::collections::HashMap;
use std::io::{Cursor, Read};
use std::ops::ControlFlow;
use std::sync::Mutex;

use super::checked::Checked;
use super::line::{Draft, Head, LogbookId, MOST_BYTES, draft_line, next_line};
use super::{Append, EachLine, Logbook, LogbookError, Tail};
use crate::catalog::EditionId;

/// Lines and editions in memory.
pub struct MemoryLogbook {
    id: LogbookId,
    inner: Mutex<Inner>,
}

struct Inner {
    lines: Vec<(Vec<u8>, Head)>,
    editions: HashMap<EditionId, Vec<u8>>,
}

impl MemoryLogbook {
    /// Empty, under this identity.
    pub fn new(id: LogbookId) -> Self {
        Self { id, inner: Mutex::new(Inner { lines: Vec::new(), editions: HashMap::new() }) }
    }

    fn inner(&self) -> std::sync::MutexGuard<'_, Inner> {
        self.inner.lock().unwrap_or_else(|e| e.into_inner())
    }
}

impl Inner {
    fn holds(&self, head: &Head) -> Result<(), LogbookError> {
        let (seen, found) = (head.seq, self.lines.len() as u64);
        if seen == 0 {
            return Ok(());
        }
        match self.lines.get(seen as usize - 1) {
            None => Err(LogbookError::Lost { seen, found }),
            Some((_, there)) if there.sum != head.sum => Err(LogbookError::Other { seen, found }),
            Some(_) => Ok(()),
        }
    }
}

impl Logbook for MemoryLogbook {
    fn identity(&self) -> Result<LogbookId, LogbookError> {
        Ok(self.id)
    }

    fn has_grown(&self, head: &Head) -> Result<bool, LogbookError> {
        let inner = self.inner();
        Ok(inner.holds(head).is_err() || inner.lines.len() as u64 != head.seq)
    }

    fn read(&self, after: &Head, each: &mut EachLine<'_>) -> Result<Tail, LogbookError> {
        let inner = self.inner();
        inner.holds(after)?;
        let mut head = *after;
        for (bytes, next) in &inner.lines[after.seq as usize..] {
            let (line, _) = next_line(&head, &bytes[..bytes.len() - 1])
                .map_err(|e| LogbookError::Damaged { line: next.seq, why: format!("{e:?}") })?;
            head = *next;
            if each(&line, &head) == ControlFlow::Break(()) {
                break;
            }
        }
        Ok(Tail::Clean)
    }

    fn append(&self, after: &Head, draft: &Draft) -> Result<Append, LogbookError> {
        let mut inner = self.inner();
        inner.holds(after)?;
        if inner.lines.len() as u64 != after.seq {
            return Ok(Append::Moved);
        }
        let (bytes, head) = draft_line(after, draft);
        if bytes.len() > MOST_BYTES {
            return Err(LogbookError::TooLong { len: bytes.len(), most: MOST_BYTES });
        }
        inner.lines.push((bytes, head));
        Ok(Append::Appended(head, None))
    }

    fn keep(&self, content: &[u8]) -> Result<EditionId, LogbookError> {
        let edition = EditionId::of(content);
        self.inner().editions.insert(edition.clone(), content.to_vec());
        Ok(edition)
    }

    fn fetch(&self, edition: &EditionId) -> Result<Box<dyn Read + '_>, LogbookError> {
        let why = || "is missing".to_owned();
        let found = self.inner().editions.get(edition).cloned();
        let content = found.ok_or_else(|| LogbookError::Edition { edition: edition.clone(), why: why() })?;
        Ok(Box::new(Checked::new(Cursor::new(content), edition.clone())))
    }
}
