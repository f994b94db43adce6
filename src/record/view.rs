//! The view: rows folded from the logbook, in memory or over a store, read by key.
//!
//! A row that was changed stays decoded in the cache until it is settled into the store in one batch with the head; a
//! view in memory never settles, its cache is the view.

use std::collections::{BTreeMap, HashMap};
use std::ops::ControlFlow;

use jiff::civil::Date;
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use thiserror::Error;

use super::codec::{self, CodecError};
use super::key::{self, tag};
use crate::case::{CaseHead, Event, Fitted, Restoration};
use crate::catalog::{Drive, Edition, EditionError, EditionId, EditionLine, Interface, Kind, Part, Port, System, Thread};
use crate::logbook::{Head, Logbook, LogbookError, LogbookId};
use crate::matching::Verification;
use crate::stock::StockLine;
use crate::store::{MemoryStore, Store, StoreError, Write};
use crate::units::{Act, CaseNumber, InterfaceId, Lot, PartCode, PlaceId, PracticeName, SystemId, Tooth};

/// How many rows go into the store between two flushes; more at once cost sled memory and open time.
const BATCH: usize = 64;
/// How many parts a bucket holds on average: sled costs by page, not by byte.
const BUCKET: u32 = 12;

/// Why the view does not answer. Every one of these means: throw it away and fold again.
#[derive(Debug, Error)]
pub enum ViewError {
    /// The store.
    #[error("the view cannot be used: {0}")]
    Store(#[from] StoreError),
    /// A row.
    #[error("the view cannot be used: {0}")]
    Codec(#[from] CodecError),
    /// The edition it should hold.
    #[error(transparent)]
    Edition(#[from] EditionError),
    /// The record that it should hold.
    #[error(transparent)]
    Logbook(#[from] LogbookError),
}

/// The view's own row about itself.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct HeadRow {
    /// Up to which line it is folded.
    pub head: Head,
    /// Whose logbook.
    pub practice: Option<PracticeName>,
    /// Made up, for trying things out.
    pub made_up: bool,
    /// The clock of the last entry, seconds since 1970.
    pub last_at: i64,
    /// The day the last entry counts for.
    pub last_on: Option<Date>,
    /// The catalogue edition in force.
    pub edition: Option<EditionId>,
    /// The edition whose parts stand in the view.
    pub loaded: Option<EditionId>,
    /// How many buckets they stand in.
    pub buckets: u32,
}

/// A drawer.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PlaceRow {
    /// Its slug.
    pub id: PlaceId,
}

/// A place in the house that went below zero: never, unless the record is wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BelowZero {
    /// At which entry.
    pub seq: u64,
    /// Which part.
    pub part: PartCode,
    /// Which lot.
    pub lot: Lot,
    /// Where.
    pub place: PlaceId,
    /// How many.
    pub quantity: i64,
}

macro_rules! lists {
    ($($variant:ident($item:ty),)*) => {
        /// A decoded list of one of the row types.
        #[doc(hidden)]
        #[allow(missing_docs)]
        #[derive(Debug, Clone)]
        pub enum List { $($variant(Vec<$item>),)* }

        impl List {
            fn encode(&self) -> Result<Vec<Vec<u8>>, CodecError> {
                match self { $(Self::$variant(items) => codec::encode(items),)* }
            }
        }

        $(impl Item for $item {
            fn wrap(items: Vec<Self>) -> List {
                List::$variant(items)
            }
            fn open(list: &List) -> Option<&Vec<Self>> {
                match list { List::$variant(items) => Some(items), _ => None }
            }
            fn open_mut(list: &mut List) -> Option<&mut Vec<Self>> {
                match list { List::$variant(items) => Some(items), _ => None }
            }
        })*
    };
}

/// What can stand in a row.
pub trait Item: Serialize + DeserializeOwned + Clone {
    #[doc(hidden)]
    fn wrap(items: Vec<Self>) -> List;
    #[doc(hidden)]
    fn open(list: &List) -> Option<&Vec<Self>>;
    #[doc(hidden)]
    fn open_mut(list: &mut List) -> Option<&mut Vec<Self>>;
}

lists! {
    Acts(ActRow),
    Case(CaseHead),
    Events(Event),
    Fitted(Fitted),
    Codes(PartCode),
    Interface(Interface),
    Parts(Part),
    Place(PlaceRow),
    Restorations(Restoration),
    Stock(StockLine),
    System(System),
    Verifications(Verification),
}

/// Which entry an act made.
pub type ActRow = (u128, u64);

#[derive(Debug)]
struct Slot {
    list: List,
    /// How many rows it has in the store.
    stored: u32,
    dirty: bool,
}

/// Rows folded from the logbook.
pub struct View {
    base: Box<dyn Store>,
    /// Nothing is in the store yet, so there is nothing to look for in it.
    base_is_empty: bool,
    settles: bool,
    cache: HashMap<Vec<u8>, Slot>,
    head: HeadRow,
    below_zero: Vec<BelowZero>,
}

fn row_key(list: &[u8], row: u32) -> Vec<u8> {
    let mut key = list.to_vec();
    key.push(0xff);
    key.extend_from_slice(&(row as u16).to_be_bytes());
    key
}

impl View {
    /// An empty view of that logbook, in memory.
    pub fn in_memory(id: LogbookId) -> Self {
        Self::empty(Box::new(MemoryStore::default()), false, id)
    }

