//! Rule `angle`: the upper seat's axis is the fitted part's within 0.1°.
//!
//! Under one crown too: a seat at another angle takes the crown's axis with it, so the crown that is there no longer goes
//! down between its neighbours.

use super::compare::{ask, said, steps};
use super::{GEOMETRY, Rule};
use crate::catalog::Value;
use crate::matching::{Finding, Level, Question, StandsOn};
use crate::units::Angle;

/// Angles less than this apart are one nominal angle; thousandths of a degree.
const NEAR: i32 = 100;

pub const RULE: Rule = Rule {
    id: "angle",
    demands: "under a bridge or a crown: the angle of the fitted part within 0.1°",
    reason: "a rigid restoration does not seat on a seat that is tilted to its own",
    source: GEOMETRY,
    states: rule,
};

pub fn rule(q: &Question<'_>) -> Vec<Finding> {
    let (fitted, candidate) = (&q.fitted.angle, &q.candidate.angle);
    let (level, effect) = match (number(fitted), number(candidate)) {
        (Some(f), Some(c)) if (c - f).abs() < NEAR => return Vec::new(),
        (Some(f), Some(c)) => {
            let tilt = Angle::from_base((c - f).abs());
            match q.stands_on {
                StandsOn::Bridge => {
                    (Level::Against, format!("not this bridge: its seat leans {tilt} otherwise"))
                }
                StandsOn::OneCrown => {
                    (Level::Against, format!("not this crown: its seat leans {tilt} otherwise"))
                }
                StandsOn::Nothing => (Level::Change, "the new restoration is made to it".to_owned()),
            }
        }
        _ => (Level::Unknown, ask("angle", fitted, candidate)),
    };
    let apart = steps(number(fitted), number(candidate), NEAR as u32);
    vec![RULE.finds(level, said("angle", fitted), said("angle", candidate), effect).apart(apart)]
}

/// A part to which an angle does not apply is straight.
fn number(angle: &Value<Angle>) -> Option<i32> {
    match angle {
        Value::Known(a) => Some(a.base()),
        Value::NotApplicable => Some(0),
        Value::Unknown => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matching::sample::Case;

    #[test]
    fn an_angle_means_what_stands_on_it() {
        use StandsOn::{Bridge, Nothing, OneCrown};
        let degrees = |base: i32| Value::Known(Angle::from_base(base));
        let ask = "measure or ask the maker: angle of the new part";
        let rows = [
            (Bridge, degrees(17_099), String::new()),
            (Bridge, degrees(17_100), "Against: not this bridge: its seat leans 0.1° otherwise".to_owned()),
            (Bridge, degrees(0), "Against: not this bridge: its seat leans 17° otherwise".to_owned()),
            (Bridge, Value::Unknown, format!("Unknown: {ask}")),
            (OneCrown, degrees(30_000), "Against: not this crown: its seat leans 13° otherwise".to_owned()),
            (OneCrown, Value::Unknown, format!("Unknown: {ask}")),
            (Nothing, degrees(30_000), "Change: the new restoration is made to it".to_owned()),
            (Nothing, Value::Unknown, format!("Unknown: {ask}")),
        ];
        for (stands_on, candidate, expected) in rows {
            let mut case = Case::angled();
            case.stands_on = stands_on;
            case.candidate.angle = candidate;
            assert_eq!(case.states(RULE).join("; "), expected, "{stands_on:?} {candidate}");
        }
    }

    #[test]
    fn no_angle_is_straight() {
        let mut case = Case::abutment();
        case.candidate.angle = Value::NotApplicable;
        assert!(case.states(RULE).is_empty());
    }
}
