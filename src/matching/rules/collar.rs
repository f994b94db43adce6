//! Rule `collar`: at the same seat height, another collar meets the gum elsewhere.

use super::compare::{STEP, base, by, noticed, steps};
use super::{COMMON, Rule};
use crate::catalog::Value;
use crate::matching::{Finding, Question};
use crate::units::Length;

pub const RULE: Rule = Rule {
    id: "collar",
    demands: "the collar height, at the short and the long side, is said when it differs",
    reason: "the gum has grown to the collar that was there",
    source: COMMON,
    states: rule,
};

pub fn rule(q: &Question<'_>) -> Vec<Finding> {
    let (fitted, candidate) = (q.fitted, q.candidate);
    let short = (&fitted.collar_short, &candidate.collar_short);
    let long = (&fitted.collar_long, &candidate.collar_long);
    if short == long {
        // A collar of one height all round is one difference, not two.
        return one("collar", short).into_iter().collect();
    }
    let sides = [one("collar, short side", short), one("collar, long side", long)];
    sides.into_iter().flatten().collect()
}

fn one(what: &str, (fitted, candidate): (&Value<Length>, &Value<Length>)) -> Option<Finding> {
    let effect = || match (base(fitted), base(candidate)) {
        (Some(f), Some(c)) if c > f => format!("{what} {} taller: the gum is pressed", by(c - f)),
        (Some(f), Some(c)) => format!("{what} {} shorter: the gum stands open or closes over it", by(c - f)),
        _ => "the gum meets another shape".to_owned(),
    };
    let apart = steps(base(fitted), base(candidate), STEP as u32);
    Some(noticed(&RULE, what, fitted, candidate, effect)?.apart(apart))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matching::sample::{Case, mm};

    #[test]
    fn the_gum_meets_another_collar() {
        let unknown = Value::Unknown;
        let rows = [
            (mm(3000), mm(3000), ""),
            (mm(4000), mm(4000), "Change: collar 1.00 mm taller: the gum is pressed"),
            (mm(2500), mm(2500), "Change: collar 0.50 mm shorter: the gum stands open or closes over it"),
            (mm(3000), mm(4000), "Change: collar, long side 1.00 mm taller: the gum is pressed"),
            (unknown, unknown, "Change: measure or ask the maker: collar of the new part"),
        ];
        for (short, long, expected) in rows {
            let mut case = Case::abutment();
            (case.candidate.collar_short, case.candidate.collar_long) = (short, long);
            assert_eq!(case.states(RULE).join("; "), expected, "{short} {long}");
        }
    }
}
