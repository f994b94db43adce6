//! Rule `record`: the fitted part mates with what the record has around it.
//!
//! It stands in the mouth, so a joint of it that cannot be is a mistake of the record: which of the two numbers is wrong the
//! program cannot know, and nothing is confirmed by either.

use super::{OURS, Rule};
use crate::catalog::{Mating, Port, Side, mate_below, mating};
use crate::matching::joint;
use crate::matching::{Finding, Level, Question};

pub const RULE: Rule = Rule {
    id: "record",
    demands: "the fitted part mates with what is on record around it",
    reason: "a part that stands there and cannot by its numbers is recorded wrongly, or its mate is",
    source: OURS,
    states: rule,
};

pub fn rule(q: &Question<'_>) -> Vec<Finding> {
    let below = q.fitted.ports.iter().filter(|p| p.side() == Side::Below);
    let down = below.filter_map(|port| {
        let (at, _, met) = mate_below(q.position, port, q.others)?;
        contradicts(port, met).map(|why| (at, why))
    });
    let above = joint::others_standing(q, q.fitted).into_iter().filter_map(|((at, _, port), met)| {
        let (stands_in, _, own) = met?;
        if stands_in != q.position {
            return None;
        }
        contradicts(port, own).map(|why| (at, why))
    });
    let finding = |(at, why): (crate::catalog::Position, String)| {
        let effect = format!(
            "the record contradicts itself: the fitted part does not mate with the {}: {why}",
            at.words()
        );
        RULE.finds(Level::Unknown, "", "", effect)
    };
    down.chain(above).map(finding).collect()
}

fn contradicts(upper: &Port, lower: &Port) -> Option<String> {
    match mating(lower, upper) {
        Mating::Not(why) => Some(why),
        Mating::Mates | Mating::NotKnown(_) => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
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
            assert_eq!(case.states(RULE), [contradiction]);
            assert_eq!(case.judged().verdict, Verdict::NotConfirmed, "{:?}", case.judged().findings);
        }
        for case in Case::all() {
            assert_eq!(case.states(RULE), Vec::<String>::new(), "{}", case.position);
        }
    }
}
