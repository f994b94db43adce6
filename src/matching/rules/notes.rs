//! Rule `notes`: what is worth a line and never lowers a verdict.

use super::compare::said;
use super::{COMMON, Rule};
use crate::catalog::{Reuse, Value};
use crate::matching::{Finding, Level, Question};

pub const RULE: Rule = Rule {
    id: "notes",
    demands: "sterile or not, pack, single use, a changed catalogue and a declared successor are noted",
    reason: "they change what is done before or after, not where the restoration stands",
    source: COMMON,
    states: rule,
};

pub fn rule(q: &Question<'_>) -> Vec<Finding> {
    let (f, c) = (q.fitted, q.candidate);
    let mut out = Vec::new();
    let mut note = |fitted: String, candidate: String, effect: &str| {
        out.push(RULE.finds(Level::Note, fitted, candidate, effect));
    };
    if f.code == c.code && !f.is_same_as(c) {
        note(f.code.to_string(), c.code.to_string(), "same code, other numbers than when it was fitted");
    }
    if q.is_declared_successor() {
        note(f.code.to_string(), c.code.to_string(), "the maker's declared successor");
    }
    if f.sterile != c.sterile {
        note(f.sterile.words().to_owned(), c.sterile.words().to_owned(), c.sterile.words());
    }
    if f.reuse != c.reuse {
        note(reuse(f.reuse).to_owned(), reuse(c.reuse).to_owned(), "read how often it may be used");
    }
    // Unknown in both is no news here: nothing is decided by it.
    if f.pack != c.pack {
        note(pack(&f.pack), pack(&c.pack), "comes in another pack");
    }
    out
}

fn reuse(reuse: Reuse) -> &'static str {
    match reuse {
        Reuse::SingleUse => "single use",
        Reuse::Reusable => "reusable",
        Reuse::NotStated => "single use or not: not stated",
    }
}

fn pack(pack: &Value<u16>) -> String {
    match pack {
        Value::Known(n) => format!("pack of {n}"),
        other => said("pack", other),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Sterile;
    use crate::matching::Verdict;
    use crate::matching::sample::{Case, Change};

    #[test]
    fn notes_never_lower_a_verdict() {
        let rows: [(Change, &str); 5] = [
            (|_| (), ""),
            (|c| c.candidate.sterile = Sterile::Sterile, "Note: sterile in its pack"),
            (|c| c.candidate.pack = Value::Known(4), "Note: comes in another pack"),
            (|c| c.candidate.reuse = Reuse::NotStated, "Note: read how often it may be used"),
            (
                |c| c.fitted.replaced_by = Some(c.candidate.code.clone()),
                "Note: the maker's declared successor",
            ),
        ];
        for (n, (change, expected)) in rows.into_iter().enumerate() {
            let mut case = Case::abutment();
            change(&mut case);
            assert_eq!(case.states(RULE).join("; "), expected, "row {n}");
            assert_eq!(case.judged().verdict, Verdict::LikeForLike, "row {n}");
        }
    }

    #[test]
    fn paper_alone_makes_no_other_part() {
        let mut case = Case::abutment();
        case.candidate = case.fitted.clone();
        case.candidate.gtin = Value::Known(crate::units::Name::new("09504000059118").unwrap());
        case.candidate.pack = Value::Known(5);
        assert_eq!(case.judged().verdict, Verdict::SamePart);
        case.candidate.neck = crate::matching::sample::mm(3900);
        assert!(case.states(RULE)[0].starts_with("Note: same code, other numbers"));
        assert_eq!(case.judged().verdict, Verdict::FitsWithChanges);
    }
}
