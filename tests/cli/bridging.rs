//! A restoration by commands: until one is on record, what stands on an abutment counts as a rigid bridge; then it is one.

use serde_json::{Value as Json, json};

use super::booking::{booked, whole};
use super::typed::{typed, words};
use crate::support::{Place, code, heard, text};

const SCREW: &str = "plover-prosthetic-screw-1.4";
const ABUTMENT: &str = "plover-mua-4.1-c3.0";

/// Case 9001 entered by commands: implants, abutments and screws at 24, 25 and 26, and no restoration.
pub fn three_sites(place: &Place) {
    booked(place, "case new 9001");
    for site in ["24", "25", "26"] {
        let parts =
            [("implant", "plover-implant-4.0x11.5"), ("abutment", ABUTMENT), ("prosthetic-screw", SCREW)];
        for (position, part) in parts {
            booked(
                place,
                &format!("case found 9001 --site {site} --position {position} --part {part} --sure label"),
            );
        }
    }
}

fn first_line(out: &std::process::Output) -> String {
    text(&out.stdout).lines().next().unwrap_or_default().to_owned()
}

/// The line on another day than the tests': what is typed later.
fn on(place: &Place, day: &str, line: &str) -> Json {
    let mut command = crate::support::started();
    command.arg("--home").arg(place.home()).args(["--on", day, "--as", "AB", "--json"]).args(words(line));
    let out = command.output().unwrap();
    assert_eq!(code(&out), 0, "{line}: {}", text(&out.stderr));
    serde_json::from_slice(&out.stdout).unwrap()
}

/// A visit for 25 took one screw, exit 0, and promised that the bridge goes straight back; swap of an abutment said
/// 'with nothing standing on it yet' although its screw is on record.
#[test]
fn until_a_restoration_is_on_record_a_screw_over_an_abutment_counts_as_an_existing_rigid_bridge() {
    let place = Place::demo();
    three_sites(&place);
    let asks = "NOT KNOWN: what else holds this bridge, which other screws? No restoration is on record at tooth 25. Enter it first: spareseat --as INITIALS case bridge 9001 TEETH --retention HOW";
    for line in [
        "visit 9001 --site 25 --broken prosthetic-screw",
        "visit 9001 --site 25 --broken prosthetic-screw --left not-known",
        "visit 9001 --site 25 --broken loose",
        "visit 9001 --site 25 --broken not-known",
        "visit 9001 --site 25 --broken abutment --left nothing",
    ] {
        let out = typed(&place, line);
        assert_eq!((code(&out), first_line(&out).as_str()), (1, asks), "{line}");
        assert!(!text(&out.stdout).contains("goes straight back"), "{line}: {}", text(&out.stdout));
        let said: Json = serde_json::from_slice(&typed(&place, &format!("--json {line}")).stdout).unwrap();
        assert_eq!(said["restoration_not_on_record"], true, "{line}");
    }
    // An abutment that stands lower is no change under a bridge: it does not fit.
    let lower = typed(&place, "swap 9001 25 abutment plover-mua-4.1-c2.0");
    assert_eq!(
        (code(&lower), first_line(&lower).as_str()),
        (
            1,
            "does not fit: plover-mua-4.1-c2.0 in place of plover-mua-4.1-c3.0, under an existing rigid bridge."
        )
    );
    assert!(text(&lower.stdout).contains("NOT KNOWN: what else holds this bridge, which other screws?"));
    let set = typed(&place, "--json swap 9001 25 abutment plover-mua-4.1-c3.0");
    let set: Json = serde_json::from_slice(&set.stdout).unwrap();
    assert_eq!((&set["stands_on"], &set["restoration_not_on_record"]), (&json!("bridge"), &json!(true)));
    let fit = typed(&place, "fit 9001 --swap 25:abutment=plover-mua-4.1-c3.0");
    assert_eq!(code(&fit), 1);
    assert_eq!(
        text(&fit.stderr),
        "spareseat: NOT KNOWN: what else holds the bridge at tooth 25 (upper left second premolar), which other screws? No restoration is on record there. Enter it first: 'spareseat --as INITIALS case bridge 9001 TEETH --retention HOW'\n"
    );
}