    /// An empty view of that logbook, over an empty store.
    pub fn over(store: Box<dyn Store>, id: LogbookId) -> Self {
        Self::empty(store, true, id)
    }

    fn empty(base: Box<dyn Store>, settles: bool, id: LogbookId) -> Self {
        let head = HeadRow {
            head: Head::start(id),
            practice: None,
            made_up: false,
            last_at: 0,
            last_on: None,
            edition: None,
            loaded: None,
            buckets: 1,
        };
        Self { base, base_is_empty: true, settles, cache: HashMap::new(), head, below_zero: Vec::new() }
    }

    /// The view a store holds; `None` when it holds none, or one that was left half-written.
    pub fn open(store: Box<dyn Store>) -> Result<Option<Self>, ViewError> {
        if store.get(key::MARK)?.is_some() {
            return Ok(None);
        }
        let Some(row) = store.get(key::HEAD)? else { return Ok(None) };
        let (_, mut heads) = codec::decode::<HeadRow>(&row)?;
        let Some(head) = heads.pop() else { return Ok(None) };
        let cache = HashMap::new();
        Ok(Some(Self { base: store, base_is_empty: false, settles: true, cache, head, below_zero: Vec::new() }))
    }

    /// The view's own row.
    pub fn head(&self) -> &HeadRow {
        &self.head
    }

    /// For the fold.
    pub(super) fn head_mut(&mut self) -> &mut HeadRow {
        &mut self.head
    }

    /// Places in the house that went below zero while folding.
    pub fn below_zero(&self) -> &[BelowZero] {
        &self.below_zero
    }

    pub(super) fn note_below_zero(&mut self, what: BelowZero) {
        self.below_zero.push(what);
    }

    /// Whether it lives in memory only.
    pub fn is_in_memory(&self) -> bool {
        !self.settles
    }

    fn from_base<T: Item>(&self, list: &[u8]) -> Result<(Vec<T>, u32), ViewError> {
        let Some(row) = (if self.base_is_empty { None } else { self.base.get(&row_key(list, 0))? }) else {
            return Ok((Vec::new(), 0));
        };
        let (total, mut items) = codec::decode(&row)?;
        for n in 1..total {
            let row = self.base.get(&row_key(list, n))?;
            let row = row.ok_or_else(|| CodecError::Unreadable(format!("row {n} of {total} is missing")))?;
            items.append(&mut codec::decode(&row)?.1);
        }
        Ok((items, total))
    }

    /// The items under a key.
    pub(super) fn list<T: Item>(&self, list: &[u8]) -> Result<Vec<T>, ViewError> {
        match self.cache.get(list) {
            Some(slot) => Ok(T::open(&slot.list).cloned().unwrap_or_default()),
            None => Ok(self.from_base(list)?.0),
        }
    }

    fn slot<T: Item>(&mut self, list: &[u8]) -> Result<&mut Slot, ViewError> {
        if !self.cache.contains_key(list) {
            let (items, stored) = self.from_base::<T>(list)?;
            self.cache.insert(list.to_vec(), Slot { list: T::wrap(items), stored, dirty: false });
        }
        Ok(self.cache.get_mut(list).expect("it was just put there"))
    }

    /// The items under a key, kept decoded.
    pub(super) fn peek<T: Item>(&mut self, list: &[u8]) -> Result<&Vec<T>, ViewError> {
        let slot = self.slot::<T>(list)?;
        T::open(&slot.list).ok_or_else(|| wrong_type().into())
    }

