//! What must not be lost sight of: a unit that the record says was fitted, a lot that was called back, a part that
//! nothing beside it meets.

use serde_json::{Value as Json, json};

use super::booking::{booked, pieces, whole};
use super::refusals::refused;
use super::typed::typed;
use crate::support::{Place, code, heard, text};

const SCREW: &str = "plover-prosthetic-screw-1.4";
const AT: &str = "1047 --site 25 --position prosthetic-screw";
const DRAWER: &str = "cabinet-2-drawer-1";

fn fitted(place: &Place) -> Json {
    let case = place.json(&["case", "show", "1047"]);
    let site = case["sites"].as_array().unwrap().iter().find(|s| s["site"] == "25").unwrap().clone();
    site["fitted"].as_array().unwrap().iter().find(|f| f["position"] == "prosthetic-screw").unwrap().clone()
}

/// More is said of the part that stands there: what was on record of it stays.
#[test]
fn a_part_that_is_entered_again_keeps_its_lot() {
    let place = Place::demo();
    booked(&place, &format!("use {AT} --part {SCREW} --lot PS-1120 --torque not-measured"));
    let before = fitted(&place);
    booked(&place, &format!("case found {AT} --part {SCREW} --sure label --torque 14"));
    let after = fitted(&place);
    assert_eq!(after["torque_ncm"], 14.0);
    for key in ["lot", "on", "part", "label"] {
        assert_eq!(after[key], before[key], "{key}");
    }
    booked(&place, &format!("case found {AT} --part {SCREW} --sure passport"));
    assert_eq!((&fitted(&place)["torque_ncm"], &fitted(&place)["lot"]), (&json!(14.0), &json!("PS-1120")));
    let trace = place.json(&["trace", "--lot", "PS-1120"]);
    assert_eq!(
        (&trace["lots"][0]["astray"], trace["lots"][0]["in_mouths"].as_array().unwrap().len()),
        (&json!(0), 3)
    );
}

/// Somebody enters another lot over a unit that was booked: the unit is not forgotten.
#[test]
fn a_unit_that_was_fitted_and_is_in_no_mouth_on_record_is_asked_for() {
    let place = Place::demo();
    booked(&place, &format!("receive {SCREW} --lot PS-2000 --quantity 1 --place {DRAWER} --expiry 2029-03"));
    booked(&place, &format!("use {AT} --part {SCREW} --lot PS-2000 --torque 15"));
    let out = typed(&place, &format!("case found {AT} --part {SCREW} --lot OTHER --sure label"));
    assert_eq!(code(&out), 0);
    let said = heard(&out);
    assert!(said.starts_with(&format!("note: part {SCREW}, lot PS-2000, stood there on record and does not any more; where that unit went is not on record")), "{said}");
    let says = format!(
        "{SCREW}, lot PS-2000, end of Mar 2029: no unit is in a mouth. 1 PIECE MORE WENT INTO PATIENTS and stands in no mouth on record: look under 'Every movement' for whom, and ask there.\n"
    );
    let said = text(&place.run(&["trace", "--lot", "PS-2000"]).stdout);
    assert!(said.starts_with(&says), "{said}");
    let out = typed(&place, "--json withdraw --lot PS-2000");
    let json: Json = serde_json::from_slice(&out.stdout).unwrap();
    assert_eq!((code(&out), &json["lots"][0]["astray"]), (1, &json!(1)));
}

/// Who had a unit before is named: a lot that was called back may have harmed them.
#[test]
fn who_had_a_unit_before_is_named() {
    let place = Place::demo();
    booked(&place, &format!("receive {SCREW} --lot PS-2000 --quantity 2 --place {DRAWER} --expiry 2029-03"));
    booked(&place, &format!("use {AT} --part {SCREW} --lot PS-2000 --torque 15"));
    booked(&place, &format!("use {AT} --part {SCREW} --lot PS-1120 --torque 15 --old kept"));
    let trace = place.json(&["trace", "--lot", "PS-2000"]);
    let was = &trace["lots"][0]["taken_out"][0];
    assert_eq!(
        (&was["case"], &was["site"], &was["since"]),
        (&json!("1047"), &json!("25"), &json!("2026-11-25"))
    );
    let said = text(&place.run(&["trace", "--lot", "PS-2000"]).stdout);
    assert!(said.contains("\nWas in a mouth and came out\n"), "{said}");
    assert!(said.contains("from 25 Nov 2026  until 25 Nov 2026  to kept pieces"), "{said}");
}

