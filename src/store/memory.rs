//! Ordered bytes in memory.

use std::collections::BTreeMap;
use std::sync::RwLock;

use super::{EachRow, Store, StoreError, Write};

/// A store that lives as long as the process.
#[derive(Debug, Default)]
pub struct MemoryStore {
    rows: RwLock<BTreeMap<Vec<u8>, Vec<u8>>>,
}

impl Store for MemoryStore {
    fn get(&self, key: &[u8]) -> Result<Option<Vec<u8>>, StoreError> {
        Ok(self.rows.read().unwrap_or_else(|e| e.into_inner()).get(key).cloned())
    }

    fn scan(&self, prefix: &[u8], each: &mut EachRow<'_>) -> Result<(), StoreError> {
        let rows = self.rows.read().unwrap_or_else(|e| e.into_inner());
        for (key, value) in rows.range(prefix.to_vec()..) {
            if !key.starts_with(prefix) || each(key, value).is_break() {
                break;
            }
        }
        Ok(())
    }

    fn apply(&self, writes: Vec<Write>) -> Result<(), StoreError> {
        let mut rows = self.rows.write().unwrap_or_else(|e| e.into_inner());
        for (key, value) in writes {
            match value {
                Some(value) => rows.insert(key, value),
                None => rows.remove(&key),
            };
        }
        Ok(())
    }

    fn flush(&self) -> Result<(), StoreError> {
        Ok(())
    }
}
