//! Rows as bytes: in a store, and in memory in front of it.

use std::collections::BTreeMap;
use std::ops::ControlFlow;

use super::{Item, Slot, ViewError};
use crate::record::codec::{self, CodecError};
use crate::store::{EachRow, Store};

/// Rows as bytes.
pub(super) struct Rows {
    /// Where settled rows lie; a view in memory has none.
    pub base: Option<Box<dyn Store>>,
    /// Nothing is in the base yet, so there is nothing to look for in it.
    pub base_is_empty: bool,
    /// Rows in front of the base, `None` for those to be taken out of it. A view in memory has all its rows here
    /// that are not in the cache.
    pub packed: BTreeMap<Vec<u8>, Option<Vec<u8>>>,
}

pub(super) fn row_key(list: &[u8], row: u32) -> Vec<u8> {
    let mut key = Vec::with_capacity(list.len() + 3);
    key.extend_from_slice(list);
    key.push(0xff);
    key.extend_from_slice(&(row as u16).to_be_bytes());
    key
}

/// The list a row belongs to.
pub(super) fn list_of(row_key: &[u8]) -> &[u8] {
    &row_key[..row_key.len().saturating_sub(3)]
}

impl Rows {
    /// The store below, if anything is in it.
    fn filled_base(&self) -> Option<&dyn Store> {
        self.base.as_deref().filter(|_| !self.base_is_empty)
    }

    fn row<T: Item>(&self, list: &[u8], row: u32) -> Result<Option<(u32, Vec<T>)>, ViewError> {
        let key = row_key(list, row);
        let found = match (self.packed.get(&key), self.filled_base()) {
            (Some(packed), _) => packed.as_deref().map(codec::decode).transpose()?,
            (None, Some(base)) => base.get(&key)?.map(|row| codec::decode(&row)).transpose()?,
            (None, None) => None,
        };
        Ok(found)
    }

    /// A list that is not in the cache, and how many rows it has.
    pub fn stored<T: Item>(&self, list: &[u8]) -> Result<(Vec<T>, u32), ViewError> {
        let Some((total, mut items)) = self.row(list, 0)? else { return Ok((Vec::new(), 0)) };
        for n in 1..total {
            let row = self.row(list, n)?;
            let row = row.ok_or_else(|| CodecError::Unreadable(format!("row {n} of {total} is missing")))?;
            items.extend(row.1);
        }
        Ok((items, total))
    }

    /// Every row under `prefix` that is not in the cache; in order, the packed ones after those of the base.
    pub fn each_stored(&self, prefix: &[u8], each: &mut EachRow<'_>) -> Result<(), ViewError> {
        let mut broken = false;
        if let Some(base) = self.filled_base() {
            base.scan(prefix, &mut |key, row| {
                if self.packed.contains_key(key) {
                    return ControlFlow::Continue(());
                }
                let flow = each(key, row);
                broken = flow.is_break();
                flow
            })?;
        }
        let packed = self.packed.range(prefix.to_vec()..).take_while(|(key, _)| key.starts_with(prefix));
        for (key, row) in packed.filter_map(|(key, row)| Some((key, row.as_ref()?))) {
            if broken || each(key, row).is_break() {
                break;
            }
        }
        Ok(())
    }

    /// Takes in a list that was changed.
    pub fn pack(&mut self, list: &[u8], slot: &Slot) -> Result<(), ViewError> {
        if !slot.dirty {
            return Ok(());
        }
        let rows = slot.list.encode()?;
        let total = rows.len() as u32;
        for (n, row) in rows.into_iter().enumerate() {
            self.packed.insert(row_key(list, n as u32), Some(row));
        }
        for n in total..slot.stored {
            if self.base.is_some() {
                self.packed.insert(row_key(list, n), None);
            } else {
                self.packed.remove(&row_key(list, n));
            }
        }
        Ok(())
    }
}
