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
    /// Another code, the same maker, every deciding number known and equal, nothing anyone would notice.
    #[serde(rename = "like for like")]
    LikeForLike,
    /// It fits, and somebody will notice a difference.
    #[serde(rename = "fits, with changes")]
    FitsWithChanges,
    /// A deciding number is missing, or another maker made it.
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
    /// A must that is not known, and that the maker's statement stands in for: fits, with changes, and is never taken
    /// without a look.
    Stated,
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
    /// How far apart the two values are, in steps of 0.01 mm, 0.1° or 1 Ncm; only to put the nearest candidate first.
    #[serde(skip)]
    pub steps: u32,
}

impl Finding {
    /// The same finding between values this far apart.
    pub(super) fn apart(self, steps: u32) -> Self {
        Self { steps, ..self }
    }
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
    let mut findings = found(question);
    let same = question.is_same_part();
    if same {
        // What is unknown in one and the same part is the same unknown, so only three things still count: a must that
        // fails, the lean, which belongs to the mouth and not to the part, and a record that cannot be.
        findings.retain(|f| match f.level {
            // Where the fitted part cannot stand by the record, the record is what is wrong.
            Level::Against => !rules::contradicts_the_record(f),
            _ => f.rule == rules::LEAN.id || f.rule == rules::RECORD.id,
        });
    }
    Judgement::read_off(findings, same)
}

/// Judges a part that replaces nothing: a cap, a cover screw, a healing abutment, put in for now.
///
/// `question` names the part as fitted and as candidate. It is never better than 'fits, with changes', and that only when
/// everything that must be known of it and of what it meets is known.
pub fn judge_for_now(question: &Question<'_>) -> Judgement {
    let mut judgement = Judgement::read_off(found(question), false);
    judgement.add(rules::FOR_NOW.finds(Level::Change, "", "", "for now, in place of the restoration"));
    judgement
}

fn found(question: &Question<'_>) -> Vec<Finding> {
    let mut twice = rules::ports_twice(question);
    if !twice.is_empty() {
        // Which of two ports meets what is not told, so nothing that the other rules say of either counts.
        twice.extend((rules::LEAN.states)(question));
        return twice;
    }
    let rules = rules::table().iter().filter(|rule| rule.id != rules::KNOWN.id);
    let mut findings: Vec<Finding> = rules.flat_map(|rule| (rule.states)(question)).collect();
    let holes = rules::not_yet_said(question, &findings);
    findings.extend(holes);
    findings
}

impl Judgement {
    /// It fits by the maker's statement only: shown at once, and not for taking.
    pub fn is_by_statement(&self) -> bool {
        self.verdict == Verdict::FitsWithChanges && self.findings.iter().any(|f| f.level == Level::Stated)
    }

    /// One more finding, of whoever knows more than the parts: it lowers the verdict as a rule's own would.
    pub fn add(&mut self, finding: Finding) {
        let least = match finding.level {
            Level::Against => Verdict::DoesNotFit,
            Level::Unknown => Verdict::NotConfirmed,
            Level::Stated | Level::Change => Verdict::FitsWithChanges,
            Level::Note => Verdict::SamePart,
        };
        self.verdict = self.verdict.max(least);
        let at = self.findings.partition_point(|f| f.level <= finding.level);
        self.findings.insert(at, finding);
    }

