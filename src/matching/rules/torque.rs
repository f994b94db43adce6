//! Rule `torque`: another stated torque is said; one that nobody states is never the same and never filled in.

use super::compare::steps;
use super::{OURS, Rule};
use crate::catalog::TorqueSpec;
use crate::matching::{Finding, Level, Question};

/// Base units in an Ncm.
const NCM: u32 = 100;

pub const RULE: Rule = Rule {
    id: "torque",
    demands: "the stated torque is said when it differs or is not known",
    reason: "a screw at another's torque comes loose or breaks; a torque that nobody states is read from the instructions",
    source: OURS,
    states: rule,
};

pub fn rule(q: &Question<'_>) -> Vec<Finding> {
    use TorqueSpec::{ByHand, NotApplicable, NotKnown, Stated};
    let (fitted, candidate) = (&q.fitted.torque, &q.candidate.torque);
    let effect = match (fitted, candidate) {
        (_, NotKnown) => "torque not known, read the maker's instructions".to_owned(),
        (f, c) if f == c => return Vec::new(),
        // Which number goes on the wrench depends on the partner as well; that is not answered here.
        (Stated(f), Stated(c)) => format!("another torque stated: {c}, not {f}"),
        (_, Stated(c)) => format!("a torque is stated for the new part: {c}"),
        (_, ByHand) => "tightened by hand, as the maker says: no wrench".to_owned(),
        (_, NotApplicable) => "it has no torque of its own: ask which screw holds it".to_owned(),
    };
    let apart = steps(fitted.stated().map(|t| t.base()), candidate.stated().map(|t| t.base()), NCM);
    vec![RULE.finds(Level::Change, fitted, candidate, effect).apart(apart)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matching::sample::Case;
    use crate::units::Torque;

    #[test]
    fn a_torque_is_never_filled_in() {
        use TorqueSpec::{ByHand, NotApplicable, NotKnown, Stated};
        let ncm = |n: i32| Stated(Torque::from_base(n * 100));
        let instructions = "Change: torque not known, read the maker's instructions";
        let rows = [
            (ncm(15), ncm(15), ""),
            (ncm(15), ncm(10), "Change: another torque stated: 10 Ncm, not 15 Ncm"),
            (ncm(15), NotKnown, instructions),
            (NotKnown, NotKnown, instructions),
            (NotKnown, ncm(15), "Change: a torque is stated for the new part: 15 Ncm"),
            (ByHand, ByHand, ""),
            (ByHand, ncm(10), "Change: a torque is stated for the new part: 10 Ncm"),
            (ncm(10), ByHand, "Change: tightened by hand, as the maker says: no wrench"),
            (NotApplicable, NotApplicable, ""),
            (ncm(30), NotApplicable, "Change: it has no torque of its own: ask which screw holds it"),
        ];
        for (fitted, candidate, expected) in rows {
            let mut case = Case::prosthetic_screw();
            let row = format!("{fitted} / {candidate}");
            (case.fitted.torque, case.candidate.torque) = (fitted, candidate);
            assert_eq!(case.states(RULE).join("; "), expected, "{row}");
        }
    }
}
