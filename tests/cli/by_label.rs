//! A label in place of a part or a lot: every command that takes one takes the other, and means the same by it.
//!
//! Item numbers begin with 952, which GS1 keeps for examples.

use std::fs;

use serde_json::{Value as Json, json};

use super::booking::{booked, pieces, whole};
use super::refusals::refused;
use super::typed::typed;
use crate::support::{Place, code, heard, text};

const SCREW: &str = "plover-prosthetic-screw-1.4";
/// The screw's item number.
const ITEM: &str = "(01)09521234000648";
const DRAWER: &str = "cabinet-2-drawer-1";

/// What a home holds after the lines, by part and lot: drawers, holds, needs, what is apart.
fn after(lines: &[String]) -> (Json, Json) {
    let place = Place::demo();
    let mut last = Json::Null;
    for line in lines {
        last = booked(&place, line);
    }
    let mut stock = place.json(&["stock"]);
    stock["as_of"].take();
    whole(&place);
    (last, stock)
}

#[test]
fn every_act_means_the_same_by_a_label_as_by_part_and_lot() {
    let label = format!("{ITEM}(10)PS-1120");
    let at = "1047 --site 25 --position prosthetic-screw";
    for (before, by_hand, by_label) in [
        (
            "",
            format!("move {SCREW} --lot PS-1120 --quantity 2 --to cabinet-2-drawer-3"),
            format!("move '{label}' --quantity 2 --to cabinet-2-drawer-3"),
        ),
        (
            "",
            format!("discard {SCREW} --lot PS-1120 --quantity 1 --because fell"),
            format!("discard '{label}' --quantity 1 --because fell"),
        ),
        (
            "",
            format!("quarantine {SCREW} --lot PS-1120 --because 'odd thread'"),
            format!("quarantine '{label}' --because 'odd thread'"),
        ),
        (
            "",
            format!("quarantine {SCREW} --lot PS-1120 --because 'odd thread'"),
            format!("quarantine '{ITEM}' --lot PS-1120 --because 'odd thread'"),
        ),
        (
            "quarantine plover-prosthetic-screw-1.4 --lot PS-1120 --because 'odd thread'",
            format!(
                "quarantine --lift {SCREW} --lot PS-1120 --quantity 1 --place {DRAWER} --because 'looked at'"
            ),
            format!("quarantine --lift '{label}' --quantity 1 --place {DRAWER} --because 'looked at'"),
        ),
        (
            "",
            format!("hold 1047 --part {SCREW} --lot PS-1120 --quantity 2 --until 2026-12-01"),
            format!("hold 1047 --part '{label}' --quantity 2 --until 2026-12-01"),
        ),
        (
            "",
            format!("need 1047 --date 2026-12-01 --part {SCREW} --quantity 2"),
            format!("need 1047 --date 2026-12-01 --part '{label}' --quantity 2"),
        ),
        (
            "",
            format!("count {DRAWER} {SCREW}:PS-1120=4 --because counted"),
            format!("count {DRAWER} '{label}=4' --because counted"),
        ),
        (
            "",
            format!("use {at} --part {SCREW} --lot PS-1120 --torque 15"),
            format!("use {at} --label '{label}' --torque 15"),
        ),
        // As a scanner sends it, without brackets.
        (
            "",
            format!("use {at} --part {SCREW} --lot PS-1120 --torque 15"),
            format!("use {at} --label ']d2010952123400064810PS-1120' --torque 15"),
        ),
        (
            "",
            format!("move {SCREW} --lot PS-1120 --quantity 2 --to cabinet-2-drawer-3"),
            "move 010952123400064810PS-1120 --quantity 2 --to cabinet-2-drawer-3".to_owned(),
        ),
        (
            "",
            format!("use {at} --part {SCREW} --lot PS-1120 --torque 15"),
            format!("use {at} --label '{ITEM}' --lot PS-1120 --torque 15"),
        ),
        (
            "",
            format!("receive {SCREW} --lot NEW --quantity 4 --place {DRAWER} --expiry 2029-06-30"),
            format!("receive '{ITEM}(17)290630(10)NEW' --place {DRAWER}"),
        ),
    ] {
        let run = |line: &str| {
            after(
                &[before, line].iter().filter(|l| !l.is_empty()).map(|l| (*l).to_owned()).collect::<Vec<_>>(),
            )
        };
        let ((_, hand), (said, label)) = (run(&by_hand), run(&by_label));
        assert_eq!(hand, label, "{by_label}");
        assert!(said["entry"].is_u64(), "{by_label}");
        let (_, untouched) = after(&if before.is_empty() { vec![] } else { vec![before.to_owned()] });
        assert_ne!(hand, untouched, "{by_hand}: it does something");
    }
}

