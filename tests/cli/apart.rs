//! Discard, quarantine, return, reprocess as typed: where the units are after each, and every refusal word for word.

use super::booking::{booked, pieces, whole};
use super::by_hand::{sums_are_zero, units};
use super::refusals::refused;
use super::typed::typed;
use crate::support::{Place, code, heard, text};

const SCREW: &str = "plover-prosthetic-screw-1.4";
const DRAWER: &str = "cabinet-2-drawer-1";

/// Types `line` with initials: booked, whatever is said beside the answer.
fn noted(place: &Place, line: &str) {
    let out = typed(place, line);
    assert_eq!(code(&out), 0, "{line}: {}", text(&out.stderr));
}

#[test]
fn what_is_thrown_away_is_waste_and_leaves_a_hold_short() {
    let place = Place::demo();
    let hold =
        booked(&place, &format!("hold 2210 --part {SCREW} --quantity 3 --until 2026-12-05"))["entry"].clone();
    let out = typed(&place, &format!("discard {SCREW} --lot PS-1120 --quantity 2 --because 'pack torn'"));
    assert_eq!(code(&out), 0, "{}", heard(&out));
    assert!(
        text(&out.stdout).contains(&format!(
            ": thrown away: 2 pieces of {SCREW}, lot PS-1120, from {DRAWER}; reason: pack torn.\n"
        )),
        "{}",
        text(&out.stdout)
    );
    assert_eq!(
        heard(&out),
        format!(
            "note: hold {hold}: 3 pieces of lot PS-1120 for case 2210 until 5 Dec 2026 of {SCREW} is SHORT: 1 piece in the house.\n"
        )
    );
    assert_eq!((pieces(&place, SCREW, "PS-1120", DRAWER), units(&place, SCREW, "PS-1120", "waste")), (1, 2));
    sums_are_zero(&place);
    whole(&place);
}

#[test]
fn what_is_kept_apart_is_never_laid_out_and_comes_back_only_by_an_act() {
    let place = Place::demo();
    let apart = booked(&place, &format!("quarantine {SCREW} --lot PS-1120 --because 'box wet'"));
    assert_eq!(
        apart["moved"],
        serde_json::json!([{ "part": SCREW, "lot": "PS-1120", "quantity": 3, "from": DRAWER, "to": "quarantine" }])
    );
    assert_eq!(apart["because"], "box wet");
    let visit = place.json(&["visit", "1047", "--site", "25", "--broken", "prosthetic-screw"]);
    assert!(!visit["tray"].as_array().unwrap().iter().any(|r| r["part"] == SCREW), "{visit:#}");
    let stock = place.json(&["stock", "--part", SCREW]);
    assert_eq!(stock["rows"], serde_json::json!([]));
    assert_eq!(
        stock["apart"],
        serde_json::json!([{ "part": SCREW, "lot": "PS-1120", "place": "quarantine", "quantity": 3, "called_back_by": null }])
    );
    let shown = text(&place.run(&["stock", "--part", SCREW]).stdout);
    assert!(shown.contains("\nKept apart, never laid out\n") && shown.contains("quarantine"), "{shown}");
    booked(
        &place,
        &format!(
            "quarantine {SCREW} --lot PS-1120 --lift --quantity 2 --place {DRAWER} --because 'dry inside'"
        ),
    );
    booked(
        &place,
        &format!("discard {SCREW} --lot PS-1120 --quantity 1 --from-quarantine --because 'this one was wet'"),
    );
    assert_eq!(units(&place, SCREW, "PS-1120", "quarantine"), 0);
    assert_eq!(pieces(&place, SCREW, "PS-1120", DRAWER), 2);
    let log = text(&place.run(&["logbook", "show"]).stdout);
    for says in [
        format!("kept apart: {SCREW}, lot PS-1120: 3 pieces from {DRAWER}; reason: box wet"),
        format!(
            "no longer kept apart: 2 pieces of {SCREW}, lot PS-1120, put into {DRAWER}; reason: dry inside"
        ),
        format!("thrown away: 1 piece of {SCREW}, lot PS-1120, from quarantine; reason: this one was wet"),
    ] {
        assert!(log.contains(&says), "{says}\n{log}");
    }
    whole(&place);
}

#[test]
fn what_was_in_a_mouth_comes_back_only_where_it_may_be_used_again() {
    let place = Place::demo();
    let line = "return 1047 --site 25 --position prosthetic-screw --because 'crown goes to the laboratory'";
    refused(
        &place,
        line,
        1,
        &format!(
            "spareseat: part {SCREW} is for single use and was in a mouth: it never goes back to a shelf. Book it as gone: 'spareseat return 1047 --site 25 --position prosthetic-screw --old discarded --because REASON', or '--old kept'. If it was in no mouth at all: --never-in-mouth --place DRAWER. Nothing was booked"
        ),
    );
    let gone = booked(&place, &format!("{line} --old kept"));
    assert_eq!(
        (&gone["moved"][0]["from"], &gone["moved"][0]["to"]),
        (&"cases".into(), &"kept pieces".into())
    );
    let case = place.json(&["case", "show", "1047"]);
    let at_25 = case["sites"].as_array().unwrap().iter().find(|s| s["site"] == "25").unwrap();
    let stands = |at: &serde_json::Value| {
        at["fitted"].as_array().unwrap().iter().any(|f| f["position"] == "prosthetic-screw")
    };
    assert!(!stands(at_25), "{at_25:#}");
    // A mistake is taken back: it stands there again.
    booked(&place, &format!("reverse {}", gone["entry"]));
    let case = place.json(&["case", "show", "1047"]);
    let at_25 = case["sites"].as_array().unwrap().iter().find(|s| s["site"] == "25").unwrap();
    assert!(stands(at_25), "{at_25:#}");
    let events = case["events"].to_string();
    assert!(
        events.contains("did not come out; taken back by entry") && !events.contains("came out, by entry"),
        "{events}"
    );
    // It was booked by mistake on another day, and never left its pack.
    let back = booked(&place, &format!("{line} --never-in-mouth --place {DRAWER}"));
    assert_eq!(back["moved"][0]["to"], DRAWER);
    sums_are_zero(&place);
    whole(&place);
}

