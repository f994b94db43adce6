//! Entries taken back: deliveries, moves and uses, what is refused, and what must hold afterwards.

use serde_json::Value as Json;

use super::booking::{booked, pieces, whole};
use super::by_hand::{SCREW, sums_are_zero, units};
use super::refusals::refused;
use super::typed::typed;
use crate::support::{Place, code, text};

const DRAWER: &str = "cabinet-2-drawer-1";
const LEFT_THEIR_DRAWERS: &str = "By the record these parts never left their drawers. One that was in a mouth must not go back: then book the use anew and counter it with --was-in-mouth.";

fn receive(place: &Place, lot: &str, quantity: u32) -> u64 {
    let line = format!("receive {SCREW} --lot {lot} --quantity {quantity} --place {DRAWER}");
    booked(place, &line)["entry"].as_u64().unwrap()
}

fn use_at(place: &Place, site: &str, rest: &str) -> u64 {
    let line =
        format!("use 1047 --site {site} --position prosthetic-screw --part {SCREW} --torque 15 {rest}");
    booked(place, &line)["entry"].as_u64().unwrap()
}

/// What stands at a site, without the entry the answer is as of.
fn assembly(place: &Place, site: &str) -> Json {
    let case = place.json(&["case", "show", "1047"]);
    case["sites"].as_array().unwrap().iter().find(|s| s["site"] == site).unwrap()["fitted"].clone()
}

fn all_is_well(place: &Place) {
    whole(place);
    sums_are_zero(place);
}

#[test]
fn a_delivery_and_a_move_are_taken_back() {
    let place = Place::demo();
    let delivery = receive(&place, "PS-2000", 4);
    let moved = booked(&place, &format!("move {SCREW} --lot PS-2000 --quantity 3 --to shelf-9 --new-place"));
    let moved = moved["entry"].as_u64().unwrap();
    let out = typed(&place, &format!("reverse {moved} --because 'wrong drawer'"));
    assert_eq!(
        (code(&out), text(&out.stdout), text(&out.stderr)),
        (
            0,
            format!(
                "entry {}: entry {moved} taken back, reason: wrong drawer: 3 pieces of {SCREW}, lot PS-2000, from shelf-9 to {DRAWER}.\n",
                moved + 1
            ),
            String::new()
        )
    );
    assert_eq!(pieces(&place, SCREW, "PS-2000", DRAWER), 4);
    let answer = booked(&place, &format!("reverse {delivery}"));
    assert_eq!(answer["countered"].as_u64(), Some(delivery), "{answer:#}");
    for (key, value) in [("case", Json::Null), ("because", Json::Null), ("was_in_mouth", false.into())] {
        assert_eq!(answer[key], value, "{answer:#}");
    }
    assert_eq!(
        answer["moved_back"],
        serde_json::json!([{
            "part": SCREW, "lot": "PS-2000", "quantity": 4, "from": DRAWER, "to": "supplier",
        }])
    );
    assert_eq!((&answer["restored"], &answer["remarks"]), (&Json::Array(vec![]), &Json::Array(vec![])));
    assert_eq!(pieces(&place, SCREW, "PS-2000", DRAWER), 0);
    all_is_well(&place);
}

/// What was typed wrong with a delivery goes with it.
#[test]
fn a_delivery_taken_back_may_be_booked_again_with_another_expiry() {
    let place = Place::demo();
    let line = format!("receive {SCREW} --lot PS-2000 --quantity 4 --place {DRAWER} --expiry");
    let entry = booked(&place, &format!("{line} 2029-03"))["entry"].as_u64().unwrap();
    booked(&place, &format!("reverse {entry}"));
    booked(&place, &format!("{line} 2028-03"));
    let stock = place.json(&["stock", "--part", SCREW]);
    let lot = stock["rows"].as_array().unwrap().iter().find(|r| r["lot"] == "PS-2000").unwrap().clone();
    assert_eq!((lot["expiry"].as_str(), lot["quantity"].as_u64()), (Some("2028-03"), Some(4)));
    all_is_well(&place);
}

#[test]
fn a_delivery_that_has_gone_on_is_named_with_where_it_is() {
    let place = Place::demo();
    let delivery = receive(&place, "PS-2000", 4);
    let moved = booked(&place, &format!("move {SCREW} --lot PS-2000 --quantity 1 --to cabinet-2-drawer-3"));
    let used = use_at(&place, "25", "--lot PS-2000 --place cabinet-2-drawer-1");
    let says = |lies: &str, elsewhere: &str| {
        format!(
            "spareseat: entry {delivery} cannot be taken back: 4 pieces of part {SCREW}, lot PS-2000, would leave {DRAWER}, {lies} there. Of this lot elsewhere: {elsewhere}. Counter first what took them from there, if that was a mistake too; nothing was booked"
        )
    };
    let all = says("2 pieces lie", "cabinet-2-drawer-3 (1 piece), cases (1 piece)");
    refused(&place, &format!("reverse {delivery}"), 1, &all);
    booked(&place, &format!("reverse {used}"));
    let one = says("3 pieces lie", "cabinet-2-drawer-3 (1 piece)");
    refused(&place, &format!("reverse {delivery}"), 1, &one);
    booked(&place, &format!("reverse {}", moved["entry"]));
    booked(&place, &format!("reverse {delivery}"));
    all_is_well(&place);
}