    /// The items under a key, to be changed.
    pub(super) fn edit<T: Item>(&mut self, list: &[u8]) -> Result<&mut Vec<T>, ViewError> {
        let slot = self.slot::<T>(list)?;
        slot.dirty = true;
        T::open_mut(&mut slot.list).ok_or_else(|| wrong_type().into())
    }

    /// Every list whose key begins with `prefix`, in order.
    fn scan<T: Item>(&self, prefix: &[u8]) -> Result<BTreeMap<Vec<u8>, Vec<T>>, ViewError> {
        let mut out: BTreeMap<Vec<u8>, Vec<T>> = BTreeMap::new();
        let mut failed = None;
        self.base.scan(prefix, &mut |key, row| {
            let list = &key[..key.len().saturating_sub(3)];
            match codec::decode(row) {
                Ok((_, mut items)) => out.entry(list.to_vec()).or_default().append(&mut items),
                Err(e) => failed = Some(e),
            }
            if failed.is_some() { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
        })?;
        if let Some(e) = failed {
            return Err(e.into());
        }
        for (list, slot) in self.cache.iter().filter(|(list, _)| list.starts_with(prefix)) {
            let items = T::open(&slot.list).cloned().unwrap_or_default();
            if items.is_empty() { out.remove(list) } else { out.insert(list.clone(), items) };
        }
        Ok(out)
    }

    /// Puts what was changed into the store, with the head in the same batch; nothing to do for a view in memory.
    pub(super) fn settle(&mut self) -> Result<(), ViewError> {
        if !self.settles {
            return Ok(());
        }
        let mut writes = Vec::new();
        for (list, slot) in self.cache.iter().filter(|(_, slot)| slot.dirty) {
            let rows = slot.list.encode()?;
            let total = rows.len() as u32;
            writes.extend(rows.into_iter().zip(0..).map(|(row, n)| (row_key(list, n), Some(row))));
            writes.extend((total..slot.stored).map(|n| (row_key(list, n), None)));
        }
        let whole = writes.len() < BATCH;
        if !whole {
            self.mark()?;
            writes.sort();
            self.put(&mut writes.drain(..))?;
        }
        writes.push((key::HEAD.to_vec(), codec::encode(std::slice::from_ref(&self.head))?.pop()));
        writes.push((key::MARK.to_vec(), None));
        self.base.apply(writes)?;
        if !whole {
            self.base.flush()?;
        }
        self.base_is_empty = false;
        self.cache.clear();
        Ok(())
    }

    fn mark(&self) -> Result<(), ViewError> {
        self.base.apply(vec![(key::MARK.to_vec(), Some(vec![1]))])?;
        Ok(self.base.flush()?)
    }

    fn put(&self, writes: &mut dyn Iterator<Item = Write>) -> Result<(), ViewError> {
        let mut batch = Vec::with_capacity(BATCH);
        for write in writes {
            batch.push(write);
            if batch.len() == BATCH {
                self.base.apply(std::mem::take(&mut batch))?;
                self.base.flush()?;
            }
        }
        Ok(self.base.apply(batch)?)
    }

    /// Puts the parts of the edition in force into the view, when others stand there.
    ///
    /// They go straight to the store, bucket by bucket as they come: an edition may be larger than memory.
    pub(super) fn load_edition(&mut self, logbook: &dyn Logbook) -> Result<(), ViewError> {
        let Some(edition) = self.head.edition.clone().filter(|e| self.head.loaded.as_ref() != Some(e)) else {
            return Ok(());
        };
        self.mark()?;
        if !self.base_is_empty {
            for tag in [tag::PART, tag::INDEX, tag::INTERFACE, tag::SYSTEM] {
                let mut old: Vec<Write> = Vec::new();
                self.base.scan(&[tag], &mut |key, _| {
                    old.push((key.to_vec(), None));
                    ControlFlow::Continue(())
                })?;
                self.put(&mut old.into_iter())?;
            }
        }
        let mut loader = Loader { view: self, buckets: 1, at: 0, bucket: Vec::new(), index: HashMap::new() };
        Edition::stream(std::io::BufReader::with_capacity(1 << 16, logbook.fetch(&edition)?), |line| loader.line(line))?;
        loader.bucket_done()?;
        let (buckets, index) = (loader.buckets, std::mem::take(&mut loader.index));
        let mut lists: Vec<(Vec<u8>, Vec<PartCode>)> = index.into_iter().collect();
        lists.sort();
        for (list, codes) in lists {
            self.put_list(&list, &codes)?;
        }
        self.base.flush()?;
        self.base_is_empty = false;
        self.head.buckets = buckets;
        self.head.loaded = Some(edition);
        if !self.settles {
            self.base.apply(vec![(key::MARK.to_vec(), None)])?;
        }
        Ok(())
    }

    fn put_list<T: Serialize>(&self, list: &[u8], items: &[T]) -> Result<(), ViewError> {
        let rows = codec::encode(items)?;
        self.put(&mut rows.into_iter().zip(0..).map(|(row, n)| (row_key(list, n), Some(row))))
    }

    /// Every row but the head, as bytes, to `each` in no order: for comparing two views.
    pub fn rows(&self, each: &mut dyn FnMut(&[u8], &[u8])) -> Result<(), ViewError> {
        self.base.scan(&[], &mut |key, value| {
            let cached = key.len() > 3 && self.cache.contains_key(&key[..key.len() - 3]);
            if key != key::HEAD && key != key::MARK && !cached {
                each(key, value);
            }
            ControlFlow::Continue(())
        })?;
        for (list, slot) in &self.cache {
            for (n, row) in slot.list.encode()?.into_iter().enumerate() {
                each(&row_key(list, n as u32), &row);
            }
        }
        Ok(())
    }

    /// One number for all rows, whatever their order: equal views have equal digests.
    pub fn digest(&self) -> Result<String, ViewError> {
        let mut total = [0_u8; 32];
        self.rows(&mut |key, value| {
            let mut hash = Sha256::new();
            hash.update((key.len() as u64).to_be_bytes());
            hash.update(key);
            hash.update(value);
            // Addition without carry between bytes is enough to tell two sets of hashes apart, in any order.
            total.iter_mut().zip(hash.finalize()).for_each(|(t, b)| *t = t.wrapping_add(b));
        })?;
        Ok(total.iter().map(|b| format!("{b:02x}")).collect())
    }
}

fn wrong_type() -> CodecError {
    CodecError::Unreadable("a row of another type stands there".to_owned())
}

struct Loader<'v> {
    view: &'v View,
    buckets: u32,
    at: u32,
    bucket: Vec<Part>,
    index: HashMap<Vec<u8>, Vec<PartCode>>,
}

impl Loader<'_> {
    fn line(&mut self, line: EditionLine) -> Result<(), ViewError> {
        match line {
            EditionLine::Edition { parts, .. } => self.buckets = parts.div_ceil(BUCKET).max(1),
            EditionLine::System(s) => self.view.put_list(&key::system(&s.id), &[s])?,
            EditionLine::Interface(i) => self.view.put_list(&key::interface(&i.id), &[i])?,
            EditionLine::Part(part) => {
                let bucket = key::bucket_of(&part.code, self.buckets);
                if bucket != self.at {
                    self.bucket_done()?;
                    self.at = bucket;
                }
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
                for list in lists {
                    self.index.entry(list).or_default().push(part.code.clone());
                }
                self.bucket.push(*part);
            }
        }
        Ok(())
    }

