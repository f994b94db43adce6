//! Rule `made-part`: what was made for one patient is not replaced from a drawer.
//!
//! The shape that was made for this patient is on no catalogue page. Made again under the same job it is the same drawing,
//! and still another piece: it is compared like any other part and is never 'same part'.

use super::compare::other_above;
use super::{COMMON, Rule};
use crate::catalog::Part;
use crate::matching::{Finding, Level, Question};

pub const RULE: Rule = Rule {
    id: "made-part",
    demands: "a part made for one patient is replaced by one made again under the same job",
    reason: "its shape is in the laboratory's file, not in its numbers",
    source: COMMON,
    states: rule,
};

pub fn rule(q: &Question<'_>) -> Vec<Finding> {
    let (level, effect) = match (&q.fitted.made, &q.candidate.made) {
        (None, None) => return Vec::new(),
        (Some(f), Some(c)) if f.laboratory == c.laboratory && f.job == c.job => {
            (Level::Note, "made for this patient, made again: another piece of the same drawing")
        }
        (Some(_), _) => (other_above(q), "the fitted one was made for this patient: ask the laboratory"),
        (None, Some(_)) => {
            (other_above(q), "the new one was made for one patient: ask the laboratory for whom")
        }
    };
    vec![RULE.finds(level, words(q.fitted), words(q.candidate), effect)]
}

fn words(part: &Part) -> String {
    match &part.made {
        Some(made) => format!("made by {}, job {}", made.laboratory, made.job),
        None => "catalogue part".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::{Made, Value};
    use crate::matching::sample::Case;
    use crate::matching::{StandsOn, Verdict};
    use crate::units::Name;

    fn job(job: &str) -> Option<Made> {
        let note = |t| Name::new(t).unwrap();
        let (file, days) = (Value::Unknown, Value::Known(5));
        Some(Made { laboratory: note("the laboratory"), job: note(job), file, days })
    }

    #[test]
    fn made_for_this_patient() {
        let ask = "the fitted one was made for this patient: ask the laboratory";
        let again = "Note: made for this patient, made again: another piece of the same drawing";
        let rows = [
            (StandsOn::Bridge, None, None, String::new()),
            (StandsOn::Bridge, job("7"), None, format!("Unknown: {ask}")),
            (StandsOn::Nothing, job("7"), None, format!("Change: {ask}")),
            (StandsOn::Bridge, job("7"), job("8"), format!("Unknown: {ask}")),
            (StandsOn::Bridge, job("7"), job("7"), again.to_owned()),
            (
                StandsOn::Bridge,
                None,
                job("7"),
                "Unknown: the new one was made for one patient: ask the laboratory for whom".to_owned(),
            ),
        ];
        for (n, (stands_on, fitted, candidate, expected)) in rows.into_iter().enumerate() {
            let mut case = Case::abutment();
            case.stands_on = stands_on;
            case.fitted.made = fitted;
            case.candidate.made = candidate;
            assert_eq!(case.states(RULE).join("; "), expected, "row {n}");
        }
    }

    #[test]
    fn made_again_is_never_the_same_part() {
        let mut case = Case::abutment();
        case.fitted.made = job("7");
        case.candidate = case.fitted.clone();
        assert_eq!(case.judged().verdict, Verdict::LikeForLike);
    }
}
