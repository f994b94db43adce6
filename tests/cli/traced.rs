//! Withdraw and trace as typed: every unit of a lot is found, and a unit in a mouth is said first.

use serde_json::{Value as Json, json};

use super::booking::{booked, pieces, whole};
use super::by_hand::{sums_are_zero, units};
use super::refusals::refused;
use super::typed::typed;
use crate::support::{Place, code, heard, text};

const SCREW: &str = "plover-prosthetic-screw-1.4";
const DRAWER: &str = "cabinet-2-drawer-1";

/// Types `line` with initials: booked, and the answer is no.
fn called_back(place: &Place, line: &str) -> Json {
    let out = typed(place, &format!("--json {line}"));
    assert_eq!((code(&out), text(&out.stderr)), (1, String::new()), "{line}");
    serde_json::from_slice(&out.stdout).unwrap()
}

#[test]
fn a_lot_called_back_is_kept_apart_and_its_units_in_mouths_are_named() {
    let place = Place::demo();
    // The demo put three of six into case 1047.
    let told = called_back(&place, "withdraw --lot PS-1120 --because 'letter of today'");
    assert_eq!(
        told["moved"],
        json!([{ "part": SCREW, "lot": "PS-1120", "quantity": 3, "from": DRAWER, "to": "quarantine" }])
    );
    assert_eq!((&told["in_a_mouth"], &told["because"]), (&true.into(), &"letter of today".into()));
    let lot = &told["lots"][0];
    assert_eq!((&lot["part"], &lot["called_back_by"]), (&SCREW.into(), &told["entry"]));
    let mouths = lot["in_mouths"].as_array().unwrap();
    let sites: Vec<&str> = mouths.iter().map(|m| m["site"].as_str().unwrap()).collect();
    assert_eq!(sites, ["24", "25", "27"]);
    for unit in mouths {
        assert_eq!(
            (&unit["case"], &unit["position"]),
            (&"1047".into(), &"prosthetic-screw".into()),
            "{unit:#}"
        );
        assert_eq!((&unit["since"], &unit["torque_ncm"]), (&"2026-11-25".into(), &json!(15.0)), "{unit:#}");
        assert_eq!((&unit["booked"]["by"], &unit["booked"]["on"]), (&"DEMO".into(), &"2026-11-25".into()));
    }
    let sum: i64 = lot["places"].as_array().unwrap().iter().map(|p| p["quantity"].as_i64().unwrap()).sum();
    assert_eq!(sum, 0, "{lot:#}");
    assert_eq!(
        (pieces(&place, SCREW, "PS-1120", DRAWER), units(&place, SCREW, "PS-1120", "quarantine")),
        (0, 3)
    );
    // Nobody is given it again, whatever is asked.
    refused(
        &place,
        &format!("quarantine {SCREW} --lot PS-1120 --lift --quantity 1 --place {DRAWER} --because sure"),
        1,
        &format!(
            "spareseat: lot PS-1120 of part {SCREW} was called back by its maker (entry {}): it does not go back into a drawer. Nothing was booked",
            told["entry"]
        ),
    );
    refused(
        &place,
        &format!("receive {SCREW} --lot PS-1120 --quantity 1 --place {DRAWER}"),
        1,
        &format!(
            "spareseat: lot PS-1120 of part {SCREW} was called back by its maker (entry {}): it does not go into a drawer. Send it back; nothing was booked",
            told["entry"]
        ),
    );
    refused(
        &place,
        "withdraw --lot PS-1120",
        1,
        &format!(
            "spareseat: lot PS-1120 of part {SCREW} was called back already, by entry {}, and no unit of it lies in a drawer: nothing was booked. Where its units are: 'spareseat trace --lot PS-1120 --part {SCREW}'",
            told["entry"]
        ),
    );
    let used = typed(
        &place,
        &format!(
            "use 1047 --site 25 --position prosthetic-screw --part {SCREW} --lot PS-1120 --torque 15 --found --place {DRAWER}"
        ),
    );
    assert_eq!(code(&used), 0);
    let says = format!(
        "LOT PS-1120 WAS CALLED BACK BY ITS MAKER (entry {}): it should be in no mouth.",
        told["entry"]
    );
    assert!(heard(&used).contains(&says), "{}", heard(&used));
    sums_are_zero(&place);
    whole(&place);
}

