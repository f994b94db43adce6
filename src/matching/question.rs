//! What is asked: the part that is fitted, its real mates, what stands on it, and the candidate.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::catalog::{Lean, Part, Placed, Position, Value};
use crate::units::{Initials, Note, PartCode};

/// What stands on the position asked about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum StandsOn {
    /// Nothing yet: a new restoration will be made.
    Nothing,
    /// One crown.
    OneCrown,
    /// A rigid bridge over several sites, as it was built.
    Bridge,
}

/// What the practice recorded when it tried another source's part on one of its own.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Verification {
    /// The part it replaces, as it was then.
    pub fitted: Part,
    /// The candidate, as it was then.
    pub candidate: Part,
    /// How many pieces were tried.
    pub pieces: u32,
    /// How.
    pub how: Note,
    /// Who.
    pub by: Initials,
    /// When.
    pub on: Date,
}

/// May `candidate` take the place of `fitted`?
#[derive(Debug, Clone, Copy)]
pub struct Question<'a> {
    /// Where it stands.
    pub position: Position,
    /// What is fitted there, with the numbers it had when it was fitted.
    pub fitted: &'a Part,
    /// Which way the fitted part leans, as far as the record knows.
    pub lean: &'a Value<Lean>,
    /// The other parts at this site; the part asked about is not among them.
    pub others: &'a [Placed<'a>],
    /// What stands on it.
    pub stands_on: StandsOn,
    /// The part that would come in.
    pub candidate: &'a Part,
    /// The practice's own verifications of this pair, if any.
    pub verifications: &'a [Verification],
}

impl Question<'_> {
    /// The same code with the same numbers: what is unknown in both does not count.
    pub fn is_same_part(&self) -> bool {
        self.fitted == self.candidate && self.fitted.made.is_none()
    }

    /// An angled part whose lean nobody has recorded must be looked at before it comes out.
    pub fn lean_must_be_looked_at(&self) -> bool {
        self.fitted.is_angled() && self.lean.known().is_none()
    }

    /// A verification of exactly these two parts; void when either side has changed since.
    pub fn verified(&self) -> Option<&Verification> {
        self.verifications.iter().find(|v| v.fitted == *self.fitted && v.candidate == *self.candidate)
    }

    /// The maker of the fitted part states that the candidate replaces it, or belongs to what it meets.
    pub fn maker_states_it(&self) -> bool {
        let same_source = self.fitted.source == self.candidate.source;
        let names = |code: &PartCode| self.candidate.belongs_to.contains(code);
        let successor = self.fitted.replaced_by.as_ref() == Some(&self.candidate.code);
        same_source && (successor || self.others.iter().any(|(_, part)| names(&part.code)))
    }
}
