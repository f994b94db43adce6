//! Rule `engaging`: whether the lower seat holds against turning, as its job needs.
//!
//! An angled abutment engages its implant even under a bridge, or its lean turns. The base or cylinder in a restoration
//! must be what the fitted one is: an engaging one in a bridge has no path of insertion, a non-engaging one lets a single
//! crown turn. Nobody's word covers it, because the same makers make both.

use super::Rule;
use super::compare::{ask, is_built_on, said};
use crate::catalog::{Position, Side, Value};
use crate::matching::{Finding, Level, Question, StandsOn};

pub const RULE: Rule = Rule {
    id: "engaging",
    demands: "an angled abutment engages its implant; base and cylinder engage if the fitted one does; a single crown \
              never stands on a non-engaging base",
    reason: "what must not turn is held by the index, and a rigid bridge on several engaging seats has no path on",
    source: "J Prosthet Dent 2018;120:17 for short bridges with one engaging part; the rest common practice, no source",
    states: rule,
};

pub fn rule(q: &Question<'_>) -> Vec<Finding> {
    // Nothing turns on a healing cap or a cover screw.
    if !matches!(q.position, Position::Abutment | Position::Base | Position::Cylinder) {
        return Vec::new();
    }
    let (Some(fitted), Some(candidate)) = (q.fitted.seat(Side::Below), q.candidate.seat(Side::Below)) else {
        return Vec::new();
    };
    let (fitted, candidate) = (plain(fitted.engaging), plain(candidate.engaging));
    let Some((level, effect)) = judge(q, fitted, candidate) else { return Vec::new() };
    let words = |v: Value<bool>| match v {
        Value::Known(true) => "engaging".to_owned(),
        Value::Known(false) => "not engaging".to_owned(),
        other => said("engaging:", &other),
    };
    vec![RULE.finds(level, words(fitted), words(candidate), effect)]
}

/// A seat to which engaging does not apply holds nothing against turning.
fn plain(engaging: Value<bool>) -> Value<bool> {
    if engaging == Value::NotApplicable { Value::Known(false) } else { engaging }
}

fn judge(q: &Question<'_>, fitted: Value<bool>, candidate: Value<bool>) -> Option<(Level, String)> {
    let not_known = || Some((Level::Unknown, ask("whether the lower seat engages", &fitted, &candidate)));
    let against = |effect: &str| Some((Level::Against, effect.to_owned()));
    let change = |effect: &str| Some((Level::Change, effect.to_owned()));
    let in_restoration = q.position != Position::Abutment;
    if !in_restoration && (q.fitted.is_angled() || q.candidate.is_angled()) {
        return match candidate {
            Value::Known(true) => None,
            Value::Known(false) | Value::NotApplicable => against(
                "an angled abutment must engage its implant, even under a bridge: its lean would turn",
            ),
            Value::Unknown => not_known(),
        };
    }
    let turns = "a single crown on it would turn";
    match (fitted.same(&candidate), candidate) {
        (None, _) => not_known(),
        // One crown on a base that never engaged: the record says something that must not be repeated.
        (Some(true), Value::Known(false))
            if q.position == Position::Base && q.stands_on == StandsOn::OneCrown =>
        {
            against(turns)
        }
        (Some(true), _) => None,
        (Some(false), Value::Known(false)) if q.stands_on == StandsOn::OneCrown => against(turns),
        (Some(false), Value::Known(false)) if in_restoration && !is_built_on(q) => {
            Some((Level::Unknown, format!("ask what will be made: {turns}")))
        }
        (Some(false), _) if in_restoration && is_built_on(q) => {
            against("the restoration was made on the other kind")
        }
        (Some(false), Value::Known(true)) => {
            change("engages where the fitted one does not: it has to find its index to go down")
        }
        (Some(false), _) => {
            change("does not engage where the fitted one does: only the screw keeps it from turning")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matching::sample::{Case, seat};

    const YES: Value<bool> = Value::Known(true);
    const NO: Value<bool> = Value::Known(false);

    fn states(mut case: Case, stands_on: StandsOn, fitted: Value<bool>, candidate: Value<bool>) -> String {
        case.stands_on = stands_on;
        seat(&mut case.fitted, Side::Below).engaging = fitted;
        seat(&mut case.candidate, Side::Below).engaging = candidate;
        case.states(RULE).join("; ")
    }

    #[test]
    fn an_angled_abutment_engages() {
        for stands_on in [StandsOn::Bridge, StandsOn::OneCrown, StandsOn::Nothing] {
            assert_eq!(states(Case::angled(), stands_on, YES, YES), "");
            // The fitted one's fault is no excuse.
            for fitted in [YES, NO] {
                assert_eq!(
                    states(Case::angled(), stands_on, fitted, NO),
                    "Against: an angled abutment must engage its implant, even under a bridge: its lean would turn"
                );
            }
            assert_eq!(
                states(Case::angled(), stands_on, YES, Value::Unknown),
                "Unknown: measure or ask the maker: whether the lower seat engages of the new part"
            );
        }
    }

    #[test]
    fn straight_abutments_by_what_stands_on_them() {
        let rows = [
            (StandsOn::Bridge, NO, NO, ""),
            (
                StandsOn::Bridge,
                NO,
                YES,
                "Change: engages where the fitted one does not: it has to find its index to go down",
            ),
            (
                StandsOn::Bridge,
                YES,
                NO,
                "Change: does not engage where the fitted one does: only the screw keeps it from turning",
            ),
            (StandsOn::OneCrown, NO, NO, ""),
            (StandsOn::OneCrown, YES, NO, "Against: a single crown on it would turn"),
            (
                StandsOn::Bridge,
                Value::Unknown,
                Value::Unknown,
                "Unknown: measure or ask the maker: whether the lower seat engages of both parts",
            ),
            (StandsOn::Bridge, Value::NotApplicable, NO, ""),
        ];
        for (stands_on, fitted, candidate, expected) in rows {
            assert_eq!(
                states(Case::abutment(), stands_on, fitted, candidate),
                expected,
                "{fitted} {candidate}"
            );
        }
    }

    #[test]
    fn a_base_is_what_the_fitted_one_is() {
        let rows = [
            (StandsOn::Bridge, NO, NO, ""),
            (StandsOn::Bridge, NO, YES, "Against: the restoration was made on the other kind"),
            (StandsOn::Bridge, YES, NO, "Against: the restoration was made on the other kind"),
            (StandsOn::OneCrown, YES, NO, "Against: a single crown on it would turn"),
            (StandsOn::OneCrown, NO, NO, "Against: a single crown on it would turn"),
            (StandsOn::OneCrown, YES, YES, ""),
            (StandsOn::Nothing, YES, NO, "Unknown: ask what will be made: a single crown on it would turn"),
            (StandsOn::Nothing, NO, NO, ""),
        ];
        for (stands_on, fitted, candidate, expected) in rows {
            assert_eq!(
                states(Case::base(), stands_on, fitted, candidate),
                expected,
                "{stands_on:?} {fitted} {candidate}"
            );
        }
    }

    #[test]
    fn a_cylinder_is_what_the_fitted_one_is_and_a_cap_may_turn() {
        assert!(states(Case::cylinder(), StandsOn::Bridge, NO, YES).starts_with("Against"));
        assert_eq!(states(Case::healing_cap(), StandsOn::Nothing, NO, YES), "");
    }
}
