//! Rule `ring`: the ring a seat bears on is the fitted part's, and meets its mate's.
//!
//! A flat ring of diameters D and d opens under the moment preload × (D² + d²) / 8D, so a ring of another width opens
//! earlier or later. Where two rings hardly overlap they bear on an edge.

use super::Rule;
use super::compare::{STEP, ask, steps};
use crate::catalog::{Port, Seat, Side, Value};
use crate::matching::joint;
use crate::matching::{Finding, Level, Question};
use crate::units::Length;

pub const RULE: Rule = Rule {
    id: "ring",
    demands: "the ring of a seat, outer and inner, is said when it differs or is not known; it meets its mate's ring on \
              at least 0.10 mm",
    reason: "a narrower ring opens under less moment; one that hardly meets its mate's bears on an edge",
    source: "flat ring, k = (D² + d²) / 8D: published worked example, D 25 and d 15 give 4.25; the 0.10 mm are our own \
             choice",
    states: rule,
};

/// The least width of contact, base units.
const LEAST_CONTACT: i32 = 100;

pub fn rule(q: &Question<'_>) -> Vec<Finding> {
    q.candidate.ports.iter().flat_map(|port| of_port(q, port)).collect()
}

fn of_port(q: &Question<'_>, port: &Port) -> Vec<Finding> {
    let Port::Seat(own) = port else { return Vec::new() };
    let mut out = Vec::new();
    for (at, _, mate) in joint::partners(q, q.candidate, port) {
        let Port::Seat(mate) = mate else { continue };
        out.extend(contact(own, mate).map(|(level, effect)| {
            RULE.finds(level, format!("ring of the {at} {}", ring(mate)), named(own), effect)
        }));
    }
    let met = !joint::partners(q, q.candidate, port).is_empty();
    out.extend(q.fitted.seat(own.side).and_then(|fitted| beside(fitted, own, met)));
    out
}

/// How far two rings overlap, from the inside out.
fn contact(own: &Seat, mate: &Seat) -> Option<(Level, String)> {
    let numbers = [&own.outer, &own.inner, &mate.outer, &mate.inner].map(|v| match v {
        Value::Known(l) => Some(l.base()),
        // A seat with nothing cut out of it bears from the middle.
        Value::NotApplicable | Value::Unknown => None,
    });
    let [Some(outer), Some(inner), Some(mate_outer), Some(mate_inner)] = numbers else {
        let whose =
            if numbers[0].is_none() || numbers[1].is_none() { "the new part" } else { "what it meets" };
        let effect = format!("measure or ask the maker: outer and inner diameter of the ring of {whose}");
        return Some((Level::Unknown, effect));
    };
    let width = (outer.min(mate_outer) - inner.max(mate_inner)) / 2;
    let thin = width < LEAST_CONTACT;
    thin.then(|| {
        let width = Length::from_base(width.max(0));
        (Level::Against, format!("the two rings meet on {width} only: it bears on an edge"))
    })
}

