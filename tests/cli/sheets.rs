//! What is printed about a broken piece: the label for its bag, the complaint to its maker.

use serde_json::{Value as Json, json};
use spareseat::record::Became;

use super::booking::booked;
use super::by_hand::{SCREW, book, desk, tray, tray_with, visit_begun};
use super::refusals::refused;
use super::typed::typed;
use crate::support::{Place, code, text};

fn said(place: &Place, line: &str) -> String {
    let out = typed(place, line);
    assert_eq!((code(&out), text(&out.stderr)), (0, String::new()), "{line}");
    text(&out.stdout)
}

/// The demo's own tray: the screw at tooth 25 of case 1047 that gave way, and was kept.
fn demo_entry(place: &Place) -> u64 {
    let case = place.json(&["case", "show", "1047"]);
    case["kept_pieces"][0]["entry"].as_u64().unwrap()
}

#[test]
fn the_label_says_what_lies_in_the_bag() {
    let place = Place::demo();
    let entry = demo_entry(&place);
    let shown = said(&place, "sheet bag 1047");
    assert_eq!(
        shown,
        format!(
            "\
+----------------------------------------------+
| MADE UP: no real patient, no real part       |
| BROKEN PIECE: NOT FOR REUSE                  |
| Case 1047                                    |
| Tooth 25 (upper left second premolar)        |
| prosthetic screw (bridge to abutment)        |
| prosthetic screw M1.4, flat head             |
| REF plover-prosthetic-screw-1.4              |
| LOT PS-0952                                  |
| Fitted since 25 Sep 2025                     |
| Removed on 25 Nov 2026 (entry {entry}, by DEMO)   |
| Opened only by whoever examines it.          |
+----------------------------------------------+
"
        )
    );
    assert!(shown.lines().all(|l| l.chars().count() == 48), "{shown}");
    let json = place.json(&["sheet", "bag", "1047"]);
    assert_eq!((&json["version"], &json["as_of"]), (&1.into(), &place.json(&["stock"])["as_of"]));
    assert_eq!(
        json["labels"],
        json!([{
            "made_up": true, "case": "1047", "site": "25", "site_words": "upper left second premolar",
            "position": "prosthetic-screw", "description": "prosthetic screw M1.4, flat head", "part": SCREW,
            "lot": "PS-0952", "fitted_on": "2025-09-25", "removed_on": "2026-11-25", "entry": entry, "by": "DEMO",
            "torque_ncm": 15.0, "torque": "15 Ncm", "became": "kept", "broken": true, "reuse": "not for reuse",
        }])
    );
}

#[test]
fn the_complaint_says_all_that_a_maker_asks() {
    let place = Place::demo();
    let entry = demo_entry(&place);
    let shown = said(&place, "sheet complaint 1047 --maker 'Plover Works (made up)'");
    let expected = format!(
        "\
COMPLAINT: A PART GAVE WAY
MADE UP: no real patient, no real part

To: Plover Works (made up)
From: Mudflat Practice (made up)
Our number: case 1047, entry {entry}

The part
  - prosthetic screw M1.4, flat head
  - REF: plover-prosthetic-screw-1.4
  - LOT: PS-0952
  - system: plover

What happened
  - where: tooth 25 (upper left second premolar), prosthetic screw (bridge to abutment)
  - fitted: 25 Sep 2025
  - at fitting: tightened to 15 Ncm
  - before it was fitted, in its position: 25 Sep 2025, broken: prosthetic screw at tooth 25 broken, shank turned out with a probe, all three screws new
  - reported on 25 Nov 2026, tooth 25: prosthetic screw (bridge to abutment) broken; left behind: shank in abutment; bridge loose; the shank came out with a probe
  - taken out: 25 Nov 2026 (entry {entry}, by DEMO); 426 days in the mouth

What it was fitted with
  position                               part                         lot               since              tightened to  how sure
  -------------------------------------- ---------------------------- ----------------- ------------------ ------------- ------------
  implant                                plover-implant-4.0x10        lot IM-0327       since 25 Sep 2021                by passport
  abutment                               plover-mua-4.1-c3.0          lot MU-1203       since 25 Jan 2022  30 Ncm        by label
  framework                              framework-1047               lot not recorded  since 25 Feb 2022                by label
  prosthetic screw (bridge to abutment)  plover-prosthetic-screw-1.4  lot PS-0952       since 25 Sep 2025  15 Ncm        by label

Load signs on record
  - grinding: probable (facets, two chipped facings, splint worn through)
  - splint: has
  - what bites against it: natural teeth, lower left

Earlier failures of this code booked in this record: none
What was kept: the broken piece

Remarks
{line}
{line}
{line}

Date ______________  Name and signature ________________________________

No name of the patient is printed on this sheet; the case number means something in this practice only. Read what was typed in words before the sheet goes out.
Decision support. A licensed clinician decides; the maker's instructions and local rules come first.
",
        line = "_".repeat(72)
    );
    assert_eq!(shown, expected);
    let blank = said(&place, "sheet complaint 1047");
    assert!(blank.contains(&format!("\nTo: {}\n", "_".repeat(40))), "{blank}");
}