#[test]
fn every_look_up_means_the_same_by_a_label() {
    let place = Place::demo();
    let abutment = "(01)09521234000082";
    let mua = place.json(&["part", "show", abutment])["code"].as_str().unwrap().to_owned();
    let label = format!("{ITEM}(10)PS-1120");
    let swap = format!("25:abutment={mua}");
    let swap_by_label = format!("25:abutment={abutment}");
    for (by_hand, by_label) in [
        (vec!["stock", "--part", SCREW], vec!["stock", "--part", ITEM]),
        (vec!["part", "show", SCREW], vec!["part", "show", &label]),
        (vec!["trace", "--lot", "PS-1120", "--part", SCREW], vec!["trace", "--lot", &label]),
        (vec!["trace", "--lot", "PS-1120"], vec!["trace", "--lot", "PS-1120", "--part", ITEM]),
        (vec!["logbook", "show", "--lot", "PS-1120"], vec!["logbook", "show", "--lot", &label]),
        (
            vec!["swap", "1047", "25", "prosthetic-screw", SCREW],
            vec!["swap", "1047", "25", "prosthetic-screw", ITEM],
        ),
        (vec!["fit", "1047", "--swap", &swap], vec!["fit", "1047", "--swap", &swap_by_label]),
    ] {
        let answer = |args: &[&str]| {
            let out = place.run(&[&["--json"], args].concat());
            assert!(code(&out) <= 1, "{args:?}: {}", text(&out.stderr));
            (code(&out), serde_json::from_slice::<Json>(&out.stdout).unwrap())
        };
        assert_eq!(answer(&by_hand), answer(&by_label), "{by_label:?}");
    }
    // A lot that was called back, found by its label.
    let out = typed(&place, &format!("--json withdraw --lot '{label}'"));
    let said: Json = serde_json::from_slice(&out.stdout).unwrap();
    assert_eq!((code(&out), &said["in_a_mouth"], &said["lots"][0]["part"]), (1, &json!(true), &json!(SCREW)));
    // What was put in before this record, by its label.
    booked(&place, "case new 9001");
    booked(
        &place,
        &format!(
            "case found 9001 --site 25 --position prosthetic-screw --label '{ITEM}(10)L-OLD' --sure label"
        ),
    );
    let traced = place.json(&["trace", "--lot", "L-OLD"]);
    assert_eq!(
        (&traced["lots"][0]["part"], &traced["lots"][0]["in_mouths"][0]["case"]),
        (&json!(SCREW), &json!("9001"))
    );
}

