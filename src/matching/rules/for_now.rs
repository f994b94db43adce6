//! Rule `for-now`: a part that replaces nothing stands in for the restoration until it is back.

use super::{COMMON, Rule};
use crate::matching::{Finding, Question};

pub const RULE: Rule = Rule {
    id: "for-now",
    demands: "a cap, a cover screw or a healing abutment that replaces nothing is never more than for now",
    reason: "it closes what stands open; the restoration is not back",
    source: COMMON,
    states: rule,
};

/// Nothing by itself: whoever asks for a part that replaces nothing says so (`judge_for_now`).
pub fn rule(_: &Question<'_>) -> Vec<Finding> {
    Vec::new()
}