#[test]
fn a_use_gives_back_the_drawer_s_part_and_the_old_one_stands_as_before() {
    let place = Place::demo();
    let before = assembly(&place, "25");
    let used = use_at(&place, "25", "--lot PS-1120 --old kept");
    assert_eq!(pieces(&place, SCREW, "PS-1120", DRAWER), 2);
    let out = typed(&place, &format!("reverse {used}"));
    let says = format!(
        "entry {}: case 1047: entry {used} taken back, no reason given: 1 piece of {SCREW}, lot PS-1120, from kept pieces to cases; 1 piece of {SCREW}, lot PS-1120, from cases to {DRAWER}.\n  tooth 25 (upper left second premolar), prosthetic screw (bridge to abutment): {SCREW}, lot PS-1120, as before.\n{LEFT_THEIR_DRAWERS}\n",
        used + 1
    );
    assert_eq!((code(&out), text(&out.stdout), text(&out.stderr)), (0, says, String::new()));
    assert_eq!(assembly(&place, "25"), before, "lot, date and torque as before");
    assert_eq!(pieces(&place, SCREW, "PS-1120", DRAWER), 3);
    let events = place.json(&["case", "show", "1047"])["events"].clone();
    let last = events.as_array().unwrap().last().unwrap().clone();
    let note = format!("booked as replaced; taken back by entry {}", used + 1);
    assert_eq!((&last["what"], &last["note"], &last["kept"]), (&"noted".into(), &note.into(), &Json::Null));
    all_is_well(&place);
}

/// A person's note may say what it likes: the event that a counter takes back is found by the number of its entry.
#[test]
fn a_note_that_sounds_like_a_booking_is_not_taken_back_with_it() {
    let place = Place::demo();
    let back = "return 1047 --site 25 --position prosthetic-screw --because broken --old kept";
    assert_eq!(booked(&place, back)["entry"], 51);
    booked(
        &place,
        "case note 1047 'shank split, when it came out, by entry 51' --site 25 --position prosthetic-screw --kept 'both halves, bag 7'",
    );
    booked(&place, "reverse 51 --because 'wrong site'");
    let case = place.json(&["case", "show", "1047"]);
    let events = case["events"].as_array().unwrap();
    let told = |note: &str| {
        let of: Vec<&Json> = events.iter().filter(|e| e["note"] == note).collect();
        assert_eq!(of.len(), 1, "{note}: {events:#?}");
        of[0]["kept"].clone()
    };
    assert_eq!(told("shank split, when it came out, by entry 51"), "both halves, bag 7");
    assert_eq!(told("did not come out; taken back by entry 53"), Json::Null);
    assert!(!events.iter().any(|e| e["note"] == format!("{SCREW} came out, by entry 51")), "{events:#?}");
    all_is_well(&place);
}

/// Of an abutment with other numbers nothing stays behind: the measure of candidates is the fitted part again.
#[test]
fn what_the_bridge_was_built_on_is_as_before() {
    let place = Place::demo();
    let measure = |place: &Place| {
        let swap = place.json(&["swap", "1047", "25", "abutment", "plover-mua-4.1-c3.0"]);
        (swap["fitted"].clone(), swap["stands_there"].clone())
    };
    let before = measure(&place);
    booked(&place, "receive plover-mua-4.1-c3.5 --lot MU-9 --quantity 1 --place cabinet-2-drawer-3");
    let out = typed(
        &place,
        "--json use 1047 --site 25 --position abutment --part plover-mua-4.1-c3.5 --lot MU-9 --torque 30",
    );
    assert_eq!(measure(&place).1, "plover-mua-4.1-c3.5");
    let used: Json = serde_json::from_slice(&out.stdout).unwrap();
    assert!(
        used["remarks"][0].as_str().unwrap().starts_with("by the record this part in place of"),
        "{used}"
    );
    booked(&place, &format!("reverse {}", used["entry"]));
    assert_eq!(measure(&place), before);
    all_is_well(&place);
}

