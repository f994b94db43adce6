//! Rule `screw-length`: a screw is as long under its head, and engages as far, as the fitted one.
//!
//! Longer may fit when the thread it goes into is deep enough by record and leaves a pitch. The tip then reaches as far
//! as the fitted one's plus what the new one is longer under the head, or as far as it is threaded, whichever is more.

use super::compare::{Lengths, STEP, ask, base, by, lengths, said, steps};
use super::{GEOMETRY, Rule};
use crate::catalog::{Kind, Port, Side, Value};
use crate::matching::joint::{self, Room};
use crate::matching::{Finding, Level, Question};
use crate::units::Length;

pub const RULE: Rule = Rule {
    id: "screw-length",
    demands: "length under the head and engaged thread not shorter than the fitted part's; longer only where the usable \
              depth of the thread is on record and leaves a pitch",
    reason: "a shorter thread strips; a screw that meets the bottom is tight while the joint is loose",
    source: GEOMETRY,
    states: rule,
};

pub fn rule(q: &Question<'_>) -> Vec<Finding> {
    let lower = q.candidate.ports.iter().find(|p| matches!(p, Port::Thread(t) if t.side == Side::Below));
    let Some(port @ Port::Thread(own)) = lower else { return Vec::new() };
    let met = joint::partners(q, q.candidate, port);
    // Nothing is clamped under a cover screw's or a cap's head, so only their thread has a length that matters here.
    let clamps = q.candidate.kind.is_screw() && q.candidate.kind != Kind::CoverScrew;
    let under = (&q.fitted.under_head, &q.candidate.under_head);
    let fitted = q.fitted.thread(Side::Below).map(|t| &t.length);
    let mut compared = Vec::new();
    if clamps {
        compared.push(("length under the head", under.0, under.1));
    }
    // One-piece for two-piece: there is no thread to compare with, only room to ask for.
    compared.push(("engaged thread", fitted.unwrap_or(&own.length), &own.length));
    let mut out: Vec<_> = compared.iter().filter_map(|(what, f, c)| short_or_unknown(what, f, c)).collect();
    if out.is_empty() {
        let known = |v: &Value<Length>| base(v).unwrap_or(0);
        let longer_under = if clamps { known(under.1) - known(under.0) } else { 0 };
        let tip = known(fitted.unwrap_or(&own.length)) + longer_under;
        let tip = Length::from_base(tip.max(known(&own.length)));
        let longer = compared.iter().find(|(_, f, c)| lengths(f, c) != Lengths::Equal);
        let (fitted_text, candidate_text) = match longer {
            Some((what, f, c)) => (said(what, f), said(what, c)),
            None => (String::new(), said("engaged thread", &own.length)),
        };
        let hole = met.first().and_then(|(.., port)| match port {
            Port::Thread(t) => Some(t),
            _ => None,
        });
        let depth = hole.and_then(|t| t.length.known());
        // Two threads that mate have one pitch, so either states it.
        let pitch = own.pitch.known().or(hole.and_then(|t| t.pitch.known()));
        // The very same part has been in there, however little room is left; another one is held against the record.
        let asked = !q.is_same_part() || is_cap(q.candidate.kind);
        // Where not even that one can be in there, the record is not to be believed.
        let bottoms =
            depth.zip(pitch).is_some_and(|(d, p)| matches!(joint::room(*d, tip, *p), Room::Bottoms(_)));
        if asked || bottoms {
            let found = reaches(pitch, tip, depth, longer.is_some());
            out.extend(found.map(|(level, effect)| RULE.finds(level, fitted_text, candidate_text, effect)));
        }
    }
    out
}

fn is_cap(kind: Kind) -> bool {
    matches!(kind, Kind::HealingCap | Kind::HealingAbutment | Kind::CoverScrew)
}

fn short_or_unknown(what: &str, fitted: &Value<Length>, candidate: &Value<Length>) -> Option<Finding> {
    let finds = |level, effect: String| RULE.finds(level, said(what, fitted), said(what, candidate), effect);
    match lengths(fitted, candidate) {
        Lengths::Off(off) if off < 0 => {
            let apart = steps(base(fitted), base(candidate), STEP as u32);
            let effect = format!("{what} {} shorter: the thread holds less and strips", by(off));
            Some(finds(Level::Against, effect).apart(apart))
        }
        Lengths::NotKnown => Some(finds(Level::Unknown, ask(what, fitted, candidate))),
        _ => None,
    }
}

