//! A restoration says which positions must be filled: an empty one is named, is a row of the tray, and keeps the visit from
//! being answered with a yes.

use serde_json::{Value as Json, json};

use super::booking::booked;
use super::bridging::three_sites;
use super::typed::typed;
use crate::support::{Place, code, heard, text};

const SCREW: &str = "plover-prosthetic-screw-1.4";
const EMPTY: &str = "EMPTY, tooth 24: no prosthetic screw (bridge to abutment) is on record at tooth 24, and the restoration needs one there; before it was plover-prosthetic-screw-1.4";

/// The demo's bridge without the screw at 24.
fn without_a_screw() -> Place {
    let place = Place::demo();
    booked(
        &place,
        "return 1047 --site 24 --position prosthetic-screw --old discarded --because 'broken, none left'",
    );
    place
}

fn said(place: &Place, line: &str) -> Json {
    serde_json::from_slice(&typed(place, &format!("--json {line}")).stdout).unwrap()
}

/// TAKE 2 screws 'for teeth 25 and 27', exit 0; tooth 24 was not named, and was said to have carried the load.
#[test]
fn a_bridge_with_an_empty_screw_position_is_not_complete() {
    let place = without_a_screw();
    let out = typed(&place, "visit 1047 --site 25 --broken loose");
    let answer = text(&out.stdout);
    assert_eq!((code(&out), answer.lines().next().unwrap()), (1, &*format!("{EMPTY}.")));
    let takes = answer.lines().nth(1).unwrap();
    assert!(takes.starts_with(&format!("TAKE 3 prosthetic screws, part {SCREW}")), "{answer}");
    assert!(takes.contains("for teeth 24, 25 and 27;"), "{takes}");
    assert!(answer.contains("What holds the bridge at tooth 27 carried the load of tooth 25"), "{answer}");
    let json = said(&place, "visit 1047 --site 25 --broken loose");
    assert_eq!(
        (&json["empty"][0]["site"], &json["empty"][0]["position"]),
        (&json!("24"), &json!("prosthetic-screw"))
    );
    // Asked about the site itself: no screw was on record there, and that was all.
    for line in ["visit 1047 --site 24 --broken prosthetic-screw", "visit 1047 --site 24 --broken loose"] {
        let out = typed(&place, line);
        assert_eq!(
            (code(&out), text(&out.stdout).lines().next().unwrap()),
            (1, &*format!("{EMPTY}.")),
            "{line}"
        );
        let rows = said(&place, line)["tray"].as_array().unwrap().clone();
        let row = rows.iter().find(|r| r["sites"].as_array().unwrap().contains(&json!("24"))).unwrap();
        assert_eq!((&row["position"], &row["verdict"]), (&json!("prosthetic-screw"), &json!("same part")));
    }
    let swap = typed(&place, "swap 1047 24 prosthetic-screw");
    assert_eq!(code(&swap), 0, "{}", text(&swap.stderr));
    assert!(
        text(&swap.stdout)
            .contains("EMPTY: no prosthetic screw (bridge to abutment) is on record at tooth 24")
    );
    let swap = said(&place, "swap 1047 24 prosthetic-screw");
    assert_eq!((&swap["fitted"]["part"], &swap["stands_there"]), (&json!(SCREW), &Json::Null));
    assert_eq!(swap["candidates"][0]["verdict"], "same part");
}

/// It passed through the booking of the tray and the end of the visit without a word.
#[test]
fn an_empty_position_is_named_when_the_tray_is_booked_and_when_the_bridge_is_back_in() {
    let place = without_a_screw();
    let opened = typed(&place, "visit 1047 --site 25 --broken loose --open");
    assert!(text(&opened.stdout).starts_with(EMPTY), "{}", text(&opened.stdout));
    let tray = typed(&place, "use 1047 --visit --torque 15 --except 24:prosthetic-screw");
    assert_eq!((code(&tray), heard(&tray)), (0, format!("note: {EMPTY}.\n")));
    let look = typed(&place, "visit 1047");
    assert_eq!((code(&look), text(&look.stdout).lines().next().unwrap()), (1, &*format!("{EMPTY}.")));
    let back = typed(&place, "visit 1047 --end back-in");
    assert_eq!((code(&back), heard(&back)), (0, format!("note: {EMPTY}.\n")));
    // Filled again: nothing is said any more.
    booked(
        &place,
        &format!("use 1047 --site 24 --position prosthetic-screw --part {SCREW} --lot PS-1120 --torque 15"),
    );
    assert_eq!(said(&place, "visit 1047 --site 25 --broken loose")["empty"], json!([]));
}

/// The whole tray fills it.
#[test]
fn a_tray_that_fills_the_position_leaves_nothing_to_be_said() {
    let place = without_a_screw();
    typed(&place, "visit 1047 --site 25 --broken loose --open");
    booked(&place, "use 1047 --visit --torque 15");
    assert_eq!(code(&typed(&place, "visit 1047")), 0);
    booked(&place, "visit 1047 --end back-in");
    let swap = place.json(&["swap", "1047", "24", "prosthetic-screw"]);
    assert_eq!((&swap["empty"], &swap["stands_there"]), (&Json::Null, &Json::Null));
}