/// Nothing stands on an abutment alone, a cap is no bridge, and a walk-in is asked as before.
#[test]
fn an_abutment_alone_carries_nothing_and_a_walk_in_is_asked_as_before() {
    let place = Place::demo();
    booked(&place, "case new 9002");
    for (position, part) in [
        ("implant", "plover-implant-4.0x11.5"),
        ("abutment", ABUTMENT),
        ("healing-cap", "plover-healing-cap-4.8"),
    ] {
        booked(
            &place,
            &format!("case found 9002 --site 36 --position {position} --part {part} --sure label"),
        );
    }
    let swap = place.json(&["swap", "9002", "36", "abutment", ABUTMENT]);
    assert_eq!((&swap["stands_on"], &swap["restoration_not_on_record"]), (&json!("nothing"), &json!(false)));
    // A base straight on its implant is above no abutment either: its own screw is all that holds it there.
    booked(&place, "case new 9004");
    for (position, part) in [
        ("implant", "avocet-implant-4.0x10"),
        ("base", "avocet-base-engaging-c1.5"),
        ("abutment-screw", "avocet-abutment-screw"),
    ] {
        typed(&place, &format!("case found 9004 --site 36 --position {position} --part {part} --sure label"));
    }
    let json = place.json(&["visit", "9004", "--site", "36", "--broken", "loose"]);
    assert_eq!(json["restoration_not_on_record"], false, "{json:#}");
    let new = typed(&place, "visit 9003 --new --site 36 --broken not-known");
    assert_eq!(code(&new), 0);
    assert!(first_line(&new).starts_with("NOT KNOWN what is fitted at tooth 36"), "{}", first_line(&new));
}

#[test]
fn a_bridge_by_commands_is_held_by_all_its_screws_and_ends_with_its_parts_in_place() {
    let place = Place::demo();
    three_sites(&place);
    let line = "case bridge 9001 24-25-26 --retention screwed-to-abutments --frame-seat top-4.8 --head-seat flat,1.9,1.6 --crown 12 --from seat";
    let entered = booked(&place, line);
    assert_eq!(
        (&entered["restoration"]["span"], &entered["frame"]),
        (&json!("24-25-26"), &json!("frame-9001-24"))
    );
    let out = typed(&place, "visit 9001 --site 25 --broken loose");
    let takes = format!(
        "TAKE 3 prosthetic screws, part {SCREW}, lot PS-1120, from cabinet-2-drawer-1: for teeth 24, 25 and 26;"
    );
    assert!(first_line(&out).starts_with(&takes), "{}", text(&out.stdout));
    assert_eq!(code(&out), 0);
    let case = place.json(&["case", "show", "9001"]);
    for site in case["sites"].as_array().unwrap() {
        let frame = site["fitted"].as_array().unwrap().iter().find(|f| f["position"] == "framework").unwrap();
        assert_eq!(
            (&frame["part"], &frame["made"]["job"]),
            (&json!("frame-9001-24"), &json!("not on record"))
        );
    }
    let fit = typed(&place, "fit 9001 --swap 25:abutment=plover-mua-4.1-c3.0");
    assert!(code(&fit) != 2 && !text(&fit.stdout).is_empty(), "{}", text(&fit.stderr));
    // What the frame is made with, nobody said: nothing but the very same article may stand under it.
    let other = place.json(&["swap", "9001", "25", "abutment"]);
    for candidate in other["candidates"].as_array().unwrap() {
        let may = candidate["verdict"] == "same part" || candidate["verdict"] != "like for like";
        assert!(may, "{candidate:#}");
    }
    whole(&place);
    booked(&place, "case bridge 9001 24-25-26 --end 2026-11-25");
    let case = place.json(&["case", "show", "9001"]);
    assert_eq!(case["restorations"], json!([]));
    assert_eq!(case["sites"][0]["fitted"].as_array().unwrap().len(), 4, "the parts stay");
    assert!(case["events"][0]["note"].as_str().unwrap().starts_with("bridge 24-25-26 is not in any more"));
    let out = typed(&place, "visit 9001 --site 25 --broken loose");
    assert!(code(&out) == 1 && first_line(&out).starts_with("NOT KNOWN: what else holds this bridge"));
    whole(&place);
}

/// One site is a crown; a cemented one keeps its cement; teeth that hang are kept as a number.
#[test]
fn a_crown_a_cement_and_a_cantilever_are_as_they_were_said() {
    let place = Place::demo();
    three_sites(&place);
    booked(&place, "case bridge 9001 24 --retention cemented --cement 'zinc phosphate'");
    let hanging = "case bridge 9001 '25-26-(27)' --retention screwed-to-abutments --cantilever left=1";
    booked(&place, hanging);
    let case = place.json(&["case", "show", "9001"]);
    let [crown, bridge] = &case["restorations"].as_array().unwrap()[..] else { panic!("{case:#}") };
    assert_eq!((&crown["span"], &crown["cement"]), (&json!("24"), &json!("zinc phosphate")));
    assert_eq!((&bridge["sites"], &bridge["pontics"]), (&json!(["25", "26"]), &json!([])));
    assert_eq!((&bridge["cantilever_left_teeth"], &bridge["cantilever_right_teeth"]), (&json!(1), &json!(0)));
    let help = text(&place.run(&["case", "bridge", "--help"]).stdout);
    assert!(help.contains("'24-25-(26)-27'") && help.contains("One site alone is a crown"), "{help}");
}