#[test]
fn a_label_beside_part_and_lot_must_be_of_that_pack() {
    let place = Place::demo();
    let at = "use 1047 --site 25 --position prosthetic-screw --torque 15";
    let both = "two labels were said: scan one, the one of the pack. Nothing was booked";
    for (line, status, says) in [
        (
            format!("{at} --part {SCREW} --lot PS-1120 --label '(01)09521234000082(10)PS-1120'"),
            1,
            format!("spareseat: {SCREW} was said, and the label is that of plover-mua-4.1-c3.0: read the pack again. Nothing was booked"),
        ),
        (
            format!("{at} --part {SCREW} --lot PS-1120 --label '{ITEM}(10)PS-1121'"),
            1,
            "spareseat: lot PS-1120 was said, the label says PS-1121: read the pack again. Nothing was booked".to_owned(),
        ),
        (format!("{at} --label '{ITEM}'"), 2, "spareseat: this label says no lot and no serial number: say --lot as printed. Nothing was booked".to_owned()),
        (
            format!("{at} --label '(01)09521234000647(10)PS-1120'"),
            1,
            "spareseat: this label is not taken: ".to_owned(),
        ),
        (
            format!("{at} --label '{ITEM}(10)PS-1120{ITEM}(10)PS-1120'"),
            1,
            "spareseat: this label is not taken: ".to_owned(),
        ),
        (
            format!("move {SCREW} --quantity 1 --to cabinet-2-drawer-3"),
            2,
            format!("spareseat: which lot of part {SCREW}? Say --lot as printed on the pack, or scan its label in place of the part. Nothing was booked"),
        ),
        (format!("trace --lot '{ITEM}(10)PS-1120' --part '(01)09521234000082'"), 2, format!("spareseat: {both}")),
        (
            "trace --lot '(01)09521234543213(10)PS-1120'".to_owned(),
            1,
            "spareseat: no part of the catalogue has item number 09521234543213: 'spareseat find LABEL' shows what the label says. Nothing was booked".to_owned(),
        ),
        (
            format!("count {DRAWER} '{ITEM}(10)PS-1120=-1'"),
            2,
            format!("error: invalid value '{ITEM}(10)PS-1120=-1' for '[PART[:LOT]=N]...': "),
        ),
    ] {
        let before = super::refusals::held(&place);
        let out = typed(&place, &line);
        let said = heard(&out);
        assert!(said.starts_with(&says), "{line}\nsaid: {said}\nnot:  {says}");
        assert_eq!((code(&out), text(&out.stdout)), (status, String::new()), "{line}");
        assert!(super::refusals::held(&place) == before, "{line}");
    }
    // A label that nobody can read is kept as it is, and said.
    let out = typed(&place, &format!("{at} --part {SCREW} --lot PS-1120 --label 'scratched'"));
    assert_eq!(code(&out), 0);
    assert!(
        heard(&out).contains("CAREFUL: the label cannot be read and is kept as it is: "),
        "{}",
        heard(&out)
    );
    let log = fs::read_to_string(place.home().join("logbook.jsonl")).unwrap();
    assert!(log.contains("\"label\":\"scratched\""));
}

/// What a label says of its expiry is judged, whatever the record has.
#[test]
fn a_pack_that_is_over_by_its_label_is_not_used() {
    let place = Place::demo();
    let at = "use 1047 --site 25 --position prosthetic-screw --torque 15";
    let over = format!("{at} --label '{ITEM}(17)260630(10)PS-1120'");
    refused(
        &place,
        &over,
        1,
        &format!(
            "spareseat: lot PS-1120 of part {SCREW} is EXPIRED, 30 Jun 2026: not booked. If it was used all the same: add --expired-because REASON, which is recorded with your initials"
        ),
    );
    // The same label in place of the lot.
    let in_lot = format!("{at} --part {SCREW} --lot '{ITEM}(17)260630(10)PS-1120'");
    let out = typed(&place, &in_lot);
    assert!(
        code(&out) == 1 && heard(&out).contains("is EXPIRED, 30 Jun 2026: not booked"),
        "{}",
        heard(&out)
    );
    let out = typed(&place, &format!("{over} --expired-because 'nothing else there'"));
    assert_eq!(code(&out), 0, "{}", heard(&out));
    let said = heard(&out);
    assert!(said.contains("CAREFUL: the label says usable until 30 Jun 2026, the record has end of Sep 2028 for lot PS-1120: look at the pack again."), "{said}");
    assert!(
        fs::read_to_string(place.home().join("logbook.jsonl"))
            .unwrap()
            .contains("\"expired_because\":\"nothing else there\"")
    );
}

