//! Bookings as typed: what they change, what they leave, and that the same act is booked once.

use serde_json::Value as Json;

use super::typed::typed;
use crate::support::{Place, code, text};

const SCREW: &str = "plover-prosthetic-screw-1.4";

/// How many pieces of a lot lie in a drawer.
pub fn pieces(place: &Place, part: &str, lot: &str, drawer: &str) -> u64 {
    let stock = place.json(&["stock", "--part", part]);
    let rows = stock["rows"].as_array().unwrap().clone();
    rows.iter()
        .filter(|r| r["lot"] == lot && r["place"] == drawer)
        .map(|r| r["quantity"].as_u64().unwrap())
        .sum()
}

/// Types `line` with initials: booked, nothing on stderr; gives its JSON.
pub fn booked(place: &Place, line: &str) -> Json {
    let out = typed(place, &format!("--json {line}"));
    assert_eq!((code(&out), text(&out.stderr)), (0, String::new()), "{line}");
    serde_json::from_slice(&out.stdout).unwrap()
}

/// The record verifies: chain, balances, and the view as it is folded again.
pub fn whole(place: &Place) {
    let out = place.run(&["logbook", "verify"]);
    assert_eq!(code(&out), 0, "{}{}", text(&out.stdout), text(&out.stderr));
}

#[test]
fn a_use_takes_one_from_the_drawer_and_stands_in_the_case() {
    let place = Place::demo();
    booked(
        &place,
        &format!("receive {SCREW} --lot PS-2000 --quantity 4 --place cabinet-2-drawer-1 --expiry 2029-03"),
    );
    let answer = booked(
        &place,
        &format!("use 1047 --site 25 --position prosthetic-screw --part {SCREW} --lot PS-2000 --torque 15"),
    );
    assert!(
        answer["entry"].is_u64() && answer["version"] == 1 && answer["booked_before"] == false,
        "{answer:#}"
    );
    assert_eq!(pieces(&place, SCREW, "PS-2000", "cabinet-2-drawer-1"), 3);
    let case = place.json(&["case", "show", "1047"]);
    let sites = case["sites"].as_array().unwrap();
    let at_25 = sites.iter().find(|s| s["site"] == "25").unwrap();
    let screw =
        at_25["fitted"].as_array().unwrap().iter().find(|f| f["position"] == "prosthetic-screw").unwrap();
    assert_eq!(
        (screw["lot"].as_str(), screw["torque_ncm"].as_f64(), screw["on"].as_str()),
        (Some("PS-2000"), Some(15.0), Some("2026-11-25"))
    );
    whole(&place);
}

#[test]
fn a_use_without_a_place_takes_the_only_one_or_names_them() {
    let place = Place::demo();
    booked(&place, &format!("move {SCREW} --lot PS-1120 --quantity 1 --to cabinet-2-drawer-3"));
    let line =
        format!("use 1047 --site 24 --position prosthetic-screw --part {SCREW} --lot PS-1120 --torque 15");
    let out = typed(&place, &line);
    let says = format!(
        "spareseat: lot PS-1120 of part {SCREW} lies in several places: cabinet-2-drawer-1 (2 pieces), cabinet-2-drawer-3 (1 piece). Say which; nothing was booked"
    );
    assert!(text(&out.stderr).starts_with(&says), "{}", text(&out.stderr));
    assert_eq!(code(&out), 1);
    booked(&place, &format!("{line} --place cabinet-2-drawer-3"));
    assert_eq!(pieces(&place, SCREW, "PS-1120", "cabinet-2-drawer-3"), 0);
    booked(&place, &line);
    assert_eq!(pieces(&place, SCREW, "PS-1120", "cabinet-2-drawer-1"), 1);
    whole(&place);
}

#[test]
fn an_expiry_left_out_is_the_recorded_one_and_for_a_new_lot_none() {
    let place = Place::demo();
    let expiry = |lot: &str| {
        let stock = place.json(&["stock", "--part", "plover-mua-4.1-c3.0"]);
        stock["rows"].as_array().unwrap().iter().find(|r| r["lot"] == lot).unwrap()["expiry"].clone()
    };
    booked(&place, "receive plover-mua-4.1-c3.0 --lot MU-2077 --quantity 1 --place cabinet-2-drawer-4");
    assert_eq!(expiry("MU-2077"), "2026-11-30");
    booked(&place, "receive plover-mua-4.1-c3.0 --lot NEW-1 --quantity 1 --place cabinet-2-drawer-4");
    assert_eq!(expiry("NEW-1"), Json::Null);
    // What nobody had read may be said later; then it stands for the whole lot.
    booked(
        &place,
        "receive plover-mua-4.1-c3.0 --lot NEW-1 --quantity 1 --place cabinet-2-drawer-3 --expiry 2030-01-31",
    );
    assert_eq!(expiry("NEW-1"), "2030-01-31");
    booked(
        &place,
        "receive plover-mua-4.1-c3.0 --lot NEW-2 --quantity 1 --place shelf-9 --new-place --expiry none",
    );
    assert_eq!(expiry("NEW-2"), "none on the label");
    whole(&place);
}