#[test]
fn the_complaint_as_json() {
    let place = Place::demo();
    let json = place.json(&["sheet", "complaint", "1047", "--maker", "Plover Works (made up)"]);
    assert_eq!(json["cautions"][0], spareseat::desk::CAUTION);
    let sheet = &json["sheets"][0];
    for (key, value) in [
        ("maker", json!("Plover Works (made up)")),
        ("practice", json!("Mudflat Practice (made up)")),
        ("system", json!("plover")),
        ("days_in_mouth", json!(426)),
        ("events", json!([])),
        ("earlier_failures", json!({ "pieces": 0, "cases": 0 })),
        ("case", json!("1047")),
        ("lot", json!("PS-0952")),
        ("became", json!("kept")),
    ] {
        assert_eq!(sheet[key], value, "{key}: {sheet:#}");
    }
    assert_eq!(sheet["reported"]["left"], "shank-in-abutment");
    assert_eq!(sheet["events_before"][0]["what"], "broken");
    assert_eq!(sheet["load"]["grinding"], "probable");
    let lots: Vec<&Json> = sheet["assembly"].as_array().unwrap().iter().map(|f| &f["lot"]).collect();
    assert_eq!(
        lots,
        [&json!("IM-0327"), &json!("MU-1203"), &Json::Null, &json!("PS-0952")],
        "before it came out"
    );
}

/// A second failure: the first is counted, each is found by its entry, and what nobody measured is said as such.
#[test]
fn each_piece_is_found_by_its_entry_and_the_earlier_ones_are_counted() {
    let place = Place::demo();
    let first = demo_entry(&place);
    booked(
        &place,
        &format!(
            "use 1047 --site 25 --position prosthetic-screw --part {SCREW} --lot PS-1120 --torque not-measured --place cabinet-2-drawer-1"
        ),
    );
    booked(
        &place,
        "receive plover-prosthetic-screw-1.4 --lot PS-1120 --quantity 1 --place cabinet-2-drawer-1",
    );
    let second = book(&place, &tray_with(&place, Became::Discarded));
    let shown = said(&place, "sheet complaint 1047");
    for line in [
        format!("Our number: case 1047, entry {second}"),
        "  - LOT: PS-1120".to_owned(),
        "  - at fitting: torque not measured".to_owned(),
        "  - how it gave way: not on record".to_owned(),
        format!("  - taken out: 25 Nov 2026 (entry {second}, by AB); 0 days in the mouth"),
        "Earlier failures of this code booked in this record: 1 piece, in 1 case".to_owned(),
        "What was kept: nothing: by the record the broken piece was thrown away".to_owned(),
    ] {
        assert!(shown.lines().any(|l| l == line), "no line '{line}' in\n{shown}");
    }
    let older = said(&place, &format!("sheet complaint 1047 --entry {first}"));
    assert!(older.contains("\n  - LOT: PS-0952\n"), "{older}");
    let label = said(&place, &format!("sheet bag 1047 --entry {first}"));
    assert!(label.contains("| LOT PS-0952 "), "{label}");
    // A label is printed all the same: the record may be wrong about what lies in the hand.
    let out = typed(&place, "sheet bag 1047");
    assert_eq!(
        (code(&out), text(&out.stderr)),
        (
            0,
            format!(
                "note: by entry {second} this piece was thrown away. If it lies in the bag all the same, say so: 'spareseat --as INITIALS case note 1047 TEXT --kept WHAT'\n"
            )
        )
    );
    assert!(text(&out.stdout).contains("| LOT PS-1120 "));
    // Taken back, it never came out.
    booked(&place, &format!("reverse {second}"));
    assert!(said(&place, "sheet bag 1047").contains("| LOT PS-0952 "));
}

#[test]
fn a_visit_that_was_ended_is_not_what_a_later_piece_is_about() {
    let place = Place::demo();
    book(&place, &visit_begun());
    booked(&place, "visit 1047 --end back-in");
    book(&place, &tray(&place));
    let sheet = place.json(&["sheet", "complaint", "1047"])["sheets"][0].clone();
    assert_eq!(sheet["reported"], Json::Null);
    assert_eq!(desk(&place).trouble().map(ToString::to_string), None);
}

#[test]
fn without_a_broken_piece_there_is_nothing_to_print() {
    let place = Place::demo();
    let entry = demo_entry(&place);
    let nothing = "spareseat: case 2210: no broken piece is on record, so there is nothing to print. It comes on record with the tray of a visit: 'spareseat --as INITIALS use 2210 --visit'";
    let other = format!(
        "spareseat: case 1047: no broken piece came out by entry 3. Broken pieces came out by entry {entry}"
    );
    let nobody = "spareseat: no case 1048 on record. Did you mean 1047? To enter one: 'spareseat case new 1048'; a patient who walks in: 'spareseat visit 1048 --new --site TOOTH --broken WHAT'";
    for sheet in ["bag", "complaint"] {
        refused(&place, &format!("sheet {sheet} 2210"), 1, nothing);
        refused(&place, &format!("sheet {sheet} 1047 --entry 3"), 1, &other);
        refused(&place, &format!("sheet {sheet} 1048"), 2, nobody);
        refused(
            &place,
            &format!("sheet {sheet} 1047 --entry last"),
            2,
            "error: invalid value 'last' for '--entry <ENTRY>': 'last' is not the number of an entry: expected a whole number, such as 33",
        );
    }
}