    fn bucket_done(&mut self) -> Result<(), ViewError> {
        let parts = std::mem::take(&mut self.bucket);
        self.view.put_list(&key::parts(self.at), &parts)
    }
}

/// Look-ups.
impl View {
    /// A part of the catalogue edition in force.
    pub fn part(&self, code: &PartCode) -> Result<Option<Part>, ViewError> {
        let bucket = key::parts(key::bucket_of(code, self.head.buckets));
        Ok(self.list::<Part>(&bucket)?.into_iter().find(|p| p.code == *code))
    }

    /// Every part: slow, for lists and near misses.
    pub fn parts(&self) -> Result<Vec<Part>, ViewError> {
        let mut all: Vec<Part> = self.scan::<Part>(&[tag::PART])?.into_values().flatten().collect();
        all.sort_by(|a, b| a.code.cmp(&b.code));
        Ok(all)
    }

    /// The codes of a kind whose ports use an interface.
    pub fn codes_by_interface(&self, kind: Kind, id: &InterfaceId) -> Result<Vec<PartCode>, ViewError> {
        self.list(&key::by_interface(kind, id))
    }

    /// The codes of a kind in a system.
    pub fn codes_by_system(&self, kind: Kind, id: &SystemId) -> Result<Vec<PartCode>, ViewError> {
        self.list(&key::by_system(kind, id))
    }

