//! What can happen: one entry a kind, versioned by kind, unknown fields refused.
//!
//! A field more is a new version (`use.2`), never an optional field; what is written today is read for ever. The
//! museum under tests/museum holds lines of every kind as they were first written.

mod apart;
mod bridges;
mod kinds;
mod shares;
mod sites;
mod stock;
mod visits;

use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;
use thiserror::Error;

use crate::case::{Bands, CaseHead, Event, Fitted, Restoration};
use crate::catalog::{EditionId, Part, Position};
use crate::logbook::Founding;
use crate::matching::Verification;
use crate::units::{CaseNumber, Lot, Note, Tooth, printable};
pub use apart::{
    CalledBack, CountLine, Counted, DiscardLine, Discarded, NeedOff, Needed, QuarantineLifted, Quarantined,
    Reprocessed, Returned, TakenFrom,
};
pub use bridges::{BridgeEntered, BridgeStep, BuiltThere};
use kinds::{KINDS, WITH_MAKERS};
pub use shares::{AnswerSwap, CaseTaken, FitBands, FitWord, Origin, SiteSum, SwapConfirmed};
pub use sites::SitesMeasured;
pub use stock::{
    Became, HeldLot, MoveLine, Moved, ReceiveLine, Received, Released, ReleasedHold, Replaced, SetAside,
    UseLine, Used, UsedHeld,
};
pub use visits::{
    CaseClosed, CheckSet, Countered, MovedBack, Outcome, Removed, Shown, SiteBefore, Spoiled, Spoilt, Step,
    TrayBooked, VisitStep,
};

/// One entry.
///
/// A kind with a second name (`use.3` for `use.1`) holds a part that states its maker, which the first had no word for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[allow(missing_docs)]
#[allow(clippy::large_enum_variant, reason = "one at a time, never a list of them")]
pub enum Entry {
    #[serde(rename = "new.1")]
    Founded(Founding),
    #[serde(rename = "catalogue.1")]
    Catalogue(CatalogueChanged),
    #[serde(rename = "catalogue.2")]
    CatalogueCorrected(CatalogueCorrected),
    #[serde(rename = "receive.1")]
    Received(Received),
    #[serde(rename = "move.1")]
    Moved(Moved),
    #[serde(rename = "use.1", alias = "use.3")]
    Used(Used),
    #[serde(rename = "case.1", alias = "case.2")]
    Case(CaseImported),
    #[serde(rename = "fit.1", alias = "fit.2")]
    Fitted(FittedEntered),
    #[serde(rename = "event.1")]
    Happened(HappenedEntered),
    #[serde(rename = "verification.1", alias = "verification.2")]
    Verification(VerificationEntered),
    #[serde(rename = "accept.1")]
    Accepted(Accepted),
    #[serde(rename = "visit.1")]
    Visit(VisitStep),
    #[serde(rename = "tray.1", alias = "tray.2")]
    Tray(TrayBooked),
    #[serde(rename = "counter.1", alias = "counter.2")]
    Countered(Countered),
    #[serde(rename = "case-closed.1")]
    CaseClosed(CaseClosed),
    #[serde(rename = "check.1")]
    CheckSet(CheckSet),
    #[serde(rename = "taken.1")]
    Taken(CaseTaken),
    #[serde(rename = "taken.2", alias = "taken.3")]
    TakenWithForms(CaseTaken),
    #[serde(rename = "confirmed.1", alias = "confirmed.2")]
    Confirmed(SwapConfirmed),
    #[serde(rename = "bands.1")]
    BandsSet(BandsSet),
    #[serde(rename = "measured.1")]
    Measured(SitesMeasured),
    #[serde(rename = "hold.1")]
    SetAside(SetAside),
    #[serde(rename = "release.1")]
    Released(Released),
    #[serde(rename = "use.2", alias = "use.4")]
    UsedHeld(UsedHeld),
    #[serde(rename = "discard.1")]
    Discarded(Discarded),
    #[serde(rename = "return.1")]
    Returned(Returned),
    #[serde(rename = "reprocess.1")]
    Reprocessed(Reprocessed),
    #[serde(rename = "quarantine.1")]
    Quarantined(Quarantined),
    #[serde(rename = "quarantine-lifted.1")]
    QuarantineLifted(QuarantineLifted),
    #[serde(rename = "withdraw.1")]
    CalledBack(CalledBack),
    #[serde(rename = "count.1")]
    Counted(Counted),
    #[serde(rename = "need.1")]
    Needed(Needed),
    #[serde(rename = "need-off.1")]
    NeedOff(NeedOff),
    #[serde(rename = "bridge.1")]
    Bridge(BridgeEntered),
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

/// The catalogue became another edition, and in the one before numbers of some parts had been wrong: the parts are what
/// they were, and wherever they are the right numbers hold.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CatalogueCorrected {
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
    /// Whose numbers had been wrong.
    pub wrong: Vec<WrongNumbers>,
}

