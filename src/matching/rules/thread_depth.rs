//! Rule `thread-depth`: the thread a part offers above is deep enough for the screw that goes into it.
//!
//! A screw that meets the bottom of a shallower thread feels tight and holds nothing, so the depth is asked of the screw
//! on record, not only of the fitted part.

use super::compare::{STEP, ask, base, by, said, steps};
use super::{GEOMETRY, Rule};
use crate::catalog::{Port, Side, Thread, Value};
use crate::matching::joint::{self, Room};
use crate::matching::{Finding, Level, Question};
use crate::units::Length;

pub const RULE: Rule = Rule {
    id: "thread-depth",
    demands: "the usable depth of an upper thread leaves a pitch below the screw that goes into it",
    reason: "a screw that meets the bottom is tight while the joint is loose",
    source: GEOMETRY,
    states: rule,
};

pub fn rule(q: &Question<'_>) -> Vec<Finding> {
    let upper = q.candidate.ports.iter().find(|p| matches!(p, Port::Thread(t) if t.side == Side::Above));
    let Some(port @ Port::Thread(own)) = upper else { return elsewhere(q) };
    let met = joint::partners(q, q.candidate, port);
    let screw = met.first().and_then(|(.., port)| match port {
        Port::Thread(t) => Some(t),
        _ => None,
    });
    let fitted = q.fitted.thread(Side::Above).map(|t| t.length);
    // A thread that the fitted part had no use for, and nothing here has.
    if fitted.is_none() && screw.is_none() {
        return Vec::new();
    }
    let fitted = fitted.unwrap_or(Value::NotApplicable);
    let Some((level, effect)) = judge(&fitted, own, screw, q.is_same_part()) else { return Vec::new() };
    let apart = steps(base(&fitted), base(&own.length), STEP as u32);
    let finding = RULE.finds(level, said("usable depth", &fitted), said("usable depth", &own.length), effect);
    vec![finding.apart(apart)]
}

/// The screw that held in the fitted part holds in another part on record now: in the abutment's own screw.
fn elsewhere(q: &Question<'_>) -> Vec<Finding> {
    let before = q.fitted.thread(Side::Above).map_or(Value::NotApplicable, |t| t.length);
    let moved = joint::moved_elsewhere(q).into_iter().filter_map(|((.., male), (.., female))| {
        let (Port::Thread(male), Port::Thread(female)) = (male, female) else { return None };
        let (level, effect) = judge(&before, female, Some(male), false)?;
        let texts = (said("usable depth", &before), said("usable depth", &female.length));
        Some(RULE.finds(level, texts.0, texts.1, effect))
    });
    moved.collect()
}

