//! Rule `head-seat`: a screw's head bears where its shoulder bears.
//!
//! The form of both is the rule `mates`. The mean diameter is right when it is the fitted part's, which sat there, or
//! that of what it really meets; in the second case the difference is still said.

use super::Rule;
use super::compare::{STEP, ask, base, said, steps};
use crate::catalog::{HeadSeat, Port, Side, Value};
use crate::matching::joint;
use crate::matching::{Finding, Level, Question};
use crate::units::Length;

pub const RULE: Rule = Rule {
    id: "head-seat",
    demands: "screw head and shoulder bear on one mean diameter",
    reason: "a head that bears elsewhere bears on an edge: it settles, and its torque gives another preload",
    source: "VDI 2230: the head's share of a torque goes with the mean bearing diameter",
    states: rule,
};

pub fn rule(q: &Question<'_>) -> Vec<Finding> {
    q.candidate.ports.iter().filter_map(|port| of_port(q, port)).collect()
}

fn of_port(q: &Question<'_>, port: &Port) -> Option<Finding> {
    let Port::HeadSeat(own) = port else { return None };
    let met = joint::partners(q, q.candidate, port);
    let met_diameter = met.first().and_then(|(.., port)| match port {
        Port::HeadSeat(h) => Some(&h.mean_diameter),
        _ => None,
    });
    let fitted = q.fitted.head_seat(own.side).map(|h: &HeadSeat| &h.mean_diameter);
    let (level, effect) = judge(own.side, fitted, met_diameter, &own.mean_diameter)?;
    let what = "mean head seat diameter";
    let text = |v: &Value<Length>| said(what, v);
    let finding = RULE.finds(level, fitted.map(text).unwrap_or_default(), text(&own.mean_diameter), effect);
    let apart = steps(fitted.and_then(base), base(&own.mean_diameter), STEP as u32);
    Some(finding.apart(apart))
}

fn judge(
    side: Side,
    fitted: Option<&Value<Length>>,
    met: Option<&Value<Length>>,
    own: &Value<Length>,
) -> Option<(Level, String)> {
    let near = |other: &Value<Length>| base(other).zip(base(own)).is_some_and(|(o, c)| (o - c).abs() < STEP);
    let known = |other: Option<&Value<Length>>| other.is_some_and(|v| base(v).is_some());
    let partner = if side == Side::Below { "shoulder" } else { "screw head" };
    let not_known =
        |whose: &Value<Length>| Some((Level::Unknown, ask("mean head seat diameter", whose, own)));
    match (fitted, met) {
        _ if base(own).is_none() => not_known(fitted.unwrap_or(own)),
        (Some(f), _) if near(f) => None,
        (None, Some(m)) if near(m) => None,
        (Some(_), Some(m)) if near(m) => {
            Some((Level::Change, format!("bears on its {partner}, though not where the fitted one did")))
        }
        _ if known(fitted) || known(met) => Some((
            Level::Against,
            format!("does not bear where its {partner} bears: it settles and comes loose"),
        )),
        (Some(f), _) => not_known(f),
        // A shoulder that the fitted part did not have and no screw on record meets: its screw comes with it.
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matching::sample::{Case, head, mm};

    #[test]
    fn a_head_bears_where_its_shoulder_does() {
        let unknown = Value::Unknown;
        let elsewhere = "Against: does not bear where its shoulder bears: it settles and comes loose";
        let ask =
            |whose: &str| format!("Unknown: measure or ask the maker: mean head seat diameter of {whose}");
        // fitted, what it meets, candidate
        let rows = [
            (mm(1900), mm(1900), mm(1900), String::new()),
            (mm(1900), unknown, mm(1900), String::new()),
            (mm(1900), mm(1900), mm(2050), elsewhere.to_owned()),
            (mm(1900), unknown, mm(2050), elsewhere.to_owned()),
            (unknown, mm(1900), mm(2050), elsewhere.to_owned()),
            (mm(1900), mm(1900), unknown, ask("the new part")),
            (unknown, unknown, mm(1900), ask("the fitted part")),
            (unknown, mm(1900), unknown, ask("both parts")),
            (
                mm(2050),
                mm(1900),
                mm(1900),
                "Change: bears on its shoulder, though not where the fitted one did".to_owned(),
            ),
        ];
        for (n, (fitted, met, candidate, expected)) in rows.into_iter().enumerate() {
            let mut case = Case::prosthetic_screw();
            head(&mut case.fitted, Side::Below).mean_diameter = fitted;
            head(&mut case.others[2].1, Side::Above).mean_diameter = met;
            head(&mut case.candidate, Side::Below).mean_diameter = candidate;
            assert_eq!(case.states(RULE).join("; "), expected, "row {n}");
        }
    }

    #[test]
    fn a_shoulder_is_asked_the_same() {
        let mut case = Case::two_piece();
        assert!(case.states(RULE).is_empty());
        head(&mut case.candidate, Side::Above).mean_diameter = mm(2200);
        assert_eq!(
            case.states(RULE),
            ["Against: does not bear where its screw head bears: it settles and comes loose"]
        );
        // Two-piece for one-piece: the screw comes with the abutment.
        let mut case = Case::abutment();
        case.candidate = Case::two_piece().candidate;
        assert!(case.states(RULE).is_empty());
    }
}
