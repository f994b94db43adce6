//! Rows of what goes between a practice and its laboratory.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::logbook::Sum;
use crate::record::entry::{AnswerSwap, FitBands, FitWord, Origin};
use crate::units::{Initials, PartCode, PracticeName};

/// Where a case came from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct OriginRow {
    /// Whose case it is.
    pub origin: Origin,
    /// As of which entry of that logbook it was shared.
    pub as_of: u64,
    /// The day it was shared.
    pub shared_on: Date,
    /// The sum of the file it came in.
    pub file: Sum,
    /// By which entry it was taken.
    pub entry: u64,
    /// When it was taken.
    pub on: Date,
}

/// What a laboratory answered, with the codes of its parts: their numbers stand in the entry.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ConfirmedRow {
    /// By which entry it was taken back.
    pub entry: u64,
    /// When it was taken back.
    pub taken_on: Date,
    /// The sum of the answer's file.
    pub answer: Sum,
    /// Which laboratory.
    pub laboratory: PracticeName,
    /// Who there.
    pub by: Initials,
    /// The day it was answered.
    pub on: Date,
    /// Which swaps, judged as a set.
    pub swaps: Vec<AnswerSwap<PartCode>>,
    /// What it says of them.
    pub verdict: FitWord,
    /// The widest edge gap, in tenths of µm.
    pub worst_gap: Option<u32>,
    /// By which bands it was judged.
    pub bands: FitBands,
}
