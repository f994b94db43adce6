//! Rule `job`: the candidate does the same job in the same position.
//!
//! The position names the kinds that may stand there; among those the kind must be the fitted one's, because a healing
//! abutment and a healing cap stand in one position on different seats. The implant's own position takes nothing.

use super::{COMMON, Rule};
use crate::catalog::{Kind, Position};
use crate::matching::{Finding, Level, Question};

pub const RULE: Rule = Rule {
    id: "job",
    demands: "the same kind of part, of a kind that may stand in this position",
    reason: "a part made for another joint is never held right by this one",
    source: COMMON,
    states: rule,
};

pub fn rule(q: &Question<'_>) -> Vec<Finding> {
    let (fitted, candidate) = (q.fitted.kind, q.candidate.kind);
    let effect = if q.position == Position::Implant {
        "the implant is the one part that cannot be swapped: refer".to_owned()
    } else if candidate == Kind::LaboratoryScrew {
        "a laboratory screw never goes into a mouth".to_owned()
    } else if !q.position.kinds().contains(&candidate) {
        format!("this part does not belong in the position {}", q.position)
    } else if candidate != fitted {
        "another kind of part, made for another job".to_owned()
    } else {
        return Vec::new();
    };
    vec![RULE.finds(Level::Against, fitted.words(), candidate.words(), effect)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matching::sample::Case;

    #[test]
    fn the_kind_decides() {
        let rows: [(Case, Kind, &[&str]); 6] = [
            (Case::abutment(), Kind::MultiUnitAbutment, &[]),
            (Case::abutment(), Kind::Abutment, &["Against: another kind of part, made for another job"]),
            (
                Case::healing_cap(),
                Kind::HealingAbutment,
                &["Against: another kind of part, made for another job"],
            ),
            (
                Case::abutment(),
                Kind::TitaniumBase,
                &["Against: this part does not belong in the position abutment"],
            ),
            (
                Case::prosthetic_screw(),
                Kind::AbutmentScrew,
                &["Against: this part does not belong in the position prosthetic screw (bridge to abutment)"],
            ),
            (
                Case::prosthetic_screw(),
                Kind::LaboratoryScrew,
                &["Against: a laboratory screw never goes into a mouth"],
            ),
        ];
        for (mut case, kind, expected) in rows {
            case.candidate.kind = kind;
            assert_eq!(case.states(RULE), expected, "{kind} as {}", case.position);
        }
    }

    #[test]
    fn an_implant_is_not_a_matter_of_parts() {
        let mut case = Case::abutment();
        case.position = Position::Implant;
        case.fitted = case.others[0].1.clone();
        case.candidate = case.fitted.clone();
        assert_eq!(case.states(RULE), ["Against: the implant is the one part that cannot be swapped: refer"]);
        assert_eq!(case.judged().verdict, crate::matching::Verdict::DoesNotFit);
    }
}
