//! Rule `pieces`: one piece for two, or two for one, changes what has to be laid out.

use super::{COMMON, Rule};
use crate::catalog::Side;
use crate::matching::{Finding, Level, Question};

pub const RULE: Rule = Rule {
    id: "pieces",
    demands: "a one-piece abutment for a two-piece one, or the other way round, is said",
    reason: "a two-piece abutment needs its own screw, with its own driver and torque; a one-piece one is that screw",
    source: COMMON,
    states: rule,
};

pub fn rule(q: &Question<'_>) -> Vec<Finding> {
    let words = |one: bool| if one { "one piece" } else { "two pieces" };
    let (fitted, candidate) = (q.fitted.is_one_piece(), q.candidate.is_one_piece());
    let effect = match (fitted, candidate) {
        (true, false) if q.candidate.seat(Side::Below).is_some() => {
            "needs its own abutment screw: lay that out as well"
        }
        (false, true) if q.fitted.kind.has_body() => {
            "is its own screw: the old abutment screw is not used again"
        }
        _ => return Vec::new(),
    };
    vec![RULE.finds(Level::Change, words(fitted), words(candidate), effect)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matching::Verdict;
    use crate::matching::sample::Case;

    #[test]
    fn one_for_two_and_two_for_one() {
        let mut case = Case::abutment();
        assert!(case.states(RULE).is_empty());
        case.candidate = Case::two_piece().candidate;
        assert_eq!(case.states(RULE), ["Change: needs its own abutment screw: lay that out as well"]);
        assert_eq!(case.judged().verdict, Verdict::FitsWithChanges);

        let mut case = Case::two_piece();
        assert!(case.states(RULE).is_empty());
        case.candidate = Case::abutment().candidate;
        assert_eq!(case.states(RULE), ["Change: is its own screw: the old abutment screw is not used again"]);
        assert_eq!(case.judged().verdict, Verdict::FitsWithChanges);
    }
}
