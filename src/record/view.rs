//! The view: rows folded from the logbook, in memory or over a store, read by key.
//!
//! A list that is used stays decoded in the cache until it is packed: encoded into rows. Packed rows lie in memory; a
//! view over a store settles them there, in one batch with the head, a view in memory keeps them.

use std::collections::hash_map::Entry;
use std::collections::{BTreeMap, HashMap};
use std::ops::{ControlFlow, Deref, DerefMut};

use jiff::civil::Date;
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use thiserror::Error;

mod earlier;
mod load;
mod lookups;
mod row_sum;
mod rows;
mod shares;
mod sites;

use super::codec::{self, CodecError, Sealed};
use super::ends::{Ends, QuickHash};
use super::entry::{Removed, Shown};
use super::key;
use crate::case::{Bands, Broken, CaseHead, Event, Fitted, Left, Restoration};
use crate::catalog::{EditionError, EditionId, Interface, Kind, Part, Position, System};
use crate::logbook::{Head, LogbookError, LogbookId};
use crate::matching::Verification;
use crate::stock::{Claim, StockLine, Where};
use crate::store::{Store, StoreError, Write};
use crate::units::{Expiry, Lot, Note, PartCode, PlaceId, PracticeName, Tooth};
use earlier::EarlierRow;
pub(super) use earlier::EditionRow;
pub(super) use load::digest_edition;
use load::{BATCH, Bulk, mark};
pub use row_sum::RowSum;
use rows::{Rows, list_of, row_key};
pub use shares::{ConfirmedRow, OriginRow};
pub use sites::MeasuringRow;

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
    /// The entry that put it in force.
    pub edition_by: u64,
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

/// What stands with a case beside what is fitted.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct CaseState {
    /// Since when it is closed, and why.
    pub closed: Option<(Date, Note)>,
    /// The visit that is going on.
    pub visit: Option<OpenVisit>,
    /// When it is to be checked next, and what for.
    pub check: Option<(Date, Note)>,
}

/// A visit that has begun and not ended.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct OpenVisit {
    /// The entry it began with.
    pub entry: u64,
    /// The day it began.
    pub on: Date,
    /// Where.
    pub site: Tooth,
    /// What is reported, as far as somebody looked.
    pub broken: Broken,
    /// What stayed behind.
    pub left: Left,
    /// What was to be laid out, as it was shown last.
    pub tray: Vec<Shown>,
    /// The entry that booked the tray.
    pub booked: Option<u64>,
}

/// A part that came out of a mouth.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PieceRow {
    /// By which entry.
    pub entry: u64,
    /// When.
    pub on: Date,
    /// What.
    pub removed: Removed,
    /// That entry was taken back.
    pub taken_back: bool,
}

/// Something that happened, with the entry that says so: a counter finds its events by that number.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct EventRow {
    /// By which entry.
    pub entry: u64,
    /// What.
    pub event: Event,
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
    pub place: Where,
    /// How many.
    pub quantity: i64,
}

/// A part of the catalogue; eleven others share its row.
#[doc(hidden)]
#[allow(missing_docs)]
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PartRow {
    pub code: PartCode,
    pub part: Sealed<Part>,
}

/// A lot of a part and where its units are. One item, so that whatever happens to a lot touches one row.
#[doc(hidden)]
#[allow(missing_docs)]
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct LotRow {
    pub lot: Lot,
    pub expiry: Expiry,
    /// The entry that put the edition in force under which it came; 0 while no unit of it has come.
    pub edition: u64,
    /// In the order in which the lot came there; below zero only outside the house.
    pub balances: Vec<(Where, i64)>,
}

impl LotRow {
    fn lines(self) -> impl Iterator<Item = StockLine> {
        let Self { lot, expiry, edition, balances } = self;
        balances.into_iter().map(move |(place, quantity)| StockLine {
            lot: lot.clone(),
            expiry,
            place,
            quantity,
            own: 0,
            edition,
        })
    }
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
    Bands(Bands),
    BuiltOn(BuiltOn),
    Case(CaseHead),
    Claims(Claim),
    Confirmed(ConfirmedRow),
    Earlier(EarlierRow),
    Editions(EditionRow),
    Events(EventRow),
    Fitted(Fitted),
    Index(IndexRow),
    Interface(Interface),
    Measurings(MeasuringRow),
    Origin(OriginRow),
    Parts(PartRow),
    Pieces(PieceRow),
    Place(PlaceRow),
    Restorations(Restoration),
    State(CaseState),
    Stock(LotRow),
    System(System),
    Verifications(Verification),
}