#[test]
fn a_delivery_is_a_file_of_labels() {
    let place = Place::demo();
    let file = place.folder().join("packs.txt");
    let label = |n: usize| format!("{ITEM}(17)290630(10)LL-{n}");
    let mut lines: Vec<String> = (1..=14).map(label).collect();
    lines[8] = "(01)09521234000647(17)290630(10)LL-9".to_owned();
    fs::write(&file, lines.join("\r\n")).unwrap();
    let book = format!("receive --lines packs.txt --place {DRAWER}");
    let before = super::refusals::held(&place);
    let out = typed(&place, &book);
    assert!(
        text(&out.stderr).starts_with("spareseat: line 9 of the delivery: this label is not taken: "),
        "{}",
        text(&out.stderr)
    );
    assert_eq!((code(&out), text(&out.stdout)), (1, String::new()));
    assert!(super::refusals::held(&place) == before);
    lines[8] = label(9);
    fs::write(&file, lines.join("\n")).unwrap();
    refused(
        &place,
        "receive --lines packs.txt",
        2,
        "spareseat: line 1 of the delivery: no place is named: into which drawer? Say it in the line, or --place for all. No line of it was booked",
    );
    let done = booked(&place, &book);
    assert_eq!(done["moved"].as_array().unwrap().len(), 14);
    // A pack holds four.
    assert_eq!((pieces(&place, SCREW, "LL-1", DRAWER), pieces(&place, SCREW, "LL-14", DRAWER)), (4, 4));
    let stock = place.json(&["stock", "--part", SCREW]);
    assert!(
        stock["rows"].as_array().unwrap().iter().any(|r| r["lot"] == "LL-9" && r["expiry"] == "2029-06-30")
    );
    // The same labels with their drawers, in a table; two packs of one lot are two lines.
    let table = format!("label;place;quantity\n{};{DRAWER};\n{};cabinet-2-drawer-3;1\n", label(1), label(1));
    fs::write(&file, table).unwrap();
    booked(&place, "receive --lines packs.txt");
    assert_eq!(
        (pieces(&place, SCREW, "LL-1", DRAWER), pieces(&place, SCREW, "LL-1", "cabinet-2-drawer-3")),
        (8, 1)
    );
    // The end of a month, as recorded, and its last day, as this label has it, are one expiry.
    booked(&place, &format!("receive '{ITEM}(17)280930(10)PS-1120' --place {DRAWER}"));
    let stock = place.json(&["stock", "--part", SCREW]);
    assert!(
        stock["rows"].as_array().unwrap().iter().any(|r| r["lot"] == "PS-1120" && r["expiry"] == "2028-09")
    );
    whole(&place);
}

/// At the chair every pack is scanned as it is opened: it must be of the tray, and its label is kept.
#[test]
fn the_packs_of_a_tray_are_scanned() {
    let place = Place::demo();
    booked(&place, "visit 1047 --site 25 --broken prosthetic-screw --left shank-in-abutment --open");
    let tray = "use 1047 --visit --step-up --torque 15 --torque 25:abutment=30";
    let screw = format!("--label '{ITEM}(17)280930(10)PS-1120'");
    let abutment = "--label '(01)09521234000082(17)261130(10)MU-2077'";
    for (labels, says) in [
        (
            format!("--label '{ITEM}(10)PS-1121'"),
            format!("spareseat: the label is that of part {SCREW}, lot PS-1121, which the tray does not have. It has: {SCREW} at tooth 25, lot PS-1120, {SCREW} at tooth 24, lot PS-1120, {SCREW} at tooth 27, lot PS-1120, plover-mua-4.1-c3.0 at tooth 25, lot MU-2077. Take what was laid out. Or leave that line out with --except, and this label too, and book this pack by itself afterwards: 'spareseat use CASE --site TOOTH --position POSITION --label LABEL --torque NCM'. Nothing was booked"),
        ),
        (
            format!("{screw} --label '(01)09521234000082(17)261030(10)MU-2077'"),
            "spareseat: part plover-mua-4.1-c3.0, lot MU-2077: the label says EXPIRED, 30 Oct 2026. Take another pack; or leave that line out with --except and book this one by itself with --expired-because. Nothing was booked".to_owned(),
        ),
        ("--label '(01)09521234000647(10)PS-1120'".to_owned(), "spareseat: this label is not taken: (01) at character 1, 09521234000647, ends in 7: its other digits ask for 8; scan it again, and if it stays so type item, lot and expiry as printed".to_owned()),
    ] {
        refused(&place, &format!("{tray} {labels}"), 1, &says);
    }
    let out = typed(&place, &format!("--json {tray} {screw}"));
    assert_eq!(code(&out), 0, "{}", text(&out.stderr));
    let said: Json = serde_json::from_slice(&out.stdout).unwrap();
    assert_eq!(said["remarks"], json!(["no label was scanned for abutment at tooth 25"]), "{said:#}");
    booked(&place, &format!("reverse {}", said["entry"]));
    let done = booked(&place, &format!("{tray} {screw} {abutment}"));
    assert_eq!((&done["put_in"], &done["remarks"]), (&json!(4), &json!([])));
    let case = place.json(&["case", "show", "1047"]);
    let labels: Vec<&Json> = case["sites"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|s| s["fitted"].as_array().unwrap())
        .map(|f| &f["label"])
        .filter(|l| !l.is_null())
        .collect();
    assert_eq!(labels.len(), 4, "{labels:?}");
    refused(
        &place,
        &format!("use 1047 --site 25 --position prosthetic-screw --torque 15 {screw} {screw}"),
        2,
        "spareseat: --label stands more than once: one part is booked here",
    );
    whole(&place);
}