#[test]
fn a_reusable_part_is_reprocessed_before_it_lies_in_a_drawer() {
    let place = Place::demo();
    let form = concat!(env!("CARGO_MANIFEST_DIR"), "/catalog/plover.toml");
    let text_of = std::fs::read_to_string(form).unwrap();
    // The made-up catalogue has no reusable cap: its own is called one here.
    let at = text_of.find("code = \"plover-healing-cap-4.8\"\n").unwrap();
    let end = at + text_of[at..].find("use = \"single\"").unwrap();
    let changed =
        format!("{}use = \"reusable\"{}", &text_of[..end], &text_of[end + "use = \"single\"".len()..]);
    let folder = place.folder().join("catalogue");
    std::fs::create_dir(&folder).unwrap();
    for file in std::fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/catalog")).unwrap().flatten() {
        if file.path().extension().is_some_and(|e| e == "toml") {
            std::fs::copy(file.path(), folder.join(file.file_name())).unwrap();
        }
    }
    std::fs::write(folder.join("plover.toml"), changed).unwrap();
    booked(&place, "part import catalogue");
    let part = "plover-healing-cap-4.8";
    noted(
        &place,
        &format!(
            "use 1047 --site 25 --position healing-cap --part {part} --lot HC-0450 --torque not-measured"
        ),
    );
    let back = booked(&place, "return 1047 --site 25 --position healing-cap --because 'bridge is back'");
    assert_eq!(back["moved"][0]["to"], "to be reprocessed");
    refused(
        &place,
        &format!("reprocess {part} --lot HC-0450 --quantity 2 --place cabinet-2-drawer-5"),
        1,
        &format!(
            "spareseat: to be reprocessed holds 1 of lot HC-0450 of part {part}, 2 wanted. The lot lies in: cabinet-2-drawer-5 (3 pieces), to be reprocessed (1 piece). Nothing was booked"
        ),
    );
    booked(&place, &format!("reprocess {part} --lot HC-0450 --quantity 1 --place cabinet-2-drawer-5"));
    assert_eq!(pieces(&place, part, "HC-0450", "cabinet-2-drawer-5"), 4);
    assert_eq!(units(&place, part, "HC-0450", "to be reprocessed"), 0);
    whole(&place);
}

#[test]
fn what_is_not_there_is_refused() {
    let place = Place::demo();
    let rows: [(&str, i32, &str); 8] = [
        (
            "discard plover-prosthetic-screw-1.4 --lot PS-1120 --quantity 4 --because torn",
            1,
            "spareseat: place cabinet-2-drawer-1 holds 3 of lot PS-1120 of part plover-prosthetic-screw-1.4, 4 wanted. The lot lies in: cabinet-2-drawer-1 (3 pieces). Nothing was booked",
        ),
        (
            "discard plover-prosthetic-screw-1.4 --lot PS-1120 --quantity 1 --from-quarantine --because torn",
            1,
            "spareseat: quarantine holds 0 of lot PS-1120 of part plover-prosthetic-screw-1.4, 1 wanted. The lot lies in: cabinet-2-drawer-1 (3 pieces). Nothing was booked",
        ),
        (
            "discard plover-prosthetic-screw-1.4 --lot NONE --quantity 1 --because torn",
            1,
            "spareseat: no lot NONE of part plover-prosthetic-screw-1.4 in the house. In the house: lot PS-1120. Nothing was booked",
        ),
        (
            "discard plover-prosthetic-screw-1.5 --lot PS-1120 --quantity 1 --because torn",
            2,
            "spareseat: no part 'plover-prosthetic-screw-1.5' in the catalogue. Did you mean plover-prosthetic-screw-1.4 or avocet-prosthetic-screw-1.4 or plover-prosthetic-screw-1.4-cone? See 'spareseat part list'",
        ),
        (
            "quarantine plover-prosthetic-screw-1.4 --lot NONE --because wet",
            1,
            "spareseat: no unit of lot NONE of part plover-prosthetic-screw-1.4 lies in a drawer: nothing to keep apart, nothing was booked",
        ),
        (
            "quarantine plover-prosthetic-screw-1.4 --lot PS-1120 --lift --quantity 1 --place cabinet-2-drawer-1 --because dry",
            1,
            "spareseat: quarantine holds 0 of lot PS-1120 of part plover-prosthetic-screw-1.4, 1 wanted. The lot lies in: cabinet-2-drawer-1 (3 pieces). Nothing was booked",
        ),
        (
            "return 1047 --site 25 --position healing-cap --because off",
            2,
            "spareseat: case 1047, tooth 25: nothing is on record in position healing-cap. On record there: implant, abutment, framework, prosthetic-screw",
        ),
        (
            "return 1047 --site 25 --position implant --because failed",
            1,
            "spareseat: part plover-implant-4.0x10 is an implant: it never goes back to a shelf. Book it as gone with --old kept or --old discarded; nothing was booked",
        ),
    ];
    for (line, status, says) in rows {
        refused(&place, line, status, says);
    }
}