/// A part that is found by an interface, a system, a drive or a thread.
pub type IndexRow = (Kind, PartCode);

/// A part that a restoration was built on, where a part with other numbers stands there now.
///
/// What is fitted changes with every booking; what a rigid bridge fits does not. A part that was put in although it
/// does not fit must never become the measure of the next one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct BuiltOn {
    /// Where it stood.
    pub position: Position,
    /// Its numbers.
    pub part: Part,
}

/// Which entry an act made.
pub type ActRow = (u128, u64);

#[derive(Debug)]
struct Slot {
    list: List,
    /// How many rows it has where it came from.
    stored: u32,
    dirty: bool,
}

/// The items of a list; touched for a change, they are written again.
pub(super) struct Items<'v, T> {
    items: &'v mut Vec<T>,
    dirty: &'v mut bool,
}

impl<T> Deref for Items<'_, T> {
    type Target = Vec<T>;
    fn deref(&self) -> &Vec<T> {
        self.items
    }
}

impl<T> DerefMut for Items<'_, T> {
    fn deref_mut(&mut self) -> &mut Vec<T> {
        *self.dirty = true;
        self.items
    }
}

/// Rows folded from the logbook.
pub struct View {
    rows: Rows,
    cache: HashMap<Vec<u8>, Slot, QuickHash>,
    /// Where the fold goes on in long lists.
    ends: Ends,
    head: HeadRow,
    below_zero: Vec<BelowZero>,
}

impl View {
    /// An empty view of that logbook, in memory.
    pub fn in_memory(id: LogbookId) -> Self {
        Self::empty(None, id)
    }

    /// An empty view of that logbook, over an empty store.
    pub fn over(store: Box<dyn Store>, id: LogbookId) -> Self {
        Self::empty(Some(store), id)
    }

    fn empty(base: Option<Box<dyn Store>>, id: LogbookId) -> Self {
        let head = HeadRow {
            head: Head::start(id),
            practice: None,
            made_up: false,
            last_at: 0,
            last_on: None,
            edition: None,
            edition_by: 0,
            loaded: None,
            buckets: 1,
        };
        Self::with(base, true, head)
    }

    fn with(base: Option<Box<dyn Store>>, base_is_empty: bool, head: HeadRow) -> Self {
        let rows = Rows { base, base_is_empty, packed: BTreeMap::new() };
        Self { rows, cache: HashMap::default(), ends: Ends::default(), head, below_zero: Vec::new() }
    }

    /// The view a store holds; `None` when it holds none, or one that was left half-written.
    pub fn open(store: Box<dyn Store>) -> Result<Option<Self>, ViewError> {
        if store.get(key::MARK)?.is_some() {
            return Ok(None);
        }
        let Some(row) = store.get(key::HEAD)? else { return Ok(None) };
        let (_, mut heads) = codec::decode::<HeadRow>(&row)?;
        Ok(heads.pop().map(|head| Self::with(Some(store), false, head)))
    }

    /// The view's own row.
    pub fn head(&self) -> &HeadRow {
        &self.head
    }

    /// For the fold.
    pub(super) fn head_mut(&mut self) -> &mut HeadRow {
        &mut self.head
    }

    /// For the fold.
    pub(super) fn ends(&mut self) -> &mut Ends {
        &mut self.ends
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
        self.rows.base.is_none()
    }

    /// The items under a key.
    pub(super) fn list<T: Item>(&self, list: &[u8]) -> Result<Vec<T>, ViewError> {
        match self.cache.get(list) {
            Some(slot) => Ok(T::open(&slot.list).cloned().unwrap_or_default()),
            None => Ok(self.rows.stored(list)?.0),
        }
    }