/// `stock --low` counted two pieces for that bridge.
#[test]
fn an_empty_position_is_counted_where_stock_is_low() {
    let place = without_a_screw();
    let there = place.json(&["stock", "--part", SCREW])["rows"][0]["quantity"].as_u64().unwrap();
    booked(&place, &format!("discard {SCREW} --lot PS-1120 --quantity {} --because fell", there - 2));
    let low = place.json(&["stock", "--low"])["low"].as_array().unwrap().clone();
    let found = low.iter().find(|l| l["part"] == SCREW).expect("two are there, and three are needed");
    assert_eq!((&found["there"], &found["one_visit"]["quantity"]), (&json!(2), &json!(3)));
}

/// What stood there is not on record: the neighbours' part is a candidate, and is not to be taken unseen.
#[test]
fn what_a_neighbour_has_is_a_candidate_and_never_taken() {
    let place = Place::demo();
    three_sites(&place);
    booked(
        &place,
        "case found 9001 --site 27 --position implant --part plover-implant-4.0x11.5 --sure label",
    );
    booked(&place, "case found 9001 --site 27 --position abutment --part plover-mua-4.1-c3.0 --sure label");
    let empty = format!(
        "EMPTY, tooth 27: no prosthetic screw (bridge to abutment) is on record at tooth 27, and the restoration needs one there; which one belongs there is not on record; tooth 26 has {SCREW}: a candidate, not confirmed"
    );
    let line = "case bridge 9001 24-25-26-27 --retention screwed-to-abutments --frame-seat top-4.8 --head-seat flat,1.9,1.6";
    let entered = typed(&place, line);
    assert_eq!((code(&entered), heard(&entered)), (0, format!("note: {empty}.\n")));
    let out = typed(&place, "visit 9001 --site 25 --broken loose");
    assert_eq!((code(&out), text(&out.stdout).lines().next().unwrap()), (1, &*format!("{empty}.")));
    let rows = said(&place, "visit 9001 --site 25 --broken loose")["tray"].as_array().unwrap().clone();
    let row =
        rows.iter().find(|r| r["sites"] == json!(["27"]) && r["position"] == "prosthetic-screw").unwrap();
    assert_eq!(
        (&row["use"], &row["verdict"], &row["quantity"]),
        (&json!("leave"), &json!("not confirmed"), &json!(0))
    );
    let swap = typed(&place, "swap 9001 27 prosthetic-screw");
    assert_eq!(code(&swap), 1, "nothing puts it back: {}", text(&swap.stdout));
    // It is not on the tray that is booked, and the visit still says that it is missing.
    typed(&place, "visit 9001 --site 25 --broken loose --open");
    let tray = typed(&place, "--json use 9001 --visit --torque 15");
    let tray: Json = serde_json::from_slice(&tray.stdout).unwrap();
    assert_eq!((&tray["put_in"], &tray["remarks"]), (&json!(3), &json!([empty])));
}

/// A tray of an abutment alone took the healing cap off such a site and left it with neither.
#[test]
fn a_cap_stays_on_a_site_whose_screw_is_not_put_in() {
    let place = Place::demo();
    booked(&place, "return 2210 --site 45 --position prosthetic-screw --old discarded --because broken");
    let cap = "use 2210 --site 45 --position healing-cap --part dunlin-healing-cap-4.8 --lot DH-0031 --torque not-measured";
    assert_eq!(code(&typed(&place, cap)), 0);
    typed(&place, "visit 2210 --site 45 --broken abutment-screw --left nothing --open");
    let rows = said(&place, "visit 2210")["tray"].as_array().unwrap().clone();
    let takes = |position: &str| rows.iter().any(|r| r["position"] == position && r["use"] == "take");
    assert!(takes("abutment-screw") && takes("prosthetic-screw"), "{rows:#?}");
    let others = ["45", "43", "41", "33", "35"].map(|t| format!(" --except {t}:prosthetic-screw"));
    let lines: Vec<String> = others
        .into_iter()
        .filter(|o| {
            rows.iter().any(|r| {
                let tooth = &o[10..12];
                r["position"] == "prosthetic-screw" && r["sites"].as_array().unwrap().contains(&json!(tooth))
            })
        })
        .collect();
    let tray = typed(&place, &format!("use 2210 --visit --torque not-measured{}", lines.concat()));
    assert_eq!(code(&tray), 0, "{}", text(&tray.stderr));
    let case = place.json(&["case", "show", "2210"]);
    let site = case["sites"].as_array().unwrap().iter().find(|s| s["site"] == "45").unwrap().clone();
    let there = |position: &str| site["fitted"].as_array().unwrap().iter().any(|f| f["position"] == position);
    assert!(there("healing-cap") && !there("prosthetic-screw"), "{site:#}");
    // With its screw the cap comes off.
    typed(&place, "visit 2210 --end not-today");
    typed(&place, "visit 2210 --site 45 --broken loose --open");
    assert_eq!(code(&typed(&place, "use 2210 --visit --torque not-measured")), 0);
    let case = place.json(&["case", "show", "2210"]);
    let site = case["sites"].as_array().unwrap().iter().find(|s| s["site"] == "45").unwrap().clone();
    let there = |position: &str| site["fitted"].as_array().unwrap().iter().any(|f| f["position"] == position);
    assert!(!there("healing-cap") && there("prosthetic-screw"), "{site:#}");
}
