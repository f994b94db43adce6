//! Shares that are not written or not taken, word for word; forged and hostile files.

use std::fs;

use serde_json::{Value as Json, json};
use spareseat::lab::sharing;
use spareseat::logbook::Sum;

use super::refusals::refused;
use super::sharing::{laboratory, put, shared};
use super::typed::typed;
use crate::support::{Place, code, text};

/// The file with a change, and a sum that somebody recomputed.
pub fn forged(file: &str, change: impl FnOnce(&mut Json)) -> String {
    let mut json: Json = serde_json::from_str(file).unwrap();
    json.as_object_mut().unwrap().shift_remove("sum");
    change(&mut json);
    sharing::seal(&json).0
}

/// The same with the sums of its sites recomputed too.
pub fn forged_site(file: &str, change: impl FnOnce(&mut Json)) -> String {
    forged(file, |json| {
        change(json);
        for site in json["sites"].as_array_mut().unwrap() {
            let sum = Sum::of(&serde_json::to_vec(&site["standing"]).unwrap());
            site["sum"] = sum.to_string().into();
        }
    })
}

/// What is forged in these tests is written as the program writes it.
pub fn sealed_unchanged(file: &str) {
    assert_eq!(forged_site(file, |_| {}), file, "what is forged here is what the program writes");
}

#[test]
fn what_is_not_shared() {
    let place = Place::demo();
    shared(&place, "1047");
    for (line, status, says) in [
        (
            "case share 1047 shared.json",
            2,
            "spareseat: shared.json exists: nothing was written. Choose another name, or add --over to put this in its place",
        ),
        ("case share 1047 .", 2, "spareseat: . is a folder: name a file in it. Nothing was written"),
        (
            "case share 1074 a.json",
            2,
            "spareseat: no case 1074 on record. Did you mean 1047? To enter one: 'spareseat case new 1074'; a patient who walks in: 'spareseat visit 1074 --new --site TOOTH --broken WHAT'",
        ),
        (
            "case share 1047 none/a.json",
            3,
            "spareseat: could not write none/a.json: No such file or directory (os error 2). Nothing was left there",
        ),
    ] {
        refused(&place, line, status, says);
    }
    let home = place.home().display().to_string();
    let says = format!(
        "spareseat: home/logbook.jsonl lies in the home {}: what is in there is the record's own. Choose another folder; nothing was written",
        spareseat::units::printable(&home)
    );
    refused(&place, "case share 1047 home/logbook.jsonl --over", 2, &says);
    typed(&place, "case new 7001");
    refused(
        &place,
        "case share 7001 a.json",
        1,
        "spareseat: case 7001 has no sites on record: there is nothing to share. Enter what is fitted first, 'spareseat case found 7001 --site TOOTH …'",
    );
    assert!(!place.folder().join("a.json").exists());
}

#[test]
fn what_a_laboratory_does_not_take() {
    let (practice, lab) = (Place::demo(), laboratory());
    let file = shared(&practice, "1047");
    put(&lab, "a.json", &file);
    put(&practice, "a.json", &file);
    let own = "spareseat: this is case 1047 of this very home: it is on record here. A share is for the laboratory's home; what comes back from there is its answer. Nothing was booked";
    refused(&practice, "case take a.json", 1, own);
    put(&lab, "tomorrow.json", &forged(&file, |j| j["on"] = "2026-11-26".into()));
    let says = "spareseat: the file is of 26 Nov 2026, after today, 25 Nov 2026: one of the two clocks is wrong. Nothing was booked";
    refused(&lab, "case take tomorrow.json", 1, says);
    typed(&lab, "case new 1047");
    refused(
        &lab,
        "case take a.json",
        1,
        "spareseat: case 1047 on record here is a case of this home: take this one under a number of its own, --number N. Nothing was booked",
    );
    typed(&lab, "case take a.json --number L-1");
    refused(
        &lab,
        "case take a.json --number L-2",
        2,
        "spareseat: case 1047 of Mudflat Practice (made up) is on record here as case L-1: leave out --number, and it is replaced there. Nothing was booked",
    );
    put(&lab, "b.json", &shared(&practice, "2210"));
    refused(
        &lab,
        "case take b.json --number L-1",
        1,
        "spareseat: case L-1 on record here is case 1047 of Mudflat Practice (made up): take this one under a number of its own, --number N. Nothing was booked",
    );
    refused(
        &lab,
        "case share L-1 c.json",
        1,
        "spareseat: case L-1 is case 1047 of Mudflat Practice (made up): share it from there. To send them what was found, 'spareseat fit L-1 … --answer FILE'",
    );
    put(
        &practice,
        "real.json",
        &forged(&file, |j| {
            j["made_up"] = false.into();
            j["logbook"] = "0123456789abcdef0123456789abcdef".into();
        }),
    );
    refused(
        &practice,
        "case take real.json --number 9",
        1,
        "spareseat: this home is made up, and case 1047 of Mudflat Practice (made up) is a real patient's: make a home for real cases, 'spareseat --home DIR new --practice NAME'. Nothing was booked",
    );
    let out = lab.run(&["case", "take", "b.json"]);
    assert_eq!((code(&out), text(&out.stderr).as_str()), (2, "spareseat: say who books: --as INITIALS\n"));
}

