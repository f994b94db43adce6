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

    /// Another source states the candidate's numbers.
    pub fn is_other_source(&self) -> bool {
        self.fitted.source != self.candidate.source
    }

    /// A verification of exactly these two parts; void when either side has changed since.
    pub fn verified(&self) -> Option<&Verification> {
        self.verifications.iter().find(|v| v.fitted == *self.fitted && v.candidate == *self.candidate)
    }

    /// The maker of the fitted part declares the candidate its successor.
    pub fn is_declared_successor(&self) -> bool {
        !self.is_other_source() && self.fitted.replaced_by.as_ref() == Some(&self.candidate.code)
    }

    /// The maker of the fitted part states that the candidate replaces it, or belongs to what it meets.
    pub fn maker_states_it(&self) -> bool {
        self.is_declared_successor() || self.others.iter().any(|(_, part)| self.maker_states_joint(part))
    }

    /// The maker states that the candidate and `mate` go together, so that what is unknown inside that joint is covered.
    ///
    /// A maker speaks for its own parts only. A screw goes through a joint of three: who says that it belongs to the
    /// abutment says so of the bridge's part above it, when that is of the same source.
    pub fn maker_states_joint(&self, mate: &Part) -> bool {
        let named = |code: &PartCode| self.candidate.belongs_to.contains(code);
        let screw_of_this_joint =
            self.candidate.kind.is_screw() && self.others.iter().any(|(_, other)| named(&other.code));
        !self.is_other_source()
            && mate.source == self.candidate.source
            && (self.is_declared_successor()
                || named(&mate.code)
                || mate.belongs_to.contains(&self.candidate.code)
                || screw_of_this_joint)
    }
}
