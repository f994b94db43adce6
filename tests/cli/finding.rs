//! `find`: from a label to the part and its drawer. Item numbers begin with 952, which GS1 keeps for examples.

use std::fs;

use serde_json::{Value as Json, json};

use super::booking::{booked, pieces, whole};
use super::refusals::refused;
use super::typed::typed;
use crate::support::{Place, code, heard, text};

/// The demo's prosthetic screw.
const SCREW: &str = "(01)09521234000648";

fn found(place: &Place, label: &str) -> (i32, Json) {
    let out = place.run(&["--json", "find", label]);
    (code(&out), serde_json::from_slice(&out.stdout).unwrap_or_else(|e| panic!("{e}: {}", text(&out.stderr))))
}

#[test]
fn a_label_leads_to_its_part_and_its_drawer_its_own_lot_first() {
    let place = Place::demo();
    booked(
        &place,
        "receive plover-prosthetic-screw-1.4 --lot A-NEW --quantity 2 --place cabinet-1-drawer-1 --new-place --expiry 2031-02",
    );
    for (lot, first) in [("A-NEW", "A-NEW"), ("PS-1120", "PS-1120")] {
        let (status, j) = found(&place, &format!("{SCREW}(17)310228(10){lot}"));
        assert_eq!((status, &j["item_number"]), (0, &json!("09521234000648")));
        assert_eq!(j["parts"][0]["code"], "plover-prosthetic-screw-1.4");
        assert_eq!(j["rows"][0]["lot"], first);
        assert_eq!(j["label"]["verdict"], "ok");
        assert!(j["rows"].as_array().unwrap().len() >= 2);
    }
    // As a scanner sends it, the same part; without a lot, wherever it lies.
    let (status, j) = found(&place, "]d20109521234000648");
    assert_eq!((status, &j["parts"][0]["code"]), (0, &json!("plover-prosthetic-screw-1.4")));
    let said = text(&place.run(&["find", &format!("{SCREW}(17)310228(10)A-NEW")]).stdout);
    assert!(
        said.starts_with("plover-prosthetic-screw-1.4 (prosthetic screw M1.4, flat head): item number 09521234000648.\n\nThe label says: lot A-NEW; expiry 28 Feb 2031.\n"),
        "{said}"
    );
}

#[test]
fn a_label_of_no_part_is_offered_with_what_it_says_and_nothing_is_invented() {
    let place = Place::demo();
    let (status, j) = found(&place, "(01)09521234543213(10)L-9(21)S1");
    assert_eq!((status, &j["parts"], &j["rows"]), (1, &json!([]), &json!([])));
    let out = place.run(&["find", "(01)09521234543213(10)L-9(21)S1"]);
    assert_eq!(
        text(&out.stdout),
        "No part of the catalogue has item number 09521234543213.\n\nThe label says: lot L-9; serial number S1; no expiry.\nNothing else of it is known, and nothing is invented: ask the maker for its numbers, then enter it with 'spareseat part import FILE.toml', with this item number as its gtin or hibc.\n"
    );
}

#[test]
fn what_is_no_label_or_names_no_item_is_refused() {
    let place = Place::demo();
    for (line, says) in [
        (
            "find '(10)LOT-7'",
            "spareseat: this label names no item: scan the other one on the pack, the one with the item number",
        ),
        ("find '(01)09521234000647'", "spareseat: this label is not taken: "),
        ("find plover", "spareseat: this label is not taken: "),
    ] {
        let out = typed(&place, line);
        assert!(text(&out.stderr).starts_with(says), "{line}: {}", text(&out.stderr));
        assert_eq!((code(&out), text(&out.stdout)), (1, String::new()), "{line}");
    }
    refused(
        &place,
        "find '(10)LOT-7'",
        1,
        "spareseat: this label names no item: scan the other one on the pack, the one with the item number",
    );
}

/// A part that a home takes in with an item number is found by it, by HIBC as well; one that is none, or twice, is not
/// taken. The HIBC number is the worked example of ANSI/HIBC 2.6, Appendix B.
#[test]
fn an_item_number_is_checked_when_it_comes_in() {
    let place = Place::demo();
    let file = place.folder().join("new.toml");
    let import = |numbers: &str| {
        let part = format!(
            "form = 1\ninvented = true\nsource = \"Tideline Supplies (invented)\"\nsystem = \"stint\"\n[[part]]\ncode = \"stint-floss\"\nkind = \"consumable\"\ndescription = \"floss for drivers\"\n{numbers}\n"
        );
        fs::write(&file, part).unwrap();
        place.book(&["part", "import", file.to_str().unwrap()])
    };
    for (numbers, says) in [
        (
            "gtin = \"9521234000647\"",
            "'9521234000647' is no GTIN: expected 8, 12, 13 or 14 digits, the last of them its check digit",
        ),
        (
            "gtin = \"952\"",
            "'952' is no GTIN: expected 8, 12, 13 or 14 digits, the last of them its check digit",
        ),
        (
            "hibc = \"a123\"",
            "'a123' is no HIBC primary code: expected labeler, number and unit without the check character, such as A123BJC5D6E71",
        ),
        (
            "gtin = \"9521234000648\"",
            "part stint-floss: plover-prosthetic-screw-1.4 has the same item number 09521234000648",
        ),
    ] {
        let out = import(numbers);
        let said = text(&out.stderr);
        assert_ne!(code(&out), 0, "{numbers}");
        assert!(said.contains(says), "{numbers}: {said}");
    }
    let out = import("gtin = \"95012346\"\nhibc = \"A123BJC5D6E71\"");
    assert_eq!(code(&out), 0, "{}", text(&out.stderr));
    for label in ["+A123BJC5D6E71G", "(01)00000095012346"] {
        let (status, j) = found(&place, label);
        assert_eq!((status, &j["parts"][0]["code"]), (0, &json!("stint-floss")), "{label}");
    }
}

