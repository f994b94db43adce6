//! Places, movements between them, and the balance lines they leave.

use std::fmt;

use serde::{Deserialize, Serialize};

use crate::units::{CaseNumber, Expiry, Lot, PartCode, PlaceId};

/// Where a unit is. Only a [`Where::House`] place is ours to take from.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Where {
    /// A drawer.
    House(PlaceId),
    /// Not delivered yet.
    Supplier,
    /// In a patient; balances add all cases up.
    Case(CaseNumber),
    /// All cases together, in a balance line.
    Cases,
    /// Thrown away.
    Waste,
    /// A broken piece that was kept.
    KeptPieces,
    /// Fitted before or outside this record.
    Elsewhere,
    /// Found or missing when someone looked: the other side of a correction.
    Correction,
}

impl Where {
    /// The balance line this place counts in.
    pub fn balance(&self) -> Self {
        match self {
            Self::Case(_) => Self::Cases,
            other => other.clone(),
        }
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
            Self::Case(case) => f.pad(&format!("case {case}")),
            Self::Cases => f.pad("cases"),
            Self::Waste => f.pad("waste"),
            Self::KeptPieces => f.pad("kept pieces"),
            Self::Elsewhere => f.pad("elsewhere"),
            Self::Correction => f.pad("correction"),
        }
    }
}

/// Units of one lot going from one place to another.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Movement {
    /// Which part.
    pub part: PartCode,
    /// Which lot.
    pub lot: Lot,
    /// From where.
    pub from: Where,
    /// To where.
    pub to: Where,
    /// How many.
    pub quantity: u32,
    /// The lot's expiry, when this movement is the first to state it.
    pub expiry: Option<Expiry>,
}

/// How many units of a lot are in a place.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct StockLine {
    /// Which lot.
    pub lot: Lot,
    /// Until when it may be used.
    pub expiry: Expiry,
    /// Where.
    pub place: Where,
    /// How many; below zero only outside the house.
    pub quantity: i64,
}
