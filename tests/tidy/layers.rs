//! The layer table: which module may use which, read off the `crate::` paths.

use super::tree::code_lines;

/// Modules from the bottom up; a module may use what stands on a lower line.
const LAYERS: &[&[&str]] = &[
    &["units"],
    &["fit", "mechanics", "scan"],
    &["catalog", "stock"],
    &["matching", "case"],
    &["store"],
    &["logbook"],
    &["record"],
    &["desk", "report"],
    &["cli"],
];

/// Within a line of the table only these: a case says what stands on its parts, a report shows what the desk answers.
const BESIDE: &[(&str, &str)] = &[("case", "matching"), ("report", "desk")];

fn layer(module: &str) -> Option<usize> {
    LAYERS.iter().position(|names| names.contains(&module))
}

/// The module of a file: src/record/fold.rs is of `record`.
fn module_of(path: &str) -> &str {
    let below = path.strip_prefix("src/").unwrap_or(path);
    below.split(['/', '.']).next().unwrap_or(below)
}

/// The modules that a line of code names with `crate::`, in a list of braces too.
fn named(line: &str) -> Vec<&str> {
    let ends = |c: char| !(c.is_ascii_alphanumeric() || c == '_');
    line.match_indices("crate::")
        .filter(|(at, _)| !line[..*at].ends_with(|c: char| c == '$' || !ends(c)))
        .map(|(at, found)| &line[at + found.len()..])
        .map(|rest| rest.split(ends).next().unwrap_or_default())
        .collect()
}

/// What in a file points up, sideways, or at something that has no layer.
pub fn complaints(path: &str, text: &str) -> Vec<String> {
    let own = module_of(path);
    if ["lib", "main"].contains(&own) {
        return Vec::new();
    }
    let Some(own_layer) = layer(own) else { return vec![format!("{path}: module {own} has no layer")] };
    let mut wrong = Vec::new();
    for (n, line) in code_lines(text) {
        for other in named(line) {
            let allowed = match layer(other) {
                Some(below) => below < own_layer || other == own || BESIDE.contains(&(own, other)),
                None => false,
            };
            if !allowed {
                wrong.push(format!("{path}:{n}: {own} uses {other}: {}", line.trim()));
            }
        }
        // Climbing out of a module by its back stairs; one step up inside is a sibling's business.
        let steps = line.matches("super::super::").count();
        let depth = path.matches('/').count();
        if steps > 0 && depth < 3 {
            wrong.push(format!("{path}:{n}: super::super leaves the module: {}", line.trim()));
        }
    }
    wrong
}

#[test]
fn a_use_that_points_up_is_found() {
    let up = complaints("src/units/id.rs", "use crate::catalog::Part;\n");
    assert_eq!(up, ["src/units/id.rs:1: units uses catalog: use crate::catalog::Part;"]);
    assert_eq!(complaints("src/matching/rules/job.rs", "let x = crate::case::Fitted::at();\n").len(), 1);
    assert_eq!(complaints("src/desk/swap.rs", "use crate::report::text;\n").len(), 1);
    assert_eq!(complaints("src/novel.rs", "").len(), 1);
    assert_eq!(
        complaints("src/desk/swap.rs", "use crate::{stock, cli};\n").len(),
        1,
        "a list has no layer: write one use each"
    );
    assert_eq!(complaints("src/case/model.rs", "use super::super::cli;\n").len(), 1);
}

#[test]
fn what_points_down_or_is_no_code_passes() {
    for (path, line) in [
        ("src/desk/swap.rs", "use crate::matching::judge;"),
        ("src/case/model.rs", "use crate::matching::StandsOn;"),
        ("src/report/json.rs", "use crate::desk::CAUTION;"),
        ("src/units/id.rs", "//! see crate::cli"),
        ("src/units/id.rs", "use other_crate::cli;"),
        ("src/matching/rules/job.rs", "use crate::matching::Level;"),
        ("src/report/text/stock.rs", "use super::super::table::table;"),
    ] {
        assert_eq!(complaints(path, line), [""; 0], "{path}: {line}");
    }
}
