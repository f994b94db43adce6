//! Trays taken back: every line, every spoiled unit, every piece, and the visit they were booked for.

use serde_json::Value as Json;
use spareseat::record::PieceRow;
use spareseat::units::CaseNumber;

use super::booking::{booked, whole};
use super::by_hand::{SCREW, book, desk, sums_are_zero, tray, units, visit_begun};
use super::refusals::refused;
use super::typed::typed;
use crate::support::{Place, code, text};

const DRAWER: &str = "cabinet-2-drawer-1";

/// What came out by an entry.
fn pieces(place: &Place, entry: u64) -> Vec<PieceRow> {
    let all = desk(place).view().pieces(&CaseNumber::new("1047").unwrap()).unwrap();
    all.into_iter().filter(|p| p.entry == entry).collect()
}

fn booked_for_the_visit(place: &Place) -> Option<u64> {
    desk(place).view().state(&CaseNumber::new("1047").unwrap()).unwrap().visit.unwrap().booked
}

fn sites(place: &Place) -> Json {
    place.json(&["case", "show", "1047"])["sites"].clone()
}

/// A home with the visit begun and its tray booked; the tray's entry and the sites before it.
fn with_tray() -> (Place, u64, Json) {
    let place = Place::demo();
    let before = sites(&place);
    book(&place, &visit_begun());
    let entry = book(&place, &tray(&place));
    assert_eq!(units(&place, SCREW, "PS-1120", DRAWER), 0, "two went in, one was dropped");
    assert_eq!((pieces(&place, entry).len(), booked_for_the_visit(&place)), (2, Some(entry)));
    (place, entry, before)
}

#[test]
fn a_tray_is_taken_back_whole() {
    let (place, entry, before) = with_tray();
    let out = typed(&place, &format!("reverse {entry} --because 'the other patient'"));
    assert_eq!((code(&out), text(&out.stderr)), (0, String::new()));
    let said = text(&out.stdout);
    assert!(said.contains(&format!("1 piece of {SCREW}, lot PS-1120, from waste to {DRAWER}; ")), "{said}");
    assert!(
        said.ends_with(
            "By the record these parts never left their drawers. One that was in a mouth must not go back: then book the use anew and counter it with --was-in-mouth. One that was opened or dropped must not lie in a drawer either: then book that anew.\n"
        ),
        "{said}"
    );
    assert_eq!(units(&place, SCREW, "PS-1120", DRAWER), 3);
    assert_eq!(sites(&place), before);
    assert_eq!((pieces(&place, entry), booked_for_the_visit(&place)), (Vec::new(), None));
    let says = format!(
        "spareseat: entry {entry} was taken back already, by entry {}: nothing was booked",
        entry + 1
    );
    refused(&place, &format!("reverse {entry}"), 1, &says);
    whole(&place);
    sums_are_zero(&place);
    // What was right is booked anew, and stands.
    let again = book(&place, &tray(&place));
    assert_eq!((pieces(&place, again).len(), booked_for_the_visit(&place)), (2, Some(again)));
    whole(&place);
}

#[test]
fn a_tray_that_was_in_the_mouth_is_thrown_away() {
    let (place, entry, before) = with_tray();
    let waste = units(&place, SCREW, "PS-1120", "waste");
    let answer = booked(&place, &format!("reverse {entry} --was-in-mouth"));
    assert_eq!(answer["remarks"], Json::Array(vec![]));
    assert_eq!(units(&place, SCREW, "PS-1120", DRAWER), 0, "nothing goes back, the dropped one neither");
    // Two new ones came to waste, one old one went back in from there, the other from the kept pieces.
    assert_eq!(units(&place, SCREW, "PS-1120", "waste"), waste + 1);
    assert_eq!(units(&place, SCREW, "PS-1120", "kept pieces"), 0);
    assert_eq!(sites(&place), before);
    whole(&place);
    sums_are_zero(&place);
}

#[test]
fn a_step_of_a_visit_is_no_booking_of_stock() {
    let place = Place::demo();
    let entry = book(&place, &visit_begun());
    let says = format!(
        "spareseat: entry {entry} is a step of a visit of case 1047: narrow the visit with --narrow or end it with --end instead, 'spareseat visit 1047'. Nothing was booked"
    );
    refused(&place, &format!("reverse {entry}"), 1, &says);
}

/// The whole way as it is typed: the visit, its tray, a mistake, the tray again.
#[test]
fn a_tray_as_typed_is_taken_back_and_booked_anew() {
    let place = Place::demo();
    let before = sites(&place);
    booked(&place, "visit 1047 --site 25 --broken prosthetic-screw --left shank-in-abutment --open");
    let line = "use 1047 --visit --torque 15";
    let first = booked(&place, line)["entry"].as_u64().unwrap();
    booked(&place, &format!("reverse {first}"));
    assert_eq!((sites(&place), booked_for_the_visit(&place)), (before, None));
    let again = booked(&place, line)["entry"].as_u64().unwrap();
    assert_eq!((again, booked_for_the_visit(&place)), (first + 2, Some(again)));
    whole(&place);
    sums_are_zero(&place);
}