#[test]
fn what_has_happened_is_recorded_even_so() {
    let place = Place::demo();
    // Not there by the record, and yet it was in the hand.
    booked(
        &place,
        &format!(
            "use 1047 --site 25 --position prosthetic-screw --part {SCREW} --lot HAND-1 --torque not-measured --found --place cabinet-2-drawer-1"
        ),
    );
    assert_eq!(pieces(&place, SCREW, "HAND-1", "cabinet-2-drawer-1"), 0);
    // Expired, and yet it went in: with a reason.
    booked(
        &place,
        &format!("receive {SCREW} --lot OLD --quantity 2 --place cabinet-2-drawer-1 --expiry 2026-11-24"),
    );
    booked(
        &place,
        &format!(
            "use 1047 --site 25 --position prosthetic-screw --part {SCREW} --lot OLD --torque 15 --expired-because 'nothing else in the house'"
        ),
    );
    let shown = text(&place.run(&["logbook", "show", "--case", "1047"]).stdout);
    assert!(shown.contains("(found there; correction booked with it)"), "{shown}");
    assert!(shown.contains("(EXPIRED; reason: nothing else in the house)"), "{shown}");
    whole(&place);
}

#[test]
fn the_last_day_on_the_label_is_a_usable_day() {
    let place = Place::demo();
    booked(
        &place,
        &format!("receive {SCREW} --lot TODAY --quantity 1 --place cabinet-2-drawer-1 --expiry 2026-11-25"),
    );
    booked(
        &place,
        &format!("use 1047 --site 25 --position prosthetic-screw --part {SCREW} --lot TODAY --torque 15"),
    );
}

#[test]
fn the_same_act_is_booked_once() {
    let place = Place::demo();
    let act = "--act 00112233445566778899aabbccddeeff";
    let line = format!("{act} receive {SCREW} --lot PS-3000 --quantity 5 --place cabinet-2-drawer-1");
    let first = booked(&place, &line);
    let again = booked(&place, &line);
    assert_eq!((&first["entry"], &first["booked_before"]), (&again["entry"], &Json::Bool(false)));
    assert_eq!(again["booked_before"], true);
    assert_eq!(pieces(&place, SCREW, "PS-3000", "cabinet-2-drawer-1"), 5);
    // Its earlier answer stands even where the drawer has run dry meanwhile.
    let last = format!(
        "--act ffeeddccbbaa99887766554433221100 move {SCREW} --lot PS-3000 --quantity 5 --to cabinet-2-drawer-3"
    );
    let moved = booked(&place, &last);
    assert_eq!(booked(&place, &last)["entry"], moved["entry"]);
    assert_eq!(pieces(&place, SCREW, "PS-3000", "cabinet-2-drawer-3"), 5);
    whole(&place);
}

#[test]
fn a_home_of_ones_own_from_nothing_to_a_booking() {
    let place = Place::empty();
    let catalogue = concat!(env!("CARGO_MANIFEST_DIR"), "/catalog");
    booked_or_made(&place, "new --practice 'Our practice'");
    booked(&place, &format!("part import {catalogue}"));
    booked(&place, "case new 77 --grinding probable --splint has --signs facets");
    booked(&place, "case found 77 --site 11 --position implant --part plover-implant-4.0x10 --sure passport");
    booked(
        &place,
        "case found 77 --site 11 --position abutment --part plover-mua-4.1-c3.0 --torque 30 --sure label --lot A1",
    );
    booked(&place, "case note 77 'loose since Monday' --site 11 --what loosened --when 2026-11-23");
    booked(&place, "receive plover-mua-4.1-c3.0 --lot L1 --quantity 2 --place drawer-1 --new-place");
    booked(
        &place,
        "use 77 --site 11 --position abutment --part plover-mua-4.1-c3.0 --lot L1 --torque 30 --old kept",
    );
    booked(
        &place,
        "part verify plover-mua-4.1-c3.0 stint-mua-4.1-c3.0 --pieces 4 --how 'on the analog, with a gauge'",
    );
    let verified = place.json(&["swap", "77", "11", "abutment", "stint-mua-4.1-c3.0"]);
    assert_eq!(verified["candidates"][0]["verdict"], "fits, with changes", "{verified:#}");
    let backup = typed(&place, "logbook backup copy");
    assert_eq!(code(&backup), 0, "{}", text(&backup.stderr));
    whole(&place);
}

fn booked_or_made(place: &Place, line: &str) {
    let out = typed(place, line);
    assert_eq!((code(&out), text(&out.stderr)), (0, String::new()), "{line}");
}

#[test]
fn a_backup_is_a_home_that_holds_the_same() {
    let place = Place::demo();
    assert_eq!(code(&typed(&place, "logbook backup copy")), 0);
    let there = typed(&place, "logbook backup copy");
    assert_eq!(
        (code(&there), text(&there.stderr)),
        (2, "spareseat: copy exists: a backup goes into a new folder\n".to_owned())
    );
    let shown = |home: &std::path::Path| {
        let mut command = crate::support::started();
        command.arg("--home").arg(home).args(["--on", crate::support::DAY, "--json", "stock"]);
        command.output().unwrap().stdout
    };
    assert_eq!(text(&shown(&place.folder().join("copy"))), text(&shown(&place.home())));
}