#[test]
fn a_lot_that_is_in_no_mouth_answers_yes_and_a_mistake_is_taken_back() {
    let place = Place::demo();
    let told = booked(&place, "withdraw --lot MU-2077");
    assert_eq!((&told["in_a_mouth"], &told["lots"][0]["in_mouths"]), (&false.into(), &json!([])));
    let visit = place.json(&["visit", "1047", "--site", "25", "--broken", "abutment"]);
    assert!(!visit["tray"].to_string().contains("MU-2077"), "{visit:#}");
    booked(&place, &format!("reverse {} --because 'another lot was meant'", told["entry"]));
    assert_eq!(pieces(&place, "plover-mua-4.1-c3.0", "MU-2077", "cabinet-2-drawer-3"), 1);
    assert_eq!(place.json(&["trace", "--lot", "MU-2077"])["lots"][0]["called_back_by"], Json::Null);
    let out = typed(&place, "withdraw --lot MU-2077");
    let shown = text(&out.stdout);
    assert!(
        shown.contains(": CALLED BACK BY ITS MAKER: plover-mua-4.1-c3.0, lot MU-2077; kept apart: 1 piece from cabinet-2-drawer-3.\n")
            && shown.contains("plover-mua-4.1-c3.0, lot MU-2077, 30 Nov 2026: no unit is in a mouth. CALLED BACK BY ITS MAKER (entry "),
        "{shown}"
    );
    whole(&place);
}

#[test]
fn a_lot_that_nobody_has_seen_is_a_clear_sentence() {
    let place = Place::demo();
    for (line, says) in [
        (
            "withdraw --lot PS-1121",
            "spareseat: lot PS-1121 is not on record: no unit of it was received, counted or fitted here. Did you mean PS-1120? Lots are kept as printed: small and capital letters and zeros in front count. Nothing was booked",
        ),
        (
            "trace --lot XQ --part plover-prosthetic-screw-1.4",
            "spareseat: lot XQ of part plover-prosthetic-screw-1.4 is not on record: no unit of it was received, counted or fitted here. Lots are kept as printed: small and capital letters and zeros in front count",
        ),
        (
            "trace --lot PS-1120 --part plover-prosthetic-screw-1.5",
            "spareseat: no part 'plover-prosthetic-screw-1.5' in the catalogue. Did you mean plover-prosthetic-screw-1.4 or avocet-prosthetic-screw-1.4 or plover-prosthetic-screw-1.4-cone? See 'spareseat part list'",
        ),
        (
            "trace --case 9",
            "spareseat: no case 9 on record. To enter one: 'spareseat case new 9'; a patient who walks in: 'spareseat visit 9 --new --site TOOTH --broken WHAT'",
        ),
    ] {
        refused(&place, line, 2, says);
    }
    booked(&place, &format!("receive {SCREW} --lot MU-2077 --quantity 1 --place {DRAWER}"));
    refused(
        &place,
        "withdraw --lot MU-2077",
        1,
        "spareseat: lot MU-2077 is on record of several parts: plover-mua-4.1-c3.0, plover-prosthetic-screw-1.4. Say which with --part; nothing was booked",
    );
    assert_eq!(place.json(&["trace", "--lot", "MU-2077"])["lots"].as_array().unwrap().len(), 2);
}

#[test]
fn a_trace_only_reads_and_goes_both_ways() {
    let place = Place::demo();
    let before = super::refusals::held(&place);
    let lot = place.json(&["trace", "--lot", "PS-1120"]);
    let steps = lot["lots"][0]["steps"].as_array().unwrap();
    assert_eq!(
        (&steps[0]["from"], &steps[0]["to"], &steps[0]["quantity"]),
        (&"supplier".into(), &DRAWER.into(), &6.into())
    );
    let into: Vec<&Json> = steps.iter().filter(|s| s["to"] == "cases").map(|s| &s["site"]).collect();
    assert_eq!(into.len(), 3, "{lot:#}");
    let case = place.json(&["trace", "--case", "1047"]);
    let now = case["now"].as_array().unwrap();
    let screws: Vec<&Json> = now.iter().filter(|f| f["lot"] == "PS-1120").collect();
    assert_eq!(screws.len(), 3, "{case:#}");
    assert!(screws.iter().all(|f| f["booked"]["by"] == "DEMO" && f["torque_ncm"] == json!(15.0)), "{case:#}");
    // What came out is told as well, with the lot it was.
    let out = case["steps"].as_array().unwrap().iter().filter(|s| s["from"] == "cases").count();
    assert!(out >= 1, "{case:#}");
    for line in ["trace --lot PS-1120", "trace --case 1047"] {
        let shown = typed(&place, line);
        assert_eq!((code(&shown), text(&shown.stderr)), (0, String::new()), "{line}");
        assert!(text(&shown.stdout).contains("by DEMO"), "{}", text(&shown.stdout));
    }
    assert!(super::refusals::held(&place) == before);
}