/// Tried in, taken out again, the old one put back: the new one is thrown away, the old one is in the patient.
#[test]
fn what_was_in_a_mouth_never_goes_back_to_a_drawer() {
    let place = Place::demo();
    let before = assembly(&place, "25");
    receive(&place, "PS-2000", 1);
    let used = use_at(&place, "25", "--lot PS-2000 --old discarded");
    let answer = booked(&place, &format!("reverse {used} --was-in-mouth --because 'tried in, too long'"));
    assert_eq!(
        answer["moved_back"],
        serde_json::json!([
            { "part": SCREW, "lot": "PS-1120", "quantity": 1, "from": "waste", "to": "cases" },
            { "part": SCREW, "lot": "PS-2000", "quantity": 1, "from": "cases", "to": "waste" },
        ])
    );
    assert_eq!((&answer["was_in_mouth"], &answer["remarks"]), (&true.into(), &Json::Array(vec![])));
    assert_eq!(assembly(&place, "25"), before);
    assert_eq!(units(&place, SCREW, "PS-2000", "waste"), 1);
    assert_eq!(units(&place, SCREW, "PS-2000", DRAWER), 0);
    all_is_well(&place);
}

/// Found in the drawer against the record: the correction goes with the use, unless the unit was really there.
#[test]
fn a_found_unit_is_taken_back_with_its_correction() {
    let place = Place::demo();
    let found = "--lot HAND-1 --found --place cabinet-2-drawer-1";
    let used = use_at(&place, "25", found);
    booked(&place, &format!("reverse {used}"));
    for there in ["cases", "correction", DRAWER] {
        assert_eq!(units(&place, SCREW, "HAND-1", there), 0, "{there}");
    }
    let used = use_at(&place, "25", found);
    booked(&place, &format!("reverse {used} --was-in-mouth"));
    assert_eq!(units(&place, SCREW, "HAND-1", "waste"), 1);
    assert_eq!(units(&place, SCREW, "HAND-1", "correction"), -1);
    all_is_well(&place);
}

#[test]
fn what_stands_on_an_entry_is_countered_first() {
    let place = Place::demo();
    let first = use_at(&place, "25", "--lot PS-1120");
    let elsewhere = use_at(&place, "24", "--lot PS-1120");
    let second = use_at(&place, "25", "--lot PS-1120");
    let says = format!(
        "spareseat: entry {first} cannot be taken back: entry {second} changed tooth 25 of case 1047 after it. Counter that one first, if it was a mistake too; nothing was booked"
    );
    refused(&place, &format!("reverse {first}"), 1, &says);
    booked(&place, &format!("reverse {second}"));
    // Another tooth is another matter.
    booked(&place, &format!("reverse {first}"));
    assert_eq!(pieces(&place, SCREW, "PS-1120", DRAWER), 2);
    booked(&place, &format!("reverse {elsewhere}"));
    all_is_well(&place);
}

#[test]
fn what_somebody_saw_stays() {
    let place = Place::demo();
    let used = use_at(&place, "25", "--lot PS-1120");
    let says = |by: u64| {
        format!(
            "spareseat: entry {used} cannot be taken back: entry {by} changed tooth 25 of case 1047 after it. Somebody looked and said what stands there, and that stays: put right with 'spareseat case found' what is not true; nothing was booked"
        )
    };
    let fit = format!("case found 1047 --site 25 --position prosthetic-screw --part {SCREW} --sure label");
    let seen = booked(&place, &fit)["entry"].as_u64().unwrap();
    refused(&place, &format!("reverse {used}"), 1, &says(seen));
    let place = Place::demo();
    let used = use_at(&place, "25", "--lot PS-1120");
    let file = place.folder().join("case.toml");
    std::fs::write(&file, "form = 1\ncase = \"1047\"\nnumbering = \"iso-3950\"\n[[site]]\ntooth = 25\n")
        .unwrap();
    let seen = booked(&place, "case import case.toml --replace")["entry"].as_u64().unwrap();
    assert_eq!(seen, used + 1);
    refused(&place, &format!("reverse {used}"), 1, &says(seen));
}

#[test]
fn a_person_s_own_note_of_the_day_stays_a_note() {
    let place = Place::demo();
    let used = use_at(&place, "25", "--lot PS-1120");
    booked(
        &place,
        "case note 1047 'told on the telephone' --site 25 --position prosthetic-screw --what replaced",
    );
    booked(&place, &format!("reverse {used}"));
    let events = place.json(&["case", "show", "1047"])["events"].clone();
    let told = events.as_array().unwrap().iter().find(|e| e["note"] == "told on the telephone").unwrap();
    assert_eq!(told["what"], "replaced");
    all_is_well(&place);
}

#[test]
fn the_same_counter_is_booked_once() {
    let place = Place::demo();
    let delivery = receive(&place, "PS-2000", 4);
    let line = format!("--act 00112233445566778899aabbccddeeff reverse {delivery}");
    let first = booked(&place, &line);
    let again = booked(&place, &line);
    assert_eq!((&first["entry"], &again["booked_before"]), (&again["entry"], &true.into()));
    all_is_well(&place);
}

