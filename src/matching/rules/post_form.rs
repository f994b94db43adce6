//! Rule `post-form`: what a crown is cemented on, or bonded to, is a shape that no number of a part describes.
//!
//! A post that is slimmer or steeper has the same height, angle and collar. So under a restoration that is made another
//! code's post is not confirmed, whatever its numbers; before anything is made, the laboratory works to what it gets.

use super::compare::is_built_on;
use super::{OURS, Rule};
use crate::catalog::{Kind, Position};
use crate::matching::{Finding, Level, Question};

pub const RULE: Rule = Rule {
    id: "post-form",
    demands: "under a restoration: the post of the fitted part, so the same code",
    reason: "the form of a post is in no number, and a crown sits on one form only",
    source: OURS,
    states: rule,
};

pub fn rule(q: &Question<'_>) -> Vec<Finding> {
    let post = q.position == Position::Abutment && q.candidate.kind == Kind::Abutment;
    if !post || !is_built_on(q) || q.fitted.code == q.candidate.code {
        return Vec::new();
    }
    let effect = "the form of its post is in no number: hold it beside the fitted one, or ask the maker";
    vec![RULE.finds(Level::Unknown, "post of the fitted part", "post not described", effect)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matching::StandsOn;
    use crate::matching::sample::Case;
    use crate::units::PartCode;

    #[test]
    fn another_codes_post_is_not_confirmed_under_a_crown() {
        let mut case = Case::two_piece();
        for part in [&mut case.fitted, &mut case.candidate] {
            part.kind = Kind::Abutment;
        }
        case.stands_on = StandsOn::OneCrown;
        let unknown =
            "Unknown: the form of its post is in no number: hold it beside the fitted one, or ask the maker";
        assert_eq!(case.states(RULE), [unknown]);
        case.stands_on = StandsOn::Nothing;
        assert_eq!(case.states(RULE), Vec::<String>::new());
        case.stands_on = StandsOn::OneCrown;
        case.candidate.code = PartCode::new(case.fitted.code.as_str()).unwrap();
        assert_eq!(case.states(RULE), Vec::<String>::new());
    }
}
