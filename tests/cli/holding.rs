//! Holds as typed: set aside, kept from other cases, used up, let go of; and every refusal word for word.

use super::booking::{booked, whole};
use super::refusals::refused;
use super::typed::typed;
use crate::support::{Place, code, heard, text};

const SCREW: &str = "plover-prosthetic-screw-1.4";
const ABUTMENT: &str = "plover-mua-4.1-c3.0";

/// Types `line` with initials: booked; gives what it says beside its answer.
fn noted(place: &Place, line: &str) -> String {
    let out = typed(place, line);
    assert_eq!(code(&out), 0, "{line}: {}", text(&out.stderr));
    heard(&out)
}

#[test]
fn what_is_set_aside_is_on_the_stock_list_until_it_is_used_or_let_go_of() {
    let place = Place::demo();
    let held = booked(
        &place,
        &format!("hold 1047 --part {SCREW} --quantity 2 --until 2026-12-05 --because 'next bridge check'"),
    );
    assert_eq!((&held["case"], &held["part"]), (&"1047".into(), &SCREW.into()));
    assert_eq!((&held["quantity"], &held["until"]), (&2.into(), &"2026-12-05".into()));
    assert_eq!(held["lots"], serde_json::json!([{ "lot": "PS-1120", "quantity": 2 }]));
    let stock = place.json(&["stock", "--part", SCREW]);
    let hold = &stock["holds"][0];
    assert_eq!((&hold["hold"], &hold["quantity"], &hold["covered"]), (&held["entry"], &2.into(), &2.into()));
    assert_eq!((&hold["short"], &hold["until"]), (&false.into(), &"2026-12-05".into()));
    let shown = text(&place.run(&["stock", "--part", SCREW]).stdout);
    assert!(
        shown.contains("\nHeld\n") && shown.contains("for case") || shown.contains("case 1047"),
        "{shown}"
    );
    let used =
        format!("use 1047 --site 25 --position prosthetic-screw --part {SCREW} --lot PS-1120 --torque 15");
    booked(&place, &used);
    assert_eq!(place.json(&["stock"])["holds"][0]["quantity"], 1);
    // Taken back, it is set aside again.
    let entry = booked(&place, &used)["entry"].as_u64().unwrap();
    assert_eq!(place.json(&["stock"])["holds"], serde_json::json!([]));
    booked(&place, &format!("reverse {entry}"));
    assert_eq!(place.json(&["stock"])["holds"][0]["quantity"], 1);
    let let_go = booked(&place, &format!("release {} --because 'called off'", held["entry"]));
    assert_eq!(let_go["released"][0]["case"], "1047");
    assert_eq!(place.json(&["stock"])["holds"], serde_json::json!([]));
    let log = text(&place.run(&["logbook", "show", "--case", "1047"]).stdout);
    for says in [
        &format!(
            "case 1047: 2 pieces of lot PS-1120 of {SCREW} set aside until 5 Dec 2026; next bridge check"
        ),
        &format!("let go of hold {} of case 1047 on {SCREW}; called off", held["entry"]),
    ] {
        assert!(log.contains(says.as_str()), "{says}\n{log}");
    }
    whole(&place);
}

