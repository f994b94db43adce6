//! Rule `angled-channel`: a part made for a screw channel that leaves at an angle never serves a straight one, nor the
//! other way round.
//!
//! Nobody's word covers it: a maker's list of belonging parts names both kinds of cylinder beside one abutment.

use super::compare::{ask, said};
use super::{COMMON, Rule};
use crate::catalog::Value;
use crate::matching::{Finding, Level, Question};

pub const RULE: Rule = Rule {
    id: "angled-channel",
    demands: "screw, cylinder and base: made for an angled channel if the fitted one is, for a straight one if not",
    reason: "the driver meets the screw at an angle; in a straight socket it slips and strips it",
    source: COMMON,
    states: rule,
};

pub fn rule(q: &Question<'_>) -> Vec<Finding> {
    let words = |v: &Value<bool>| match v {
        Value::Known(true) => "for an angled channel".to_owned(),
        Value::Known(false) => "for a straight channel".to_owned(),
        other => said("channel", other),
    };
    let (fitted, candidate) = (&q.fitted.angled_channel, &q.candidate.angled_channel);
    let (level, effect) = match fitted.same(candidate) {
        Some(true) => return Vec::new(),
        Some(false) => (Level::Against, "the screw channel is another: the driver will not hold".to_owned()),
        None => (Level::Unknown, ask("straight or angled channel", fitted, candidate)),
    };
    vec![RULE.finds(level, words(fitted), words(candidate), effect)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matching::sample::Case;

    #[test]
    fn angled_and_straight_never_mix() {
        let against = "Against: the screw channel is another: the driver will not hold";
        let unknown = "Unknown: measure or ask the maker: straight or angled channel of the new part";
        let rows: [(Value<bool>, Value<bool>, &[&str]); 4] = [
            (Value::Known(true), Value::Known(true), &[]),
            (Value::Known(false), Value::Known(true), &[against]),
            (Value::Known(true), Value::Known(false), &[against]),
            (Value::Known(false), Value::Unknown, &[unknown]),
        ];
        for base in [Case::prosthetic_screw(), Case::abutment_screw(), Case::cylinder(), Case::base()] {
            for (fitted, candidate, expected) in rows {
                let mut case = base.clone();
                case.fitted.angled_channel = fitted;
                case.candidate.angled_channel = candidate;
                assert_eq!(case.states(RULE), expected, "{fitted} {candidate}");
            }
        }
    }
}
