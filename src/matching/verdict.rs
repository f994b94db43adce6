//! Findings, the five verdicts, and how the one is read off the other.

use std::fmt;

use serde::Serialize;

use super::{Question, rules};

/// How a candidate stands to the part it would replace, best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub enum Verdict {
    /// The same code with the same numbers.
    #[serde(rename = "same part")]
    SamePart,
    /// Another code, the same source, every deciding number known and equal, nothing anyone would notice.
    #[serde(rename = "like for like")]
    LikeForLike,
    /// It fits, and somebody will notice a difference.
    #[serde(rename = "fits, with changes")]
    FitsWithChanges,
    /// A deciding number is missing, or another source made it.
    #[serde(rename = "not confirmed")]
    NotConfirmed,
    /// It does not fit.
    #[serde(rename = "does not fit")]
    DoesNotFit,
}

impl Verdict {
    /// The verdict's words, the same on every screen and in JSON.
    pub const fn words(self) -> &'static str {
        match self {
            Self::SamePart => "same part",
            Self::LikeForLike => "like for like",
            Self::FitsWithChanges => "fits, with changes",
            Self::NotConfirmed => "not confirmed",
            Self::DoesNotFit => "does not fit",
        }
    }

    /// Same part or like for like: puts the bridge back where it was.
    pub fn puts_it_back(self) -> bool {
        self <= Self::LikeForLike
    }
}

impl fmt::Display for Verdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.words())
    }
}

/// How much a finding weighs, heaviest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Level {
    /// A must that fails: does not fit.
    Against,
    /// A must that is not known on either side: not confirmed.
    Unknown,
    /// Fits, and somebody will notice.
    Change,
    /// Never lowers a verdict.
    Note,
}

/// One stated difference or risk.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Finding {
    /// Which rule states it.
    pub rule: &'static str,
    /// How much it weighs.
    pub level: Level,
    /// What is fitted, with its unit; empty when the finding compares nothing.
    pub fitted: String,
    /// What the candidate has, with its unit.
    pub candidate: String,
    /// What it means, as one sentence without an end mark.
    pub effect: String,
    /// Where the rule comes from.
    pub source: &'static str,
}

/// The answer to a question.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Judgement {
    /// The verdict.
    pub verdict: Verdict,
    /// Why, heaviest first.
    pub findings: Vec<Finding>,
}

/// Judges `question` by every rule.
pub fn judge(question: &Question<'_>) -> Judgement {
    let mut findings: Vec<Finding> = rules::ALL.iter().flat_map(|rule| rule(question)).collect();
    findings.sort_by_key(|f| f.level);
    let verdict = match findings.first().map(|f| f.level) {
        Some(Level::Against) => Verdict::DoesNotFit,
        // What is unknown on both sides of one and the same part is at least the same unknown.
        _ if question.is_same_part() && !question.lean_must_be_looked_at() => Verdict::SamePart,
        Some(Level::Unknown) => Verdict::NotConfirmed,
        Some(Level::Change) => Verdict::FitsWithChanges,
        Some(Level::Note) | None => Verdict::LikeForLike,
    };
    if verdict == Verdict::SamePart {
        findings.retain(|f| f.level == Level::Note);
    }
    Judgement { verdict, findings }
}
