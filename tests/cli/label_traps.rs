//! What a label, a lot and a count must not be taken for: each was found by somebody who tried.

use std::fs;

use serde_json::{Value as Json, json};

use super::booking::{booked, pieces, whole};
use super::refusals::refused;
use super::typed::typed;
use crate::support::{Place, code, heard, text};

const SCREW: &str = "plover-prosthetic-screw-1.4";
const ITEM: &str = "(01)09521234000648";
const DRAWER: &str = "cabinet-2-drawer-1";

/// One text means one thing in every command: what looks like a label is never a lot's name.
#[test]
fn a_label_is_never_the_name_of_a_lot() {
    let place = Place::demo();
    for label in ["(10)NEW-1", "]C110NEW-1", "1729063010NEW-1", "(17)290630(10)NEW-1"] {
        let before = pieces(&place, SCREW, "NEW-1", DRAWER);
        booked(
            &place,
            &format!("receive {SCREW} --lot '{label}' --quantity 1 --place {DRAWER} --expiry 2029-06-30"),
        );
        assert_eq!(pieces(&place, SCREW, "NEW-1", DRAWER), before + 1, "{label}");
    }
    for (lot, status) in [("(21)X", 1), ("]d2ABC", 2)] {
        let out = typed(&place, &format!("move {SCREW} --lot '{lot}' --quantity 1 --to cabinet-2-drawer-3"));
        assert_eq!((code(&out), text(&out.stdout)), (status, String::new()), "{lot}: {}", text(&out.stderr));
    }
    fs::write(place.folder().join("d.csv"), format!("{SCREW},(10)L-1,4,{DRAWER}\n")).unwrap();
    refused(
        &place,
        "receive --lines d.csv",
        2,
        "spareseat: line 1 of the delivery: '(10)L-1' is a label, not a lot: it goes into the column 'label'. No line of it was booked",
    );
    refused(
        &place,
        &format!("withdraw --lot PS-1120 --part '{ITEM}(10)OTHER'"),
        1,
        "spareseat: lot PS-1120 was said, the label says OTHER: read the pack again. Nothing was booked",
    );
    // A list of labels has nothing else in its lines.
    fs::write(place.folder().join("d.csv"), format!("{ITEM}(10)L1;3\n")).unwrap();
    let out = typed(&place, &format!("receive --lines d.csv --place {DRAWER}"));
    assert!(
        text(&out.stderr)
            .starts_with("spareseat: line 1 of the delivery: a comma or a semicolon stands in this label"),
        "{}",
        text(&out.stderr)
    );
    assert_eq!(code(&out), 2);
    whole(&place);
}

/// A count has no room for an expiry, so a pack that nobody has booked in is not counted in.
#[test]
fn an_expiry_on_a_label_is_not_lost_in_a_count() {
    let place = Place::demo();
    refused(
        &place,
        &format!("count {DRAWER} '{ITEM}(17)200101(10)OLD=9' --because 'found'"),
        1,
        &format!(
            "spareseat: the label says usable until 1 Jan 2020, and no expiry of lot OLD of part {SCREW} is on record: a count would lose it. Book the pack in by its label, 'spareseat receive LABEL --place PLACE'; nothing was counted or booked"
        ),
    );
}

