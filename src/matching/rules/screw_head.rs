//! Rule `screw-head`: the head goes down the channel that is there, and fills it as the fitted one did.
//!
//! No catalogue states how wide the channel in a bridge is; the fitted head is the only measure that has passed it.

use super::compare::{Lengths, STEP, ask, base, by, lengths, noticed, said, steps};
use super::{COMMON, Rule};
use crate::catalog::{Kind, Value};
use crate::matching::{Finding, Level, Question};
use crate::units::Length;

pub const RULE: Rule = Rule {
    id: "screw-head",
    demands: "a screw's head is no wider than the fitted one's; another height is said",
    reason: "a wider head may not pass the screw channel; a higher one leaves less room for the filling over it",
    source: COMMON,
    states: rule,
};

pub fn rule(q: &Question<'_>) -> Vec<Finding> {
    if !q.candidate.kind.is_screw() {
        return Vec::new();
    }
    // Nothing stands over a cover screw: a wider head is seen in the gum, and held against the platform elsewhere.
    let wider = if q.candidate.kind == Kind::CoverScrew { Level::Change } else { Level::Unknown };
    let (fitted, candidate) = (&q.fitted.head_diameter, &q.candidate.head_diameter);
    let what = "head diameter";
    let width = match lengths(fitted, candidate) {
        Lengths::Equal => None,
        Lengths::Off(off) if off > 0 => {
            Some((wider, format!("head {} wider: try whether it passes the screw channel", by(off))))
        }
        Lengths::Off(off) => Some((Level::Change, format!("head {} narrower", by(off)))),
        Lengths::NotKnown => Some((Level::Unknown, ask(what, fitted, candidate))),
    };
    let width = width.map(|(level, effect)| {
        let apart = steps(base(fitted), base(candidate), STEP as u32);
        RULE.finds(level, said(what, fitted), said(what, candidate), effect).apart(apart)
    });
    let height = noticed(&RULE, "head height", &q.fitted.head_height, &q.candidate.head_height, || {
        higher(&q.fitted.head_height, &q.candidate.head_height)
    });
    width.into_iter().chain(height).collect()
}

fn higher(fitted: &Value<Length>, candidate: &Value<Length>) -> String {
    match (base(fitted), base(candidate)) {
        (Some(f), Some(c)) if c > f => {
            format!("head {} higher: less room for the filling of the screw access", by(c - f))
        }
        (Some(f), Some(c)) => format!("head {} lower: more filling in the screw access", by(c - f)),
        _ => "another head: the filling of the screw access changes".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matching::sample::{Case, Change, mm};

    #[test]
    fn heads() {
        let rows: [(Change, &str); 7] = [
            (|_| (), ""),
            (
                |c| c.candidate.head_diameter = mm(2500),
                "Unknown: head 0.20 mm wider: try whether it passes the screw channel",
            ),
            (|c| c.candidate.head_diameter = mm(2200), "Change: head 0.10 mm narrower"),
            (
                |c| c.candidate.head_diameter = Value::Unknown,
                "Unknown: measure or ask the maker: head diameter of the new part",
            ),
            (
                |c| c.candidate.head_height = mm(2000),
                "Change: head 0.40 mm higher: less room for the filling of the screw access",
            ),
            (
                |c| c.candidate.head_height = mm(1500),
                "Change: head 0.10 mm lower: more filling in the screw access",
            ),
            (
                |c| c.fitted.head_height = Value::Unknown,
                "Change: measure or ask the maker: head height of the fitted part",
            ),
        ];
        for (n, (change, expected)) in rows.into_iter().enumerate() {
            let mut case = Case::prosthetic_screw();
            change(&mut case);
            assert_eq!(case.states(RULE).join("; "), expected, "row {n}");
        }
        let mut cover = Case::cover_screw();
        cover.candidate.head_diameter = mm(6000);
        assert!(cover.states(RULE)[0].starts_with("Change: head "), "{:?}", cover.states(RULE));
    }
}
