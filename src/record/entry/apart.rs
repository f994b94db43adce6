//! What leaves the drawers otherwise than into a patient, and what comes back: discarded, returned, reprocessed, kept
//! apart, called back.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::case::TorqueRecord;
use crate::catalog::Position;
use crate::stock::Where;
use crate::units::{CaseNumber, Lot, Note, PartCode, PlaceId, Tooth};

/// Units were thrown away.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Discarded {
    /// Which.
    pub lines: Vec<DiscardLine>,
    /// Why.
    pub because: Note,
}

/// Units of one lot that were thrown away.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct DiscardLine {
    pub part: PartCode,
    pub lot: Lot,
    pub quantity: u32,
    /// A drawer, the quarantine, or what was to be reprocessed.
    pub from: Where,
}

/// A part came back from a patient and nothing took its place.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Returned {
    /// Whose.
    pub case: CaseNumber,
    /// From which site.
    pub site: Tooth,
    /// Where it stood.
    pub position: Position,
    /// Which part.
    pub part: PartCode,
    /// Its lot, where it was recorded.
    pub lot: Option<Lot>,
    /// Since when it had stood there.
    pub since: Option<Date>,
    /// How it had been tightened.
    pub torque: TorqueRecord,
    /// A drawer only where it was in no mouth.
    pub to: Where,
    /// Somebody says that it was in no mouth.
    pub never_in_mouth: bool,
    /// Why.
    pub because: Note,
}

/// Units that were to be reprocessed were, and lie in a drawer again.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct Reprocessed {
    pub part: PartCode,
    pub lot: Lot,
    pub quantity: u32,
    pub place: PlaceId,
}

/// Units of a lot are kept apart.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Quarantined {
    /// Which part.
    pub part: PartCode,
    /// Which lot.
    pub lot: Lot,
    /// From where.
    pub lines: Vec<TakenFrom>,
    /// Why.
    pub because: Note,
}

/// So many from there.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct TakenFrom {
    pub from: Where,
    pub quantity: u32,
}

/// What was kept apart lies in a drawer again.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct QuarantineLifted {
    /// Which part.
    pub part: PartCode,
    /// Which lot.
    pub lot: Lot,
    /// How many.
    pub quantity: u32,
    /// Into which drawer.
    pub place: PlaceId,
    /// Why.
    pub because: Note,
}

/// A drawer was counted; what differs is corrected.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Counted {
    /// Which drawer.
    pub place: PlaceId,
    /// What was counted, what differs and what does not.
    pub lines: Vec<CountLine>,
    /// Why it differs, or why it was counted.
    pub because: Note,
}

/// What was counted of one lot.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct CountLine {
    pub part: PartCode,
    pub lot: Lot,
    pub counted: u32,
    /// What the record had then.
    pub on_record: u32,
}

/// Planned work: units that a case needs on a day.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Needed {
    /// Whose.
    pub case: CaseNumber,
    /// When.
    pub on: Date,
    /// Which part.
    pub part: PartCode,
    /// How many.
    pub quantity: u32,
    /// What for.
    pub because: Option<Note>,
}

/// Planned work was called off.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NeedOff {
    /// Whose.
    pub case: CaseNumber,
    /// The entry that planned it.
    pub need: u64,
    /// Which part.
    pub part: PartCode,
    /// Why.
    pub because: Option<Note>,
}

/// A lot was called back by its maker: what is left of it is kept apart, and no unit of it is picked again.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CalledBack {
    /// Which part.
    pub part: PartCode,
    /// Which lot.
    pub lot: Lot,
    /// What was left, from where; none where nothing was.
    pub lines: Vec<TakenFrom>,
    /// What the maker says.
    pub because: Option<Note>,
}
