//! What a laboratory answered, in words: text and JSON say it alike.

use crate::catalog::Position;
use crate::record::{ConfirmedRow, FitWord};
use crate::units::{PartCode, Tooth};

/// Tenths of µm as a person reads them.
pub(super) fn um(tenths: u32) -> String {
    format!("{}.{} µm", tenths / 10, tenths % 10)
}

pub(super) fn found(verdict: FitWord, gap: Option<u32>) -> String {
    let gap = gap.map_or("widest gap not known".to_owned(), |g| format!("widest gap {}", um(g)));
    format!("{}, {gap}", verdict.words())
}

pub(super) fn swapped<'a>(all: impl Iterator<Item = (Tooth, Position, &'a PartCode)>) -> String {
    all.map(|(site, position, part)| format!("{site}, {}: {part}", position.words()))
        .collect::<Vec<_>>()
        .join("; ")
}

/// An answer that was taken back, as an event of its case.
pub fn confirmed(row: &ConfirmedRow) -> String {
    format!(
        "confirmed by {}, {} (entry {}): {}: {}",
        row.by,
        row.laboratory,
        row.entry,
        swapped(row.swaps.iter().map(|s| (s.site, s.position, &s.part))),
        found(row.verdict, row.worst_gap)
    )
}
