//! Where the fold goes on in long lists, so that a million entries do not walk every list from its first chunk.
//!
//! Only a memory of what the rows say: a place that is not remembered is found by walking, once.

use std::collections::HashMap;
use std::hash::{DefaultHasher, Hash as _, Hasher as _};

use crate::units::{Lot, PartCode};

/// Lots are never taken out of a list or moved in it, so a place once seen stays right.
#[derive(Debug, Default)]
pub struct Ends {
    /// The last chunk of a list that only grows at its end, by the key of its first one.
    chunks: HashMap<Vec<u8>, u32>,
    /// How many chunks of stock a part has, and how many of its lots are remembered below.
    parts: HashMap<PartCode, u32>,
    /// Chunk and place of a lot, by a hash of part and lot: the reader compares what stands there.
    lots: HashMap<u64, (u32, u32)>,
}

fn name(part: &PartCode, lot: &Lot) -> u64 {
    let mut hash = DefaultHasher::new();
    (part, lot).hash(&mut hash);
    hash.finish()
}

impl Ends {
    /// The chunk in which a list begins to have room, as far as remembered.
    pub fn chunk(&self, first: &[u8]) -> u32 {
        self.chunks.get(first).copied().unwrap_or(0)
    }

    /// Remembers it; 0 forgets.
    pub fn set_chunk(&mut self, first: &[u8], chunk: u32) {
        if chunk == 0 {
            self.chunks.remove(first);
        } else {
            self.chunks.insert(first.to_vec(), chunk);
        }
    }

    /// How many chunks of stock the part has; `None` when its lots have not been looked through yet.
    pub fn stock(&self, part: &PartCode) -> Option<u32> {
        self.parts.get(part).copied()
    }

    /// All lots of the part are remembered now, in so many chunks.
    pub fn set_stock(&mut self, part: &PartCode, chunks: u32) {
        self.parts.insert(part.clone(), chunks);
    }

    /// Where a lot of the part probably is.
    pub fn lot(&self, part: &PartCode, lot: &Lot) -> Option<(u32, u32)> {
        self.lots.get(&name(part, lot)).copied()
    }

    /// Remembers where a lot is.
    pub fn set_lot(&mut self, part: &PartCode, lot: &Lot, at: (u32, u32)) {
        self.lots.insert(name(part, lot), at);
    }
}
