//! Rule `mates`: every port of the candidate mates with the port it really meets.
//!
//! Lower ports are asked of the part they stand on, upper ports of every part that stands on them. A lower port always
//! stands on something, so when that is not on record nothing is confirmed; an upper port that nothing on record meets
//! is the matter of the rule `upper-port`.

use super::compare::{counterpart, port_words, side_words, stands_in};
use super::{OURS, Rule};
use crate::catalog::{Mating, Part, Port, Position, Side, holes_in_port};
use crate::matching::joint::{self, Met};
use crate::matching::{Finding, Level, Question};

pub const RULE: Rule = Rule {
    id: "mates",
    demands: "every port mates with what it meets: seat by interface and revision, thread by diameter and pitch, head \
              seat by form, and the head does not fall through the bore",
    reason: "a joint that does not mate does not carry; a joint that nobody has recorded is not confirmed",
    source: OURS,
    states: rule,
};

pub fn rule(q: &Question<'_>) -> Vec<Finding> {
    let lower = q.candidate.ports.iter().filter(|p| p.side() == Side::Below);
    let mut out = not_on_record(q);
    for port in lower {
        match joint::partners(q, q.candidate, port).first() {
            Some(met) => out.extend(meets(q, port, *met)),
            None => out.push(meets_nothing(q, port)),
        }
    }
    let before = joint::others_standing(q, q.fitted);
    for (other, now) in joint::others_standing(q, q.candidate) {
        let stood_here = || {
            let same = |m: &Met<'_>| std::ptr::eq(m.2, other.2);
            before.iter().any(|(o, met)| same(o) && met.is_some_and(|(at, ..)| at == q.position))
        };
        match now {
            Some((at, _, port)) if at == q.position => out.extend(meets(q, port, other)),
            // The thread is in the abutment's own screw, and that screw is on record.
            Some((at, _, port @ Port::Thread(_))) if at == Position::AbutmentScrew && stood_here() => {
                out.extend(meets(q, port, other));
            }
            _ if stood_here() => out.push(lacks(q, other)),
            _ => {}
        }
    }
    out
}

/// Lower ports that the fitted part has and the candidate has not: missing data, not a part without it. What a part of its
/// kind must have in any case is the matter of the rule `known`.
fn not_on_record(q: &Question<'_>) -> Vec<Finding> {
    let has =
        |part: &Part, words: &str| part.ports.iter().any(|p| p.side() == Side::Below && p.words() == words);
    let absent = ["seat", "thread", "head seat"].into_iter().filter(|words| {
        // A two-piece body has no thread of its own; whether that is a change is asked elsewhere.
        let own_screw = *words == "thread" && q.candidate.kind.has_body();
        has(q.fitted, words) && !own_screw && !has(q.candidate, words)
    });
    absent
        .map(|words| {
            let effect = format!("ask the maker: the lower {words} of the new part is not on record");
            RULE.finds(Level::Unknown, "", format!("no {words} on record"), effect)
        })
        .collect()
}

/// Two ports that meet: `port` is the candidate's, or its own screw's.
fn meets(q: &Question<'_>, port: &Port, (at, mate, other): Met<'_>) -> Option<Finding> {
    let mating = match port.side() {
        Side::Below => crate::catalog::mating(other, port),
        Side::Above => crate::catalog::mating(port, other),
    };
    let (level, effect) = match mating {
        Mating::Mates => return None,
        Mating::Not(why) => (Level::Against, format!("does not mate with the {}: {why}", at.words())),
        Mating::NotKnown(what) => {
            (Level::Unknown, format!("measure or ask the maker, where it meets the {}: {what}", at.words()))
        }
    };
    let fitted = counterpart(q.fitted, port).map(port_words).unwrap_or_default();
    let finding = RULE.finds(level, fitted, port_words(port), effect);
    // A successor's statement is about the successor: what its mate does not say stays open.
    let covered = level == Level::Unknown
        && !is_about_index(port, other)
        && (q.maker_names_both(mate) || q.verified().is_some() || says_all_that_mates(other));
    Some(if covered { joint::mating_unknown(q, mate, finding) } else { finding })
}

/// Nothing that decides whether it mates is missing on this port.
fn says_all_that_mates(port: &Port) -> bool {
    let holes = holes_in_port(port, false);
    !holes.iter().any(|hole| hole.number.is_some_and(joint::is_covered))
}

/// Two seats whose revisions are known: what is left to ask is whether they engage, and in how many positions.
fn is_about_index(one: &Port, other: &Port) -> bool {
    let revisions = |port: &Port| match port {
        Port::Seat(s) => s.offers.known().is_some() && s.accepts.known().is_some(),
        Port::Thread(_) | Port::HeadSeat(_) => false,
    };
    revisions(one) && revisions(other)
}