/// A part whose numbers had been wrong, and where units of it are.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WrongNumbers {
    /// The part as it is and was.
    pub now: Part,
    /// The lots that the record had under the wrong numbers.
    pub lots: Vec<Lot>,
    /// The mouths.
    pub mouths: Vec<Mouth>,
}

/// A position in which a part stands.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Mouth {
    /// Whose.
    pub case: CaseNumber,
    /// At which site.
    pub site: Tooth,
    /// In which position.
    pub position: Position,
    /// It stands there now.
    pub stands: bool,
    /// The restoration was built on it, and something else stands there now.
    pub built_on: bool,
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

/// The practice tried another maker's part on one of its own.
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
    /// A case that was taken: of the second kind where one of its interfaces says whether it is flat or a cone, which the
    /// first kind had no word for.
    pub fn taken(case: CaseTaken) -> Self {
        let says = case.interfaces.iter().any(|i| !i.form.is_unknown());
        // The third kind is read as the second with makers in it.
        let makers = case.assemblies.iter().flatten().any(|f| !f.part.maker.is_unknown());
        let makers = makers || case.built_on.iter().flatten().any(|(_, part)| !part.maker.is_unknown());
        if says || makers { Self::TakenWithForms(case) } else { Self::Taken(case) }
    }

    /// Reads the entry of a line.
    pub fn parse(text: &str) -> Result<Self, EntryError> {
        serde_json::from_str(text).map_err(|e| {
            let kind = text.split('"').nth(1).unwrap_or_default();
            if KINDS.contains(&kind) {
                EntryError::Form(printable(&e.to_string()))
            } else {
                EntryError::NewerKind(printable(kind))
            }
        })
    }

    /// As the logbook keeps it.
    pub fn to_raw(&self) -> Box<RawValue> {
        let text = serde_json::to_string(self).expect("an entry is plain data with text keys");
        let (first, kind) = (self.first_kind(), self.kind());
        let text = match text.strip_prefix(&format!("{{\"{first}\":")) {
            Some(rest) if first != kind => format!("{{\"{kind}\":{rest}"),
            _ => text,
        };
        RawValue::from_string(text).expect("it was JSON before its kind was named")
    }

    /// Its kind as written.
    pub fn kind(&self) -> &'static str {
        let first = self.first_kind();
        let newer = WITH_MAKERS.iter().find(|(kind, _)| *kind == first);
        newer.filter(|_| self.states_a_maker()).map_or(first, |(_, kind)| kind)
    }

    /// The first name of its kind.
    fn first_kind(&self) -> &'static str {
        match self {
            Self::Founded(_) => "new.1",
            Self::Catalogue(_) => "catalogue.1",
            Self::CatalogueCorrected(_) => "catalogue.2",
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
            Self::SetAside(_) => "hold.1",
            Self::Released(_) => "release.1",
            Self::UsedHeld(_) => "use.2",
            Self::Discarded(_) => "discard.1",
            Self::Returned(_) => "return.1",
            Self::Reprocessed(_) => "reprocess.1",
            Self::Quarantined(_) => "quarantine.1",
            Self::QuarantineLifted(_) => "quarantine-lifted.1",
            Self::CalledBack(_) => "withdraw.1",
            Self::Counted(_) => "count.1",
            Self::Needed(_) => "need.1",
            Self::NeedOff(_) => "need-off.1",
            Self::Bridge(_) => "bridge.1",
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
            Self::SetAside(e) => Some(&e.case),
            Self::UsedHeld(e) => Some(&e.case),
            Self::Returned(e) => Some(&e.case),
            Self::Needed(e) => Some(&e.case),
            Self::NeedOff(e) => Some(&e.case),
            Self::Bridge(e) => Some(&e.case),
            _ => None,
        }
    }

    /// Whether it concerns that case, be it beside others.
    pub fn concerns(&self, case: &CaseNumber) -> bool {
        match self {
            Self::Released(e) => e.holds.iter().any(|h| h.case == *case),
            Self::CatalogueCorrected(e) => e.wrong.iter().any(|w| w.mouths.iter().any(|m| m.case == *case)),
            other => other.case() == Some(case),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_newer_kind_is_named_and_a_known_one_must_have_its_form() {
        assert_eq!(
            Entry::parse(r#"{"use.9":{}}"#).unwrap_err().to_string(),
            "a newer spareseat wrote an entry of kind 'use.9'"
        );
        assert!(matches!(Entry::parse(r#"{"move.1":{"lines":[],"more":1}}"#), Err(EntryError::Form(_))));
        let moved = Entry::Moved(Moved { lines: vec![] });
        assert_eq!(Entry::parse(moved.to_raw().get()).unwrap(), moved);
    }
}
