//! S: ordered bytes: get, scan, apply. sled and memory behind the same four methods.
//!
//! Nothing here ever holds the only copy of anything, so every failure means: throw away and fold again.

mod memory;
#[cfg(feature = "view-on-disk")]
mod sled;

use std::ops::ControlFlow;

use thiserror::Error;

#[cfg(feature = "view-on-disk")]
pub use self::sled::SledStore;
pub use memory::MemoryStore;

/// What to do with a key: a value puts, `None` deletes.
pub type Write = (Vec<u8>, Option<Vec<u8>>);

/// Called with each key and value.
pub type EachRow<'a> = dyn FnMut(&[u8], &[u8]) -> ControlFlow<()> + 'a;

/// Ordered bytes.
pub trait Store: Send + Sync {
    /// The value of a key.
    fn get(&self, key: &[u8]) -> Result<Option<Vec<u8>>, StoreError>;
    /// Every key that begins with `prefix`, in order, until `each` breaks.
    fn scan(&self, prefix: &[u8], each: &mut EachRow<'_>) -> Result<(), StoreError>;
    /// All of it or none.
    fn apply(&self, writes: Vec<Write>) -> Result<(), StoreError>;
    /// Settles what was applied, as far as the store can.
    fn flush(&self) -> Result<(), StoreError>;
}

/// Why a store does not answer.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum StoreError {
    /// Another process has it open.
    #[error("another program has it open")]
    Busy,
    /// It cannot be opened or read.
    #[error("{0}")]
    Broken(String),
}
