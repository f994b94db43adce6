//! Rule `offset`: the upper seat's centre stands beside the implant axis as far as it did.

use super::compare::{Lengths, STEP, ask, base, by, lengths, said, steps};
use super::{GEOMETRY, Rule};
use crate::matching::{Finding, Level, Question, StandsOn};

pub const RULE: Rule = Rule {
    id: "offset",
    demands: "under a rigid bridge: the sideways offset of the fitted part within 0.01 mm nominal",
    reason: "a seat that moved sideways is not where the bridge comes down",
    source: GEOMETRY,
    states: rule,
};

pub fn rule(q: &Question<'_>) -> Vec<Finding> {
    let (fitted, candidate) = (&q.fitted.offset, &q.candidate.offset);
    let (level, effect) = match lengths(fitted, candidate) {
        Lengths::Equal => return Vec::new(),
        Lengths::NotKnown => (Level::Unknown, ask("sideways offset", fitted, candidate)),
        Lengths::Off(off) => match q.stands_on {
            StandsOn::Bridge => (Level::Against, format!("not this bridge: its seat stands {}", aside(off))),
            StandsOn::OneCrown => {
                (Level::Change, format!("the crown stands {} aside: check its contacts", by(off)))
            }
            StandsOn::Nothing => (Level::Change, "the new restoration is made to it".to_owned()),
        },
    };
    let apart = steps(base(fitted), base(candidate), STEP as u32);
    vec![RULE.finds(level, said("offset", fitted), said("offset", candidate), effect).apart(apart)]
}

fn aside(off: i32) -> String {
    if off > 0 { format!("{} further aside", by(off)) } else { format!("{} less far aside", by(off)) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Value;
    use crate::matching::sample::{Case, mm};

    #[test]
    fn an_offset_means_what_stands_on_it() {
        use StandsOn::{Bridge, Nothing, OneCrown};
        let ask = "measure or ask the maker: sideways offset of the new part";
        let rows = [
            (Bridge, mm(609), String::new()),
            (Bridge, mm(800), "Against: not this bridge: its seat stands 0.20 mm further aside".to_owned()),
            (Bridge, mm(500), "Against: not this bridge: its seat stands 0.10 mm less far aside".to_owned()),
            (Bridge, Value::Unknown, format!("Unknown: {ask}")),
            (OneCrown, mm(800), "Change: the crown stands 0.20 mm aside: check its contacts".to_owned()),
            (OneCrown, Value::Unknown, format!("Unknown: {ask}")),
            (Nothing, mm(800), "Change: the new restoration is made to it".to_owned()),
            (Nothing, Value::Unknown, format!("Unknown: {ask}")),
        ];
        for (stands_on, candidate, expected) in rows {
            let mut case = Case::angled();
            case.stands_on = stands_on;
            case.candidate.offset = candidate;
            assert_eq!(case.states(RULE).join("; "), expected, "{stands_on:?} {candidate}");
        }
    }
}
