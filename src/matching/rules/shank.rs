//! Rule `shank`: a screw's shank and thread pass the bore under its head; a thinner shank is said.
//!
//! Asked from both sides: of a new screw through the bore that is there, and of a new bore for the screw that is there.

use super::compare::{STEP, base, by, other_above, said, steps};
use super::{GEOMETRY, Rule};
use crate::catalog::{Part, Port, Side, Value};
use crate::matching::joint;
use crate::matching::{Finding, Level, Question};
use crate::units::Length;

pub const RULE: Rule = Rule {
    id: "shank",
    demands: "shank and thread of the screw pass the bore under its head",
    reason: "a screw that catches in the bore is tight before the joint is; a thinner one breaks sooner",
    source: GEOMETRY,
    states: rule,
};

pub fn rule(q: &Question<'_>) -> Vec<Finding> {
    let heads = q.candidate.ports.iter().filter(|p| matches!(p, Port::HeadSeat(_)));
    heads.flat_map(|port| passes(q, port).into_iter().chain(beside(q, port))).collect()
}

/// The screw through the bore, whichever of the two is new.
fn passes(q: &Question<'_>, port: &Port) -> Option<Finding> {
    let Port::HeadSeat(own) = port else { return None };
    let met = joint::partners(q, q.candidate, port);
    let (_, mate, Port::HeadSeat(other)) = met.first()? else { return None };
    let (screw, bore): (&Part, _) =
        if own.side == Side::Below { (q.candidate, &other.bore) } else { (mate, &own.bore) };
    let thread = screw.thread(Side::Below).map_or(Value::Unknown, |t| t.diameter);
    let mut missing = None;
    for (what, value) in [("shank", &screw.shank), ("thread", &thread)] {
        match (value, bore) {
            (Value::Known(v), Value::Known(b)) if v > b => {
                let effect = format!("the {what} of {v} does not pass the bore of {b}");
                return Some(RULE.finds(Level::Against, said("bore", bore), said(what, value), effect));
            }
            (Value::Known(_), Value::Known(_)) | (Value::NotApplicable, _) => {}
            (Value::Unknown, _) => missing = missing.or(Some(format!("{what} diameter of the screw"))),
            _ => missing = missing.or(Some("bore under the head".to_owned())),
        }
    }
    let effect = format!("measure or ask the maker: {}", missing?);
    Some(RULE.finds(Level::Unknown, said("bore", bore), said("shank", &screw.shank), effect))
}

/// The candidate's shank or bore beside the fitted part's.
fn beside(q: &Question<'_>, port: &Port) -> Option<Finding> {
    let Port::HeadSeat(own) = port else { return None };
    let (what, fitted, candidate): (_, Value<Length>, Value<Length>) = match own.side {
        Side::Below => ("shank", q.fitted.shank, q.candidate.shank),
        Side::Above => ("bore", q.fitted.head_seat(Side::Above)?.bore, own.bore),
    };
    if fitted.same(&candidate) == Some(true) {
        return None;
    }
    // A bore without a screw on record was passed by one all the same: only its own width is sure to let it through.
    if own.side == Side::Above && joint::partners(q, q.candidate, port).is_empty() {
        let effect = "name the screw that goes through it: it may not pass this bore";
        return Some(RULE.finds(other_above(q), said(what, &fitted), said(what, &candidate), effect));
    }
    let effect = match (base(&fitted), base(&candidate)) {
        // What one of them does not say is asked for, above or by the rule `known`.
        _ if candidate.is_unknown() || fitted.is_unknown() => return None,
        (Some(f), Some(c)) if what == "shank" && c < f => {
            format!("shank {} thinner: it breaks sooner", by(c - f))
        }
        (Some(f), Some(c)) => format!("{what} {} {}", by(c - f), if c > f { "wider" } else { "narrower" }),
        _ => "threaded up to its head, or not".to_owned(),
    };
    let apart = steps(base(&fitted), base(&candidate), STEP as u32);
    Some(RULE.finds(Level::Change, said(what, &fitted), said(what, &candidate), effect).apart(apart))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Position;
    use crate::matching::sample::{Case, Change, head, mm, thread};

    #[test]
    fn a_new_screw_through_the_bore_that_is_there() {
        let rows: [(Change, &str); 8] = [
            (|_| (), ""),
            (
                |c| c.candidate.shank = mm(1700),
                "Against: the shank of 1.7 mm does not pass the bore of 1.6 mm; Change: shank 0.50 mm wider",
            ),
            (
                |c| thread(&mut c.candidate, Side::Below).diameter = mm(1800),
                "Against: the thread of 1.8 mm does not pass the bore of 1.6 mm",
            ),
            (|c| c.candidate.shank = mm(1100), "Change: shank 0.10 mm thinner: it breaks sooner"),
            (|c| c.candidate.shank = mm(1300), "Change: shank 0.10 mm wider"),
            (
                |c| c.candidate.shank = Value::Unknown,
                "Unknown: measure or ask the maker: shank diameter of the screw",
            ),
            (|c| c.fitted.shank = Value::Unknown, ""),
            (
                |c| head(&mut c.others[2].1, Side::Above).bore = Value::Unknown,
                "Unknown: measure or ask the maker: bore under the head",
            ),
        ];
        for (n, (change, expected)) in rows.into_iter().enumerate() {
            let mut case = Case::prosthetic_screw();
            change(&mut case);
            assert_eq!(case.states(RULE).join("; "), expected, "row {n}");
        }
    }

    #[test]
    fn a_new_bore_for_the_screw_that_is_there() {
        let no_screw = |c: &mut Case| c.others.retain(|(at, _)| *at != Position::AbutmentScrew);
        let rows: [(Change, &str); 5] = [
            (|_| (), ""),
            (
                |c| head(&mut c.candidate, Side::Above).bore = mm(1900),
                "Against: the thread of 2.0 mm does not pass the bore of 1.9 mm; Change: bore 0.20 mm narrower",
            ),
            (
                |c| head(&mut c.candidate, Side::Above).bore = Value::Unknown,
                "Unknown: measure or ask the maker: bore under the head",
            ),
            (no_screw, ""),
            (
                |c| {
                    c.others.retain(|(at, _)| *at != Position::AbutmentScrew);
                    head(&mut c.candidate, Side::Above).bore = Value::Unknown;
                },
                "Unknown: name the screw that goes through it: it may not pass this bore",
            ),
        ];
        for (n, (change, expected)) in rows.into_iter().enumerate() {
            let mut case = Case::two_piece();
            change(&mut case);
            assert_eq!(case.states(RULE).join("; "), expected, "row {n}");
        }
    }
}