#[test]
fn a_file_that_is_no_such_file() {
    let (practice, lab) = (Place::demo(), laboratory());
    let file = shared(&practice, "1047");
    let neither = "is neither a case that was shared nor a laboratory's answer. Nothing was taken";
    let long = format!("{}\n", "x".repeat(sharing::MOST_BYTES));
    for (content, status, says) in [
        ("[]".to_owned(), 2, neither.to_owned()),
        ("{\"file\":\"a shopping list\",\"form\":1}".to_owned(), 2, neither.to_owned()),
        ("{\"form\":1}".to_owned(), 2, neither.to_owned()),
        (
            long,
            2,
            "has 1048577 bytes: at most 1048576 are read. Nothing was taken".to_owned(),
        ),
        (
            file.replace("\"form\": 3,", "\"form\": 4,"),
            1,
            "(a shared case) is of form 4; this program reads forms up to 3: use the newer spareseat. Nothing was taken"
                .to_owned(),
        ),
        (
            file.replace("\"form\": 3,", "\"form\": 0,"),
            1,
            "(a shared case) says it is of form 0, which there never was. Ask for it again; nothing was taken"
                .to_owned(),
        ),
        (
            file.replace("MU-1203", "MU-1204"),
            1,
            "is not as it was written: its sum does not match. Ask for it again; nothing was taken".to_owned(),
        ),
        (
            file.replace('\n', "\r\n"),
            1,
            "is not as it was written: its sum does not match. Ask for it again; nothing was taken".to_owned(),
        ),
        (
            file[..1000].to_owned(),
            1,
            "is no whole JSON (line 39, column 45: EOF while parsing a string): it was cut off or changed on its way. Ask for it again; nothing was taken".to_owned(),
        ),
        (
            file.replace("\"crown_height\": 12000", "\"crown_height\": NaN"),
            1,
            "is no whole JSON (line 30, column 23: expected value): it was cut off or changed on its way. Ask for it again; nothing was taken".to_owned(),
        ),
        (
            file.replace("\"crown_height\": 12000", "\"crown_height\": Infinity"),
            1,
            "is no whole JSON (line 30, column 23: expected value): it was cut off or changed on its way. Ask for it again; nothing was taken".to_owned(),
        ),
        (
            forged(&file, |j| j["blood_group"] = "0".into()),
            1,
            "cannot be read: line LINE, column COLUMN: unknown field `blood_group`, expected one of `file`, `form`,…. Nothing was taken".to_owned(),
        ),
        (
            forged(&file, |j| j["practice"] = "a\u{1b}[2Jb".into()),
            1,
            "cannot be read: line 5, column 31: 'a\\u{1b}[2Jb' is not a practice name: expected a short name. Nothing was taken".to_owned(),
        ),
        (
            forged(&file, |j| j["practice"] = "x".repeat(100_000).into()),
            1,
            "cannot be read: line 5, column 100015: a practice name has 100000 bytes: at most 80 are kept. Nothing was taken".to_owned(),
        ),
        (
            forged(&file, |j| j["case"] = "Jo Doe".into()),
            1,
            "cannot be read: line 9, column 18: 'Jo Doe' is not a case number: expected digits or letters, s…. Nothing was taken".to_owned(),
        ),
    ] {
        put(&lab, "a.json", &content);
        let out = typed(&lab, "case take a.json");
        let said = text(&out.stderr);
        let expected = format!("spareseat: a.json {says}\n");
        let (said_plain, expected) = (without_place(&said), without_place(&expected));
        assert_eq!((code(&out), said_plain), (status, expected), "{said}");
    }
    fs::write(lab.folder().join("a.json"), [b"{\"file\":\"".as_slice(), &[0xff, 0xfe]].concat()).unwrap();
    let out = typed(&lab, "case take a.json");
    assert_eq!(
        text(&out.stderr),
        "spareseat: a.json is no whole JSON (it is not UTF-8): it was cut off or changed on its way. Ask for it again; nothing was taken\n"
    );
    let out = typed(&lab, "case take gone.json");
    assert_eq!(
        text(&out.stderr),
        "spareseat: could not read gone.json: No such file or directory (os error 2)\n"
    );
    assert_eq!(lab.json(&["case", "list"])["cases"], json!([]), "nothing of all this was taken");
}

/// The place in a long file depends on what the demo holds: the words are what is looked at.
fn without_place(said: &str) -> String {
    let Some((before, rest)) = said.split_once("line ") else { return said.to_owned() };
    let after = rest.split_once(": ").map_or(rest, |(_, after)| after);
    format!("{before}{after}")
}