#[test]
fn a_lot_that_was_called_back_goes_into_nobody_without_a_word_of_it() {
    let place = Place::demo();
    assert_eq!(code(&typed(&place, "withdraw --lot PS-1120")), 1);
    let label = "(01)09521234000648(10)PS-1120";
    let entry = place.json(&["trace", "--lot", "PS-1120"])["lots"][0]["called_back_by"].as_u64().unwrap();
    refused(
        &place,
        &format!("use {AT} --label '{label}' --torque 15"),
        1,
        &format!(
            "spareseat: lot PS-1120 of part {SCREW} was CALLED BACK BY ITS MAKER (entry {entry}): it goes into nobody. Not booked. If it was used all the same: add --found --place PLACE, and it is booked with your initials"
        ),
    );
    // It was found in a drawer: a fact, booked, and said to be kept apart.
    let out = typed(&place, &format!("count {DRAWER} '{label}=2' --because 'found two'"));
    assert_eq!(code(&out), 0, "{}", heard(&out));
    let advice = format!("keep it apart now, 'spareseat quarantine {SCREW} --lot PS-1120 --because REASON'");
    assert!(heard(&out).contains(&advice), "{}", heard(&out));
    let said = text(&place.run(&["stock", "--part", SCREW]).stdout);
    assert!(said.contains(&format!("2 pieces  CALLED BACK, entry {entry}: keep it apart\n")), "{said}");
    refused(
        &place,
        &format!("use {AT} --label '{label}' --torque 15 --place {DRAWER}"),
        1,
        &format!(
            "spareseat: lot PS-1120 of part {SCREW} was CALLED BACK BY ITS MAKER (entry {entry}): it goes into nobody. Not booked. If it was used all the same: add --found --place PLACE, and it is booked with your initials"
        ),
    );
    // What has happened is booked, whichever way the record has it.
    let out = typed(&place, &format!("use {AT} --label '{label}' --torque 15 --found --place {DRAWER}"));
    assert_eq!(code(&out), 0, "{}", heard(&out));
    assert!(heard(&out).contains("WAS CALLED BACK BY ITS MAKER"));
    assert_eq!(pieces(&place, SCREW, "PS-1120", DRAWER), 1, "it was taken from what lay there");
    assert_eq!(code(&typed(&place, &format!("quarantine {SCREW} --lot PS-1120 --because 'called back'"))), 0);
    assert_eq!(pieces(&place, SCREW, "PS-1120", DRAWER), 0);
    whole(&place);
}

#[test]
fn a_part_where_nothing_stood_is_held_against_what_stands_beside_it() {
    let place = Place::demo();
    let out = typed(
        &place,
        &format!("use 3306 --site 46 --position prosthetic-screw --part {SCREW} --lot PS-1120 --torque 15"),
    );
    assert_eq!(code(&out), 0);
    let said = heard(&out);
    assert!(said.contains("note: nothing was on record as prosthetic screw (bridge to abutment) at tooth 46: look whether case, tooth and position are right.\n"), "{said}");
}

/// The digits under the bars, typed by hand, name the part and nothing else.
#[test]
fn an_item_number_that_is_typed_names_the_part() {
    let place = Place::demo();
    for number in ["09521234000648", "9521234000648"] {
        assert_eq!(place.json(&["find", number])["parts"][0]["code"], SCREW);
        assert_eq!(place.json(&["part", "show", number])["code"], SCREW);
        booked(
            &place,
            &format!("receive {number} --lot L{number} --expiry 2029-06 --quantity 2 --place {DRAWER}"),
        );
        assert_eq!(pieces(&place, SCREW, &format!("L{number}"), DRAWER), 2);
    }
    refused(
        &place,
        &format!("receive 9521234543213 --lot L --quantity 2 --place {DRAWER}"),
        1,
        "spareseat: no part of the catalogue has item number 09521234543213: 'spareseat find LABEL' shows what the label says. Nothing was booked",
    );
    // What an expired lot is not held for, and what a table's heads are.
    booked(&place, &format!("receive {SCREW} --lot OLD --expiry 2025-11 --quantity 2 --place {DRAWER}"));
    refused(
        &place,
        &format!("hold 1047 --part {SCREW} --lot OLD --quantity 1 --until 2026-12-09"),
        1,
        &format!(
            "spareseat: lot OLD of part {SCREW} is EXPIRED, end of Nov 2025: it is held for nobody. Nothing was booked"
        ),
    );
    std::fs::write(place.folder().join("d.csv"), "item;lot;qty;drawer\na-1;L1;4;d-1\n").unwrap();
    refused(
        &place,
        "receive --lines d.csv",
        2,
        "spareseat: the header names 'item'. Columns: part, lot, quantity, place, expiry, label. Nothing was booked",
    );
}
