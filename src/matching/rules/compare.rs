//! Comparing one property of the fitted part and the candidate, and the words for both values.

use std::fmt::Display;

use super::Rule;
use crate::catalog::{Mating, Part, Port, Side, Thread, Value};
use crate::matching::{Finding, Level, Question, StandsOn};
use crate::units::Length;

/// Lengths less than this apart are one nominal length; base units. From the demand of 0.01 mm for a rigid bridge.
pub const STEP: i32 = 10;

/// A property with its name, so that its number never stands alone: 'collar 3.0 mm', 'collar not known', 'no collar'.
pub fn said<T: Display>(what: &str, value: &Value<T>) -> String {
    match value {
        Value::NotApplicable => format!("no {what}"),
        Value::Known(_) | Value::Unknown => format!("{what} {value}"),
    }
}

/// Which of two values is missing, as a request: what to measure or to ask the maker.
pub fn ask<T>(what: &str, fitted: &Value<T>, candidate: &Value<T>) -> String {
    let whose = match (fitted.is_unknown(), candidate.is_unknown()) {
        (true, true) => "both parts",
        (true, false) => "the fitted part",
        _ => "the new part",
    };
    format!("measure or ask the maker: {what} of {whose}")
}

/// A difference of lengths with at least two decimals, so that half a millimetre reads the same in every line.
pub fn by(base: i32) -> String {
    let mm = f64::from(base.abs()) / 1000.0;
    if base % 10 == 0 { format!("{mm:.2} mm") } else { format!("{mm:.3} mm") }
}

/// How many steps of `step` base units lie between two values; none when either is missing.
pub fn steps(fitted: Option<i32>, candidate: Option<i32>, step: u32) -> u32 {
    match (fitted, candidate) {
        (Some(f), Some(c)) => f.abs_diff(c) / step,
        _ => 0,
    }
}

/// The length as base units; a length that does not exist on this part counts as none, not as zero.
pub fn base(value: &Value<Length>) -> Option<i32> {
    value.known().map(|l| l.base())
}

/// A property that somebody would notice: a change when it differs, and when it is not known, because nothing is equal
/// by being missing.
pub fn noticed<T: PartialEq + Display>(
    rule: &Rule,
    what: &str,
    fitted: &Value<T>,
    candidate: &Value<T>,
    effect: impl FnOnce() -> String,
) -> Option<Finding> {
    let effect = match fitted.same(candidate) {
        Some(true) => return None,
        Some(false) => effect(),
        None => ask(what, fitted, candidate),
    };
    Some(rule.finds(Level::Change, said(what, fitted), said(what, candidate), effect))
}

/// How two lengths that must be equal stand to each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lengths {
    /// One nominal length, or neither part has it.
    Equal,
    /// The candidate's is larger (+) or smaller (−) by this many base units.
    Off(i32),
    /// Not known on either side.
    NotKnown,
}

/// Compares two lengths; a measure that does not exist on a part is no offset, no height.
pub fn lengths(fitted: &Value<Length>, candidate: &Value<Length>) -> Lengths {
    let number = |v: &Value<Length>| match v {
        Value::Known(l) => Some(l.base()),
        Value::NotApplicable => Some(0),
        Value::Unknown => None,
    };
    match (number(fitted), number(candidate)) {
        (Some(f), Some(c)) if (c - f).abs() < STEP => Lengths::Equal,
        (Some(f), Some(c)) => Lengths::Off(c - f),
        _ => Lengths::NotKnown,
    }
}

/// Whether something stands there that was built to the fitted part.
pub fn is_built_on(q: &Question<'_>) -> bool {
    q.stands_on != StandsOn::Nothing
}

/// The level of another port that nothing on record meets: what stands there already may not fit; what is still to be made
/// is made to it.
pub fn other_above(q: &Question<'_>) -> Level {
    if is_built_on(q) { Level::Unknown } else { Level::Change }
}

/// A port in words, with the numbers that decide.
pub fn port_words(port: &Port) -> String {
    match port {
        Port::Seat(s) => format!("seat on {}, {}", s.interface, said("revision", &s.offers)),
        Port::Thread(t) => format!("thread {}", thread_words(&t.diameter, &t.pitch)),
        Port::HeadSeat(h) => said("head seat", &h.form),
    }
}

