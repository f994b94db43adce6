//! Much at once: rows in bulk into a store, and an edition of the catalogue into a view.

use std::collections::{BTreeMap, HashMap};
use std::io::BufReader;
use std::ops::ControlFlow;

use serde::Serialize;

use super::{View, ViewError, row_key};
use crate::catalog::{Edition, EditionLine, Kind, Part, Port};
use crate::logbook::Logbook;
use crate::record::codec;
use crate::record::key::{self, tag};
use crate::store::{Store, Write};
use crate::units::PartCode;

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
}

impl Target<'_> {
    fn put(&mut self, (key, row): Write) -> Result<(), ViewError> {
        match self {
            Self::Store(bulk) => bulk.put((key, row))?,
            Self::Memory(rows) => {
                rows.insert(key, row);
            }
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
        const OLD: [u8; 4] = [tag::PART, tag::INDEX, tag::INTERFACE, tag::SYSTEM];
        let mut target = match &self.base {
            None => {
                self.packed.retain(|key, _| !OLD.contains(&key[0]));
                Target::Memory(&mut self.packed)
            }
            Some(base) => {
                mark(&**base)?;
                let mut bulk = Bulk::new(&**base);
                for tag in OLD.iter().filter(|_| !self.base_is_empty) {
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
        let mut loader =
            Loader { target: &mut target, buckets: 1, at: 0, bucket: Vec::new(), index: HashMap::new() };
        let content = BufReader::with_capacity(1 << 16, logbook.fetch(&edition)?);
        Edition::stream(content, |line| loader.line(line))?;
        let buckets = loader.finish()?;
        if let Target::Store(bulk) = target {
            bulk.finish()?;
            self.base_is_empty = false;
        }
        self.head.buckets = buckets;
        self.head.loaded = Some(edition);
        Ok(())
    }
}

struct Loader<'t, 'v> {
    target: &'t mut Target<'v>,
    buckets: u32,
    at: u32,
    bucket: Vec<Part>,
    index: HashMap<Vec<u8>, Vec<PartCode>>,
}

impl Loader<'_, '_> {
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
                    self.index.entry(list).or_default().push(part.code.clone());
                }
                self.bucket.push(*part);
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
        let mut lists: Vec<(Vec<u8>, Vec<PartCode>)> = self.index.into_iter().collect();
        lists.sort();
        for (list, codes) in lists {
            self.target.put_list(&list, &codes)?;
        }
        Ok(self.buckets)
    }
}

/// The lists a part is found in.
fn lists_with(part: &Part) -> Vec<Vec<u8>> {
    let mut lists = vec![key::by_system(part.kind, &part.system)];
    for port in &part.ports {
        match port {
            Port::Seat(seat) => lists.push(key::by_interface(part.kind, &seat.interface)),
            // Only tools are looked for by their thread alone.
            Port::Thread(thread) if matches!(part.kind, Kind::RemovalTool | Kind::RetrievalSet) => {
                lists.extend(key::by_thread(part.kind, thread));
            }
            _ => {}
        }
    }
    if let (Kind::Driver, Some(drive)) = (part.kind, part.drive.known()) {
        lists.push(key::by_drive(drive));
    }
    lists.sort();
    lists.dedup();
    lists
}
