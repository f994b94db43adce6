//! Rule `tolerance`: how far a length may lie from its drawing is said when it is looser, or not known.
//!
//! Two bodies of one drawing are two draws from it; a looser drawing puts the seat elsewhere more often. Of a screw or a cap
//! nothing stands on the length.

use super::compare::{ask, base, said};
use super::{GEOMETRY, Rule};
use crate::catalog::Kind;
use crate::matching::{Finding, Level, Question};

pub const RULE: Rule = Rule {
    id: "tolerance",
    demands: "of a body: a length tolerance no looser than the fitted part's; a tighter one, and a screw's or cap's, is noted",
    reason: "a looser drawing puts the seat elsewhere more often, whatever the nominal height",
    source: GEOMETRY,
    states: rule,
};

pub fn rule(q: &Question<'_>) -> Vec<Finding> {
    let (fitted, candidate) = (&q.fitted.length_tolerance, &q.candidate.length_tolerance);
    let carries = q.candidate.kind.has_body() && q.candidate.kind != Kind::HealingAbutment;
    let serious = if carries { Level::Change } else { Level::Note };
    let (level, effect) = match (base(fitted), base(candidate)) {
        (Some(f), Some(c)) if f == c => return Vec::new(),
        (Some(f), Some(c)) if c > f => {
            (serious, "looser: its lengths may lie further from the drawing; try it in".to_owned())
        }
        (Some(_), Some(_)) => (Level::Note, "tighter: its lengths lie nearer to the drawing".to_owned()),
        _ if !carries && fitted == candidate => return Vec::new(),
        _ => (serious, ask("length tolerance", fitted, candidate)),
    };
    let text = |v| said("length tolerance", v);
    vec![RULE.finds(level, text(fitted), text(candidate), effect)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Value;
    use crate::matching::sample::{Case, mm};

    #[test]
    fn looser_or_missing_is_a_change_of_a_body_and_a_note_of_a_screw() {
        let looser = "looser: its lengths may lie further from the drawing; try it in";
        let ask = "measure or ask the maker: length tolerance of";
        for (case, fitted, candidate, expected) in [
            (Case::abutment(), mm(10), mm(10), String::new()),
            (Case::abutment(), mm(10), mm(500), format!("Change: {looser}")),
            (
                Case::abutment(),
                mm(10),
                mm(5),
                "Note: tighter: its lengths lie nearer to the drawing".to_owned(),
            ),
            (Case::abutment(), mm(10), Value::Unknown, format!("Change: {ask} the new part")),
            (Case::abutment(), Value::Unknown, Value::Unknown, format!("Change: {ask} both parts")),
            (Case::prosthetic_screw(), mm(10), mm(500), format!("Note: {looser}")),
            (Case::prosthetic_screw(), mm(10), Value::Unknown, format!("Note: {ask} the new part")),
        ] {
            let mut case = case;
            (case.fitted.length_tolerance, case.candidate.length_tolerance) = (fitted, candidate);
            assert_eq!(case.states(RULE).join("; "), expected);
        }
    }
}
