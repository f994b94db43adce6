//! The lines of the file, block by block, with their sums checked.
//!
//! Tail rules: no newline at the end, or NULs, means never acknowledged; a newline with a wrong sum is damage.
//! A long read has its sums checked by a second thread while the caller takes the lines before them.

use std::ops::ControlFlow;
use std::sync::mpsc;

use super::disk::Disk;
use super::line::{self, Head, NextError, check_sum, next_line, parse_line};
use super::{EachLine, LOGBOOK_FILE, LogbookError, Tail};

/// Who looks for one line does not read a megabyte; who reads on does not read in small pieces.
const FIRST_BLOCK: usize = 4 << 10;
const BLOCK: usize = 1 << 20;
/// From this many bytes on a second thread pays.
const LONG: u64 = 8 << 20;
/// How many blocks the second thread may be ahead.
const AHEAD: usize = 4;

/// Whole lines, each with the head after it; behind them how the reading ended, when it did.
struct Block {
    bytes: Vec<u8>,
    lines: Vec<(usize, usize, Head)>,
    end: Option<Result<Tail, LogbookError>>,
}

/// Reads on from a head.
struct Chain<'d, D> {
    disk: &'d D,
    head: Head,
    until: u64,
    read_to: u64,
    size: usize,
    /// The beginning of a line whose end was not read yet.
    rest: Vec<u8>,
}

/// Gives every good line after `after` and before `until` to `each`; what is behind the last one is the tail.
pub fn scan<D: Disk>(
    disk: &D,
    after: &Head,
    until: u64,
    each: &mut EachLine<'_>,
) -> Result<(Head, Tail), LogbookError> {
    let (head, read_to) = (*after, after.offset);
    let mut chain = Chain { disk, head, until, read_to, size: FIRST_BLOCK, rest: Vec::new() };
    let mut head = *after;
    // Most who ask want one line, or the few at the end.
    while chain.size < BLOCK || until.saturating_sub(chain.read_to) < LONG {
        if let Some(end) = take(chain.block(), &mut head, each) {
            return end.map(|tail| (head, tail));
        }
    }
    std::thread::scope(|scope| {
        let (send, receive) = mpsc::sync_channel(AHEAD);
        scope.spawn(move || {
            loop {
                let block = chain.block();
                let last = block.end.is_some();
                // Nobody listens any more: the caller has what it wanted.
                if send.send(block).is_err() || last {
                    break;
                }
            }
        });
        for block in receive {
            if let Some(end) = take(block, &mut head, each) {
                return end.map(|tail| (head, tail));
            }
        }
        unreachable!("the last block has an end, and it is sent")
    })
}

/// Gives the lines of a block to `each`; how the reading ended, if it did.
fn take(block: Block, head: &mut Head, each: &mut EachLine<'_>) -> Option<Result<Tail, LogbookError>> {
    for (begin, end, next) in block.lines {
        match parse_line(head, &block.bytes[begin..end]) {
            Ok(line) => {
                *head = next;
                if each(&line, head) == ControlFlow::Break(()) {
                    return Some(Ok(Tail::Clean));
                }
            }
            Err(NextError::Newer(format)) => {
                return Some(Err(LogbookError::Newer { line: head.seq + 1, format }));
            }
            Err(NextError::Wrong(why)) => {
                return Some(Err(LogbookError::Damaged { line: head.seq + 1, why }));
            }
        }
    }
    block.end
}

impl<D: Disk> Chain<'_, D> {
    fn block(&mut self) -> Block {
        let mut lines = Vec::new();
        let mut bytes = std::mem::take(&mut self.rest);
        let most = self.size.min(self.until.saturating_sub(self.read_to) as usize);
        self.size = (self.size * 4).min(BLOCK);
        match self.disk.read_at(LOGBOOK_FILE, self.read_to, most) {
            Ok(read) => {
                self.read_to += read.len() as u64;
                let last = read.is_empty();
                bytes.extend_from_slice(&read);
                let end = self.lines(&mut bytes, last, &mut lines);
                Block { bytes, lines, end }
            }
            Err(e) => Block { bytes, lines, end: Some(Err(LogbookError::unreadable(e))) },
        }
    }

    /// Checks the whole lines in `bytes` and keeps what is behind them for the next block.
    fn lines(
        &mut self,
        bytes: &mut Vec<u8>,
        last: bool,
        lines: &mut Vec<(usize, usize, Head)>,
    ) -> Option<Result<Tail, LogbookError>> {
        let damaged = |head: &Head, why: &str| {
            Some(Err(LogbookError::Damaged { line: head.seq + 1, why: why.to_owned() }))
        };
        let mut begin = 0;
        while let Some(len) = bytes[begin..].iter().position(|b| *b == b'\n') {
            let line = &bytes[begin..begin + len];
            match check_sum(&self.head, line) {
                Ok(next) => self.head = next,
                Err(why) => {
                    let rest = bytes.len() - begin - len - 1;
                    // Blocks of an unsynced last line read as NULs after a power cut.
                    if line.contains(&0) && rest == 0 && self.read_to >= self.until {
                        return Some(Ok(Tail::Unfinished { bytes: len as u64 + 1 }));
                    }
                    return damaged(&self.head, why);
                }
            }
            lines.push((begin, begin + len, self.head));
            begin += len + 1;
        }
        self.rest = bytes.split_off(begin);
        if !last {
            let too_long = self.rest.len() > line::MOST_BYTES;
            return if too_long { damaged(&self.head, "it is longer than any line") } else { None };
        }
        let Some((stray, whole)) = self.rest.split_last() else { return Some(Ok(Tail::Clean)) };
        // A whole good line and one stray byte after it is no torn write: its newline was hurt.
        if *stray != 0 && next_line(&self.head, whole).is_ok() {
            return damaged(&self.head, "its newline is damaged");
        }
        Some(Ok(Tail::Unfinished { bytes: self.rest.len() as u64 }))
    }
}
