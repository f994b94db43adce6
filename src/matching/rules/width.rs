//! Rule `width`: another neck or widest diameter is seen in the gum.
//!
//! A neck narrower than the fitted one is also the first thing to bend; what that means for the next failure is worked
//! out elsewhere, from all the dimensions.

use super::compare::{STEP, base, by, noticed, steps};
use super::{COMMON, Rule};
use crate::catalog::{Side, Value};
use crate::matching::{Finding, Question};
use crate::units::Length;

pub const RULE: Rule = Rule {
    id: "width",
    demands: "widest diameter, neck and the edge of the upper seat are said when they differ",
    reason: "the gum has grown to the shape that was there",
    source: COMMON,
    states: rule,
};

pub fn rule(q: &Question<'_>) -> Vec<Finding> {
    let (fitted, candidate) = (q.fitted, q.candidate);
    let rows =
        [("widest diameter", &fitted.widest, &candidate.widest), ("neck", &fitted.neck, &candidate.neck)];
    let mut out: Vec<_> = rows.into_iter().filter_map(|(what, f, c)| one(what, f, c)).collect();
    if let (Some(f), Some(c)) = (fitted.seat(Side::Above), candidate.seat(Side::Above)) {
        // A ring that nobody measured is asked for by the rule `ring`.
        if f.outer.known().is_some() && c.outer.known().is_some() {
            out.extend(one("edge of the upper seat", &f.outer, &c.outer));
        }
    }
    out
}

fn one(what: &str, fitted: &Value<Length>, candidate: &Value<Length>) -> Option<Finding> {
    let effect = || match (base(fitted), base(candidate)) {
        (Some(f), Some(c)) => {
            format!("{what} {} {}: seen in the gum", by(c - f), if c > f { "wider" } else { "narrower" })
        }
        _ => "another shape in the gum".to_owned(),
    };
    let apart = steps(base(fitted), base(candidate), STEP as u32);
    let finding = noticed(&RULE, what, fitted, candidate, effect)?;
    Some(finding.apart(apart))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matching::sample::{Case, Change, mm, seat};

    #[test]
    fn widths() {
        let rows: [(Change, &str); 5] = [
            (|_| (), ""),
            (|c| c.candidate.neck = mm(3900), "Change: neck 0.20 mm narrower: seen in the gum"),
            (|c| c.candidate.widest = mm(5000), "Change: widest diameter 0.20 mm wider: seen in the gum"),
            (|c| c.candidate.neck = Value::Unknown, "Change: measure or ask the maker: neck of the new part"),
            (
                |c| seat(&mut c.candidate, Side::Above).outer = mm(4600),
                "Change: edge of the upper seat 0.20 mm narrower: seen in the gum",
            ),
        ];
        for (n, (change, expected)) in rows.into_iter().enumerate() {
            let mut case = Case::abutment();
            change(&mut case);
            assert_eq!(case.states(RULE).join("; "), expected, "row {n}");
        }
        assert!(Case::prosthetic_screw().states(RULE).is_empty());
    }
}