    /// The verdict of findings; `same` when fitted part and candidate are one and the same.
    pub(super) fn read_off(mut findings: Vec<Finding>, same: bool) -> Self {
        findings.sort_by_key(|f| f.level);
        let verdict = match findings.first().map(|f| f.level) {
            Some(Level::Against) => Verdict::DoesNotFit,
            Some(Level::Unknown) => Verdict::NotConfirmed,
            Some(Level::Stated | Level::Change) => Verdict::FitsWithChanges,
            Some(Level::Note) | None if same => Verdict::SamePart,
            Some(Level::Note) | None => Verdict::LikeForLike,
        };
        Self { verdict, findings }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::{Side, Value};
    use crate::matching::sample::{Case, Change, mm, seat, thread};

    fn verdict(mut case: Case, change: Change) -> Verdict {
        change(&mut case);
        case.judged().verdict
    }

    #[test]
    fn another_code_with_equal_numbers_is_like_for_like_in_every_position() {
        for case in Case::all() {
            let judgement = case.judged();
            assert_eq!(
                judgement.verdict,
                Verdict::LikeForLike,
                "{}: {:?}",
                case.position,
                judgement.findings
            );
            assert_eq!(judgement.findings, [], "{}", case.position);
        }
    }

    #[test]
    fn the_same_code_is_the_same_part_whatever_is_unknown_in_both() {
        for mut case in Case::all() {
            case.candidate = case.fitted.clone();
            assert_eq!(case.judged().verdict, Verdict::SamePart, "{}", case.position);
            for part in [&mut case.fitted, &mut case.candidate] {
                part.seat_height = Value::Unknown;
                part.material = Value::Unknown;
                part.under_head = Value::Unknown;
            }
            case.others.clear();
            assert_eq!(case.judged(), Judgement { verdict: Verdict::SamePart, findings: Vec::new() });
        }
    }

    #[test]
    fn the_five_verdicts() {
        let same: Change = |c| c.candidate = c.fitted.clone();
        let cases: [(Change, Verdict); 9] = [
            (same, Verdict::SamePart),
            (|_| (), Verdict::LikeForLike),
            (|c| c.candidate.pack = Value::Known(10), Verdict::LikeForLike),
            (|c| c.candidate.neck = mm(3900), Verdict::FitsWithChanges),
            (|c| c.candidate.offset = Value::Unknown, Verdict::NotConfirmed),
            (|c| c.fitted.offset = Value::Unknown, Verdict::NotConfirmed),
            (|c| c.candidate.seat_height = mm(3500), Verdict::DoesNotFit),
            // A must that fails outweighs whatever is unknown beside it.
            (
                |c| {
                    c.candidate.seat_height = mm(3500);
                    c.candidate.offset = Value::Unknown;
                },
                Verdict::DoesNotFit,
            ),
            // The same code under a changed edition is compared like another part.
            (
                |c| {
                    c.candidate = c.fitted.clone();
                    c.candidate.seat_height = mm(3100);
                },
                Verdict::DoesNotFit,
            ),
        ];
        for (n, (change, expected)) in cases.into_iter().enumerate() {
            assert_eq!(verdict(Case::abutment(), change), expected, "row {n}");
        }
    }

    #[test]
    fn every_failed_must_is_listed_heaviest_first() {
        let mut case = Case::abutment();
        case.candidate.neck = mm(3900);
        case.candidate.seat_height = mm(3500);
        case.candidate.offset = mm(500);
        case.candidate.angle = Value::Unknown;
        let rules: Vec<_> = case.judged().findings.iter().map(|f| (f.level, f.rule)).collect();
        assert_eq!(
            rules,
            [
                (Level::Against, "seat-height"),
                (Level::Against, "offset"),
                (Level::Unknown, "angle"),
                (Level::Change, "width"),
            ]
        );
    }

    #[test]
    fn a_declared_successor_goes_through_every_rule_and_is_at_best_like_for_like() {
        let rows: [(Change, Verdict); 8] = [
            (|_| (), Verdict::LikeForLike),
            // That it mates is covered by the maker's statement, and is a change …
            (|c| seat(&mut c.candidate, Side::Below).accepts = Value::Unknown, Verdict::FitsWithChanges),
            (|c| thread(&mut c.candidate, Side::Below).pitch = Value::Unknown, Verdict::FitsWithChanges),
            // … never how long it is, …
            (|c| thread(&mut c.candidate, Side::Below).length = Value::Unknown, Verdict::NotConfirmed),
            // … never where the seat stands, nor what it stands on when nobody knows that.
            (|c| c.candidate.seat_height = Value::Unknown, Verdict::NotConfirmed),
            (|c| c.candidate.offset = Value::Unknown, Verdict::NotConfirmed),
            (|c| c.others.clear(), Verdict::NotConfirmed),
            (|c| c.candidate.seat_height = mm(3100), Verdict::DoesNotFit),
        ];
        for (n, (change, expected)) in rows.into_iter().enumerate() {
            let mut case = Case::abutment();
            case.fitted.replaced_by = Some(case.candidate.code.clone());
            assert_eq!(verdict(case, change), expected, "row {n}");
        }
    }
}