    /// The items under a key, kept decoded, to be looked at or changed.
    pub(super) fn open_list<T: Item>(&mut self, list: Vec<u8>) -> Result<Items<'_, T>, ViewError> {
        let Slot { list, dirty, .. } = match self.cache.entry(list) {
            Entry::Occupied(slot) => slot.into_mut(),
            Entry::Vacant(place) => {
                let (items, stored) = self.rows.stored::<T>(place.key())?;
                place.insert(Slot { list: T::wrap(items), stored, dirty: false })
            }
        };
        let items = T::open_mut(list).ok_or_else(wrong_type)?;
        Ok(Items { items, dirty })
    }

    /// Every list whose key begins with `prefix`, in order.
    fn scan<T: Item>(&self, prefix: &[u8]) -> Result<BTreeMap<Vec<u8>, Vec<T>>, ViewError> {
        let mut out: BTreeMap<Vec<u8>, Vec<T>> = BTreeMap::new();
        let mut failed = None;
        self.rows.each_stored(prefix, &mut |key, row| {
            match codec::decode(row) {
                Ok((_, mut items)) => out.entry(list_of(key).to_vec()).or_default().append(&mut items),
                Err(e) => failed = Some(e),
            }
            if failed.is_some() { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
        })?;
        if let Some(e) = failed {
            return Err(e.into());
        }
        for (list, slot) in self.cache.iter().filter(|(list, _)| list.starts_with(prefix)) {
            let items = T::open(&slot.list).cloned().unwrap_or_default();
            if items.is_empty() {
                out.remove(list)
            } else {
                out.insert(list.clone(), items)
            };
        }
        Ok(out)
    }

    /// Encodes a list that will hardly change again: bytes take a third of the room of the items.
    pub(super) fn pack(&mut self, list: &[u8]) -> Result<(), ViewError> {
        match self.cache.remove(list) {
            Some(slot) => self.rows.pack(list, &slot),
            None => Ok(()),
        }
    }

    /// Encodes everything, item by item, so that there is never a second copy of it.
    fn pack_all(&mut self) -> Result<(), ViewError> {
        let cache = std::mem::take(&mut self.cache);
        cache.into_iter().try_for_each(|(list, slot)| self.rows.pack(&list, &slot))
    }

    /// Puts what was changed into the store, with the head in the same batch; nothing to do for a view in memory.
    pub(super) fn settle(&mut self) -> Result<(), ViewError> {
        if self.is_in_memory() {
            return Ok(());
        }
        self.pack_all()?;
        let closing = self.closing()?;
        let Rows { base: Some(base), packed, base_is_empty } = &mut self.rows else { return Ok(()) };
        if packed.len() < BATCH {
            let changed = std::mem::take(packed);
            base.apply(changed.into_iter().chain(closing).collect())?;
        } else {
            mark(&**base)?;
            let mut bulk = Bulk::new(&**base);
            while let Some(write) = packed.pop_first() {
                bulk.put(write)?;
            }
            bulk.finish()?;
            base.apply(closing)?;
            base.flush()?;
        }
        *base_is_empty = false;
        Ok(())
    }

    /// What ends every settling: the head, and no mark.
    fn closing(&self) -> Result<Vec<Write>, ViewError> {
        let head = codec::encode(std::slice::from_ref(&self.head))?.pop();
        Ok(vec![(key::HEAD.to_vec(), head), (key::MARK.to_vec(), None)])
    }

    /// Every row but the head, as bytes, to `each` in no order: for comparing two views.
    pub fn rows(&self, each: &mut dyn FnMut(&[u8], &[u8])) -> Result<(), ViewError> {
        self.rows.each_stored(&[], &mut |key, value| {
            if key != key::HEAD && key != key::MARK && !self.cache.contains_key(list_of(key)) {
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
    pub fn digest(&self) -> Result<RowSum, ViewError> {
        let mut sum = RowSum::default();
        self.rows(&mut |key, value| sum.add(key, value))?;
        Ok(sum)
    }
}

fn wrong_type() -> CodecError {
    CodecError::Unreadable("a row of another type stands there".to_owned())
}
