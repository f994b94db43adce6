//! Rule `lean`: before an angled part comes out, it is on record which way it leans.
//!
//! The one unknown that counts for the same code as well: it is a fact of the mouth, and it is gone with the last turn.

use super::{GEOMETRY, Rule};
use crate::catalog::Value;
use crate::matching::{Finding, Level, Question};

pub const RULE: Rule = Rule {
    id: "lean",
    demands: "the lean of an angled part is on record",
    reason: "the index takes the new part in several positions, and the bridge fits one of them",
    source: GEOMETRY,
    states: rule,
};

pub fn rule(q: &Question<'_>) -> Vec<Finding> {
    if !q.lean_must_be_looked_at() {
        return Vec::new();
    }
    let effect = if q.fitted.is_angled() {
        "look which way it leans before taking it out"
    } else {
        "angle not known: look whether and which way it leans before taking it out"
    };
    let lean = match q.lean {
        Value::NotApplicable => "lean: none, though the part is angled".to_owned(),
        other => format!("lean {other}"),
    };
    vec![RULE.finds(Level::Unknown, lean, "", effect)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Lean;
    use crate::matching::sample::Case;
    use crate::matching::{StandsOn, Verdict};

    #[test]
    fn look_before_it_is_out() {
        let look = "Unknown: look which way it leans before taking it out";
        let whether = "Unknown: angle not known: look whether and which way it leans before taking it out";
        let unknown_angle = || {
            let mut case = Case::abutment();
            case.fitted.angle = Value::Unknown;
            case
        };
        let rows: [(Case, Value<Lean>, &[&str]); 7] = [
            (Case::angled(), Value::Known(Lean::Buccal), &[]),
            (Case::angled(), Value::Unknown, &[look]),
            (Case::angled(), Value::NotApplicable, &[look]),
            (Case::abutment(), Value::Unknown, &[]),
            (unknown_angle(), Value::Unknown, &[whether]),
            (unknown_angle(), Value::NotApplicable, &[]),
            (Case::prosthetic_screw(), Value::Unknown, &[]),
        ];
        for (n, (mut case, lean, expected)) in rows.into_iter().enumerate() {
            case.lean = lean;
            assert_eq!(case.states(RULE), expected, "row {n}");
        }
    }

    #[test]
    fn the_same_code_must_be_looked_at_too() {
        let mut case = Case::angled();
        case.candidate = case.fitted.clone();
        assert_eq!(case.judged().verdict, Verdict::SamePart);
        case.lean = Value::Unknown;
        for stands_on in [StandsOn::Bridge, StandsOn::OneCrown, StandsOn::Nothing] {
            case.stands_on = stands_on;
            let judged = case.judged();
            assert_eq!(judged.verdict, Verdict::NotConfirmed);
            assert_eq!(judged.findings.len(), 1);
        }
    }
}