fn judge(
    fitted: &Value<Length>,
    own: &Thread,
    screw: Option<&Thread>,
    same: bool,
) -> Option<(Level, String)> {
    let Value::Known(depth) = own.length else {
        return Some((Level::Unknown, ask("usable depth of the upper thread", fitted, &own.length)));
    };
    let off = base(fitted).map(|f| depth.base() - f);
    let numbers = screw.and_then(|s| s.length.known().copied().zip(s.pitch.known().copied()));
    if off == Some(0) {
        // As deep as the fitted one, and the record says that the screw has no room in either.
        return match numbers.map(|(tip, pitch)| joint::room(depth, tip, pitch)) {
            Some(Room::Bottoms(over)) => {
                Some((Level::Against, format!("its screw meets the bottom {} too early", by(over.base()))))
            }
            Some(Room::Tight(left)) if !same => {
                Some((Level::Against, format!("{} left below its screw: less than a pitch", by(left.base()))))
            }
            _ => None,
        };
    }
    let beside = match off {
        Some(off) => format!("thread {} {}", by(off), if off > 0 { "deeper" } else { "shallower" }),
        None => "depth of the fitted part's thread not known".to_owned(),
    };
    // Deeper than the thread the screw has been in: it cannot meet the bottom, unless the record is wrong.
    let has_room = numbers.is_none_or(|(tip, pitch)| matches!(joint::room(depth, tip, pitch), Room::Left(_)));
    if off.is_some_and(|off| off > 0) && has_room {
        return Some((Level::Change, beside));
    }
    let Some((tip, pitch)) = numbers else {
        return Some((Level::Unknown, format!("{beside}: measure how far the screw reaches into it")));
    };
    Some(match joint::room(depth, tip, pitch) {
        Room::Left(left) => (Level::Change, format!("{beside}: {} left below the screw", by(left.base()))),
        Room::Tight(left) => (
            Level::Against,
            format!("{beside}: {} left below the screw, less than a pitch of {pitch}", by(left.base())),
        ),
        Room::Bottoms(over) => {
            (Level::Against, format!("{beside}: the screw meets the bottom {} too early", by(over.base())))
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Position;
    use crate::matching::StandsOn;
    use crate::matching::sample::{Case, mm, thread};

    #[test]
    fn deep_enough_for_the_screw_that_is_there() {
        // The prosthetic screw engages 2.2 mm with a pitch of 0.3 mm; the fitted thread is usable for 2.8 mm.
        let depth = |c: &mut Case, to: Value<Length>| thread(&mut c.candidate, Side::Above).length = to;
        let no_screw = |c: &mut Case| c.others.retain(|(at, _)| *at != Position::ProstheticScrew);
        let mut rows: Vec<(Value<Length>, bool, StandsOn, &str)> = vec![
            (mm(2800), true, StandsOn::Bridge, ""),
            (mm(3000), true, StandsOn::Bridge, "Change: thread 0.20 mm deeper"),
            (
                mm(2500),
                true,
                StandsOn::Bridge,
                "Change: thread 0.30 mm shallower: 0.30 mm left below the screw",
            ),
        ];
        rows.extend([
            (
                mm(2400),
                true,
                StandsOn::Bridge,
                "Against: thread 0.40 mm shallower: 0.20 mm left below the screw, less than a pitch of 0.3 mm",
            ),
            (
                mm(2000),
                true,
                StandsOn::Bridge,
                "Against: thread 0.80 mm shallower: the screw meets the bottom 0.20 mm too early",
            ),
            (
                Value::Unknown,
                true,
                StandsOn::Bridge,
                "Unknown: measure or ask the maker: usable depth of the upper thread of the new part",
            ),
            (
                mm(2500),
                false,
                StandsOn::Bridge,
                "Unknown: thread 0.30 mm shallower: measure how far the screw reaches into it",
            ),
            (
                mm(2500),
                false,
                StandsOn::Nothing,
                "Unknown: thread 0.30 mm shallower: measure how far the screw reaches into it",
            ),
        ]);
        for (candidate, screw, stands_on, expected) in rows {
            let mut case = Case::abutment();
            case.stands_on = stands_on;
            depth(&mut case, candidate);
            if !screw {
                no_screw(&mut case);
            }
            assert_eq!(case.states(RULE).join("; "), expected, "{candidate} {screw} {stands_on:?}");
        }
        let mut case = Case::abutment();
        thread(&mut case.fitted, Side::Above).length = Value::Unknown;
        let expected = "Change: depth of the fitted part's thread not known: 0.60 mm left below the screw";
        assert_eq!(case.states(RULE), [expected]);
    }

    #[test]
    fn a_thread_in_the_abutments_own_screw() {
        // A two-piece abutment whose screw carries the thread, judged together with that screw.
        let mut case = Case::abutment();
        let set = Case::two_piece_threaded_screw();
        (case.candidate, case.others) = (set.candidate, set.others);
        assert_eq!(case.states(RULE), Vec::<String>::new());
        thread(&mut case.others[1].1, Side::Above).length = mm(2100);
        let early = "Against: thread 0.70 mm shallower: the screw meets the bottom 0.10 mm too early";
        assert_eq!(case.states(RULE), [early]);
        thread(&mut case.others[1].1, Side::Above).length = Value::Unknown;
        let ask = "Unknown: measure or ask the maker: usable depth of the upper thread of the new part";
        assert_eq!(case.states(RULE), [ask]);

        // A screw with a thread that nothing here uses.
        let mut case = Case::abutment_screw();
        case.candidate.ports.push(Case::upper_thread());
        assert_eq!(case.states(RULE), Vec::<String>::new());
    }
}