/// `met`: something bears on it, and on how much of the ring is not known without its numbers.
fn beside(fitted: &Seat, own: &Seat, met: bool) -> Option<Finding> {
    let pair =
        |f: &Value<Length>, c: &Value<Length>| f.known().zip(c.known()).map(|(f, c)| (f.base(), c.base()));
    let (Some(outer), Some(inner)) = (pair(&fitted.outer, &own.outer), pair(&fitted.inner, &own.inner))
    else {
        let whose = if fitted.outer.same(&own.outer).is_none() {
            ask("outer diameter of the ring", &fitted.outer, &own.outer)
        } else {
            ask("inner diameter of the ring", &fitted.inner, &own.inner)
        };
        let effect = format!("{whose}; whether it opens earlier is not known");
        let level = if met { Level::Unknown } else { Level::Change };
        return Some(RULE.finds(level, named(fitted), named(own), effect));
    };
    let apart = (outer.0 - outer.1).abs().max((inner.0 - inner.1).abs());
    if apart < STEP {
        return None;
    }
    // In hundredths, rounded to the nearest: (D² + d²) / 8D of the one over that of the other.
    let moment = |d: i32, i: i32| {
        let (d, i) = (i64::from(d), i64::from(i));
        (d * d + i * i, d)
    };
    let (f, c) = (moment(outer.0, inner.0), moment(outer.1, inner.1));
    let (over, under) = (i128::from(c.0) * i128::from(f.1), i128::from(f.0) * i128::from(c.1));
    let hundredths = (over * 200 + under) / (under * 2).max(1);
    let effect = format!(
        "a flat joint on this ring opens at {}.{:02} times the moment, at one preload",
        hundredths / 100,
        hundredths % 100
    );
    let far =
        steps(Some(outer.0), Some(outer.1), STEP as u32) + steps(Some(inner.0), Some(inner.1), STEP as u32);
    Some(RULE.finds(Level::Change, named(fitted), named(own), effect).apart(far))
}

fn named(seat: &Seat) -> String {
    let side = if seat.side == Side::Below { "lower" } else { "upper" };
    format!("ring of the {side} seat {}", ring(seat))
}

fn ring(seat: &Seat) -> String {
    match (seat.outer.known(), seat.inner.known()) {
        (Some(outer), Some(inner)) => format!("{}/{inner}", outer.number()),
        (Some(outer), None) => format!("{outer}, inner diameter not known"),
        _ => "not known".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matching::sample::{Case, mm, seat};

    fn judged(change: impl Fn(&mut Case)) -> Vec<String> {
        let mut case = Case::abutment();
        change(&mut case);
        case.states(RULE)
    }

    #[test]
    fn another_ring_is_a_change_with_its_opening_moment() {
        assert_eq!(judged(|_| ()), Vec::<String>::new());
        // 4.1/2.7: (16.81 + 7.29) / 32.8 = 0.7348; 4.1/3.5: (16.81 + 12.25) / 32.8 = 0.8860; their ratio 1.2058.
        let wider_hole = judged(|c| seat(&mut c.candidate, Side::Below).inner = mm(3500));
        assert_eq!(
            wider_hole,
            ["Change: a flat joint on this ring opens at 1.21 times the moment, at one preload"]
        );
        // 4.0/2.7: (16 + 7.29) / 32 = 0.7278; its ratio 0.9905.
        let narrower = judged(|c| seat(&mut c.candidate, Side::Below).outer = mm(4000));
        assert_eq!(
            narrower,
            ["Change: a flat joint on this ring opens at 0.99 times the moment, at one preload"]
        );
        assert_eq!(judged(|c| seat(&mut c.candidate, Side::Below).inner = mm(2705)), Vec::<String>::new());
    }

    #[test]
    fn a_ring_that_hardly_meets_its_mates_does_not_fit() {
        let edge = judged(|c| seat(&mut c.candidate, Side::Below).inner = mm(4000));
        assert_eq!(edge[0], "Against: the two rings meet on 0.05 mm only: it bears on an edge");
        let upper = judged(|c| seat(&mut c.candidate, Side::Above).inner = mm(4700));
        assert!(upper[0].starts_with("Against: the two rings meet on 0.05 mm only"), "{upper:?}");
    }

    #[test]
    fn a_ring_that_nobody_measured_is_asked_for() {
        let inner = judged(|c| seat(&mut c.candidate, Side::Below).inner = Value::Unknown);
        assert_eq!(
            inner,
            [
                "Unknown: measure or ask the maker: outer and inner diameter of the ring of the new part",
                "Unknown: measure or ask the maker: inner diameter of the ring of the new part; whether it opens \
                 earlier is not known",
            ]
        );
        let fitted = judged(|c| seat(&mut c.fitted, Side::Above).inner = Value::Unknown);
        assert!(fitted[0].starts_with("Unknown: measure or ask the maker: inner diameter"), "{fitted:?}");
    }
}
