//! Cases closed, opened and checked: what is due, what is refused, what the screens then say.

use serde_json::{Value as Json, json};

use super::bare_numbers::bare_numbers;
use super::booking::{booked, whole};
use super::by_hand::{SCREW, book, tray, visit_begun};
use super::refusals::refused;
use super::typed::typed;
use crate::support::{Place, code, text};

/// What `line` says on the screen; nothing on stderr, exit status 0.
fn said(place: &Place, line: &str) -> String {
    let out = typed(place, line);
    assert_eq!((code(&out), text(&out.stderr)), (0, String::new()), "{line}");
    let shown = text(&out.stdout);
    for line in shown.lines() {
        assert_eq!(bare_numbers(line), [""; 0], "{line}");
    }
    shown
}

fn last(place: &Place) -> u64 {
    place.json(&["stock"])["as_of"].as_u64().unwrap()
}

#[test]
fn a_case_is_closed_and_opened_again() {
    let place = Place::demo();
    let next = last(&place) + 1;
    assert_eq!(
        said(&place, "case close 2210 --because 'moved away'"),
        format!("entry {next}: case 2210 is closed; it stays on record.\n")
    );
    assert_eq!(
        said(&place, "case list"),
        "6 cases on record.\n  case 1047\n  case 2210 (closed)\n  case 3306\n  case 4051\n  case 5120\n  case 6188\n"
    );
    let list = place.json(&["case", "list"]);
    assert_eq!(
        (&list["cases"], &list["closed"]),
        (&json!(["1047", "2210", "3306", "4051", "5120", "6188"]), &json!(["2210"]))
    );
    let shown = said(&place, "case show 2210");
    assert!(shown.contains("\nCLOSED since 25 Nov 2026: moved away\n"), "{shown}");
    let case = place.json(&["case", "show", "2210"]);
    assert_eq!(case["closed"], json!({ "on": "2026-11-25", "because": "moved away" }));
    let says = "spareseat: case 2210 is closed already, since 25 Nov 2026: moved away. Nothing was booked";
    refused(&place, "case close 2210 --because again", 1, says);
    let says = "spareseat: case 2210 is closed since 25 Nov 2026: open it again first, 'spareseat case reopen 2210 --because REASON'. Nothing was booked";
    refused(&place, "case next-check 2210 --due 2026-12-01 --because screws", 1, says);
    let answer = booked(&place, "case reopen 2210 --because 'came back'");
    assert_eq!(
        (&answer["case"], &answer["closed"], &answer["because"]),
        (&"2210".into(), &false.into(), &"came back".into())
    );
    let says = "spareseat: case 2210 is not closed: nothing was booked";
    refused(&place, "case reopen 2210 --because again", 1, says);
    assert_eq!(place.json(&["case", "show", "2210"])["closed"], Json::Null);
    whole(&place);
}

#[test]
fn a_case_with_a_visit_going_on_is_not_closed() {
    let place = Place::demo();
    let entry = book(&place, &visit_begun());
    let says = format!(
        "spareseat: case 1047 has a visit that has not ended: at tooth 25 (upper left second premolar), begun on 25 Nov 2026 (entry {entry}). End the visit first, 'spareseat --as INITIALS visit 1047 --end HOW'; nothing was booked"
    );
    refused(&place, "case close 1047 --because 'moved away'", 1, &says);
}

