//! One number for all rows, whatever their order.

use std::fmt;

use sha2::{Digest, Sha256};

/// A sum over rows in any order.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct RowSum([u8; 32]);

impl RowSum {
    /// Adds a row.
    pub fn add(&mut self, key: &[u8], value: &[u8]) {
        let mut hash = Sha256::new();
        hash.update((key.len() as u64).to_be_bytes());
        hash.update(key);
        hash.update(value);
        self.join(&Self(hash.finalize().into()));
    }

    /// Adds the rows of another sum.
    pub fn join(&mut self, other: &Self) {
        // Addition without carry between bytes is enough to tell two sets of hashes apart, in any order.
        self.0.iter_mut().zip(other.0).for_each(|(t, b)| *t = t.wrapping_add(b));
    }
}

impl fmt::Display for RowSum {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|b| write!(f, "{b:02x}"))
    }
}
