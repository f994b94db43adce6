//! Rule `platform`: the lower seat is no wider than the seat it stands on, and a narrower one is said.
//!
//! The diameters decide nothing about mating, which is the interface's; they decide what the gum meets. What opens a joint
//! is the matter of the rule `ring`.

use super::compare::{STEP, by, said, steps};
use super::{COMMON, Rule};
use crate::catalog::{Kind, Port, Seat, Side, Value};
use crate::matching::joint;
use crate::matching::{Finding, Level, Question};
use crate::units::Length;

pub const RULE: Rule = Rule {
    id: "platform",
    demands: "the lower seat, and a cover screw's head, is no wider than the platform it stands on",
    reason: "an edge that overhangs presses the gum and cannot be cleaned; a narrower one is another edge in it",
    source: COMMON,
    states: rule,
};

pub fn rule(q: &Question<'_>) -> Vec<Finding> {
    let lower = q.candidate.ports.iter().find(|p| matches!(p, Port::Seat(s) if s.side == Side::Below));
    let Some(port @ Port::Seat(seat)) = lower else { return Vec::new() };
    let met = joint::partners(q, q.candidate, port);
    // Without a platform on record the rule `mates` has already asked for it.
    let Some((at, _, Port::Seat(platform))) = met.first() else { return Vec::new() };
    let text = |seat: &Seat| said("lower seat", &seat.outer);
    let fitted = q.fitted.seat(Side::Below);
    let finds = |level, effect| RULE.finds(level, fitted.map(text).unwrap_or_default(), text(seat), effect);
    let mut out = Vec::new();
    match (&seat.outer, &platform.outer) {
        (Value::Known(own), Value::Known(wide)) if own.base() - wide.base() >= STEP => {
            let over = by(own.base() - wide.base());
            out.push(finds(Level::Against, format!("{over} wider than the {at}'s platform of {wide}")));
        }
        (Value::Known(_), Value::Known(_)) => {}
        (Value::Unknown, _) => {
            let effect =
                "measure or ask the maker: outer diameter of the lower seat of the new part".to_owned();
            out.push(finds(Level::Unknown, effect));
        }
        _ => {
            let effect = format!("measure or ask the maker: outer diameter of the {at}'s platform");
            out.push(finds(Level::Unknown, effect));
        }
    }
    out.extend(head_on(q, platform).map(|effect| finds(Level::Against, effect)));
    if out.iter().any(|f| f.level == Level::Against) {
        return out;
    }
    let beside = fitted.and_then(|f| against_fitted(&f.outer, &seat.outer));
    out.extend(beside.map(|(effect, apart)| finds(Level::Change, effect).apart(apart)));
    out
}

/// A cover screw closes the platform with its head; one that is not known is asked for by the rule `known`.
fn head_on(q: &Question<'_>, platform: &Seat) -> Option<String> {
    let (head, wide) = (q.candidate.head_diameter.known()?, platform.outer.known()?);
    let over = head.base() - wide.base();
    (q.candidate.kind == Kind::CoverScrew && over >= STEP)
        .then(|| format!("its head of {head} is {} wider than the platform of {wide}", by(over)))
}

fn against_fitted(fitted: &Value<Length>, candidate: &Value<Length>) -> Option<(String, u32)> {
    match (fitted, candidate) {
        (Value::Known(f), Value::Known(c)) => {
            let off = c.base() - f.base();
            let apart = steps(Some(f.base()), Some(c.base()), STEP as u32);
            match off {
                _ if off.abs() < STEP => None,
                _ if off < 0 => {
                    Some((format!("lower seat {} narrower: another edge in the gum", by(off)), apart))
                }
                _ => Some((format!("lower seat {} wider: another edge in the gum", by(off)), apart)),
            }
        }
        // The candidate's own unknown is asked for against the platform, the fitted part's by the rule `known`.
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matching::sample::{Case, Change, mm, seat};

    #[test]
    fn no_wider_than_the_platform() {
        let rows: [(Change, &[&str]); 7] = [
            (|_| (), &[]),
            (
                |c| seat(&mut c.candidate, Side::Below).outer = mm(4500),
                &["Against: 0.40 mm wider than the implant's platform of 4.1 mm"],
            ),
            (
                |c| {
                    seat(&mut c.fitted, Side::Below).outer = mm(3800);
                    seat(&mut c.candidate, Side::Below).outer = mm(4100);
                },
                &["Change: lower seat 0.30 mm wider: another edge in the gum"],
            ),
            (
                |c| seat(&mut c.candidate, Side::Below).outer = mm(3800),
                &["Change: lower seat 0.30 mm narrower: another edge in the gum"],
            ),
            (
                |c| seat(&mut c.candidate, Side::Below).outer = Value::Unknown,
                &["Unknown: measure or ask the maker: outer diameter of the lower seat of the new part"],
            ),
            (
                |c| seat(&mut c.others[0].1, Side::Above).outer = Value::Unknown,
                &["Unknown: measure or ask the maker: outer diameter of the implant's platform"],
            ),
            (|c| seat(&mut c.fitted, Side::Below).outer = Value::Unknown, &[]),
        ];
        for (n, (change, expected)) in rows.into_iter().enumerate() {
            let mut case = Case::abutment();
            change(&mut case);
            assert_eq!(case.states(RULE), expected, "row {n}");
        }
    }

    #[test]
    fn a_cap_and_a_cover_screw_have_platforms_too() {
        for mut case in [Case::healing_cap(), Case::cover_screw()] {
            seat(&mut case.candidate, Side::Below).outer = mm(6000);
            assert!(case.states(RULE)[0].starts_with("Against: "), "{}", case.position);
        }
    }
}
