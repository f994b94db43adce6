//! Much at once: rows in bulk into a store, and an edition of the catalogue into a view.

use std::collections::{BTreeMap, HashMap};
use std::io::{self, BufReader, Read};
use std::ops::ControlFlow;
use std::sync::mpsc;

use serde::Serialize;

use super::earlier::Earlier;
use super::{EarlierRow, IndexRow, PartRow, RowSum, Rows, View, ViewError, row_key};
use crate::catalog::{Edition, EditionId, EditionLine, Kind, Part, Port};
use crate::logbook::Logbook;
use crate::record::codec::{self, Sealed};
use crate::record::key::{self, tag};
use crate::store::{Store, Write};

/// How many rows go into the store in one batch; more at once cost sled memory.
pub(super) const BATCH: usize = 64;
/// How many parts a bucket holds on average: sled costs by page, not by byte.
const BUCKET: u32 = 12;

/// Says durably that what follows is a bulk: a view found with the mark is thrown away.
pub(super) fn mark(store: &dyn Store) -> Result<(), ViewError> {
    store.apply(vec![(key::MARK.to_vec(), Some(vec![1]))])?;
    Ok(store.flush()?)
}

/// Rows into a store, in the order they come, in batches. The mark is set before and cleared with the head.
pub(super) struct Bulk<'s> {
    store: &'s dyn Store,
    batch: Vec<Write>,
}

impl<'s> Bulk<'s> {
    pub(super) fn new(store: &'s dyn Store) -> Self {
        Self { store, batch: Vec::with_capacity(BATCH) }
    }

    pub(super) fn put(&mut self, write: Write) -> Result<(), ViewError> {
        self.batch.push(write);
        if self.batch.len() == BATCH {
            self.store.apply(std::mem::replace(&mut self.batch, Vec::with_capacity(BATCH)))?;
            self.store.flush()?;
        }
        Ok(())
    }

    pub(super) fn finish(self) -> Result<(), ViewError> {
        self.store.apply(self.batch)?;
        Ok(self.store.flush()?)
    }
}