#[test]
fn another_case_is_not_given_it_and_a_visit_says_for_whom_it_is() {
    let place = Place::demo();
    let hold =
        booked(&place, &format!("hold 2210 --part {ABUTMENT} --lot MU-2077 --quantity 1 --until 2026-11-30"));
    let hold = hold["entry"].as_u64().unwrap();
    let line = format!("use 1047 --site 25 --position abutment --part {ABUTMENT} --lot MU-2077 --torque 30");
    refused(
        &place,
        &line,
        1,
        &format!(
            "spareseat: lot MU-2077 of part {ABUTMENT} is set aside for another case: hold {hold}: 1 piece of lot MU-2077 for case 2210 until 30 Nov 2026. Not booked. Let go of it first ('spareseat release {hold}'), or, if it was used all the same: add --held-because REASON, which is recorded with your initials"
        ),
    );
    let visit = place.json(&["visit", "1047", "--site", "25", "--broken", "abutment"]);
    let tray = visit["tray"].as_array().unwrap();
    assert!(!tray.iter().any(|r| r["lot"] == "MU-2077"), "{tray:#?}");
    // What takes its place is another code of the same maker; nothing held is on the tray, and nothing is missing.
    assert!(tray.iter().any(|r| r["lot"] == "MB-0014"), "{tray:#?}");
    booked(&place, "hold 2210 --part plover-mua-4.1-c3.0-b --quantity 1 --until 2026-12-24");
    let visit = place.json(&["visit", "1047", "--site", "25", "--broken", "abutment"]);
    let missing = &visit["not_in_house"][0]["held_for_others"];
    assert!(
        missing.as_array().unwrap().iter().any(|h| h["hold"] == hold && h["case"] == "2210"),
        "{visit:#}"
    );
    let says = format!(
        "SET ASIDE FOR ANOTHER CASE: hold {hold}: 1 piece of lot MU-2077 for case 2210 until 30 Nov 2026, of {ABUTMENT}. It is taken only once somebody lets go of it: 'spareseat release {hold}'."
    );
    assert!(visit["answer"].as_str().unwrap().contains(&says), "{}", visit["answer"]);
    // Used all the same: the promise is broken, and that is said.
    let short = noted(&place, &format!("{line} --held-because 'she is in the chair'"));
    let says = format!(
        "note: hold {hold}: 1 piece of lot MU-2077 for case 2210 until 30 Nov 2026 of {ABUTMENT} is SHORT: 0 pieces in the house."
    );
    assert!(short.contains(&says), "{short}");
    assert_eq!(place.json(&["stock", "--part", ABUTMENT])["holds"][0]["short"], true);
    let shown = text(&place.run(&["stock", "--part", ABUTMENT]).stdout);
    assert!(shown.contains("SHORT: 0 pieces there"), "{shown}");
    let log = text(&place.run(&["logbook", "show", "--case", "1047"]).stdout);
    assert!(log.contains("HELD FOR ANOTHER CASE; reason: she is in the chair"), "{log}");
    whole(&place);
}

#[test]
fn its_own_case_is_given_it_first() {
    let place = Place::demo();
    booked(
        &place,
        &format!("receive {SCREW} --lot LATER --quantity 3 --place cabinet-2-drawer-1 --expiry 2030-01"),
    );
    booked(&place, &format!("hold 1047 --part {SCREW} --lot LATER --quantity 3 --until 2026-12-05"));
    let visit = place.json(&["visit", "1047", "--site", "25", "--broken", "prosthetic-screw"]);
    let screws: Vec<(String, u64)> = visit["tray"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|r| r["part"] == SCREW && r["use"] == "take")
        .map(|r| (r["lot"].as_str().unwrap().to_owned(), r["quantity"].as_u64().unwrap()))
        .collect();
    // Another lot ends earlier; the hold has the whole set.
    assert_eq!(screws, [("LATER".to_owned(), 3)]);
}

#[test]
fn a_hold_past_its_day_holds_nothing() {
    let place = Place::demo();
    let hold =
        booked(&place, &format!("hold 2210 --part {ABUTMENT} --quantity 1 --until 2026-11-25"))["entry"]
            .clone();
    let tomorrow = |line: &str| {
        let mut words = vec!["--on", "2026-11-26", "--json", "--as", "AB"];
        words.extend(line.split(' '));
        let mut command = crate::support::started();
        command.arg("--home").arg(place.home()).args(words).env_remove("SPARESEAT_HOME").output().unwrap()
    };
    let stock = text(&tomorrow("stock").stdout);
    assert!(stock.contains("\"holds\":[]") || stock.contains("\"holds\": []"), "{stock}");
    let used = tomorrow(&format!(
        "use 1047 --site 25 --position abutment --part {ABUTMENT} --lot MU-2077 --torque 30"
    ));
    assert_eq!(code(&used), 0, "{}", text(&used.stderr));
    assert!(hold.is_u64());
}

