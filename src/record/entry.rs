//! What can happen: one entry a kind, versioned by kind, unknown fields refused.
//!
//! A field more is a new version (`use.2`), never an optional field; what is written today is read for ever. The
//! museum under tests/museum holds lines of every kind as they were first written.

mod shares;
mod sites;
mod visits;

use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;
use thiserror::Error;

use crate::case::{Bands, CaseHead, Event, Fitted, Restoration, TorqueRecord};
use crate::catalog::{EditionId, Lean, Part, Position, Value};
use crate::logbook::Founding;
use crate::matching::Verification;
use crate::units::{CaseNumber, Expiry, Lot, Note, PartCode, PlaceId, RawLabel, Tooth, printable};
pub use shares::{AnswerSwap, CaseTaken, FitBands, FitWord, Origin, SiteSum, SwapConfirmed};
pub use sites::SitesMeasured;
pub use visits::{
    CaseClosed, CheckSet, Countered, MovedBack, Outcome, Removed, Shown, SiteBefore, Spoiled, Spoilt, Step,
    TrayBooked, VisitStep,
};

/// One entry.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[allow(missing_docs)]
#[allow(clippy::large_enum_variant, reason = "one at a time, never a list of them")]
pub enum Entry {
    #[serde(rename = "new.1")]
    Founded(Founding),
    #[serde(rename = "catalogue.1")]
    Catalogue(CatalogueChanged),
    #[serde(rename = "receive.1")]
    Received(Received),
    #[serde(rename = "move.1")]
    Moved(Moved),
    #[serde(rename = "use.1")]
    Used(Used),
    #[serde(rename = "case.1")]
    Case(CaseImported),
    #[serde(rename = "fit.1")]
    Fitted(FittedEntered),
    #[serde(rename = "event.1")]
    Happened(HappenedEntered),
    #[serde(rename = "verification.1")]
    Verification(VerificationEntered),
    #[serde(rename = "accept.1")]
    Accepted(Accepted),
    #[serde(rename = "visit.1")]
    Visit(VisitStep),
    #[serde(rename = "tray.1")]
    Tray(TrayBooked),
    #[serde(rename = "counter.1")]
    Countered(Countered),
    #[serde(rename = "case-closed.1")]
    CaseClosed(CaseClosed),
    #[serde(rename = "check.1")]
    CheckSet(CheckSet),
    #[serde(rename = "taken.1")]
    Taken(CaseTaken),
    #[serde(rename = "taken.2")]
    TakenWithForms(CaseTaken),
    #[serde(rename = "confirmed.1")]
    Confirmed(SwapConfirmed),
    #[serde(rename = "bands.1")]
    BandsSet(BandsSet),
    #[serde(rename = "measured.1")]
    Measured(SitesMeasured),
}

/// The catalogue became another edition.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CatalogueChanged {
    /// Which edition.
    pub edition: EditionId,
    /// How many parts it has.
    pub parts: u32,
    /// How many of them the edition before did not have.
    pub added: u32,
    /// How many have other numbers than before.
    pub changed: u32,
    /// From what it was made.
    pub from: Note,
}

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

/// A whole case, new or in place of the one of that number.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CaseImported {
    /// The case.
    pub case: CaseHead,
    /// Its restorations.
    pub restorations: Vec<Restoration>,
    /// Its assemblies, one a site, in the order of `case.sites`.
    pub assemblies: Vec<Vec<Fitted>>,
    /// What happened before.
    pub events: Vec<Event>,
}

/// A part found in a patient, entered into the record; no stock moves.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FittedEntered {
    /// Whose.
    pub case: CaseNumber,
    /// At which site; made when it is new.
    pub site: Tooth,
    /// What stands there; replaces what the record had in that position.
    pub fitted: Fitted,
}

/// Something happened.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HappenedEntered {
    /// To whom.
    pub case: CaseNumber,
    /// What.
    pub event: Event,
}

/// The practice tried another source's part on one of its own.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct VerificationEntered {
    /// What was tried.
    pub verification: Verification,
}

/// A person decided that the logbook found in place is the one to go on with.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Accepted {
    /// The last entry the view had held.
    pub seen: u64,
    /// The last entry of the logbook that was found.
    pub found: u64,
    /// Why.
    pub why: Note,
}