#[test]
fn a_check_is_set_for_a_day_to_come_and_called_off() {
    let place = Place::demo();
    for (due, says) in [
        (
            "2026-11-24",
            "spareseat: 24 Nov 2026 lies before today, 25 Nov 2026: a check is set for today or a later day. Nothing was booked",
        ),
        (
            "2036-11-26",
            "spareseat: 26 Nov 2036 lies more than 10 years ahead: a check is set for 25 Nov 2036 at the latest. Nothing was booked",
        ),
        (
            "2026-02-30",
            "error: invalid value '2026-02-30' for '--due <DATE>': '2026-02-30' is not a date: expected YYYY-MM-DD, such as 2026-11-30",
        ),
    ] {
        refused(&place, &format!("case next-check 1047 --due {due} --because screws"), 2, says);
    }
    for (line, status, says) in [
        (
            "case next-check 1047 --off --because 'not needed'",
            1,
            "spareseat: case 1047 has no check set: there is nothing to call off. Nothing was booked",
        ),
        (
            "case next-check 1048 --off --because 'not needed'",
            2,
            "spareseat: no case 1048 on record. Did you mean 1047? To enter one: 'spareseat case new 1048'; a patient who walks in: 'spareseat visit 1048 --new --site TOOTH --broken WHAT'",
        ),
        (
            "case next-check 1047 --because screws",
            2,
            "error: the following required arguments were not provided:",
        ),
        (
            "case next-check 1047 --off --due 2026-12-01 --because screws",
            2,
            "error: the argument '--off' cannot be used with '--due <DATE>'",
        ),
    ] {
        refused(&place, line, status, says);
    }
    let next = last(&place) + 1;
    assert_eq!(
        said(&place, "case next-check 1047 --due 2036-11-25 --because 'all screws'"),
        format!("entry {next}: case 1047 is to be checked on 25 Nov 2036: all screws.\n")
    );
    let answer = booked(&place, "case next-check 1047 --due 2026-11-25 --because 'screw at tooth 25'");
    assert_eq!((&answer["due"], &answer["because"]), (&"2026-11-25".into(), &"screw at tooth 25".into()));
    let shown = said(&place, "case show 1047");
    assert!(shown.contains("\nNext check on 25 Nov 2026: screw at tooth 25\n"), "{shown}");
    assert_eq!(
        place.json(&["case", "show", "1047"])["check"],
        json!({ "due": "2026-11-25", "because": "screw at tooth 25" })
    );
    assert_eq!(
        said(&place, "case next-check 1047 --off --because 'seen by a colleague'"),
        format!("entry {}: the next check of case 1047 is called off.\n", next + 2)
    );
    assert_eq!(place.json(&["case", "show", "1047"])["check"], Json::Null);
    // Being checked is what the check was for.
    booked(&place, "case next-check 1047 --due 2026-12-01 --because screws");
    booked(&place, "case note 1047 'all tight' --what checked");
    assert_eq!(place.json(&["case", "show", "1047"])["check"], Json::Null);
    whole(&place);
}

#[test]
fn what_is_due_comes_first_and_what_is_closed_is_counted() {
    let place = Place::demo();
    // One visit of the demo has not ended, and is no matter here.
    booked(&place, "visit 5120 --end referred");
    assert_eq!(said(&place, "case due"), "No check set; no visit open.\n");
    assert_eq!(said(&place, "case due --within 30"), "No check due within 30 days; no visit open.\n");
    booked(&place, "case next-check 4051 --due 2027-11-25 --because 'all screws'");
    booked(&place, "case next-check 3306 --due 2026-11-26 --because 'splint'");
    booked(&place, "case next-check 1047 --due 2026-11-25 --because 'screw at tooth 25'");
    booked(&place, "case next-check 2210 --due 2026-11-25 --because 'facing at tooth 34'");
    booked(&place, "case close 2210 --because 'moved away'");
    let entry = book(&place, &visit_begun());
    let at = |day: &str, line: &str| {
        let mut command = crate::support::started();
        command.arg("--home").arg(place.home()).args(["--on", day]).args(line.split(' '));
        let out = command.output().unwrap();
        assert_eq!((code(&out), text(&out.stderr)), (0, String::new()));
        text(&out.stdout)
    };
    assert_eq!(
        at("2026-12-07", "case due"),
        format!(
            "3 checks set, 2 of these OVERDUE; 1 visit not ended.

  case       check on     when                what for
  ---------- ------------ ------------------- ------------------
  case 1047  25 Nov 2026  overdue by 12 days  screw at tooth 25
  case 3306  26 Nov 2026  overdue by 11 days  splint
  case 4051  25 Nov 2027  in 353 days         all screws

Visits that have not ended
  - case 1047: visit at tooth 25 (upper left second premolar), begun on 25 Nov 2026 (entry {entry}), has not ended; prosthetic screw (bridge to abutment) broken; no tray booked yet

1 closed case with a check set is not listed.
"
        )
    );
    let soon = at("2026-11-25", "case due --within 1");
    assert!(soon.starts_with("2 checks due within 1 day; 1 visit not ended.\n"), "{soon}");
    assert!(
        soon.contains(" today     screw at tooth 25\n") && soon.contains(" in 1 day  splint\n"),
        "{soon}"
    );
    let today = at("2026-11-25", "case due --within 0");
    assert!(today.starts_with("1 check due by today; 1 visit not ended.\n"), "{today}");
    let json: Json = serde_json::from_str(&at("2026-12-07", "--json case due")).unwrap();
    assert_eq!(
        json["checks"][0],
        json!({ "case": "1047", "due": "2026-11-25", "days_left": -12, "because": "screw at tooth 25" })
    );
    assert_eq!(
        json["open_visits"],
        json!([{
            "case": "1047", "site": "25", "site_words": "upper left second premolar", "entry": entry,
            "begun_on": "2026-11-25", "broken": "prosthetic-screw", "left": "shank-in-abutment",
            "booked_by_entry": null,
        }])
    );
    assert_eq!(
        (&json["closed_not_listed"], &json["version"], &json["as_of"]),
        (&1.into(), &1.into(), &entry.into())
    );
    let says =
        "error: invalid value '366' for '--within <DAYS>': '366' is not a number of days: expected 0 to 365";
    refused(&place, "case due --within 366", 2, says);
    let answer = said(&place, "case reopen 2210 --because 'came back'");
    assert!(
        answer.ends_with("case 2210 is open again; its next check is on 25 Nov 2026: facing at tooth 34.\n"),
        "{answer}"
    );
    let answer = said(&place, "case close 3306 --because 'moved away'");
    assert!(answer.ends_with("its check on 26 Nov 2026 is not listed while it is closed.\n"), "{answer}");
}

