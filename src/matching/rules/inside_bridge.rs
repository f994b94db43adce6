//! Rule `inside-the-bridge`: what is bonded or milled into a restoration is never changed at the chair.
//!
//! Where nothing has been made yet there is no bridge to be inside of, and the laboratory may choose.

use super::compare::is_built_on;
use super::{COMMON, Rule};
use crate::matching::{Finding, Level, Question};

pub const RULE: Rule = Rule {
    id: "inside-the-bridge",
    demands: "nothing in the positions base, cylinder and framework once the restoration is made",
    reason: "a cylinder or base is bonded in where its abutment stood; a new one has to be bonded in again, on the model",
    source: COMMON,
    states: rule,
};

pub fn rule(q: &Question<'_>) -> Vec<Finding> {
    if !q.position.is_inside_bridge() || !is_built_on(q) {
        return Vec::new();
    }
    vec![RULE.finds(Level::Against, "", "", "laboratory work: it is inside the bridge")]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matching::sample::Case;
    use crate::matching::{StandsOn, Verdict};

    #[test]
    fn even_the_same_cylinder_is_laboratory_work() {
        for mut case in [Case::cylinder(), Case::base()] {
            case.candidate = case.fitted.clone();
            for stands_on in [StandsOn::Bridge, StandsOn::OneCrown] {
                case.stands_on = stands_on;
                assert_eq!(case.states(RULE), ["Against: laboratory work: it is inside the bridge"]);
                assert_eq!(case.judged().verdict, Verdict::DoesNotFit);
            }
            case.stands_on = StandsOn::Nothing;
            assert_eq!(case.judged().verdict, Verdict::SamePart);
        }
        assert!(Case::abutment().states(RULE).is_empty());
    }
}