#[test]
fn what_a_label_says_is_held_against_what_may_be() {
    let place = Place::demo();
    // A label that says none, or more than anybody books at once, is not that of a full pack of four.
    refused(
        &place,
        &format!("receive '{ITEM}(10)L-0(30)0' --place {DRAWER} --expiry none"),
        1,
        "spareseat: this label is not taken: (30) at character 26 says 0 pieces: expected 1 or more; count the pieces, then type item, lot, expiry and how many there are",
    );
    fs::write(place.folder().join("d.csv"), format!("label,place\n{ITEM}(10)L-0(30)0,{DRAWER}\n")).unwrap();
    refused(
        &place,
        "receive --lines d.csv",
        1,
        "spareseat: line 1 of the delivery: this label is not taken: (30) at character 26 says 0 pieces: expected 1 or more; count the pieces, then type item, lot, expiry and how many there are. No line of it was booked",
    );
    let many = format!("receive '{ITEM}(10)L-9(30)99999999' --place {DRAWER} --expiry none");
    refused(
        &place,
        &many,
        2,
        &format!("spareseat: how many pieces of {SCREW} came? Say the quantity. Nothing was booked"),
    );
    assert_eq!(booked(&place, &format!("{many} --quantity 3"))["quantity"], 3);
    let beside =
        format!("receive {SCREW} --lot L-0 --place {DRAWER} --label '{ITEM}(10)L-0(30)0' --expiry none");
    assert_eq!(code(&typed(&place, &beside)), 2, "the label cannot be read, and nobody said how many");
    assert_eq!(booked(&place, &format!("{beside} --quantity 2"))["quantity"], 2);
    refused(
        &place,
        &format!("receive '{ITEM}(02)09521234001577(37)9(10)TWO' --place {DRAWER}"),
        1,
        "spareseat: this label names two items, the pack and what is in it: say the part by its code and the lot as printed. Nothing was booked",
    );
    // Held no longer than the label allows, whatever the record does not know.
    let out = typed(&place, &format!("receive {SCREW} --lot NR --quantity 3 --place {DRAWER}"));
    assert!(
        text(&out.stdout).contains("CAREFUL: no expiry is on record of this lot"),
        "{}",
        text(&out.stdout)
    );
    refused(
        &place,
        &format!("hold 1047 --part '{ITEM}(17)261201(10)NR' --quantity 1 --until 2027-06-01"),
        1,
        &format!(
            "spareseat: lot NR of part {SCREW} cannot be used after 1 Dec 2026, so it is not held until 1 Jun 2027. Hold it until 1 Dec 2026 at most, or another lot; nothing was booked"
        ),
    );
    // An expired pack says so beside part and lot, and in a look-up.
    let done = booked(
        &place,
        &format!("receive {SCREW} --lot EX --quantity 2 --place {DRAWER} --label '{ITEM}(17)200131(10)EX'"),
    );
    assert_eq!(done["remarks"], json!(["this pack is EXPIRED, 31 Jan 2020"]));
    let out = typed(&place, &format!("swap 1047 25 prosthetic-screw '{ITEM}(17)200131(10)EX'"));
    assert!(heard(&out).contains("CAREFUL: this pack is EXPIRED, 31 Jan 2020.\n"), "{}", heard(&out));
    // Places that are no drawers lend no drawer their name.
    for name in ["quarantine", "supplier", "..."] {
        refused(
            &place,
            &format!("receive {SCREW} --lot L --quantity 1 --place {name} --new-place --expiry none"),
            2,
            &format!(
                "spareseat: '{name}' is no name for a drawer: expected letters or digits, such as cabinet-2-drawer-1, and none of the words this record uses for what is in no drawer. Nothing was booked"
            ),
        );
    }
    whole(&place);
}

/// Serial numbers are of one unit each.
#[test]
fn every_serial_number_of_a_tray_is_kept_with_its_own_unit() {
    let place = Place::demo();
    booked(&place, "visit 1047 --site 25 --broken prosthetic-screw --left shank-in-abutment --open");
    let tray = "use 1047 --visit --torque 15";
    let label = |serial: &str| format!("--label '{ITEM}(10)PS-1120(21){serial}'");
    refused(
        &place,
        &format!("{tray} {} {} {} {}", label("A"), label("B"), label("C"), label("D")),
        1,
        &format!(
            "spareseat: more serial numbers of part {SCREW}, lot PS-1120, were scanned than the tray has pieces of it: scan those that go in. Nothing was booked"
        ),
    );
    booked(&place, &format!("{tray} {} {} {}", label("A"), label("B"), label("C")));
    let case = place.json(&["case", "show", "1047"]);
    let mut kept: Vec<String> = case["sites"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|s| s["fitted"].as_array().unwrap())
        .filter_map(|f: &Json| f["label"].as_str().map(ToOwned::to_owned))
        .collect();
    kept.sort();
    assert_eq!(kept, ["A", "B", "C"].map(|s| format!("{ITEM}(10)PS-1120(21){s}")));
    whole(&place);
}