/// What was on record on the day it was built is the measure of every part, whatever was put in since.
#[test]
fn a_bridge_is_held_against_what_stood_there_on_the_day_it_was_built() {
    let place = Place::demo();
    three_sites(&place);
    let (long, coated) = ("plover-prosthetic-screw-1.4-long", "plover-prosthetic-screw-1.4-coated");
    for (part, lot) in [(long, "L-1"), (coated, "C-1")] {
        let line =
            format!("receive {part} --lot {lot} --quantity 1 --place cabinet-2-drawer-1 --expiry 2029-01");
        booked(&place, &line);
    }
    let at = "use 9001 --site 25 --position prosthetic-screw --torque 15";
    on(&place, "2026-11-26", &format!("{at} --part {long} --lot L-1"));
    on(&place, "2026-11-28", &format!("{at} --part {coated} --lot C-1"));
    let enter = "case bridge 9001 24-25-26 --retention screwed-to-abutments";
    let end = "case bridge 9001 24-25-26 --end 2026-11-29";
    for (built_on, held_against, stands_there) in [
        ("--built-on 2026-11-25", SCREW, json!(coated)),
        ("--built-on 2026-11-27", long, json!(coated)),
        ("--built-on 2026-11-28", coated, Json::Null),
        ("", coated, Json::Null),
    ] {
        on(&place, "2026-11-29", &format!("{enter} {built_on}"));
        let swap = on_any(&place, "2026-11-29", "swap 9001 25 prosthetic-screw");
        assert_eq!(
            (&swap["fitted"]["part"], &swap["stands_there"]),
            (&json!(held_against), &stands_there),
            "{built_on}"
        );
        on(&place, "2026-11-29", end);
    }
    // Before the record began nobody knows what stood there: said, and the part that is in is the measure.
    let entered = on(&place, "2026-11-29", &format!("{enter} --built-on 2020-01-01"));
    let told = format!(
        "prosthetic screw (bridge to abutment) {coated} is in tooth 25 since 28 Nov 2026: what stood there on 1 Jan 2020 is not on record, and every new part is held against the one that is in"
    );
    assert_eq!(entered["remarks"], json!([told]));
}

/// The same, whatever the exit code.
fn on_any(place: &Place, day: &str, line: &str) -> Json {
    let mut command = crate::support::started();
    command.arg("--home").arg(place.home()).args(["--on", day, "--json"]).args(words(line));
    serde_json::from_slice(&command.output().unwrap().stdout).unwrap()
}

/// A frame whose seat meets no abutment on record is said and taken; so is a tooth that nobody named.
#[test]
fn what_looks_wrong_in_a_frame_is_said_and_taken() {
    let place = Place::demo();
    three_sites(&place);
    let out = typed(&place, "case bridge 9001 24-26 --retention screwed-to-abutments --frame-seat top-9.9");
    assert_eq!(code(&out), 0, "{}", heard(&out));
    assert_eq!(
        heard(&out),
        "note: tooth 25 between the sites is not named: if the restoration replaces it, end it and enter it again with it in brackets.\n\
         note: the frame's seat, top-9.9, meets no part on record at teeth 24 and 26 (tooth 24: plover-mua-4.1-c3.0, top-4.8; tooth 26: plover-mua-4.1-c3.0, top-4.8). It is booked as said. Look again.\n"
    );
    // It does not mate, and no other abutment is called good under it.
    let swap = place.json(&["swap", "9001", "24", "abutment", "plover-mua-4.1-c3.0-b"]);
    assert_eq!(swap["candidates"][0]["verdict"], "does not fit");
    // A frame that stood there before is not lost sight of.
    booked(&place, "case bridge 9001 24-26 --end 2026-11-25");
    let out =
        typed(&place, "case bridge 9001 24-25-26 --retention screwed-to-abutments --frame-seat top-4.8");
    assert_eq!(
        heard(&out),
        "note: on record as framework before, and not any more: frame-9001-24 at tooth 24, frame-9001-24 at tooth 26.\n"
    );
}
