//! What happens around a visit: begun, narrowed, ended; its tray booked; something taken back; cases closed, checks set.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::{Became, UseLine};
use crate::case::{Broken, Fitted, Left, TorqueRecord};
use crate::catalog::{Part, Position};
use crate::stock::Where;
use crate::units::{CaseNumber, Lot, Note, PartCode, PlaceId, Tooth};

/// A visit was begun, narrowed or ended.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct VisitStep {
    /// Whose.
    pub case: CaseNumber,
    /// Which step.
    pub step: Step,
    /// Where.
    pub site: Tooth,
    /// What is reported.
    pub broken: Broken,
    /// What stayed behind.
    pub left: Left,
    /// What was to be laid out, as it was shown: a booking is held against it.
    pub tray: Vec<Shown>,
    /// Why, in words.
    pub note: Option<Note>,
}

/// A step of a visit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Step {
    /// It began; a walk-in becomes a case by it.
    #[serde(rename_all = "kebab-case")]
    Begun {
        /// The patient was not on record: the case is made, with this site and nothing known there.
        new_case: bool,
    },
    /// Somebody looked: more is known.
    Narrowed,
    /// It is over.
    Ended(Outcome),
}

/// How a visit ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs)]
pub enum Outcome {
    BackIn,
    NotToday,
    Laboratory,
    Referred,
}

impl Outcome {
    /// Every outcome with its word, as commands write it.
    pub const ALL: [(Self, &'static str); 4] = [
        (Self::BackIn, "back-in"),
        (Self::NotToday, "not-today"),
        (Self::Laboratory, "laboratory"),
        (Self::Referred, "referred"),
    ];

    /// As a person says it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::BackIn => "the restoration is back in",
            Self::NotToday => "the restoration could not go back today",
            Self::Laboratory => "sent to the laboratory",
            Self::Referred => "referred",
        }
    }
}

/// A unit that was to be laid out.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct Shown {
    pub site: Tooth,
    pub position: Position,
    pub part: PartCode,
    pub lot: Lot,
    pub place: PlaceId,
}

/// The tray of a visit: what went in, what came out, what was spoiled; all of it or nothing.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TrayBooked {
    /// Whose.
    pub case: CaseNumber,
    /// What went in.
    pub lines: Vec<UseLine<Part>>,
    /// What came out.
    pub removed: Vec<Removed>,
    /// What was opened or dropped and never went in.
    pub spoiled: Vec<Spoiled>,
    /// Why, in words.
    pub note: Option<Note>,
}

/// A part that came out of a mouth: what its bag and a complaint to its maker must say.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct Removed {
    pub site: Tooth,
    pub position: Position,
    pub part: PartCode,
    pub lot: Option<Lot>,
    /// When it was fitted.
    pub since: Option<Date>,
    /// How it had been tightened.
    pub torque: TorqueRecord,
    pub became: Became,
    /// It is the one that gave way.
    pub broken: bool,
}

/// A unit that was taken from its drawer and never went in.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct Spoiled {
    pub part: PartCode,
    pub lot: Lot,
    pub place: PlaceId,
    pub how: Spoilt,
    /// It may be sterilised again; else it is thrown away.
    pub to_reprocess: bool,
}

/// What spoiled it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs)]
pub enum Spoilt {
    Dropped,
    OpenedNotUsed,
}

impl Spoilt {
    /// As a person says it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Dropped => "dropped",
            Self::OpenedNotUsed => "opened, not used",
        }
    }
}

/// An entry was taken back the same day: it was a mistake of booking.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Countered {
    /// Which entry.
    pub entry: u64,
    /// The day it counted for.
    pub on: Date,
    /// Whose, when it concerned a case.
    pub case: Option<CaseNumber>,
    /// Every movement, the other way.
    pub moved_back: Vec<MovedBack>,
    /// Every site it changed, as it was before.
    pub restored: Vec<SiteBefore>,
    /// Where it had put a part in.
    pub fitted_at: Vec<(Tooth, Position)>,
    /// Why.
    pub because: Option<Note>,
}

/// A movement taken back.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct MovedBack {
    pub part: PartCode,
    pub lot: Lot,
    pub quantity: u32,
    pub from: Where,
    pub to: Where,
}

/// A site as it was.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SiteBefore {
    /// Which.
    pub site: Tooth,
    /// What stood there.
    pub fitted: Vec<Fitted>,
    /// What the restoration had been built on, where something else stood there.
    pub built_on: Vec<(Position, Part)>,
}

/// A case was closed, or opened again.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CaseClosed {
    /// Which.
    pub case: CaseNumber,
    /// Closed, or opened again.
    pub closed: bool,
    /// Why.
    pub because: Note,
}

/// When a case is to be checked next.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CheckSet {
    /// Which.
    pub case: CaseNumber,
    /// When; none: called off.
    pub due: Option<Date>,
    /// What for.
    pub because: Note,
}
