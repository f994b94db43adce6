//! What the answers hold: the JSON keys and exit codes that other programs rely on, as typed.

use serde_json::Value as Json;

use super::typed::typed;
use crate::support::{Place, code, text};

const VERDICTS: [&str; 5] =
    ["same part", "like for like", "fits, with changes", "not confirmed", "does not fit"];

/// Every key stands in the object, whatever its value.
fn has_keys(object: &Json, keys: &[&str]) {
    for key in keys {
        assert!(object.get(key).is_some(), "no '{key}' in {object:#}");
    }
}

fn rows<'a>(answer: &'a Json, list: &str) -> &'a Vec<Json> {
    answer[list].as_array().unwrap_or_else(|| panic!("no list '{list}' in {answer:#}"))
}

#[test]
fn the_demo_says_the_answer_first() {
    let place = Place::empty();
    let out = place.run(&["demo"]);
    assert_eq!((code(&out), text(&out.stderr)), (0, String::new()));
    assert!(text(&out.stdout).starts_with(
        "TAKE 3 prosthetic screws, part plover-prosthetic-screw-1.4, lot PS-1120, from cabinet-2-drawer-1"
    ));
    // It starts over in its own home.
    let again = place.run(&["demo"]);
    assert_eq!((code(&again), again.stdout == out.stdout), (0, true));
    // And where an older program has left its view.
    std::fs::create_dir(place.home().join("view-1-desk")).unwrap();
    std::fs::write(place.home().join("view-1-desk.lock"), "").unwrap();
    assert_eq!(code(&place.run(&["demo"])), 0);
    assert!(!place.home().join("view-1-desk").exists());
}

#[test]
fn the_visit_as_one_json_object() {
    let place = Place::demo();
    let visit = place.json(&[
        "visit",
        "1047",
        "--site",
        "25",
        "--broken",
        "prosthetic-screw",
        "--left",
        "shank-in-abutment",
    ]);
    has_keys(
        &visit,
        &["version", "as_of", "case", "site", "answer", "tray", "if_fragment_stays", "cautions"],
    );
    assert_eq!((visit["case"].as_str(), visit["site"].as_str()), (Some("1047"), Some("25")));
    assert!(visit["answer"].as_str().is_some_and(|a| a.starts_with("TAKE 3")), "{}", visit["answer"]);
    assert!(rows(&visit, "cautions")[0].as_str().is_some_and(|c| c.starts_with("Decision support.")));
    for row in rows(&visit, "tray").iter().chain(rows(&visit, "if_fragment_stays")) {
        has_keys(row, &["part", "verdict", "place", "lot", "expiry", "quantity", "torque_ncm", "findings"]);
        // A tool has every key, and no verdict: it takes no part's place.
        assert_eq!(row["verdict"].is_null(), row["position"].is_null(), "{row:#}");
        assert!(
            row["verdict"].is_null() || row["verdict"].as_str().is_some_and(|v| VERDICTS.contains(&v)),
            "{row:#}"
        );
        assert!(row["sterile"].is_string(), "{row:#}");
        assert!(row["quantity"].is_u64() && row["findings"].is_array(), "{row:#}");
        assert!(row["torque_ncm"].is_f64() || row["torque_ncm"].is_null(), "{row:#}");
    }
    let screw = &rows(&visit, "tray")[0];
    assert_eq!((screw["quantity"].as_u64(), screw["torque_ncm"].as_f64()), (Some(3), Some(15.0)));
    let verdict = |part: &str| {
        let row = rows(&visit, "if_fragment_stays").iter().find(|r| r["part"] == part);
        row.unwrap_or_else(|| panic!("{part} is not shown"))["verdict"].clone()
    };
    assert_eq!(verdict("plover-mua-4.1-c3.0"), "same part");
    assert_eq!(verdict("plover-mua-4.1-c3.0-b"), "like for like");
    assert_eq!(verdict("stint-mua-4.1-c3.0"), "not confirmed");
    assert_eq!(verdict("plover-mua-4.1-c3.5"), "does not fit");
}

#[test]
fn candidates_come_in_order_and_say_why() {
    let place = Place::demo();
    let swap = place.json(&["swap", "1047", "25", "abutment"]);
    let candidates = rows(&swap, "candidates");
    let rank = |c: &Json| VERDICTS.iter().position(|v| c["verdict"] == *v).unwrap_or_else(|| panic!("{c:#}"));
    let ranks: Vec<usize> = candidates.iter().map(rank).collect();
    assert!(ranks.is_sorted(), "{ranks:?}");
    assert_eq!((ranks[0], ranks[1]), (0, 1), "the same part, then the like for like");
    for candidate in candidates {
        has_keys(candidate, &["part", "verdict", "findings"]);
        for finding in rows(candidate, "findings") {
            has_keys(finding, &["rule", "level", "fitted", "candidate", "effect", "source"]);
        }
    }
    let effects = |part: &str| -> Vec<String> {
        let found =
            candidates.iter().find(|c| c["part"] == part).unwrap_or_else(|| panic!("{part} is not shown"));
        rows(found, "findings").iter().map(|f| f["effect"].as_str().unwrap().to_owned()).collect()
    };
    assert!(
        effects("plover-mua-4.1-c3.5")
            .contains(&"fits the implant, not this bridge: 0.50 mm too high".to_owned())
    );
    assert!(effects("stint-mua-4.1-c3.0").iter().any(|e| e.starts_with("another maker's part")));
}