/// Whether a screw that reaches to `tip` has room in a thread of that usable depth.
fn reaches(
    pitch: Option<&Length>,
    tip: Length,
    depth: Option<&Length>,
    longer: bool,
) -> Option<(Level, String)> {
    let (Some(depth), Some(pitch)) = (depth, pitch) else {
        return Some((
            Level::Unknown,
            format!("measure or ask: is the thread below usable for {tip} and a pitch more?"),
        ));
    };
    Some(match joint::room(*depth, tip, *pitch) {
        Room::Left(_) if !longer => return None,
        Room::Left(left) => {
            (Level::Change, format!("a longer screw: {} of thread left below its tip", by(left.base())))
        }
        Room::Tight(left) => {
            let left = by(left.base());
            (Level::Against, format!("too long: {left} left below its tip, less than a pitch of {pitch}"))
        }
        Room::Bottoms(over) => {
            let over = by(over.base());
            (Level::Against, format!("too long by {over}: it meets the bottom before the head is seated"))
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matching::sample::{Case, Change, mm, thread};

    fn check(base: Case, rows: &[(Change, &str)]) {
        for (n, (change, expected)) in rows.iter().enumerate() {
            let mut case = base.clone();
            change(&mut case);
            assert_eq!(case.states(RULE).join("; "), *expected, "{} row {n}", case.position);
        }
    }

    #[test]
    fn a_prosthetic_screw() {
        // It engages 2.2 mm of a usable 2.8 mm with a pitch of 0.3 mm.
        check(
            Case::prosthetic_screw(),
            &[
                (|_| (), ""),
                (
                    |c| c.candidate.under_head = mm(3000),
                    "Against: length under the head 0.50 mm shorter: the thread holds less and strips",
                ),
                (
                    |c| thread(&mut c.candidate, Side::Below).length = mm(2000),
                    "Against: engaged thread 0.20 mm shorter: the thread holds less and strips",
                ),
                (
                    |c| c.candidate.under_head = mm(3800),
                    "Change: a longer screw: 0.30 mm of thread left below its tip",
                ),
                // The same tip, said in both measures.
                (
                    |c| {
                        c.candidate.under_head = mm(3800);
                        thread(&mut c.candidate, Side::Below).length = mm(2500);
                    },
                    "Change: a longer screw: 0.30 mm of thread left below its tip",
                ),
                (
                    |c| c.candidate.under_head = mm(3900),
                    "Against: too long: 0.20 mm left below its tip, less than a pitch of 0.3 mm",
                ),
                (
                    |c| c.candidate.under_head = mm(4500),
                    "Against: too long by 0.40 mm: it meets the bottom before the head is seated",
                ),
                (
                    |c| {
                        c.candidate.under_head = mm(3600);
                        thread(&mut c.others[1].1, Side::Above).length = Value::Unknown;
                    },
                    "Unknown: measure or ask: is the thread below usable for 2.3 mm and a pitch more?",
                ),
                (
                    |c| c.candidate.under_head = Value::Unknown,
                    "Unknown: measure or ask the maker: length under the head of the new part",
                ),
                (
                    |c| thread(&mut c.fitted, Side::Below).length = Value::Unknown,
                    "Unknown: measure or ask the maker: engaged thread of the fitted part",
                ),
            ],
        );
    }

    #[test]
    fn the_makers_statement_covers_no_length_and_no_depth() {
        let mut case = Case::prosthetic_screw();
        case.candidate.belongs_to = vec![case.others[1].1.code.clone()];
        thread(&mut case.others[1].1, Side::Above).length = Value::Unknown;
        case.candidate.under_head = mm(3600);
        assert!(case.states(RULE)[0].starts_with("Unknown: "), "{:?}", case.states(RULE));
        case.candidate.under_head = Value::Unknown;
        assert!(case.states(RULE)[0].starts_with("Unknown: "), "{:?}", case.states(RULE));
    }

    #[test]
    fn a_cap_has_room_by_the_record_and_no_screw_is_longer_than_its_hole() {
        let bottoms = "Against: too long by 0.40 mm: it meets the bottom before the head is seated";
        let mut case = Case::healing_cap();
        let long = case.candidate.thread(Side::Below).unwrap().length.known().unwrap().base();
        assert_eq!(case.states(RULE), Vec::<String>::new());
        thread(&mut case.others[1].1, Side::Above).length = mm(long - 400);
        assert_eq!(case.states(RULE), [bottoms]);
        thread(&mut case.others[1].1, Side::Above).length = Value::Unknown;
        assert!(case.states(RULE)[0].starts_with("Unknown: measure or ask"), "{:?}", case.states(RULE));
        // As long as the fitted one, and longer than the hole on record.
        let mut case = Case::prosthetic_screw();
        thread(&mut case.others[1].1, Side::Above).length = mm(1800);
        assert_eq!(case.states(RULE), [bottoms]);
    }

    #[test]
    fn threads_of_other_parts() {
        check(
            Case::cover_screw(),
            &[
                (|c| c.candidate.under_head = mm(5000), ""),
                (
                    |c| thread(&mut c.candidate, Side::Below).length = mm(2500),
                    "Against: engaged thread 0.50 mm shorter: the thread holds less and strips",
                ),
            ],
        );
        check(
            Case::abutment(),
            &[(
                |c| thread(&mut c.candidate, Side::Below).length = mm(3600),
                "Change: a longer screw: 0.40 mm of thread left below its tip",
            )],
        );
        // One-piece for two-piece asks for room only.
        let mut case = Case::two_piece();
        case.candidate = Case::abutment().candidate;
        assert!(case.states(RULE).is_empty());
        thread(&mut case.others[0].1, Side::Above).length = mm(3000);
        assert!(case.states(RULE)[0].starts_with("Against: too long by 0.20 mm"));
    }
}
