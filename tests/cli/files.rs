//! TOML that is wrong in many places: every mistake at once, with file and line, and nothing taken.

use std::fs;

use super::refusals::refused;
use super::typed::typed;
use crate::support::{Place, code, text};

/// Five mistakes of a case, at lines 4, 8, 13, 15 and 17.
const CASE: &str = r#"form = 1
case = "5001"
numbering = "iso-3950"
grinding = "probable"

[[site]]
tooth = 25
[[site.fited]]

[[site]]
tooth = 26
[[site.fitted]]
position = "abutmnt"
part = "plover-mua-4.1-c3.0"
torque = -5
sure = "label"
on = "2027-01-01"
"#;

#[test]
fn a_case_file_wrong_in_five_places_names_all_five() {
    let place = Place::demo();
    fs::write(place.folder().join("5001.toml"), CASE).unwrap();
    let says = "spareseat: 5 mistakes found, nothing was taken:
  5001.toml:4: unknown field 'grinding'.
  5001.toml:8: unknown field 'fited'. Did you mean fitted?
  5001.toml:13: position: 'abutmnt' is not a position: expected one of 'implant', 'abutment', 'base', 'abutment-screw', 'cylinder', 'framework', 'prosthetic-screw', 'healing-cap', 'cover-screw'. Did you mean abutment?
  5001.toml:15: torque: '-5' is not a torque: expected 1 to 100 Ncm, or 'not-measured'
  5001.toml:17: on: 2027-01-01 lies after today, 2026-11-25";
    refused(&place, "case import 5001.toml", 2, says);
    assert_eq!(code(&typed(&place, "case show 5001")), 2, "not a part of it was taken");
}

#[test]
fn a_case_file_without_its_numbering_or_in_another_is_not_guessed() {
    let place = Place::demo();
    let file = |numbering: &str, tooth: &str| {
        let text = format!("form = 1\ncase = \"5002\"\n{numbering}\n[[site]]\ntooth = {tooth}\n");
        fs::write(place.folder().join("c.toml"), text).unwrap();
    };
    file("", "25");
    refused(
        &place,
        "case import c.toml",
        2,
        "spareseat: 1 mistake found, nothing was taken:\n  c.toml:1: numbering is missing",
    );
    file("numbering = \"palmer\"", "25");
    refused(
        &place,
        "case import c.toml",
        2,
        "spareseat: 1 mistake found, nothing was taken:\n  c.toml:3: numbering: 'palmer' is not a numbering: expected one of 'iso-3950', 'universal'.",
    );
    file("numbering = \"universal\"", "33");
    refused(
        &place,
        "case import c.toml",
        2,
        "spareseat: 1 mistake found, nothing was taken:\n  c.toml:5: tooth: '33' is not a tooth in the Universal numbering: expected 1 to 32",
    );
    // Declared, it is turned into ISO 3950: Universal 13 is tooth 25.
    file("numbering = \"universal\"", "13");
    assert_eq!(code(&typed(&place, "case import c.toml")), 0);
    assert_eq!(place.json(&["case", "show", "5002"])["sites"][0]["site"], "25");
}

/// Universal numbers a mouth from the upper right third molar (1) to the upper left one (16) and back below, from the
/// lower left third molar (17) to the lower right one (32); ISO 3950 counts 1 to 8 from the midline in each quadrant.
/// Both by definition: ISO 3950 itself, and the numbering of the dental association that uses the other.
#[rustfmt::skip]
const ISO_OF_UNIVERSAL: [u8; 32] = [
    18, 17, 16, 15, 14, 13, 12, 11,  21, 22, 23, 24, 25, 26, 27, 28,
    38, 37, 36, 35, 34, 33, 32, 31,  41, 42, 43, 44, 45, 46, 47, 48,
];

#[test]
fn every_universal_number_of_a_declared_file_becomes_its_iso_3950_number() {
    let place = Place::demo();
    // One site a file, so that no two can change places unseen.
    for (n, iso) in ISO_OF_UNIVERSAL.iter().enumerate() {
        let universal = n + 1;
        let case =
            format!("form = 1\ncase = \"5003\"\nnumbering = \"universal\"\n[[site]]\ntooth = {universal}\n");
        fs::write(place.folder().join("c.toml"), case).unwrap();
        assert_eq!(code(&typed(&place, "case import c.toml --replace")), 0);
        let sites = place.json(&["case", "show", "5003"])["sites"].clone();
        assert_eq!(sites[0]["site"], iso.to_string(), "Universal {universal}");
    }
}

#[test]
fn a_case_on_record_is_replaced_only_when_that_is_said() {
    let place = Place::demo();
    fs::write(place.folder().join("c.toml"), "form = 1\ncase = \"3306\"\nnumbering = \"iso-3950\"\n")
        .unwrap();
    let says = "spareseat: case 3306 is on record already: nothing was changed. To put this file in its place add --replace";
    refused(&place, "case import c.toml", 2, says);
    assert_eq!(code(&typed(&place, "case import c.toml --replace")), 0);
    assert_eq!(place.json(&["case", "show", "3306"])["sites"], serde_json::json!([]));
}

