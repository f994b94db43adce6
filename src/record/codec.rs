//! Rows as bytes. The one file that names bincode.
//!
//! Only for the view: the format has no future, so its number stands in the view's folder name. The limit is checked
//! on both ways, and a row must be consumed to its last byte.

use std::fmt;
use std::marker::PhantomData;

use bincode::config::{Configuration, Limit, LittleEndian, Varint};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use thiserror::Error;

/// The most bytes a row may have: sled writes values from 12 000 B to files it never syncs.
pub const ROW_MOST: usize = 6 * 1024;
/// Where a list is cut into the next row, leaving room for the row's own header.
const CUT_AT: usize = 5 * 1024;

const CONFIG: Configuration<LittleEndian, Varint, Limit<ROW_MOST>> =
    bincode::config::standard().with_limit::<ROW_MOST>();

/// Why a row cannot be written or read.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum CodecError {
    /// Larger than a row may be.
    #[error("an item of {0} bytes does not fit a row of {ROW_MOST}")]
    TooLarge(usize),
    /// Not what was written.
    #[error("a row cannot be read: {0}")]
    Unreadable(String),
}

/// An item as bytes within its row: who looks for one item of a row does not read the others.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sealed<T> {
    bytes: Box<[u8]>,
    item: PhantomData<fn() -> T>,
}

impl<T: Serialize + DeserializeOwned> Sealed<T> {
    /// The item as bytes.
    pub fn of(item: &T) -> Result<Self, CodecError> {
        let bytes = bincode::serde::encode_to_vec(item, CONFIG).map_err(unreadable)?;
        Ok(Self { bytes: bytes.into(), item: PhantomData })
    }

    /// The item itself.
    pub fn open(&self) -> Result<T, CodecError> {
        let (item, used) = bincode::serde::decode_from_slice(&self.bytes, CONFIG).map_err(unreadable)?;
        if used != self.bytes.len() {
            return Err(CodecError::Unreadable(format!("{} bytes left over", self.bytes.len() - used)));
        }
        Ok(item)
    }
}

impl<T> Serialize for Sealed<T> {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.serialize_bytes(&self.bytes)
    }
}

impl<'de, T> Deserialize<'de> for Sealed<T> {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        struct Bytes;
        impl serde::de::Visitor<'_> for Bytes {
            type Value = Box<[u8]>;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("bytes")
            }
            fn visit_bytes<E>(self, bytes: &[u8]) -> Result<Box<[u8]>, E> {
                Ok(bytes.into())
            }
            fn visit_byte_buf<E>(self, bytes: Vec<u8>) -> Result<Box<[u8]>, E> {
                Ok(bytes.into())
            }
        }
        Ok(Self { bytes: d.deserialize_bytes(Bytes)?, item: PhantomData })
    }
}

fn unreadable(e: impl fmt::Display) -> CodecError {
    CodecError::Unreadable(e.to_string())
}

/// A list as rows; the first says how many rows there are. An empty list has no rows.
pub fn encode<T: Serialize>(items: &[T]) -> Result<Vec<Vec<u8>>, CodecError> {
    let mut groups: Vec<(u32, Vec<u8>)> = Vec::new();
    for item in items {
        let bytes =
            bincode::serde::encode_to_vec(item, CONFIG).map_err(|e| CodecError::Unreadable(e.to_string()))?;
        if bytes.len() > ROW_MOST - 16 {
            return Err(CodecError::TooLarge(bytes.len()));
        }
        match groups.last_mut() {
            Some((count, group)) if group.len() + bytes.len() <= CUT_AT => {
                *count += 1;
                group.extend_from_slice(&bytes);
            }
            _ => groups.push((1, bytes)),
        }
    }
    let total = groups.len() as u32;
    groups
        .into_iter()
        .map(|(count, group)| {
            let mut row = bincode::serde::encode_to_vec((total, count), CONFIG)
                .map_err(|e| CodecError::Unreadable(e.to_string()))?;
            row.extend_from_slice(&group);
            Ok(row)
        })
        .collect()
}

/// Whether an item fits a row at all.
pub fn fits<T: Serialize>(item: &T) -> bool {
    encode(std::slice::from_ref(item)).is_ok()
}

/// How many rows the list has, and the items of this one.
pub fn decode<T: DeserializeOwned>(row: &[u8]) -> Result<(u32, Vec<T>), CodecError> {
    let wrong = |e: String| CodecError::Unreadable(e);
    if row.len() > ROW_MOST {
        return Err(CodecError::TooLarge(row.len()));
    }
    let ((total, count), mut at): ((u32, u32), usize) =
        bincode::serde::decode_from_slice(row, CONFIG).map_err(|e| wrong(e.to_string()))?;
    let mut items = Vec::new();
    for _ in 0..count {
        let (item, used) =
            bincode::serde::decode_from_slice(&row[at..], CONFIG).map_err(|e| wrong(e.to_string()))?;
        at += used;
        items.push(item);
    }
    if at != row.len() {
        return Err(wrong(format!("{} bytes left over", row.len() - at)));
    }
    Ok((total, items))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_list_is_cut_into_rows_under_the_limit_and_comes_back() {
        let items: Vec<String> = (0..400).map(|n| format!("{n:0>60}")).collect();
        let rows = encode(&items).unwrap();
        assert!(rows.len() > 3 && rows.iter().all(|r| r.len() < ROW_MOST));
        let mut back = Vec::new();
        for row in &rows {
            let (total, mut part) = decode::<String>(row).unwrap();
            assert_eq!(total as usize, rows.len());
            back.append(&mut part);
        }
        assert_eq!(back, items);
        assert!(encode::<String>(&[]).unwrap().is_empty());
    }

    #[test]
    fn a_hostile_row_is_an_error() {
        let row = encode(&["abc".to_owned()]).unwrap().remove(0);
        let mut longer = row.clone();
        longer.push(0);
        assert_eq!(
            decode::<String>(&longer).unwrap_err().to_string(),
            "a row cannot be read: 1 bytes left over"
        );
        assert!(
            decode::<String>(&[1, 1, 253, 255, 255, 255, 255, 255, 255, 255, 255]).is_err(),
            "a hostile length"
        );
        assert!(decode::<String>(&row[..row.len() - 1]).is_err());
        assert!(matches!(
            encode(&["x".repeat(9000)]),
            Err(CodecError::TooLarge(_)) | Err(CodecError::Unreadable(_))
        ));
    }
}