/// What is called keeping the fit was set.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BandsSet {
    /// From now on.
    pub bands: Bands,
}

/// Why an entry cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum EntryError {
    /// A kind this program does not know.
    #[error("a newer spareseat wrote an entry of kind '{0}'")]
    NewerKind(String),
    /// A kind it knows, and not its form.
    #[error("the entry cannot be read: {0}")]
    Form(String),
}

impl Entry {
    const KINDS: [&'static str; 20] = [
        "new.1",
        "catalogue.1",
        "receive.1",
        "move.1",
        "use.1",
        "case.1",
        "fit.1",
        "event.1",
        "verification.1",
        "accept.1",
        "visit.1",
        "tray.1",
        "counter.1",
        "case-closed.1",
        "check.1",
        "taken.1",
        "taken.2",
        "confirmed.1",
        "bands.1",
        "measured.1",
    ];

    /// A case that was taken: of the second kind where one of its interfaces says whether it is flat or a cone, which the
    /// first kind had no word for.
    pub fn taken(case: CaseTaken) -> Self {
        let says = case.interfaces.iter().any(|i| !i.form.is_unknown());
        if says { Self::TakenWithForms(case) } else { Self::Taken(case) }
    }

    /// Reads the entry of a line.
    pub fn parse(text: &str) -> Result<Self, EntryError> {
        serde_json::from_str(text).map_err(|e| {
            let kind = text.split('"').nth(1).unwrap_or_default();
            if Self::KINDS.contains(&kind) {
                EntryError::Form(printable(&e.to_string()))
            } else {
                EntryError::NewerKind(printable(kind))
            }
        })
    }

    /// As the logbook keeps it.
    pub fn to_raw(&self) -> Box<RawValue> {
        serde_json::value::to_raw_value(self).expect("an entry is plain data with text keys")
    }

    /// Its kind as written.
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Founded(_) => "new.1",
            Self::Catalogue(_) => "catalogue.1",
            Self::Received(_) => "receive.1",
            Self::Moved(_) => "move.1",
            Self::Used(_) => "use.1",
            Self::Case(_) => "case.1",
            Self::Fitted(_) => "fit.1",
            Self::Happened(_) => "event.1",
            Self::Verification(_) => "verification.1",
            Self::Accepted(_) => "accept.1",
            Self::Visit(_) => "visit.1",
            Self::Tray(_) => "tray.1",
            Self::Countered(_) => "counter.1",
            Self::CaseClosed(_) => "case-closed.1",
            Self::CheckSet(_) => "check.1",
            Self::Taken(_) => "taken.1",
            Self::TakenWithForms(_) => "taken.2",
            Self::Confirmed(_) => "confirmed.1",
            Self::BandsSet(_) => "bands.1",
            Self::Measured(_) => "measured.1",
        }
    }

    /// The case it concerns, if any.
    pub fn case(&self) -> Option<&CaseNumber> {
        match self {
            Self::Used(e) => Some(&e.case),
            Self::Case(e) => Some(&e.case.number),
            Self::Fitted(e) => Some(&e.case),
            Self::Happened(e) => Some(&e.case),
            Self::Visit(e) => Some(&e.case),
            Self::Tray(e) => Some(&e.case),
            Self::Countered(e) => e.case.as_ref(),
            Self::CaseClosed(e) => Some(&e.case),
            Self::CheckSet(e) => Some(&e.case),
            Self::Taken(e) | Self::TakenWithForms(e) => Some(&e.case.number),
            Self::Confirmed(e) => Some(&e.case),
            Self::Measured(e) => Some(&e.case),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_newer_kind_is_named_and_a_known_one_must_have_its_form() {
        assert_eq!(
            Entry::parse(r#"{"use.2":{}}"#).unwrap_err().to_string(),
            "a newer spareseat wrote an entry of kind 'use.2'"
        );
        assert!(matches!(Entry::parse(r#"{"move.1":{"lines":[],"more":1}}"#), Err(EntryError::Form(_))));
        let moved = Entry::Moved(Moved { lines: vec![] });
        assert_eq!(Entry::parse(moved.to_raw().get()).unwrap(), moved);
    }
}
