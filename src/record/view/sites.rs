//! Rows of where the sites of a case lie.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::units::{Note, Tooth};

/// A measuring of sites, as far as no later one has taken their place; the coordinates stand with the case.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct MeasuringRow {
    /// By which entry.
    pub entry: u64,
    /// When.
    pub on: Date,
    /// Which sites it still holds for.
    pub sites: Vec<Tooth>,
    /// The name of the file, or 'typed'.
    pub source: Note,
    /// Why it was taken although it looked wrong; or what else was said.
    pub because: Option<Note>,
}
