//! Rule `seat-height`: the upper seat stands where it stood.
//!
//! Under a rigid bridge this is the must that decides; under one crown it is felt in the bite; where nothing has been
//! made yet the new restoration is made to it. No maker's statement and no verification covers it.

use super::compare::{Lengths, STEP, ask, base, by, lengths, said, steps};
use super::{GEOMETRY, Rule, engaging, mates, platform};
use crate::catalog::Side;
use crate::matching::{Finding, Level, Question, StandsOn};

pub const RULE: Rule = Rule {
    id: "seat-height",
    demands: "under a rigid bridge: the seat height of the fitted part within 0.01 mm nominal",
    reason: "a rigid bridge cannot follow one seat that moved: it gapes at the others or hangs over this one",
    source: GEOMETRY,
    states: rule,
};

pub fn rule(q: &Question<'_>) -> Vec<Finding> {
    let (fitted, candidate) = (&q.fitted.seat_height, &q.candidate.seat_height);
    let (level, effect) = match lengths(fitted, candidate) {
        Lengths::Equal => return Vec::new(),
        Lengths::NotKnown => (Level::Unknown, ask("seat height", fitted, candidate)),
        Lengths::Off(off) => moved(q, off),
    };
    let apart = steps(base(fitted), base(candidate), STEP as u32);
    vec![RULE.finds(level, said("seat height", fitted), said("seat height", candidate), effect).apart(apart)]
}

fn moved(q: &Question<'_>, off: i32) -> (Level, String) {
    let high = off > 0;
    let too = format!("{} too {}", by(off), if high { "high" } else { "low" });
    match q.stands_on {
        StandsOn::Bridge => (Level::Against, format!("{}not this bridge: {too}", fits_below(q))),
        StandsOn::OneCrown if high => (
            Level::Change,
            format!("{too} for this crown: high in the bite, neighbour contacts tight or lost"),
        ),
        StandsOn::OneCrown => (
            Level::Change,
            format!("{too} for this crown: out of the bite, neighbour contacts tight or lost"),
        ),
        StandsOn::Nothing => {
            let higher = if high { "higher" } else { "lower" };
            (Level::Change, format!("{} {higher}: the new restoration is made to it", by(off)))
        }
    }
}

/// 'fits the implant, ', said only when nothing is in doubt about its joints.
fn fits_below(q: &Question<'_>) -> String {
    let doubts = [mates::rule, platform::rule, engaging::rule].into_iter().flat_map(|rule| rule(q));
    let verified = q.same_maker() == Some(true) || q.verified().is_some();
    if !verified || doubts.into_iter().any(|f| f.level <= Level::Unknown) {
        return String::new();
    }
    let below = q.candidate.ports.iter().find(|p| p.side() == Side::Below);
    let met = below.and_then(|port| crate::catalog::mate_below(q.position, port, q.others));
    met.map(|(at, ..)| format!("fits the {at}, ")).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Value;
    use crate::matching::sample::{Case, Change, mm, seat};
    use crate::units::Length;

    fn states(stands_on: StandsOn, fitted: Value<Length>, candidate: Value<Length>) -> String {
        let mut case = Case::abutment();
        case.stands_on = stands_on;
        case.fitted.seat_height = fitted;
        case.candidate.seat_height = candidate;
        case.states(RULE).join("; ")
    }

    #[test]
    fn a_height_means_what_stands_on_it() {
        use StandsOn::{Bridge, Nothing, OneCrown};
        let ask = "measure or ask the maker: seat height of the new part";
        let both = "measure or ask the maker: seat height of both parts";
        let (was, unknown) = (mm(3000), Value::Unknown);
        let rows = [
            (Bridge, was, mm(3000), String::new()),
            (Bridge, was, mm(3009), String::new()),
            (
                Bridge,
                was,
                mm(3010),
                "Against: fits the implant, not this bridge: 0.01 mm too high".to_owned(),
            ),
            (
                Bridge,
                was,
                mm(3500),
                "Against: fits the implant, not this bridge: 0.50 mm too high".to_owned(),
            ),
            (
                Bridge,
                was,
                mm(2875),
                "Against: fits the implant, not this bridge: 0.125 mm too low".to_owned(),
            ),
            (Bridge, was, unknown, format!("Unknown: {ask}")),
            (Bridge, unknown, unknown, format!("Unknown: {both}")),
            (
                OneCrown,
                was,
                mm(3500),
                "Change: 0.50 mm too high for this crown: high in the bite, neighbour contacts tight or lost"
                    .to_owned(),
            ),
            (
                OneCrown,
                was,
                mm(2500),
                "Change: 0.50 mm too low for this crown: out of the bite, neighbour contacts tight or lost"
                    .to_owned(),
            ),
            (OneCrown, was, unknown, format!("Unknown: {ask}")),
            (Nothing, was, mm(2500), "Change: 0.50 mm lower: the new restoration is made to it".to_owned()),
            (Nothing, was, unknown, format!("Unknown: {ask}")),
        ];
        for (stands_on, fitted, candidate, expected) in rows {
            assert_eq!(states(stands_on, fitted, candidate), expected, "{stands_on:?} {fitted} {candidate}");
        }
    }

    #[test]
    fn it_fits_the_implant_only_when_that_is_known() {
        let doubts: [Change; 4] = [
            |c| seat(&mut c.candidate, Side::Below).accepts = Value::Unknown,
            |c| seat(&mut c.candidate, Side::Below).outer = mm(4800),
            |c| c.others.clear(),
            |c| c.candidate.maker = Value::Known(crate::units::Name::new("somebody else, invented").unwrap()),
        ];
        for (n, doubt) in doubts.into_iter().enumerate() {
            let mut case = Case::abutment();
            case.candidate.seat_height = mm(3500);
            doubt(&mut case);
            assert_eq!(case.states(RULE), ["Against: not this bridge: 0.50 mm too high"], "row {n}");
        }
    }
}
