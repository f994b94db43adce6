//! A restoration that was entered by a command, or that ended.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::case::{Fitted, Restoration};
use crate::catalog::{Part, Position};
use crate::units::{CaseNumber, Tooth};

/// A restoration was entered, or it ended.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BridgeEntered {
    /// Whose.
    pub case: CaseNumber,
    /// Which of the two.
    pub step: BridgeStep,
}

impl BridgeEntered {
    /// The sites that carry it, or carried it.
    pub fn sites(&self) -> &[Tooth] {
        match &self.step {
            BridgeStep::Made { restoration, .. } => &restoration.sites,
            BridgeStep::Ended { sites, .. } => sites,
        }
    }
}

/// What happened to a restoration.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
#[allow(clippy::large_enum_variant, reason = "one at a time, never a list of them")]
pub enum BridgeStep {
    /// It stands there.
    #[serde(rename_all = "kebab-case")]
    Made {
        /// The restoration.
        restoration: Restoration,
        /// Its frame, one made part, as it stands at each of its sites.
        frame: Box<Fitted>,
        /// The day it was built on what stood there.
        built_on: Date,
        /// What it was built on, where something else stands there now, or nothing.
        measure: Vec<BuiltThere>,
    },
    /// It does not stand there any more; the parts stay.
    #[serde(rename_all = "kebab-case")]
    Ended {
        /// The sites that carried it.
        sites: Vec<Tooth>,
        /// The day.
        on: Date,
    },
}

/// A part that a restoration was built on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct BuiltThere {
    pub site: Tooth,
    pub position: Position,
    pub part: Part,
}
