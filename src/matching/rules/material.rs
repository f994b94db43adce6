//! Rule `material`: another alloy or coating is said.

use super::Rule;
use super::compare::ask;
use crate::catalog::{Material, Value};
use crate::matching::{Finding, Level, Question};

pub const RULE: Rule = Rule {
    id: "material",
    demands: "alloy and coating are said when they differ or are not known",
    reason: "strength and friction are others: the same torque gives another preload",
    source: "preload by alloy and coating: Haack 1995; doi 10.1186/s40729-023-00473-3",
    states: rule,
};

pub fn rule(q: &Question<'_>) -> Vec<Finding> {
    let (fitted, candidate) = (&q.fitted.material, &q.candidate.material);
    let none = Value::Unknown;
    let coating = |m: &Value<Material>| m.known().map_or(none.clone(), |m| m.coating.clone());
    let effect = match (fitted, candidate) {
        (Value::Known(f), Value::Known(c)) if f.of != c.of => "another material".to_owned(),
        // Two materials whose coatings nobody states are not one: `==` would say so.
        (Value::Known(f), Value::Known(c)) => match f.coating.same(&c.coating) {
            Some(true) => return Vec::new(),
            Some(false) => "another coating: the same torque clamps otherwise".to_owned(),
            None => ask("coating", &coating(fitted), &coating(candidate)),
        },
        (f, c) => match f.same(c) {
            Some(true) => return Vec::new(),
            Some(false) => "another material".to_owned(),
            None => ask("material", f, c),
        },
    };
    let words = |m: &Value<Material>| match m {
        Value::Known(m) => m.to_string(),
        other => format!("material: {other}"),
    };
    vec![RULE.finds(Level::Change, words(fitted), words(candidate), effect)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matching::sample::Case;
    use crate::units::Name;

    fn of(alloy: &str, coating: Option<&str>) -> Value<Material> {
        let note = |t| Name::new(t).unwrap();
        let coating = coating.map_or(Value::Unknown, |c| Value::Known(note(c)));
        Value::Known(Material { of: note(alloy), coating })
    }

    #[test]
    fn alloys_and_coatings() {
        let ask = |what: &str, whose: &str| format!("Change: measure or ask the maker: {what} of {whose}");
        let plain = || of("titanium alloy", Some("none"));
        let rows = [
            (plain(), plain(), String::new()),
            (plain(), of("gold alloy", Some("none")), "Change: another material".to_owned()),
            (
                plain(),
                of("titanium alloy", Some("carbon")),
                "Change: another coating: the same torque clamps otherwise".to_owned(),
            ),
            (plain(), of("titanium alloy", None), ask("coating", "the new part")),
            (of("titanium alloy", None), of("titanium alloy", None), ask("coating", "both parts")),
            (plain(), Value::Unknown, ask("material", "the new part")),
            (Value::Unknown, Value::Unknown, ask("material", "both parts")),
            (Value::NotApplicable, Value::NotApplicable, String::new()),
        ];
        for (n, (fitted, candidate, expected)) in rows.into_iter().enumerate() {
            let mut case = Case::prosthetic_screw();
            (case.fitted.material, case.candidate.material) = (fitted, candidate);
            assert_eq!(case.states(RULE).join("; "), expected, "row {n}");
        }
    }
}
