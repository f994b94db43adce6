//! Rule `index-variant`: an angled part leans over a flat of its index if the fitted one does, over a corner if not.
//!
//! The other variant of the same angle leans between the directions this one can lean in (30° round on six positions), so
//! neither a bridge nor a crown that is there goes down on it.

use super::compare::{ask, said};
use super::{GEOMETRY, Rule};
use crate::catalog::{Side, Value, Variant};
use crate::matching::{Finding, Level, Question, StandsOn};

pub const RULE: Rule = Rule {
    id: "index-variant",
    demands: "under a bridge or a crown: the index variant (flat or corner) of the fitted part",
    reason: "the other variant cannot lean the same way in any index position",
    source: GEOMETRY,
    states: rule,
};

pub fn rule(q: &Question<'_>) -> Vec<Finding> {
    let (Some(fitted), Some(candidate)) = (q.fitted.seat(Side::Below), q.candidate.seat(Side::Below)) else {
        return Vec::new();
    };
    let (fitted, candidate) = (&fitted.variant, &candidate.variant);
    let (level, effect) = match (fitted.same(candidate), q.stands_on) {
        (Some(true), _) => return Vec::new(),
        (Some(false), StandsOn::Bridge) => {
            (Level::Against, "not this bridge: it cannot lean the same way".to_owned())
        }
        (Some(false), StandsOn::OneCrown) => {
            (Level::Against, "not this crown: it cannot lean the same way".to_owned())
        }
        (Some(false), StandsOn::Nothing) => {
            (Level::Change, "leans another way: made for a new restoration".to_owned())
        }
        (None, _) => (Level::Unknown, ask("index variant (flat or corner)", fitted, candidate)),
    };
    vec![RULE.finds(level, words(fitted), words(candidate), effect)]
}

fn words(variant: &Value<Variant>) -> String {
    match variant {
        Value::Known(Variant::Flat) => "leans over a flat of its index".to_owned(),
        Value::Known(Variant::Corner) => "leans over a corner of its index".to_owned(),
        Value::Unknown => said("index variant", &Value::<String>::Unknown),
        Value::NotApplicable => said("index variant", &Value::<String>::NotApplicable),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matching::sample::{Case, seat};

    #[test]
    fn flat_is_not_corner() {
        use StandsOn::{Bridge, Nothing, OneCrown};
        let (flat, corner) = (Value::Known(Variant::Flat), Value::Known(Variant::Corner));
        let ask = "measure or ask the maker: index variant (flat or corner) of the new part";
        let rows = [
            (Bridge, flat, String::new()),
            (Bridge, corner, "Against: not this bridge: it cannot lean the same way".to_owned()),
            (
                Bridge,
                Value::NotApplicable,
                "Against: not this bridge: it cannot lean the same way".to_owned(),
            ),
            (Bridge, Value::Unknown, format!("Unknown: {ask}")),
            (OneCrown, corner, "Against: not this crown: it cannot lean the same way".to_owned()),
            (OneCrown, Value::Unknown, format!("Unknown: {ask}")),
            (Nothing, corner, "Change: leans another way: made for a new restoration".to_owned()),
            (Nothing, Value::Unknown, format!("Unknown: {ask}")),
        ];
        for (stands_on, candidate, expected) in rows {
            let mut case = Case::angled();
            case.stands_on = stands_on;
            seat(&mut case.candidate, Side::Below).variant = candidate;
            assert_eq!(case.states(RULE).join("; "), expected, "{stands_on:?} {candidate:?}");
        }
        assert!(Case::abutment().states(RULE).is_empty());
    }
}
