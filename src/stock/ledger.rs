//! Places, movements between them, and the balance lines they leave.

use std::fmt;

use serde::{Deserialize, Serialize};

use crate::units::{Expiry, Lot, PartCode, PlaceId};

/// Where a unit is. Only a [`Where::House`] place is ours to take from.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Where {
    /// A drawer.
    House(PlaceId),
    /// Not delivered yet.
    Supplier,
    /// In a patient: all cases together.
    Cases,
    /// Thrown away.
    Waste,
    /// A broken piece that was kept.
    KeptPieces,
    /// Fitted before or outside this record.
    Elsewhere,
    /// Found or missing when someone looked: the other side of a correction.
    Correction,
    /// To be cleaned and sterilised before it may lie in a drawer again.
    Reprocess,
    /// Kept apart: never picked, whatever it is.
    Quarantine,
}

impl Where {
    /// Under this roof, in a drawer or kept apart: never below zero.
    pub fn is_under_roof(&self) -> bool {
        matches!(self, Self::House(_) | Self::Reprocess | Self::Quarantine)
    }

    /// The drawer, if it is one.
    pub fn house(&self) -> Option<&PlaceId> {
        match self {
            Self::House(place) => Some(place),
            _ => None,
        }
    }
}

impl fmt::Display for Where {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::House(place) => place.fmt(f),
            Self::Supplier => f.pad("supplier"),
            Self::Cases => f.pad("cases"),
            Self::Waste => f.pad("waste"),
            Self::KeptPieces => f.pad("kept pieces"),
            Self::Elsewhere => f.pad("elsewhere"),
            Self::Correction => f.pad("correction"),
            Self::Reprocess => f.pad("to be reprocessed"),
            Self::Quarantine => f.pad("quarantine"),
        }
    }
}

/// The balance line a movement touches, before a line of its own is needed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Spot<'e> {
    House(&'e PlaceId),
    Supplier,
    Cases,
    Waste,
    KeptPieces,
    Correction,
    Elsewhere,
    Reprocess,
    Quarantine,
}

impl<'e> Spot<'e> {
    /// The line of a place.
    pub fn of(place: &'e Where) -> Self {
        match place {
            Where::House(place) => Self::House(place),
            Where::Supplier => Self::Supplier,
            Where::Cases => Self::Cases,
            Where::Waste => Self::Waste,
            Where::KeptPieces => Self::KeptPieces,
            Where::Correction => Self::Correction,
            Where::Elsewhere => Self::Elsewhere,
            Where::Reprocess => Self::Reprocess,
            Where::Quarantine => Self::Quarantine,
        }
    }
}

impl Spot<'_> {
    /// Whether that is its line.
    pub fn is(&self, place: &Where) -> bool {
        match (self, place) {
            (Self::House(here), Where::House(there)) => *here == there,
            (Self::Supplier, Where::Supplier) | (Self::Cases, Where::Cases) | (Self::Waste, Where::Waste) => {
                true
            }
            (Self::KeptPieces, Where::KeptPieces) | (Self::Correction, Where::Correction) => true,
            (Self::Elsewhere, Where::Elsewhere) | (Self::Reprocess, Where::Reprocess) => true,
            (Self::Quarantine, Where::Quarantine) => true,
            _ => false,
        }
    }

    /// Its line.
    pub fn place(&self) -> Where {
        match self {
            Self::House(place) => Where::House((*place).clone()),
            Self::Supplier => Where::Supplier,
            Self::Cases => Where::Cases,
            Self::Waste => Where::Waste,
            Self::KeptPieces => Where::KeptPieces,
            Self::Correction => Where::Correction,
            Self::Elsewhere => Where::Elsewhere,
            Self::Reprocess => Where::Reprocess,
            Self::Quarantine => Where::Quarantine,
        }
    }
}

/// Units of one lot going from one place to another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Movement<'e> {
    /// Which part.
    pub part: &'e PartCode,
    /// Which lot.
    pub lot: &'e Lot,
    /// From where.
    pub from: Spot<'e>,
    /// To where.
    pub to: Spot<'e>,
    /// How many.
    pub quantity: u32,
    /// The lot's expiry, when this movement is the first to state it.
    pub expiry: Option<Expiry>,
}

/// How many units of a lot are in a place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StockLine {
    /// Which lot.
    pub lot: Lot,
    /// Until when it may be used.
    pub expiry: Expiry,
    /// Where.
    pub place: Where,
    /// How many; below zero only outside the house.
    pub quantity: i64,
    /// How many of them are set aside for the case that is asked about; 0 where none is.
    pub own: i64,
    /// The entry that put the catalogue edition in force under which the lot was received: it keeps its numbers. 0 where
    /// that is not known.
    pub edition: u64,
}
