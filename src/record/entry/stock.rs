//! What happens to stock: it comes, is moved, set aside, put into a patient.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::case::TorqueRecord;
use crate::catalog::{Lean, Part, Position, Value};
use crate::units::{CaseNumber, Expiry, Lot, Note, PartCode, PlaceId, RawLabel, Tooth};

/// A delivery: all lines or none.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Received {
    /// What came.
    pub lines: Vec<ReceiveLine>,
}

/// One line of a delivery.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ReceiveLine {
    /// Which part.
    pub part: PartCode,
    /// Which lot.
    pub lot: Lot,
    /// How many.
    pub quantity: u32,
    /// Into which drawer.
    pub place: PlaceId,
    /// The lot's expiry; left as recorded when it was not said.
    pub expiry: Option<Expiry>,
    /// Its label as scanned.
    pub label: Option<RawLabel>,
}

/// Stock moved from drawer to drawer.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Moved {
    /// What was moved.
    pub lines: Vec<MoveLine>,
}

/// One line of a move.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MoveLine {
    /// Which part.
    pub part: PartCode,
    /// Which lot.
    pub lot: Lot,
    /// How many.
    pub quantity: u32,
    /// From which drawer.
    pub from: PlaceId,
    /// Into which drawer.
    pub to: PlaceId,
}

/// Parts went into a patient.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Used<P = Part> {
    /// Whose.
    pub case: CaseNumber,
    /// Which parts, at which sites.
    pub lines: Vec<UseLine<P>>,
}

/// One part put into a patient; `P` is the part, or its text before it is read.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct UseLine<P = Part> {
    /// At which site.
    pub site: Tooth,
    /// Where it stands.
    pub position: Position,
    /// Its numbers as of now.
    pub part: P,
    /// Its lot.
    pub lot: Lot,
    /// From which drawer.
    pub place: PlaceId,
    /// Its label as scanned.
    pub label: Option<RawLabel>,
    /// How it was tightened.
    pub torque: TorqueRecord,
    /// Which way it leans.
    pub lean: Value<Lean>,
    /// The drawer did not hold it by the record: the entry books the correction too.
    pub found: bool,
    /// Why an expired lot was used, when it was.
    pub expired_because: Option<Note>,
    /// What stood there before.
    pub replaced: Option<Replaced>,
}

/// What a new part replaced.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Replaced {
    /// Which part.
    pub part: PartCode,
    /// Its lot, where it was recorded.
    pub lot: Option<Lot>,
    /// What became of it.
    pub became: Became,
}

/// What became of a part that came out of a mouth; never back to a drawer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs)]
pub enum Became {
    Discarded,
    Kept,
}

impl Became {
    /// Every outcome with its word.
    pub const ALL: [(Self, &'static str); 2] = [(Self::Discarded, "discarded"), (Self::Kept, "kept")];

    /// Its word.
    pub fn word(self) -> &'static str {
        Self::ALL.iter().find(|(b, _)| *b == self).map_or("", |(_, w)| w)
    }
}

/// Parts went into a patient although they were set aside for another one; what is not held is `use.1`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct UsedHeld {
    /// Whose.
    pub case: CaseNumber,
    /// Which parts, at which sites.
    pub lines: Vec<UseLine>,
    /// Why they were taken all the same.
    pub held_because: Note,
}

/// Units were set aside for a case until a day.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SetAside {
    /// For whom.
    pub case: CaseNumber,
    /// Which part.
    pub part: PartCode,
    /// Of which lots, wherever these lie.
    pub lots: Vec<HeldLot>,
    /// The last day it counts.
    pub until: Date,
    /// What for.
    pub because: Option<Note>,
}

/// Units of one lot that are set aside.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct HeldLot {
    pub lot: Lot,
    pub quantity: u32,
}

/// What was set aside is free again.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Released {
    /// Which holds.
    pub holds: Vec<ReleasedHold>,
    /// Why.
    pub because: Option<Note>,
}

/// A hold, by the entry that made it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct ReleasedHold {
    pub hold: u64,
    pub case: CaseNumber,
    pub part: PartCode,
}
