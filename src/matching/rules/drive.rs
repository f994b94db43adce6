//! Rule `drive`: another drive is said, with both.

use super::compare::noticed;
use super::{COMMON, Rule};
use crate::catalog::{Drive, Value};
use crate::matching::{Finding, Question};

pub const RULE: Rule = Rule {
    id: "drive",
    demands: "form and size of the drive are said when they differ",
    reason: "the driver for the fitted one turns loosely in a larger socket and strips it: a 1.22 in a 1.27",
    source: COMMON,
    states: rule,
};

pub fn rule(q: &Question<'_>) -> Vec<Finding> {
    let (fitted, candidate) = (&q.fitted.drive, &q.candidate.drive);
    let effect = || match candidate {
        Value::NotApplicable => "it has no drive of its own".to_owned(),
        _ => format!("another driver: {}, not {}", words(candidate), words(fitted)),
    };
    noticed(&RULE, "drive", fitted, candidate, effect).into_iter().collect()
}

fn words(drive: &Value<Drive>) -> String {
    match drive {
        Value::NotApplicable => "none".to_owned(),
        other => other.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::DriveForm;
    use crate::matching::sample::Case;
    use crate::units::Length;

    #[test]
    fn both_drives_are_named() {
        let drive = |size| Value::Known(Drive { form: DriveForm::Hexagon, size: Length::from_base(size) });
        let rows = [
            (drive(1220), ""),
            (drive(1270), "Change: another driver: hexagon 1.27 mm, not hexagon 1.22 mm"),
            (Value::Unknown, "Change: measure or ask the maker: drive of the new part"),
            (Value::NotApplicable, "Change: it has no drive of its own"),
        ];
        for (candidate, expected) in rows {
            let mut case = Case::prosthetic_screw();
            case.candidate.drive = candidate;
            assert_eq!(case.states(RULE).join("; "), expected);
        }
    }
}