/// A lower port of the candidate under which nothing on record carries it.
fn meets_nothing(q: &Question<'_>, port: &Port) -> Finding {
    let below = q.position.mates_below(port);
    let recorded = |at: &Position| q.others.iter().any(|(p, _)| p == at);
    let names: Vec<_> = below.iter().map(|at| at.words()).collect();
    let fitted = counterpart(q.fitted, port);
    let (level, effect) = match fitted.map(|f| stands_in(f, port)) {
        Some(Mating::Not(why)) => (Level::Against, format!("not what the fitted part stands with: {why}")),
        _ if below.iter().any(recorded) => {
            let there: Vec<_> = below.iter().filter(|at| recorded(at)).map(|at| at.words()).collect();
            let there = there.join(" or the ");
            (Level::Unknown, format!("ask the maker: the {} of the {there} is not on record", port.words()))
        }
        _ => (
            Level::Unknown,
            match names.is_empty() {
                true => format!("ask the maker: a part that stands here has no {}", port.words()),
                false => {
                    format!("find out what its {} meets: {} not on record", port.words(), names.join(" or "))
                }
            },
        ),
    };
    RULE.finds(level, fitted.map(port_words).unwrap_or_default(), port_words(port), effect)
}

/// The candidate has no port for a part that stood on the fitted one.
///
/// No statement covers it: that two parts belong together does not say with which port they meet.
fn lacks(q: &Question<'_>, (at, _, port): Met<'_>) -> Finding {
    let two_piece = q.position == Position::Abutment && !q.candidate.is_one_piece();
    let (level, effect) = match port {
        // In many two-piece abutments this thread is in the head of their own screw.
        Port::Thread(_) if two_piece => {
            (Level::Unknown, format!("ask where the {} holds: in the abutment's own screw?", at.words()))
        }
        Port::HeadSeat(_) => {
            (Level::Unknown, format!("ask the maker: the shoulder for the {} is not on record", at.words()))
        }
        _ => {
            let (port, at) = (port.words(), at.words());
            (Level::Unknown, format!("ask the maker: what takes the {port} of the {at} is not on record"))
        }
    };
    let fitted = q.fitted.ports.iter().find(|p| p.side() == Side::Above && p.words() == port.words());
    let candidate = format!("no {} {}", side_words(Side::Above), port.words());
    RULE.finds(level, fitted.map(port_words).unwrap_or_default(), candidate, effect)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::{SeatForm, Value};
    use crate::matching::sample::{Case, Change, head, mm, seat, thread};
    use crate::units::InterfaceId;

    fn rows(base: &Case, rows: &[(Change, &[&str])]) {
        for (n, (change, expected)) in rows.iter().enumerate() {
            let mut case = base.clone();
            change(&mut case);
            assert_eq!(case.states(RULE), *expected, "row {n}");
        }
    }

    #[test]
    fn an_abutment_below_and_above() {
        rows(
            &Case::abutment(),
            &[
                (|_| (), &[]),
                (
                    |c| seat(&mut c.candidate, Side::Below).interface = InterfaceId::new("hex-5.0").unwrap(),
                    &["Against: does not mate with the implant: interface hex-4.1 below, hex-5.0 above"],
                ),
                (
                    |c| seat(&mut c.candidate, Side::Above).offers = Value::Known("2.0.0".parse().unwrap()),
                    &[
                        "Against: does not mate with the cylinder: interface top-4.8: the upper part accepts revision \
                       ^1, the other is revision 2.0.0",
                    ],
                ),
                (
                    |c| seat(&mut c.candidate, Side::Above).accepts = Value::Unknown,
                    &[
                        "Unknown: measure or ask the maker, where it meets the cylinder: the revision of interface \
                       top-4.8",
                    ],
                ),
                (
                    |c| thread(&mut c.candidate, Side::Below).pitch = Value::Unknown,
                    &["Unknown: measure or ask the maker, where it meets the implant: the thread's pitch"],
                ),
                (
                    |c| thread(&mut c.candidate, Side::Above).diameter = mm(1600),
                    &[
                        "Against: does not mate with the prosthetic screw (bridge to abutment): thread diameter 1.4 mm \
                       into 1.6 mm",
                    ],
                ),
            ],
        );
    }

    #[test]
    fn a_screw_meets_the_bridge_and_the_abutment() {
        rows(
            &Case::prosthetic_screw(),
            &[
                (
                    |c| thread(&mut c.candidate, Side::Below).diameter = mm(1600),
                    &["Against: does not mate with the abutment: thread diameter 1.6 mm into 1.4 mm"],
                ),
                (
                    |c| head(&mut c.candidate, Side::Below).form = Value::Known(SeatForm::Cone(angle(30))),
                    &["Against: does not mate with the cylinder: head seat cone, half-angle 30° on flat"],
                ),
                (
                    |c| head(&mut c.candidate, Side::Below).mean_diameter = mm(1500),
                    &[
                        "Against: does not mate with the cylinder: a head that bears on 1.5 mm falls through a bore of \
                       1.6 mm",
                    ],
                ),
                (
                    |c| c.candidate.ports.retain(|p| p.words() != "thread"),
                    &["Unknown: ask the maker: the lower thread of the new part is not on record"],
                ),
            ],
        );
    }

    fn angle(degrees: i32) -> crate::units::Angle {
        crate::units::Angle::from_base(degrees * 1000)
    }

    #[test]
    fn what_it_stands_on_may_not_be_on_record() {
        let gone = |c: &mut Case, at: Position| c.others.retain(|(p, _)| *p != at);
        let mut case = Case::abutment();
        gone(&mut case, Position::Implant);
        let implant = ["seat", "thread"]
            .map(|w| format!("Unknown: find out what its {w} meets: implant not on record"));
        assert_eq!(case.states(RULE), implant);

        // Another thread than the fitted one's is another thread, whatever it would meet.
        thread(&mut case.candidate, Side::Below).diameter = mm(1800);
        let not = "Against: not what the fitted part stands with: thread M1.8 x 0.4 mm for M2 x 0.4 mm";
        assert_eq!(case.states(RULE), [implant[0].as_str(), not]);

        // An implant on record without a thread: nothing to hold in.
        let mut case = Case::abutment();
        case.others[0].1.ports.retain(|p| p.words() != "thread");
        assert_eq!(case.states(RULE), ["Unknown: ask the maker: the thread of the implant is not on record"]);

        let mut case = Case::prosthetic_screw();
        gone(&mut case, Position::Cylinder);
        let head = "Unknown: find out what its head seat meets: cylinder or framework not on record";
        assert_eq!(case.states(RULE), [head]);

        // Nothing above is no question here.
        let mut case = Case::abutment();
        case.others.truncate(1);
        assert!(case.states(RULE).is_empty());
    }

    #[test]
    fn what_stood_on_the_fitted_part_must_stand_on_the_new_one() {
        let upper = |words: &'static str| move |p: &Port| !(p.side() == Side::Above && p.words() == words);
        let mut case = Case::abutment();
        case.candidate.ports.retain(upper("seat"));
        assert_eq!(
            case.states(RULE),
            ["Unknown: ask the maker: what takes the seat of the cylinder is not on record"]
        );

        let mut case = Case::abutment();
        case.candidate.ports.retain(upper("thread"));
        let holds = "ask the maker: what takes the thread of the prosthetic screw (bridge to abutment) is not on record";
        assert_eq!(case.states(RULE), [format!("Unknown: {holds}")]);

        let mut case = Case::two_piece();
        case.candidate.ports.retain(upper("thread"));
        let own = "ask where the prosthetic screw (bridge to abutment) holds: in the abutment's own screw?";
        assert_eq!(case.states(RULE), [format!("Unknown: {own}")]);

        let mut case = Case::two_piece();
        case.candidate.ports.retain(upper("head seat"));
        let shoulder =
            "ask the maker: the shoulder for the abutment screw (abutment to implant) is not on record";
        assert_eq!(case.states(RULE), [format!("Unknown: {shoulder}")]);
    }

    #[test]
    fn a_thread_in_the_abutments_own_screw_is_asked_when_that_is_on_record() {
        let mut case = Case::abutment();
        let set = Case::two_piece_threaded_screw();
        (case.candidate, case.others) = (set.candidate, set.others);
        assert!(case.states(RULE).is_empty());
        thread(&mut case.others[1].1, Side::Above).pitch = mm(350);
        let not =
            "does not mate with the prosthetic screw (bridge to abutment): thread pitch 0.3 mm into 0.35 mm";
        assert_eq!(case.states(RULE), [format!("Against: {not}")]);
    }

    #[test]
    fn one_piece_for_two_piece_needs_no_shoulder_for_the_old_screw() {
        let mut case = Case::two_piece();
        case.candidate = Case::abutment().candidate;
        assert!(case.states(RULE).is_empty());
    }

    #[test]
    fn the_makers_statement_covers_the_unknown_and_never_the_wrong() {
        let mut case = Case::prosthetic_screw();
        let abutment = case.others[1].1.code.clone();
        case.candidate.belongs_to = vec![abutment];
        thread(&mut case.candidate, Side::Below).pitch = Value::Unknown;
        head(&mut case.candidate, Side::Below).form = Value::Unknown;
        // It belongs to the abutment; what the bridge above it is like, the statement does not say.
        let asks =
            |at: &str, what: &str| format!("measure or ask the maker, where it meets the {at}: {what}");
        assert_eq!(
            case.states(RULE),
            [
                format!(
                    "Stated: by the maker's statement only, not on record: {}",
                    asks("abutment", "the thread's pitch")
                ),
                format!("Unknown: {}", asks("cylinder", "the form of the head seat")),
            ]
        );
        thread(&mut case.candidate, Side::Below).pitch = mm(350);
        assert!(case.states(RULE)[0].starts_with("Against"));
        // A cylinder of another maker is none of this maker's business.
        case.others[2].1.maker = Value::Known(crate::units::Name::new("somebody else, invented").unwrap());
        assert!(case.states(RULE)[1].starts_with("Unknown"));
    }
}
