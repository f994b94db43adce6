//! What goes between a practice and its laboratory: a case taken from a share, an answer taken back.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::case::{CaseHead, Fitted, Restoration};
use crate::catalog::{Interface, Part, Position, System};
use crate::logbook::{LogbookId, Sum};
use crate::units::{CaseNumber, Initials, PracticeName, Tooth};

/// Whose case it is: the logbook it stands in, and its number there.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Origin {
    /// Whose logbook.
    pub practice: PracticeName,
    /// Which logbook.
    pub logbook: LogbookId,
    /// The number of the case there.
    pub case: CaseNumber,
}

impl Origin {
    /// Whether both are the same case of the same logbook, whatever the practice calls itself by now.
    pub fn is(&self, other: &Self) -> bool {
        self.logbook == other.logbook && self.case == other.case
    }
}

/// A site and the sum over what stands there and what the restoration was built on there.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct SiteSum {
    pub site: Tooth,
    pub sum: Sum,
}

/// A laboratory took a case that a practice shared; in place of what it took of that case before.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CaseTaken {
    /// Whose case it is.
    pub origin: Origin,
    /// As of which entry of that logbook it was shared.
    pub as_of: u64,
    /// The day it was shared.
    pub shared_on: Date,
    /// The sum of the whole file.
    pub file: Sum,
    /// The sums of its sites, in the order of `case.sites`.
    pub sums: Vec<SiteSum>,
    /// The case, under its number here.
    pub case: CaseHead,
    /// Its restorations.
    pub restorations: Vec<Restoration>,
    /// Its assemblies, one a site, in the order of `case.sites`.
    pub assemblies: Vec<Vec<Fitted>>,
    /// What the restoration was built on where something else stands now, one a site.
    pub built_on: Vec<Vec<(Position, Part)>>,
    /// The systems its parts are of, as the practice has them.
    pub systems: Vec<System>,
    /// The interfaces its parts meet by, as the practice has them.
    pub interfaces: Vec<Interface>,
}

/// One swap that an answer is about.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AnswerSwap<P = Part> {
    /// At which site.
    pub site: Tooth,
    /// In which position.
    pub position: Position,
    /// What would go there: its numbers, as they were when the answer was made.
    pub part: P,
}

/// Whether the bridge still sits, in a word.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs)]
pub enum FitWord {
    KeepsTheFit,
    CheckAtTryIn,
    DoesNotKeepTheFit,
    NotEnoughKnown,
}

impl FitWord {
    /// As a person says it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::KeepsTheFit => "keeps the fit",
            Self::CheckAtTryIn => "check at try-in",
            Self::DoesNotKeepTheFit => "does not keep the fit",
            Self::NotEnoughKnown => "not enough known",
        }
    }

    /// It may go in.
    pub fn may_go_in(self) -> bool {
        self <= Self::CheckAtTryIn
    }
}

/// Where one verdict ends and the next begins, for the widest edge gap; in tenths of µm.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FitBands {
    /// Up to here it keeps the fit.
    pub keeps: u32,
    /// Up to here it is checked at try-in; above, it does not keep the fit.
    pub try_in: u32,
}

/// A laboratory's answer was taken back by the practice.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SwapConfirmed {
    /// Whose.
    pub case: CaseNumber,
    /// The sum of the answer's file: the same answer is taken once.
    pub answer: Sum,
    /// Which laboratory.
    pub laboratory: PracticeName,
    /// Who there.
    pub by: Initials,
    /// The day it was answered.
    pub on: Date,
    /// What it was computed on: the sums of the restoration's sites.
    pub computed_on: Vec<SiteSum>,
    /// Which swaps, judged as a set.
    pub swaps: Vec<AnswerSwap>,
    /// What it says of them.
    pub verdict: FitWord,
    /// The widest edge gap, in tenths of µm; none where it could not be computed.
    pub worst_gap: Option<u32>,
    /// By which bands it was judged.
    pub bands: FitBands,
}
