//! Rule `record`: the fitted part mates with what the record has around it.
//!
//! It stands in the mouth, so a joint of it that cannot be is a mistake of the record: which of the two numbers is wrong the
//! program cannot know, and nothing is confirmed by either.

use super::{OF_A_JOINT, OURS, Rule, engaging, mates, platform, ring};
use super::{head_over_bore, head_seat, screw_length, shank, thread_depth};
use crate::matching::{Finding, Level, Question};

/// How every finding of this rule begins.
pub const CONTRADICTS: &str = "the record contradicts itself: ";

pub const RULE: Rule = Rule {
    id: "record",
    demands: "the fitted part meets what is on record around it as a part must",
    reason: "a part that stands there and cannot by its numbers is recorded wrongly, or its mate is",
    source: OURS,
    states: rule,
};

pub fn rule(q: &Question<'_>) -> Vec<Finding> {
    // The fitted part in its own place: whatever fails there cannot be so in the mouth.
    let itself = Question { candidate: q.fitted, ..*q };
    let rules = [
        mates::rule,
        platform::rule,
        ring::rule,
        engaging::rule,
        head_seat::rule,
        head_over_bore::rule,
        shank::rule,
        screw_length::rule,
        thread_depth::rule,
    ];
    let fails = rules.into_iter().flat_map(|rule| rule(&itself)).filter(|f| f.level == Level::Against);
    let contradiction = |fails: Finding| {
        let effect = format!("{CONTRADICTS}the fitted part {}", fails.effect);
        RULE.finds(Level::Unknown, fails.fitted, "", effect)
    };
    fails.map(contradiction).collect()
}

/// Whether a finding of the very same part is one that this rule has said as a contradiction.
pub fn says(finding: &Finding) -> bool {
    OF_A_JOINT.contains(&finding.rule)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Side;
    use crate::matching::Verdict;
    use crate::matching::sample::{Case, mm, thread};

    #[test]
    fn a_fitted_part_that_cannot_stand_there_confirms_nothing() {
        for same in [false, true] {
            let mut case = Case::abutment_screw();
            thread(&mut case.fitted, Side::Below).diameter = mm(1900);
            if same {
                case.candidate = case.fitted.clone();
            }
            let contradiction = "Unknown: the record contradicts itself: the fitted part does not mate with the \
                                 implant: thread diameter 1.9 mm into 2.0 mm";
            assert!(case.states(RULE).contains(&contradiction.to_owned()), "{:?}", case.states(RULE));
            assert_eq!(case.judged().verdict, Verdict::NotConfirmed, "{:?}", case.judged().findings);
        }
        for case in Case::all() {
            assert_eq!(case.states(RULE), Vec::<String>::new(), "{}", case.position);
        }
    }
}