#[test]
fn a_file_that_cannot_be_read_says_which() {
    let place = Place::demo();
    fs::write(place.folder().join("latin1.toml"), b"form = 1 # caf\xe9\n").unwrap();
    fs::write(place.folder().join("broken.toml"), "form = = 1\n").unwrap();
    refused(
        &place,
        "case import gone.toml",
        2,
        "spareseat: could not read gone.toml: No such file or directory (os error 2)",
    );
    refused(
        &place,
        "part check gone.toml",
        2,
        "spareseat: could not read gone.toml: No such file or directory (os error 2)",
    );
    refused(&place, "case import latin1.toml", 2, "spareseat: latin1.toml is not text in UTF-8");
    let out = typed(&place, "part check broken.toml");
    assert!(text(&out.stderr).contains("  broken.toml:1: not TOML: "), "{}", text(&out.stderr));
    assert_eq!(code(&out), 2);
}

/// Every kind of mistake that a catalogue can hold, in one file.
const CATALOGUE: &str = r#"form = 1
invented = true
system = "heron"

[[part]]
code = "heron-mua-3.0"
kind = "multi-unit-abutment"
description = "an abutment"
source = "Reed Works (invented)"
angle = 75
colar = 3.0
system = "plovr"

[[part.seat]]
side = "below"
interface = "plover-hex-4.2"
offers = "1.0.0"
accepts = "^one"

[[part.seat]]
side = "above"
interface = "top-4.8"
offers = "3.0.0"
accepts = "^3"

[[part]]
code = "heron-mua-3.0"
kind = "multi-unit-abutmnt"
description = "twice"
replaced_by = "plover-mua-4.1-c3.1"

[[part]]
code = "heron-screw"
kind = "prosthetic-screw"
description = "a screw"
source = "Reed Works (invented)"
under_head = "long"
seat_height = 3.0
"#;

#[test]
fn a_catalogue_wrong_in_every_way_names_every_mistake() {
    let place = Place::demo();
    fs::write(place.folder().join("heron.toml"), CATALOGUE).unwrap();
    let out = typed(&place, "part check heron.toml");
    assert_eq!((code(&out), text(&out.stdout)), (2, String::new()));
    let said = text(&out.stderr);
    for line in [
        "heron.toml:5: part heron-mua-3.0: interface 'plover-hex-4.2' is not known. Did you mean plover-hex-4.1 or plover-hex-5.0?",
        "heron.toml:5: part heron-mua-3.0: interface top-4.8 has no revision 3.0.0: it has 1.0.0, 1.1.0, 1.1.1, 2.0.0",
        "heron.toml:5: part heron-mua-3.0: system 'plovr' is not known. Did you mean plover?",
        "heron.toml:10: angle: '75' is not an angle: expected 0 to 60°",
        "heron.toml:11: unknown field 'colar'. Did you mean collar?",
        "heron.toml:18: accepts: '^one' is not a requirement such as ^1.1",
        "heron.toml:28: kind: 'multi-unit-abutmnt' is not a kind: expected one of",
        "heron.toml:26: source is missing: who states these numbers?",
        "heron.toml:37: under_head: 'long' is not a plain decimal number such as 4.1",
        "heron.toml:38: seat_height: a part of kind prosthetic-screw has none",
    ] {
        assert!(said.contains(&format!("\n  {line}")), "not said: {line}\n{said}");
    }
    refused(&place, "part check heron.toml", 2, said.trim_end());
    refused(&place, "part import heron.toml", 2, said.trim_end());
}

/// What only shows when the whole is held together.
const STRANGERS: &str = r#"form = 1
invented = true
source = "Reed Works (invented)"
system = "plover"

[[interface]]
id = "lonely"
description = "nobody else has it"
revisions = [{ revision = "1.0.0", what = "first issue" }]

[[part]]
code = "heron-mua-3.0"
kind = "multi-unit-abutment"
description = "an abutment"
replaced_by = "plover-mua-4.1-c3.1"

[[part.seat]]
side = "below"
interface = "lonely"
offers = "1.0.0"
accepts = "^1"

[[part.seat]]
side = "above"
interface = "top-4.8"
offers = "1.0.0"
accepts = "^9"

[[part]]
code = "heron-mua-3.0"
kind = "analog"
description = "twice"
"#;

#[test]
fn a_catalogue_that_does_not_hold_together_says_where() {
    let place = Place::demo();
    fs::write(place.folder().join("heron.toml"), STRANGERS).unwrap();
    let says = "spareseat: 4 mistakes found, nothing was taken:
  heron.toml:11: part heron-mua-3.0 names part 'plover-mua-4.1-c3.1', which is not in the catalogue. Did you mean plover-mua-4.1-c3.0 or plover-mua-4.1-c3.5 or plover-mua-4.1-c2.0?
  heron.toml:11: part heron-mua-3.0: '^9' accepts no revision of interface top-4.8: it has 1.0.0, 1.1.0, 1.1.1, 2.0.0
  heron.toml:11: part heron-mua-3.0: its lower seat on lonely has no possible mate in the catalogue
  heron.toml:29: part heron-mua-3.0 stands twice: first in heron.toml, line 11";
    refused(&place, "part import heron.toml", 2, says);
}

#[test]
fn a_catalogue_is_checked_without_a_home_too() {
    let place = Place::empty();
    let shipped = concat!(env!("CARGO_MANIFEST_DIR"), "/catalog");
    let out = typed(&place, &format!("part check {shipped}"));
    assert_eq!((code(&out), text(&out.stderr)), (0, String::new()));
    assert!(text(&out.stdout).starts_with("No mistake."), "{}", text(&out.stdout));
    assert!(!place.home().exists(), "a check makes no home");
}