fn thread_words(diameter: &Value<Length>, pitch: &Value<Length>) -> String {
    match (diameter, pitch) {
        (Value::Known(d), Value::Known(p)) => format!("M{} x {p}", d.number()),
        (Value::Known(d), _) => format!("M{}, pitch not known", d.number()),
        _ => "of unknown size".to_owned(),
    }
}

/// The port of `part` that does the same work as `port`.
pub fn counterpart<'a>(part: &'a Part, port: &Port) -> Option<&'a Port> {
    let same_work = |p: &&Port| p.side() == port.side() && p.words() == port.words();
    part.ports.iter().find(same_work)
}

/// Whether what mated with `fitted` would mate with `candidate`, when nobody has recorded what that is.
pub fn stands_in(fitted: &Port, candidate: &Port) -> Mating {
    match (fitted, candidate) {
        (Port::Seat(f), Port::Seat(c)) => {
            let not_known = || Mating::NotKnown(format!("the revision of interface {}", f.interface));
            if f.interface != c.interface {
                return Mating::Not(format!("interface {} for {}", c.interface, f.interface));
            }
            match (f.offers.known(), c.offers.known()) {
                (Some(was), Some(is)) if was.major != is.major => {
                    Mating::Not(format!("interface {}, revision {is} for {was}", c.interface))
                }
                // A minor step may be what the other side requires.
                (Some(was), Some(is)) if was.minor == is.minor => Mating::Mates,
                _ => not_known(),
            }
        }
        (Port::Thread(f), Port::Thread(c)) => match (f.diameter.same(&c.diameter), f.pitch.same(&c.pitch)) {
            (Some(true), Some(true)) => Mating::Mates,
            (Some(false), _) | (_, Some(false)) => {
                let words = |t: &Thread| thread_words(&t.diameter, &t.pitch);
                Mating::Not(format!("thread {} for {}", words(c), words(f)))
            }
            _ => Mating::NotKnown("diameter and pitch of the thread".to_owned()),
        },
        (Port::HeadSeat(f), Port::HeadSeat(c)) => match f.form.same(&c.form) {
            Some(true) => Mating::Mates,
            Some(false) => Mating::Not(format!("head seat {} for {}", c.form, f.form)),
            None => Mating::NotKnown("the form of the head seat".to_owned()),
        },
        _ => Mating::Not(format!("a {} for a {}", candidate.words(), fitted.words())),
    }
}

/// The words for an upper or lower port.
pub fn side_words(side: Side) -> &'static str {
    match side {
        Side::Below => "lower",
        Side::Above => "upper",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matching::sample::mm;

    #[test]
    fn a_number_never_stands_alone() {
        assert_eq!(said("collar", &mm(3000)), "collar 3.0 mm");
        assert_eq!(said("collar", &Value::<Length>::Unknown), "collar not known");
        assert_eq!(said("collar", &Value::<Length>::NotApplicable), "no collar");
        for (base, text) in
            [(500, "0.50 mm"), (-500, "0.50 mm"), (125, "0.125 mm"), (10, "0.01 mm"), (1000, "1.00 mm")]
        {
            assert_eq!(by(base), text);
        }
    }

    #[test]
    fn what_is_missing_is_named() {
        let (known, unknown) = (mm(3000), Value::Unknown);
        for (fitted, candidate, whose) in [
            (known, unknown, "the new part"),
            (unknown, known, "the fitted part"),
            (unknown, unknown, "both parts"),
        ] {
            let expected = format!("measure or ask the maker: seat height of {whose}");
            assert_eq!(ask("seat height", &fitted, &candidate), expected);
        }
    }

    #[test]
    fn lengths_under_a_hundredth_are_one_and_none_is_zero() {
        let na = Value::NotApplicable;
        let cases = [
            (mm(3000), mm(3009), Lengths::Equal),
            (mm(3000), mm(3010), Lengths::Off(10)),
            (mm(3000), mm(2500), Lengths::Off(-500)),
            (na, na, Lengths::Equal),
            (na, mm(0), Lengths::Equal),
            (na, mm(600), Lengths::Off(600)),
            (Value::Unknown, Value::Unknown, Lengths::NotKnown),
            (mm(0), Value::Unknown, Lengths::NotKnown),
        ];
        for (fitted, candidate, expected) in cases {
            assert_eq!(lengths(&fitted, &candidate), expected, "{fitted} {candidate}");
        }
    }
}
