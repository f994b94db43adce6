//! Rule `revision`: a seat of another revision is said; one that differs on paper only is a note.
//!
//! Whether it mates is the rule `mates`, asked of the parts it really meets.

use super::Rule;
use super::compare::said;
use crate::catalog::{Seat, Side};
use crate::matching::{Finding, Level, Question};

pub const RULE: Rule = Rule {
    id: "revision",
    demands: "the revision a seat is made to is said when it differs from the fitted part's",
    reason: "a minor step adds or tightens something; a patch is paper only",
    source: "semantic versioning of interfaces, as the catalogue's page describes it",
    states: rule,
};

pub fn rule(q: &Question<'_>) -> Vec<Finding> {
    let both = [Side::Below, Side::Above]
        .into_iter()
        .filter_map(|side| q.fitted.seat(side).zip(q.candidate.seat(side)));
    both.filter(|(f, c)| f.interface == c.interface).filter_map(|(f, c)| compare(f, c)).collect()
}

fn compare(fitted: &Seat, candidate: &Seat) -> Option<Finding> {
    let (level, effect) = match (fitted.offers.known(), candidate.offers.known()) {
        (Some(f), Some(c)) if f == c => return None,
        (Some(f), Some(c)) if (f.major, f.minor) == (c.major, c.minor) => {
            (Level::Note, format!("interface {}: another revision on paper, the same part", fitted.interface))
        }
        (Some(f), Some(c)) if f.major == c.major => (
            Level::Change,
            format!("interface {}: something was added or tightened between them", fitted.interface),
        ),
        (Some(_), Some(_)) => {
            (Level::Change, format!("interface {}: made to another geometry", fitted.interface))
        }
        // What is not stated is asked for where it has to mate, or by the rule `known`.
        _ => return None,
    };
    Some(RULE.finds(level, said("revision", &fitted.offers), said("revision", &candidate.offers), effect))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Value;
    use crate::matching::sample::{Case, seat};

    #[test]
    fn paper_is_a_note_and_a_minor_step_a_change() {
        let known = |text: &str| Value::Known(text.parse().unwrap());
        let rows = [
            (known("1.0.0"), known("1.0.0"), ""),
            (
                known("1.0.0"),
                known("1.0.3"),
                "Note: interface hex-4.1: another revision on paper, the same part",
            ),
            (
                known("1.0.0"),
                known("1.1.0"),
                "Change: interface hex-4.1: something was added or tightened between them",
            ),
            (known("1.0.0"), known("2.0.0"), "Change: interface hex-4.1: made to another geometry"),
            (known("1.0.0"), Value::Unknown, ""),
            // Asked for by the rule `known`.
            (Value::Unknown, known("1.0.0"), ""),
        ];
        for (fitted, candidate, expected) in rows {
            let mut case = Case::abutment();
            let row = format!("{fitted} / {candidate}");
            seat(&mut case.fitted, Side::Below).offers = fitted;
            seat(&mut case.candidate, Side::Below).offers = candidate;
            assert_eq!(case.states(RULE).join("; "), expected, "{row}");
        }
    }
}