    /// The codes of the drivers of a drive.
    pub fn drivers(&self, drive: &Drive) -> Result<Vec<PartCode>, ViewError> {
        self.list(&key::by_drive(drive))
    }

    /// The codes of the removal tools or retrieval sets for a thread.
    pub fn tools_for(&self, kind: Kind, thread: &Thread) -> Result<Vec<PartCode>, ViewError> {
        key::by_thread(kind, thread).map_or(Ok(Vec::new()), |list| self.list(&list))
    }

    /// An interface.
    pub fn interface(&self, id: &InterfaceId) -> Result<Option<Interface>, ViewError> {
        Ok(self.list(&key::interface(id))?.pop())
    }

    /// Every interface.
    pub fn interfaces(&self) -> Result<Vec<Interface>, ViewError> {
        Ok(self.scan(&[tag::INTERFACE])?.into_values().flatten().collect())
    }

    /// A system.
    pub fn system(&self, id: &SystemId) -> Result<Option<System>, ViewError> {
        Ok(self.list(&key::system(id))?.pop())
    }

    /// Every system.
    pub fn systems(&self) -> Result<Vec<System>, ViewError> {
        Ok(self.scan(&[tag::SYSTEM])?.into_values().flatten().collect())
    }

    /// A case.
    pub fn case(&self, number: &CaseNumber) -> Result<Option<CaseHead>, ViewError> {
        Ok(self.list(&key::case(number))?.pop())
    }

    /// Every case.
    pub fn cases(&self) -> Result<Vec<CaseHead>, ViewError> {
        Ok(self.scan(&[tag::CASE])?.into_values().flatten().collect())
    }

    /// The assembly at a site.
    pub fn assembly(&self, number: &CaseNumber, tooth: Tooth) -> Result<Vec<Fitted>, ViewError> {
        self.list(&key::fitted(number, tooth))
    }

    /// The restorations of a case.
    pub fn restorations(&self, number: &CaseNumber) -> Result<Vec<Restoration>, ViewError> {
        self.list(&key::restorations(number))
    }

    /// What happened in a case, in the order it was entered.
    pub fn events(&self, number: &CaseNumber) -> Result<Vec<Event>, ViewError> {
        self.chunks(|n| key::events(number, n))
    }

    /// Where the lots of a part are.
    pub fn stock_of(&self, part: &PartCode) -> Result<Vec<StockLine>, ViewError> {
        self.chunks(|n| key::stock(part, n))
    }

    /// Every stock line, by part.
    pub fn stock(&self) -> Result<BTreeMap<PartCode, Vec<StockLine>>, ViewError> {
        let mut out: BTreeMap<PartCode, Vec<StockLine>> = BTreeMap::new();
        for (list, lines) in self.scan::<StockLine>(&[tag::STOCK])? {
            if let Some(part) = key::stock_part(&list) {
                out.entry(part).or_default().extend(lines);
            }
        }
        Ok(out)
    }

    /// A drawer.
    pub fn place(&self, id: &PlaceId) -> Result<Option<PlaceRow>, ViewError> {
        Ok(self.list(&key::place(id))?.pop())
    }

    /// Every drawer.
    pub fn places(&self) -> Result<Vec<PlaceId>, ViewError> {
        Ok(self.scan::<PlaceRow>(&[tag::PLACE])?.into_values().flatten().map(|p| p.id).collect())
    }

    /// The verifications of a fitted part.
    pub fn verifications(&self, fitted: &PartCode) -> Result<Vec<Verification>, ViewError> {
        self.list(&key::verifications(fitted))
    }

    /// The entry an act made, if it made one.
    pub fn entry_of(&self, act: Act) -> Result<Option<u64>, ViewError> {
        let rows: Vec<ActRow> = self.chunks(|n| key::acts(act, n))?;
        Ok(rows.into_iter().find(|(bits, _)| *bits == act.bits()).map(|(_, seq)| seq))
    }

    fn chunks<T: Item>(&self, key_of: impl Fn(u32) -> Vec<u8>) -> Result<Vec<T>, ViewError> {
        let mut out = Vec::new();
        for n in 0.. {
            let mut chunk: Vec<T> = self.list(&key_of(n))?;
            if chunk.is_empty() {
                break;
            }
            out.append(&mut chunk);
        }
        Ok(out)
    }
}