#[test]
fn a_swap_exits_0_for_what_puts_the_bridge_back_and_1_for_the_rest() {
    let place = Place::demo();
    for (line, status) in [
        ("swap 1047 25 abutment plover-mua-4.1-c3.0", 0),
        ("swap 1047 25 abutment plover-mua-4.1-c3.0-b", 0),
        ("swap 1047 25 abutment stint-mua-4.1-c3.0", 1),
        ("swap 1047 25 abutment plover-mua-4.1-c3.5", 1),
        ("swap 1047 25 abutment plover-prosthetic-screw-1.4", 1),
        // Without a part: is there one that puts it back? What is inside the bridge is laboratory work.
        ("swap 1047 25 abutment", 0),
        ("swap 1047 25 prosthetic-screw", 0),
        ("swap 1047 25 framework", 1),
        ("swap 3306 46 base", 1),
        // Raised alike, all seats of the bridge: one change, still not what was there.
        (
            "swap 1047 25 abutment plover-mua-4.1-c3.0 --with 24=plover-mua-4.1-c2.0 --with 27=plover-mua-5.0-c4.0",
            0,
        ),
        ("swap 1047 25 abutment plover-mua-4.1-c3.5 --with 24=plover-mua-4.1-c2.0", 1),
    ] {
        let out = typed(&place, line);
        assert_eq!(code(&out), status, "{line}: {}{}", text(&out.stdout), text(&out.stderr));
        assert!(
            !out.stdout.is_empty() && out.stderr.is_empty(),
            "{line}: the answer is on the screen, whatever it is"
        );
        let json = typed(&place, &format!("--json {line}"));
        assert_eq!(code(&json), status, "{line}: the same as JSON");
        assert!(serde_json::from_slice::<Json>(&json.stdout).is_ok(), "{line}");
    }
}

#[test]
fn stock_shows_what_is_in_the_house_and_what_place_takes() {
    let place = Place::demo();
    let stock = place.json(&["stock"]);
    assert!(!rows(&stock, "rows").is_empty());
    for row in rows(&stock, "rows") {
        has_keys(row, &["part", "lot", "place", "quantity", "expiry"]);
        let (part, drawer) = (row["part"].as_str().unwrap(), row["place"].as_str().unwrap());
        let there = place.json(&["stock", "--part", part, "--place", drawer]);
        assert!(rows(&there, "rows").contains(row), "--place takes what 'place' says: {row:#}");
    }
    let expiry = |part: &str| {
        let found = rows(&stock, "rows").iter().find(|r| r["part"] == part);
        found.unwrap_or_else(|| panic!("no {part}"))["expiry"].clone()
    };
    assert_eq!(expiry("plover-mua-4.1-c3.0"), "2026-11-30");
    assert_eq!(expiry("plover-prosthetic-screw-1.4"), "2028-09");
    assert_eq!(expiry("torque-wrench-10-45"), "none on the label");
}

/// One answer of every command that only looks: an object with its version and the entry it is as of.
#[test]
fn every_look_up_is_versioned_and_says_as_of_which_entry() {
    let place = Place::demo();
    let last = place.json(&["stock"])["as_of"].as_u64().unwrap();
    for line in [
        "visit 1047 --site 25 --broken prosthetic-screw",
        "swap 1047 25 abutment",
        "swap 1047 25 abutment plover-mua-4.1-c3.0 --with 24=plover-mua-4.1-c2.0",
        "stock",
        "case show 1047",
        "case list",
        "case due",
        "part list",
        "part list --kind implant",
        "part show plover-mua-4.1-c3.0",
        "interface list",
        "interface show top-4.8",
        "logbook verify",
        "logbook show",
        "logbook rebuild",
    ] {
        let answer = place.json(&line.split(' ').collect::<Vec<_>>());
        assert_eq!((answer["version"].as_u64(), answer["as_of"].as_u64()), (Some(1), Some(last)), "{line}");
    }
    // Before the demo's own bookings there were six screws.
    let before =
        place.json(&["--as-of", &(last - 3).to_string(), "stock", "--part", "plover-prosthetic-screw-1.4"]);
    assert_eq!(
        (before["as_of"].as_u64(), rows(&before, "rows")[0]["quantity"].as_u64()),
        (Some(last - 3), Some(6))
    );
}
