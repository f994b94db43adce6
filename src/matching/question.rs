//! What is asked: the part that is fitted, its real mates, what stands on it, and the candidate.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::catalog::{Lean, Part, Placed, Position, Value};
use crate::units::{Initials, Note};

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

/// What the practice recorded when it tried another maker's part on one of its own.
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
    /// The same code and the same in everything but paper: what is unknown in both does not count.
    pub fn is_same_part(&self) -> bool {
        self.fitted.is_same_as(self.candidate) && self.fitted.made.is_none()
    }

    /// A leaning part whose lean nobody has recorded must be looked at before it comes out.
    pub fn lean_must_be_looked_at(&self) -> bool {
        // An abutment whose angle nobody knows may lean, too.
        let may_lean = self.position == Position::Abutment && self.fitted.angle.is_unknown();
        match self.lean {
            Value::Known(_) => false,
            Value::Unknown => self.fitted.is_angled() || may_lean,
            Value::NotApplicable => self.fitted.is_angled(),
        }
    }

    /// Whether one maker makes both; not known when a maker is not.
    ///
    /// A code stands for one article: under it only another stated maker makes another part.
    pub fn same_maker(&self) -> Option<bool> {
        match one_maker(self.fitted, self.candidate) {
            None if self.fitted.code == self.candidate.code
                && !nobody(self.fitted)
                && !nobody(self.candidate) =>
            {
                Some(true)
            }
            same => same,
        }
    }

    /// A verification of exactly these two parts; void when either side has changed since, paper apart.
    pub fn verified(&self) -> Option<&Verification> {
        let of_these =
            |v: &&Verification| v.fitted.is_same_as(self.fitted) && v.candidate.is_same_as(self.candidate);
        self.verifications.iter().find(of_these)
    }

    /// The maker of the fitted part declares the candidate its successor.
    pub fn is_declared_successor(&self) -> bool {
        one_maker(self.fitted, self.candidate) == Some(true)
            && self.fitted.code != self.candidate.code
            && self.fitted.replaced_by.as_ref() == Some(&self.candidate.code)
    }

    /// The maker states that the candidate goes together with `mate`, the part it meets in a joint: either names the other,
    /// or the candidate is the declared successor of what stood in that joint.
    ///
    /// A maker speaks for its own parts only, and of a joint of these two; a screw that belongs to an abutment says nothing
    /// of the bridge above it or the implant below. What the statement covers is [`is_covered`](super::is_covered)'s matter.
    pub fn maker_states_joint(&self, mate: &Part) -> bool {
        self.maker_names_both(mate) || self.is_declared_successor() && self.one_maker_with(mate)
    }

    /// The maker names both, which covers the joint from both sides; a successor's statement covers the successor only.
    pub fn maker_names_both(&self, mate: &Part) -> bool {
        let belongs =
            self.candidate.belongs_to.contains(&mate.code) || mate.belongs_to.contains(&self.candidate.code);
        belongs && self.one_maker_with(mate)
    }

    fn one_maker_with(&self, mate: &Part) -> bool {
        one_maker(mate, self.candidate) == Some(true) && one_maker(self.fitted, self.candidate) == Some(true)
    }
}

/// Whether two parts are of one maker; a maker is known or not, and 'n/a' is nobody.
fn one_maker(a: &Part, b: &Part) -> Option<bool> {
    a.maker.known().zip(b.maker.known()).map(|(a, b)| a == b)
}

/// A maker that does not exist, which no part has.
fn nobody(part: &Part) -> bool {
    part.maker == Value::NotApplicable
}