#[test]
fn a_delivery_is_booked_by_its_label() {
    let place = Place::demo();
    let line = format!("receive '{SCREW}(17)290630(10)L-1' --place cabinet-2-drawer-1");
    let done = booked(&place, &line);
    // As many as a pack holds.
    assert_eq!(
        (&done["part"], &done["lot"], &done["quantity"]),
        (&json!("plover-prosthetic-screw-1.4"), &json!("L-1"), &json!(4))
    );
    assert_eq!(pieces(&place, "plover-prosthetic-screw-1.4", "L-1", "cabinet-2-drawer-1"), 4);
    let stock = place.json(&["stock", "--part", "plover-prosthetic-screw-1.4"]);
    let row = stock["rows"].as_array().unwrap().iter().find(|r| r["lot"] == "L-1").unwrap();
    assert_eq!(row["expiry"], "2029-06-30");
    // As the label says, or the person; a lot by its serial number where it has no other.
    let done =
        booked(&place, &format!("receive '{SCREW}(21)S-9(30)2' --place cabinet-2-drawer-1 --expiry 2030-01"));
    assert_eq!((&done["lot"], &done["quantity"]), (&json!("S-9"), &json!(2)));
    let done = booked(&place, &format!("receive '{SCREW}(10)L-2' --place cabinet-2-drawer-1 --quantity 7"));
    assert_eq!(done["quantity"], json!(7));
    // The raw text stands in the record.
    let log = fs::read_to_string(place.home().join("logbook.jsonl")).unwrap();
    assert!(log.contains(&format!("\"label\":\"{SCREW}(17)290630(10)L-1\"")));
    whole(&place);
}

#[test]
fn a_label_that_does_not_say_enough_books_nothing() {
    let place = Place::demo();
    booked(&place, &format!("receive '{SCREW}(17)290630(10)L-1' --place cabinet-2-drawer-1"));
    let put = "--place cabinet-2-drawer-1";
    for (line, status, says) in [
        (
            format!("receive '(01)09521234543213(10)L' {put}"),
            1,
            "spareseat: no part of the catalogue has item number 09521234543213: 'spareseat find LABEL' shows what the label says. Nothing was booked",
        ),
        (
            format!("receive '{SCREW}(17)290630' {put}"),
            2,
            "spareseat: this label says no lot and no serial number: say --lot as printed. Nothing was booked",
        ),
        (
            format!("receive '{SCREW}(10)L-1' {put} --lot L-2"),
            1,
            "spareseat: lot L-2 was said, the label says L-1: read the pack again. Nothing was booked",
        ),
        (
            format!("receive '{SCREW}(10)L-1' {put} --label '{SCREW}(10)L-2'"),
            2,
            "spareseat: two labels were said: scan one, the one of the pack. Nothing was booked",
        ),
        (
            format!("receive '{SCREW}(17)290630(10)L-1' {put} --expiry 2029-07"),
            1,
            "spareseat: an expiry of end of Jul 2029 was said, the label says 30 Jun 2029: read the pack again; nothing was booked",
        ),
        (
            format!("receive '{SCREW}(17)290731(10)L-1' {put}"),
            1,
            "spareseat: lot L-1 of part plover-prosthetic-screw-1.4 is on record with another expiry: 30 Jun 2029; now said: 31 Jul 2029. Read the label again; nothing was booked",
        ),
        (
            format!("receive plover-prosthetic-screw-1.4 {put}"),
            2,
            "spareseat: which lot of part plover-prosthetic-screw-1.4? Say --lot as printed on the pack, or scan its label in place of the part. Nothing was booked",
        ),
        (
            format!("receive plover-prosthetic-screw-1.4 {put} --lot L-3"),
            2,
            "spareseat: how many pieces of plover-prosthetic-screw-1.4 came? Say the quantity. Nothing was booked",
        ),
    ] {
        refused(&place, &line, status, says);
    }
}

/// A pack that is over, or of a lot that its maker called back, says so whatever else lies in the house.
#[test]
fn what_must_not_go_into_anybody_is_said_before_where_it_lies() {
    let place = Place::demo();
    let over = format!("{SCREW}(17)200630(10)PS-1120");
    let (status, j) = found(&place, &over);
    assert_eq!((status, &j["careful"][0]), (0, &json!("this pack is EXPIRED, 30 Jun 2020")));
    let said = text(&place.run(&["find", &over]).stdout);
    assert!(said.contains("expiry 30 Jun 2020.\nCAREFUL: this pack is EXPIRED, 30 Jun 2020.\n"), "{said}");
    let out = typed(&place, "withdraw --lot PS-1120");
    assert_eq!(code(&out), 1, "three units are in a mouth: {}", heard(&out));
    let (_, j) = found(&place, &format!("{SCREW}(17)290630(10)PS-1120"));
    let careful = j["careful"][0].as_str().unwrap();
    assert!(careful.starts_with("lot PS-1120 was CALLED BACK BY ITS MAKER (entry "), "{careful}");
    let out = typed(&place, &format!("receive '{over}' --place cabinet-2-drawer-1"));
    assert_eq!(code(&out), 1, "{}", text(&out.stdout));
    let done = booked(&place, &format!("receive '{SCREW}(17)200630(10)OLD' --place cabinet-2-drawer-1"));
    assert_eq!(done["remarks"], json!(["this pack is EXPIRED, 30 Jun 2020"]));
}