/// Where the rows of an edition go.
enum Target<'v> {
    Store(Bulk<'v>),
    Memory(&'v mut BTreeMap<Vec<u8>, Option<Vec<u8>>>),
    Sum(&'v mut RowSum),
}

impl Target<'_> {
    fn put(&mut self, (key, row): Write) -> Result<(), ViewError> {
        match self {
            Self::Store(bulk) => bulk.put((key, row))?,
            Self::Memory(rows) => {
                rows.insert(key, row);
            }
            Self::Sum(sum) => sum.add(&key, row.as_deref().unwrap_or_default()),
        }
        Ok(())
    }

    fn put_list<T: Serialize>(&mut self, list: &[u8], items: &[T]) -> Result<(), ViewError> {
        for (n, row) in codec::encode(items)?.into_iter().enumerate() {
            self.put((row_key(list, n as u32), Some(row)))?;
        }
        Ok(())
    }
}

impl View {
    /// Puts the parts of the edition in force into the view, when others stand there.
    ///
    /// They go straight to the store, bucket by bucket as they come: an edition may be larger than memory.
    pub(in crate::record) fn load_edition(&mut self, logbook: &dyn Logbook) -> Result<(), ViewError> {
        let Some(edition) = self.head.edition.clone().filter(|e| self.head.loaded.as_ref() != Some(e)) else {
            return Ok(());
        };
        const OLD: [u8; 5] = [tag::PART, tag::INDEX, tag::INTERFACE, tag::SYSTEM, tag::EARLIER];
        // First, since an edition that is gone must leave everything as it is.
        let earlier = self.earlier_numbers(logbook, &edition)?;
        if !self.is_in_memory() {
            // What was folded makes room for the catalogue: as bytes it takes a third.
            self.pack_all()?;
        }
        let mut target = match &mut self.rows {
            Rows { base: None, packed, .. } => {
                packed.retain(|key, _| !OLD.contains(&key[0]));
                Target::Memory(packed)
            }
            Rows { base: Some(base), base_is_empty, .. } => {
                mark(&**base)?;
                let mut bulk = Bulk::new(&**base);
                for tag in OLD.iter().filter(|_| !*base_is_empty) {
                    let mut old: Vec<Vec<u8>> = Vec::new();
                    base.scan(&[*tag], &mut |key, _| {
                        old.push(key.to_vec());
                        ControlFlow::Continue(())
                    })?;
                    old.into_iter().try_for_each(|key| bulk.put((key, None)))?;
                }
                Target::Store(bulk)
            }
        };
        let buckets = Loader::load(logbook, &edition, earlier, &mut target)?;
        if let Target::Store(bulk) = target {
            bulk.finish()?;
            self.rows.base_is_empty = false;
        }
        self.head.buckets = buckets;
        self.head.loaded = Some(edition);
        Ok(())
    }
}

/// The sum of the rows that an edition makes beside the lots of a view, without keeping them.
pub(in crate::record) fn digest_edition(
    logbook: &dyn Logbook,
    edition: &EditionId,
    lots: &View,
) -> Result<RowSum, ViewError> {
    let mut sum = RowSum::default();
    let earlier = lots.earlier_numbers(logbook, edition)?;
    Loader::load(logbook, edition, earlier, &mut Target::Sum(&mut sum))?;
    Ok(sum)
}

struct Loader<'t, 'v> {
    target: &'t mut Target<'v>,
    buckets: u32,
    at: u32,
    bucket: Vec<PartRow>,
    index: HashMap<Vec<u8>, Vec<IndexRow>>,
    /// What lots came under; in the end only where this edition has other numbers.
    earlier: Earlier,
}

impl<'t, 'v> Loader<'t, 'v> {
    /// Puts the rows of an edition where they go; in how many buckets its parts stand.
    fn load(
        logbook: &dyn Logbook,
        edition: &EditionId,
        earlier: Earlier,
        target: &'t mut Target<'v>,
    ) -> Result<u32, ViewError> {
        drop(logbook.fetch(edition)?); // says in its own words that it is missing
        std::thread::scope(|scope| {
            // Unpacking and checking the sum takes as long as reading the lines: a thread for each.
            let (send, blocks) = mpsc::sync_channel(AHEAD);
            scope.spawn(move || unpack(logbook, edition, &send));
            let (bucket, index) = (Vec::new(), HashMap::new());
            let mut loader = Self { target, buckets: 1, at: 0, bucket, index, earlier };
            let content = BufReader::with_capacity(BLOCK, Blocks { blocks, block: Vec::new(), at: 0 });
            Edition::stream(content, |line| loader.line(line))?;
            loader.finish()
        })
    }

    fn line(&mut self, line: EditionLine) -> Result<(), ViewError> {
        match line {
            EditionLine::Edition { parts, .. } => self.buckets = parts.div_ceil(BUCKET).max(1),
            EditionLine::System(s) => self.target.put_list(&key::system(&s.id), &[s])?,
            EditionLine::Interface(i) => self.target.put_list(&key::interface(&i.id), &[i])?,
            EditionLine::Part(part) => {
                let bucket = key::bucket_of(&part.code, self.buckets);
                if bucket != self.at {
                    self.bucket_done()?;
                    self.at = bucket;
                }
                for list in lists_with(&part) {
                    self.index.entry(list).or_default().push((part.kind, part.code.clone()));
                }
                if let Some(earlier) = self.earlier.get_mut(&part.code) {
                    earlier.retain(|(_, was)| !was.is_same_as(&part));
                }
                let sealed = Sealed::of(&*part)?;
                self.bucket.push(PartRow { code: part.code, part: sealed });
            }
        }
        Ok(())
    }

    fn bucket_done(&mut self) -> Result<(), ViewError> {
        self.target.put_list(&key::parts(self.at), &self.bucket)?;
        self.bucket.clear();
        Ok(())
    }

    fn finish(mut self) -> Result<u32, ViewError> {
        self.bucket_done()?;
        let mut lists: Vec<(Vec<u8>, Vec<IndexRow>)> = self.index.into_iter().collect();
        lists.sort();
        for (list, codes) in lists {
            self.target.put_list(&list, &codes)?;
        }
        for (code, numbers) in self.earlier {
            let row = |(edition, part): (u64, Part)| Ok(EarlierRow { edition, part: Sealed::of(&part)? });
            let rows = numbers.into_iter().map(row).collect::<Result<Vec<_>, ViewError>>()?;
            self.target.put_list(&key::earlier(&code), &rows)?;
        }
        Ok(self.buckets)
    }
}

/// The lists a part is found in.
fn lists_with(part: &Part) -> Vec<Vec<u8>> {
    let mut lists = vec![key::by_system(&part.system)];
    for port in &part.ports {
        match port {
            Port::Seat(seat) => lists.push(key::by_interface(&seat.interface)),
            // Only tools are looked for by their thread alone.
            Port::Thread(thread) if matches!(part.kind, Kind::RemovalTool | Kind::RetrievalSet) => {
                lists.extend(key::by_thread(thread));
            }
            _ => {}
        }
    }
    if let (Kind::Driver, Some(drive)) = (part.kind, part.drive.known()) {
        lists.push(key::by_drive(drive));
    }
    lists.extend(part.item_numbers().map(|n| key::by_item_number(&n)));
    if part.kind.is_shared_tool() {
        lists.push(key::by_kind(part.kind));
    }
    lists.sort();
    lists.dedup();
    lists
}

/// How many bytes of content pass from thread to thread at once, and how many times that may wait.
const BLOCK: usize = 256 << 10;
const AHEAD: usize = 4;

/// Reads an edition to its end, or as long as anybody listens.
fn unpack(logbook: &dyn Logbook, edition: &EditionId, send: &mpsc::SyncSender<io::Result<Vec<u8>>>) {
    let mut content = match logbook.fetch(edition) {
        Ok(content) => content,
        Err(e) => {
            let _ = send.send(Err(io::Error::other(e.to_string())));
            return;
        }
    };
    loop {
        let mut block = Vec::with_capacity(BLOCK);
        let read = content.by_ref().take(BLOCK as u64).read_to_end(&mut block);
        let last = block.is_empty() || read.is_err();
        if send.send(read.map(|_| block)).is_err() || last {
            return;
        }
    }
}

/// The content as it comes from the other thread.
struct Blocks {
    blocks: mpsc::Receiver<io::Result<Vec<u8>>>,
    block: Vec<u8>,
    at: usize,
}

impl Read for Blocks {
    fn read(&mut self, buf: &mut [u8]) -> io::Result<usize> {
        if self.at == self.block.len() {
            let gone = |_| io::Error::other("it could not be unpacked");
            (self.block, self.at) = (self.blocks.recv().map_err(gone)??, 0);
        }
        let len = buf.len().min(self.block.len() - self.at);
        buf[..len].copy_from_slice(&self.block[self.at..self.at + len]);
        self.at += len;
        Ok(len)
    }
}