#[test]
fn what_cannot_be_promised_is_refused() {
    let place = Place::demo();
    let rows: [(&str, i32, &str); 12] = [
        (
            "hold 1047 --part plover-mua-4.1-c3.0 --quantity 2 --until 2026-11-30",
            1,
            "spareseat: 2 pieces of part plover-mua-4.1-c3.0 wanted, 1 free to be held until 30 Nov 2026. In the house: 1 piece of lot MU-2077 in cabinet-2-drawer-3, until 30 Nov 2026. Held: none. Nothing was booked",
        ),
        (
            "hold 1047 --part plover-mua-4.1-c3.0 --quantity 1 --until 2026-12-01",
            1,
            "spareseat: 1 piece of part plover-mua-4.1-c3.0 wanted, 0 free to be held until 1 Dec 2026. In the house: 1 piece of lot MU-2077 in cabinet-2-drawer-3, until 30 Nov 2026. Held: none. Nothing was booked",
        ),
        (
            "hold 1047 --part plover-mua-4.1-c3.0 --lot MU-2077 --quantity 1 --until 2026-12-01",
            1,
            "spareseat: lot MU-2077 of part plover-mua-4.1-c3.0 cannot be used after 30 Nov 2026, so it is not held until 1 Dec 2026. Hold it until 30 Nov 2026 at most, or another lot; nothing was booked",
        ),
        (
            "hold 1047 --part dunlin-abutment-screw --lot DS-0702 --quantity 1 --until 2026-11-25",
            1,
            "spareseat: lot DS-0702 of part dunlin-abutment-screw is EXPIRED, end of Sep 2026: it is held for nobody. Nothing was booked",
        ),
        (
            "hold 1047 --part plover-mua-4.1-c3.0 --lot MU-2078 --quantity 1 --until 2026-11-30",
            1,
            "spareseat: no lot MU-2078 of part plover-mua-4.1-c3.0 in the house. In the house: 1 piece of lot MU-2077 in cabinet-2-drawer-3, until 30 Nov 2026. Nothing was booked",
        ),
        (
            "hold 1047 --part plover-mua-4.1-c3.0 --quantity 1 --until 2026-11-24",
            2,
            "spareseat: --until 2026-11-24: today is 2026-11-25, and nothing is held for the past. Nothing was booked",
        ),
        (
            "hold 1047 --part plover-prosthetic-screw-1.4 --quantity 1 --until 2026-12-05 --place cabinet-2-drawer-3",
            1,
            "spareseat: 1 piece of part plover-prosthetic-screw-1.4 wanted, 0 free to be held until 5 Dec 2026. In the house: 3 pieces of lot PS-1120 in cabinet-2-drawer-1, until end of Sep 2028. Held: none. Nothing was booked",
        ),
        (
            "hold 9 --part plover-mua-4.1-c3.0 --quantity 1 --until 2026-11-30",
            2,
            "spareseat: no case 9 on record. To enter one: 'spareseat case new 9'; a patient who walks in: 'spareseat visit 9 --new --site TOOTH --broken WHAT'",
        ),
        (
            "hold 1047 --part plover-mua-4.1-c3.O --quantity 1 --until 2026-11-30",
            2,
            "error: invalid value 'plover-mua-4.1-c3.O' for '--part <PART>': 'plover-mua-4.1-c3.O' is not a part code: expected small letters, digits, '-' and '.', such as plover-mua-3.0",
        ),
        (
            "hold 1047 --part plover-mua-4.1-c3.0 --quantity 201 --until 2026-11-30",
            2,
            "error: invalid value '201' for '--quantity <QUANTITY>': '201' is not a quantity to set aside: expected 1 to 200",
        ),
        (
            "hold 1047 --part plover-mua-4.1-c3.0 --quantity -1 --until 2026-11-30",
            2,
            "error: invalid value '-1' for '--quantity <QUANTITY>': '-1' is not a quantity to set aside: expected 1 to 200",
        ),
        ("release 40", 2, "spareseat: entry 40 holds nothing. Holds: none. Nothing was booked"),
    ];
    for (line, status, says) in rows {
        refused(&place, line, status, says);
    }
    // What is promised is not promised again, and the refusal says for whom it is.
    let hold =
        booked(&place, &format!("hold 2210 --part {ABUTMENT} --quantity 1 --until 2026-11-30"))["entry"]
            .clone();
    refused(
        &place,
        &format!("hold 1047 --part {ABUTMENT} --quantity 1 --until 2026-11-28"),
        1,
        &format!(
            "spareseat: 1 piece of part {ABUTMENT} wanted, 0 free to be held until 28 Nov 2026. In the house: 1 piece of lot MU-2077 in cabinet-2-drawer-3, until 30 Nov 2026. Held: hold {hold}: 1 piece of lot MU-2077 for case 2210 until 30 Nov 2026. Nothing was booked"
        ),
    );
    refused(
        &place,
        "release 40",
        2,
        &format!(
            "spareseat: entry 40 holds nothing. Holds: {hold} (case 2210, {ABUTMENT}, until 30 Nov 2026). Nothing was booked"
        ),
    );
    refused(
        &place,
        &format!("reverse {hold}"),
        1,
        &format!(
            "spareseat: entry {hold} sets stock aside for case 2210: let go of it instead, with 'spareseat release ENTRY'. Nothing was booked"
        ),
    );
    booked(&place, "case close 3306 --because moved");
    refused(
        &place,
        &format!("hold 3306 --part {SCREW} --quantity 1 --until 2026-12-01"),
        1,
        "spareseat: case 3306 is closed since 25 Nov 2026: nothing is held for it. Open it first: 'spareseat case reopen 3306'; nothing was booked",
    );
}
