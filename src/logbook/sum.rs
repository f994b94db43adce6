//! The sums of the chain: SHA-256, written as 64 hexadecimal digits.

use std::borrow::Cow;
use std::fmt;

use serde::{Deserialize, Deserializer, Serialize};
use sha2::{Digest, Sha256};

/// A SHA-256 in the chain.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
pub struct Sum([u8; 32]);

impl Sum {
    /// What the first line stands on.
    pub const ZERO: Self = Self([0; 32]);

    /// The SHA-256 of `bytes`.
    pub fn of(bytes: &[u8]) -> Self {
        Self(Sha256::digest(bytes).into())
    }

    /// From 64 hexadecimal digits.
    pub fn parse(hex: &[u8]) -> Option<Self> {
        let digit = |b: u8| match b {
            b'0'..=b'9' => Some(b - b'0'),
            b'a'..=b'f' => Some(b - b'a' + 10),
            _ => None,
        };
        if hex.len() != 64 {
            return None;
        }
        let mut out = [0; 32];
        for (byte, pair) in out.iter_mut().zip(hex.chunks_exact(2)) {
            *byte = digit(pair[0])? << 4 | digit(pair[1])?;
        }
        Some(Self(out))
    }

    /// The 64 hexadecimal digits.
    pub fn hex(&self) -> [u8; 64] {
        const DIGITS: &[u8; 16] = b"0123456789abcdef";
        let mut out = [0; 64];
        for (pair, byte) in out.chunks_exact_mut(2).zip(self.0) {
            pair[0] = DIGITS[usize::from(byte >> 4)];
            pair[1] = DIGITS[usize::from(byte & 15)];
        }
        out
    }

    /// The sum of the next line.
    pub(super) fn after(self, body: &[u8]) -> Self {
        let mut hash = Sha256::new();
        hash.update(self.hex());
        hash.update(body);
        Self(hash.finalize().into())
    }
}

impl fmt::Display for Sum {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.hex().iter().try_for_each(|b| write!(f, "{}", *b as char))
    }
}

impl fmt::Debug for Sum {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self}")
    }
}

impl Serialize for Sum {
    fn serialize<S: serde::Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Sum {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        let text = <Cow<'de, str>>::deserialize(d)?;
        Self::parse(text.as_bytes()).ok_or_else(|| serde::de::Error::custom("a sum is 64 hexadecimal digits"))
    }
}
