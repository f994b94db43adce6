//! Where the fold goes on in long lists, so that a million entries do not walk every list from its first chunk.
//!
//! Only a memory of what the rows say: a place that is not remembered is found by walking, once.

use std::collections::HashMap;
use std::hash::{BuildHasher as _, BuildHasherDefault, Hasher};

use crate::units::{Lot, PartCode};

/// Lots are never taken out of a list or moved in it, so a place once seen stays right.
#[derive(Debug, Default)]
pub struct Ends {
    /// The last chunk of a list that only grows at its end, by the key of its first one.
    chunks: HashMap<Vec<u8>, u32, QuickHash>,
    /// How many chunks of stock a part has, and how many of its lots are remembered below.
    parts: HashMap<PartCode, u32, QuickHash>,
    /// Chunk and place of a lot, by a hash of part and lot: the reader compares what stands there.
    lots: HashMap<u64, (u32, u32), QuickHash>,
}

fn name(part: &PartCode, lot: &Lot) -> u64 {
    QuickHash::default().hash_one((part, lot))
}

/// Hashes keys of the view, which are short and many, in a third of the time of the standard hasher.
///
/// Not hardened against chosen keys: they come from the practice's own record, and would cost it time only.
pub type QuickHash = BuildHasherDefault<Quick>;

/// Multiply and fold, eight bytes at a time.
#[derive(Debug, Clone, Copy, Default)]
pub struct Quick(u64);

impl Quick {
    fn mix(&mut self, word: u64) {
        // The odd constant of SplitMix64; the fold brings the high half of the product down.
        let product = u128::from(self.0 ^ word) * 0x9E37_79B9_7F4A_7C15;
        self.0 = (product as u64) ^ (product >> 64) as u64;
    }
}

impl Hasher for Quick {
    fn write(&mut self, bytes: &[u8]) {
        let (words, rest) = bytes.as_chunks::<8>();
        words.iter().for_each(|w| self.mix(u64::from_le_bytes(*w)));
        let mut last = [0; 8];
        last[..rest.len()].copy_from_slice(rest);
        // The length tells a short end from zeros.
        self.mix(u64::from_le_bytes(last) ^ (bytes.len() as u64) << 56);
    }

    fn write_u64(&mut self, word: u64) {
        self.mix(word);
    }

    fn finish(&self) -> u64 {
        self.0
    }
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