#[test]
fn the_case_shows_its_visit_and_what_was_kept() {
    let place = Place::demo();
    let visit = book(&place, &visit_begun());
    let entry = book(&place, &tray(&place));
    let shown = said(&place, "case show 1047");
    let open = format!(
        "\nA visit at tooth 25 (upper left second premolar), begun on 25 Nov 2026 (entry {visit}), has not ended; prosthetic screw (bridge to abutment) broken; tray booked by entry {entry}\n"
    );
    assert!(shown.contains(&open), "{shown}");
    assert!(shown.contains("\nPieces that were kept\n  - tooth 25, "), "{shown}");
    let kept = format!(
        "\n  - tooth 25, prosthetic screw (bridge to abutment): {SCREW}, lot PS-1120, fitted 25 Nov 2026, removed 25 Nov 2026 (entry {entry}); it is the one that gave way\n"
    );
    assert!(shown.contains(&kept), "{shown}");
    let case = place.json(&["case", "show", "1047"]);
    assert_eq!(case["open_visit"]["booked_by_entry"].as_u64(), Some(entry));
    // The demo kept one before.
    let kept = |case: &Json| case["kept_pieces"].as_array().unwrap().clone();
    assert_eq!(
        kept(&case)[1..],
        [json!({
            "entry": entry, "removed_on": "2026-11-25", "site": "25", "site_words": "upper left second premolar",
            "position": "prosthetic-screw", "part": SCREW, "lot": "PS-1120", "fitted_on": "2026-11-25",
            "torque_ncm": 15.0, "torque": "15 Ncm", "became": "kept", "broken": true,
        })]
    );
    // Taken back, nothing came out.
    booked(&place, &format!("reverse {entry}"));
    assert_eq!(kept(&place.json(&["case", "show", "1047"]))[..], kept(&case)[..1]);
}

#[test]
fn one_of_a_thing_is_not_said_in_the_plural() {
    let place = Place::empty();
    booked_in_text(&place, "new --practice 'Our practice'");
    assert!(said(&place, "logbook show").starts_with("1 entry.\n"));
    assert!(said(&place, "logbook verify").contains("\n1 entry, 0 catalogue editions checked."));
    std::fs::write(
        place.folder().join("one.toml"),
        "form = 1\ncase = \"77\"\nnumbering = \"iso-3950\"\n[[site]]\ntooth = 25\n",
    )
    .unwrap();
    booked_in_text(&place, "case import one.toml");
    assert!(said(&place, "case list").starts_with("1 case on record.\n"));
    let shown = said(&place, "logbook show --case 77");
    assert!(shown.contains("case 77 entered: 1 site, 0 restorations\n"), "{shown}");
    let interface = typed(&Place::demo(), "interface show top-4.8");
    assert_eq!(text(&interface.stdout).lines().next(), Some("1 interface."));
}

fn booked_in_text(place: &Place, line: &str) {
    let out = typed(place, line);
    assert_eq!((code(&out), text(&out.stderr)), (0, String::new()), "{line}");
}