#[test]
fn facts_that_contradict_each_other_are_refused_though_every_sum_is_right() {
    let (practice, lab) = (Place::demo(), laboratory());
    let file = shared(&practice, "1047");
    sealed_unchanged(&file);
    type Change = fn(&mut Json);
    let rows: [(Change, &str); 20] = [
        (
            |j| j["sites"][1]["standing"]["assembly"][1]["part"]["seat_height"] = 2_147_483_647.into(),
            "tooth 25: abutment: part plover-mua-4.1-c3.0: '2147483.647 mm' is not a seat height: expected 0 to 20 mm",
        ),
        (
            |j| j["sites"][1]["standing"]["assembly"][1]["torque"] = json!({ "measured": -1 }),
            "tooth 25: abutment: '-0.01 Ncm' is not a torque: expected 1 to 100 Ncm",
        ),
        (
            |j| j["sites"][1]["standing"]["assembly"][1]["on"] = "2026-11-26".into(),
            "tooth 25: abutment: fitted on 26 Nov 2026, after the day of the file",
        ),
        (
            |j| j["sites"][1]["standing"]["assembly"][1]["on"] = "1066-10-14".into(),
            "tooth 25: abutment: the day it was fitted: '1066' is not a year: expected 1970 to 2100",
        ),
        (
            |j| j["sites"][1]["standing"]["assembly"][1]["lean"] = "buccal".into(),
            "tooth 25: abutment: only an angled part leans",
        ),
        (
            |j| j["sites"][1]["standing"]["assembly"][1]["position"] = "implant".into(),
            "tooth 25: its positions must stand once each, from the implant up",
        ),
        (
            |j| j["sites"][1]["standing"]["assembly"][3]["position"] = "healing-cap".into(),
            "tooth 25: healing cap (on abutment): part plover-prosthetic-screw-1.4 is a prosthetic screw (bridge to abutment), which does not go there",
        ),
        (
            |j| {
                j["sites"][1]["standing"]["assembly"][1]["part"]["belongs_to"] =
                    vec!["x".repeat(60); 200].into()
            },
            "tooth 25: abutment: a text of it is longer than the record keeps",
        ),
        (|j| j["sites"][1]["standing"]["site"] = 24.into(), "tooth 24 stands twice"),
        (|j| j["sites"] = json!([]), "it has 0 sites: expected 1 to 32"),
        (
            |j| j["restorations"][0]["sites"] = json!([24, 25, 28]),
            "restoration 24-25-(26)-28: its sites must be sites of the case, once each",
        ),
        (
            |j| j["restorations"][0]["sites"] = json!([]),
            "a restoration stands on 1 site at least, and has 32 teeth at most",
        ),
        (
            |j| j["restorations"][0]["cantilever_left"] = 255.into(),
            "restoration 24-25-(26)-27: '255' is not a number of cantilever teeth: expected 0 to 3",
        ),
        (
            |j| j["restorations"][0]["crown_height"] = (-5).into(),
            "restoration 24-25-(26)-27: '-0.005 mm' is not a crown height: expected 1 to 40 mm",
        ),
        (
            |j| {
                j["sites"][1]["standing"]["measured"] =
                    json!({ "site": 25, "position": [0, 0, 200_000], "axis": null })
            },
            "tooth 25: '200.0 mm' is not a coordinate: expected -100 to 100 mm",
        ),
        (
            |j| {
                j["sites"][1]["standing"]["measured"] =
                    json!({ "site": 25, "position": [0, 0, 0], "axis": [0, 0, 0] })
            },
            "tooth 25: its axis is no direction",
        ),
        (
            |j| {
                j["sites"][1]["standing"]["measured"] =
                    json!({ "site": 25, "position": [0, 0, 0], "axis": [0, 0, 1_000_001] })
            },
            "tooth 25: its axis is no direction",
        ),
        (
            |j| {
                j["sites"][1]["standing"]["measured"] =
                    json!({ "site": 26, "position": [0, 0, 0], "axis": null })
            },
            "tooth 25: it is measured as tooth 26",
        ),
        (
            |j| j["sites"][1]["standing"]["restoration"] = Json::Null,
            "tooth 25: it does not carry the restoration it says",
        ),
        (
            |j| j["restorations"][0]["job"] = "J-9".into(),
            "tooth 24: it does not carry the restoration it says",
        ),
    ];
    for (change, why) in rows {
        put(&lab, "a.json", &forged_site(&file, change));
        let says =
            format!("spareseat: a.json contradicts itself: {why}. Ask for it again; nothing was taken");
        refused(&lab, "case take a.json", 1, &says);
    }
    put(
        &lab,
        "a.json",
        &forged(&file, |j| j["sites"][1]["standing"]["assembly"][1]["lot"] = "MU-1204".into()),
    );
    let says = "spareseat: a.json contradicts itself: tooth 25: its own sum does not match. Ask for it again; nothing was taken";
    refused(&lab, "case take a.json", 1, says);
}