#[test]
fn an_entry_is_taken_back_once_on_its_day_by_its_hand() {
    let place = Place::demo();
    let last = place.json(&["stock"])["as_of"].as_u64().unwrap();
    let delivery = receive(&place, "PS-2000", 4);
    refused(
        &place,
        &format!("--as CD reverse {delivery}"),
        2,
        "error: the argument '--as <INITIALS>' cannot be used multiple times",
    );
    let other = place.run(&["--as", "CD", "reverse", &delivery.to_string()]);
    let says = format!(
        "spareseat: entry {delivery} was booked by AB on 25 Nov 2026: an entry is taken back only on its own day and by whoever booked it; today is 25 Nov 2026, you are CD. Book what puts it right as an act of its own; nothing was booked\n"
    );
    assert_eq!((code(&other), text(&other.stderr)), (1, says));
    let mut tomorrow = crate::support::started();
    tomorrow.arg("--home").arg(place.home()).args(["--on", "2026-11-26", "--as", "AB", "reverse"]);
    let tomorrow = tomorrow.arg(delivery.to_string()).output().unwrap();
    let says = format!(
        "spareseat: entry {delivery} was booked by AB on 25 Nov 2026: an entry is taken back only on its own day and by whoever booked it; today is 26 Nov 2026, you are AB. Book what puts it right as an act of its own; nothing was booked\n"
    );
    assert_eq!((code(&tomorrow), text(&tomorrow.stderr)), (1, says));
    let nobody = place.run(&["reverse", &delivery.to_string()]);
    assert_eq!(
        (code(&nobody), text(&nobody.stderr)),
        (2, "spareseat: say who books: --as INITIALS\n".to_owned())
    );
    let past = typed(&place, &format!("--as-of {delivery} reverse {delivery}"));
    assert_eq!(code(&past), 2);
    let line = format!("reverse {delivery} --was-in-mouth");
    let says = format!(
        "spareseat: entry {delivery} put no part into a mouth: leave out --was-in-mouth; nothing was booked"
    );
    refused(&place, &line, 2, &says);
    let counter = booked(&place, &format!("reverse {delivery}"))["entry"].as_u64().unwrap();
    let says =
        format!("spareseat: entry {delivery} was taken back already, by entry {counter}: nothing was booked");
    refused(&place, &format!("reverse {delivery}"), 1, &says);
    let says = format!(
        "spareseat: entry {counter} took entry {delivery} back, and a counter is not countered: book again what was right. Nothing was booked"
    );
    refused(&place, &format!("reverse {counter}"), 1, &says);
    assert_eq!(last + 2, counter);
}

#[test]
fn other_entries_are_put_right_in_their_own_way() {
    let place = Place::demo();
    let last = place.json(&["stock"])["as_of"].as_u64().unwrap();
    booked(&place, "case found 1047 --site 25 --position abutment --part plover-mua-4.1-c3.0 --sure label");
    booked(&place, "case note 1047 'bite checked' --what checked");
    booked(&place, "part verify plover-mua-4.1-c3.0 stint-mua-4.1-c3.0 --pieces 4 --how 'on the analog'");
    for (entry, says) in [
        (1, "entry 1 began the logbook: it stays. Nothing was booked".to_owned()),
        (
            2,
            "entry 2 changed the catalogue: import the right file instead, with 'spareseat part import'. Nothing was booked".to_owned(),
        ),
        (
            3,
            "entry 3 entered case 1047: put it right with 'spareseat case found', or with a file and 'spareseat case import FILE --replace'. Nothing was booked".to_owned(),
        ),
        (
            last + 1,
            format!("entry {} says what was found in case 1047: enter what is true instead, with 'spareseat case found 1047'. Nothing was booked", last + 1),
        ),
        (
            last + 2,
            format!("entry {} is a note to case 1047: put it right with another one, 'spareseat case note 1047'. Nothing was booked", last + 2),
        ),
        (
            last + 3,
            format!("entry {} says that a part was tried: it stands until one of the two parts gets other numbers, with 'spareseat part import'. Nothing was booked", last + 3),
        ),
    ] {
        refused(&place, &format!("reverse {entry}"), 1, &format!("spareseat: {says}"));
    }
    let says = format!(
        "spareseat: there is no entry 99: the record ends at entry {}. See 'spareseat logbook show'",
        last + 3
    );
    refused(&place, "reverse 99", 2, &says);
    refused(
        &place,
        "reverse -3",
        2,
        "error: invalid value '-3' for '<ENTRY>': '-3' is not the number of an entry: expected a whole number, such as 33",
    );
}
