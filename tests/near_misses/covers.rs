//! The table of what must be known leaves no number of a part out, and every part stands among its mates.

use std::collections::BTreeSet;

use super::expected::Expected;
use super::sheet::Cell;
use super::stages;
use super::table::Shape;
use spareseat::matching::Verdict;

#[test]
fn every_number_of_every_part_has_a_row_or_does_not_exist_on_it() {
    let mut silent = BTreeSet::new();
    for stage in stages::all() {
        let (shape, part) = (stage.ask.shape, &stage.ask.fitted);
        let rows: BTreeSet<String> = shape.rows().iter().map(|r| r.at.clone()).collect();
        for at in part.addresses().into_iter().filter(|at| !rows.contains(at)) {
            let none = matches!(part.cell(&at), Cell::DoesNotApply | Cell::Unknown) || at == "made";
            if !none || !shape.lacks().contains(&at.as_str()) {
                silent.insert(format!("{shape:?}: {at}"));
            }
        }
    }
    assert!(silent.is_empty(), "no row says what these are for:\n{silent:#?}");
}

#[test]
fn every_row_is_of_a_number_that_parts_have() {
    for shape in Shape::ALL {
        let of_shape = || stages::all().filter(move |s| s.ask.shape == shape);
        assert!(of_shape().count() > 0, "{shape:?}: no part of the demo has it");
        let there: BTreeSet<String> = of_shape().flat_map(|s| s.ask.fitted.addresses()).collect();
        let gone: Vec<String> =
            shape.rows().iter().map(|r| r.at.clone()).filter(|at| !there.contains(at)).collect();
        // The body's own upper thread of a two-piece multi-unit abutment: in the demo its screw has it.
        let gone: Vec<&String> = gone
            .iter()
            .filter(|at| shape != Shape::MultiUnitTwoPieces || !at.starts_with("thread above"))
            .collect();
        assert!(gone.is_empty(), "{shape:?}: {gone:?}");
    }
}

#[test]
fn every_part_stands_among_mates_that_geometry_has_nothing_against() {
    let mut wrong = Vec::new();
    for stage in stages::all() {
        let expected = Expected::of(&stage.ask);
        // What another house leaves out of its parts stays left out; the rest of the demo is whole.
        if expected.best != Verdict::SamePart {
            wrong.push(format!("{}: {}", stage.name, expected.why()));
        }
        let mut renamed = stage.ask.clone();
        renamed.candidate = renamed.candidate.renamed("a-twin");
        let expected = Expected::of(&renamed);
        let excused = stage.name.contains("stint")
            || renamed.shape.has_post()
            || renamed.fitted.cell("made") != Cell::Unknown;
        if !excused && expected.best != Verdict::LikeForLike {
            let mates: Vec<&str> = stage.ask.others.iter().map(|(_, p)| p.text("code")).collect();
            wrong.push(format!("{} among {mates:?}: {}", stage.name, expected.why()));
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}
