//! What the visit says to whom it matters: no part of another source, none that has expired, no torque that nobody
//! states; causes, referral, laboratory work, the angled abutment.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::Value as Json;

use super::asked::{Asked, SITES, answered, ask, one};
use super::typed::typed;
use crate::support::{Place, code, text};

/// The source that states a part's numbers.
fn source<'a>(place: &Place, known: &'a mut BTreeMap<String, String>, part: &str) -> &'a str {
    known.entry(part.to_owned()).or_insert_with(|| {
        place.json(&["part", "show", part])["source"].as_str().expect("a source").to_owned()
    })
}

#[test]
fn no_part_of_another_source_is_taken() {
    let place = Place::demo();
    let mut known = BTreeMap::new();
    let mut left_in_the_drawer = 0;
    for asked in answered() {
        for row in asked.rows("tray").iter().chain(asked.rows("if_fragment_stays")) {
            if row["verdict"].is_null() {
                continue;
            }
            let part = row["part"].as_str().unwrap();
            let another = source(&place, &mut known, part) != "Wader Components (invented)";
            assert!(!another || row["use"] == "leave", "{}: {row:#}", asked.told());
            left_in_the_drawer += usize::from(another);
        }
    }
    assert!(left_in_the_drawer > 3, "the drawers hold one, and it is seen: {left_in_the_drawer}");
    // Even where nothing else is left, and even after it was tried.
    for (part, lot) in [("c3.0", "MU-2077"), ("c3.0-b", "MB-0014")] {
        let line = format!("discard plover-mua-4.1-{part} --lot {lot} --quantity 1 --because fell");
        assert_eq!(code(&typed(&place, &line)), 0, "{line}");
    }
    let tried = "part verify plover-mua-4.1-c3.0 stint-mua-4.1-c3.0 --pieces 3 --how 'on the analog'";
    assert_eq!(code(&typed(&place, tried)), 0);
    let asked = ask(&place, "1047", "25", "abutment", "");
    assert!(asked.text.starts_with("NOT IN THE HOUSE: no multi-unit abutment like"), "{}", asked.text);
    assert_eq!(asked.status, 1);
    assert!(asked.units("tray").iter().all(|[_, position, _]| position != "abutment"), "{}", asked.text);
    let nearest = &asked.json["not_in_house"][0]["nearest"][0];
    assert_eq!(
        (nearest["part"].as_str(), nearest["verdict"].as_str()),
        (Some("stint-mua-4.1-c3.0"), Some("fits, with changes"))
    );
}

#[test]
fn an_expired_lot_is_never_laid_out() {
    let place = Place::demo();
    let lot = |part: &str, lot: &str, expiry: &str| {
        let line =
            format!("receive {part} --lot {lot} --quantity 9 --place cabinet-2-drawer-1 --expiry {expiry}");
        assert_eq!(code(&typed(&place, &line)), 0, "{line}");
    };
    lot("plover-prosthetic-screw-1.4", "YESTERDAY", "2026-11-24");
    lot("plover-mua-4.1-c3.0", "LAST-MONTH", "2026-10");
    lot("plover-healing-cap-4.8", "LONG-AGO", "2020-01-31");
    let asked = || ask(&place, "1047", "25", "prosthetic-screw", "");
    let is_there = |asked: &Asked, lot: &str| {
        let lists = ["tray", "if_fragment_stays", "if_bridge_cannot_go_back"];
        lists.iter().flat_map(|list| asked.rows(list)).any(|r| r["lot"] == lot)
    };
    for old in ["YESTERDAY", "LAST-MONTH", "LONG-AGO"] {
        assert!(!is_there(&asked(), old), "{old}");
    }
    // A lot that is usable to the end of today comes first; when it is gone, none is there.
    lot("plover-prosthetic-screw-1.4", "TODAY", "2026-11-25");
    assert!(is_there(&asked(), "TODAY"));
    let gone = |lot: &str, pieces: &str| {
        let line = format!(
            "use 1047 --site 24 --position prosthetic-screw --part plover-prosthetic-screw-1.4 --lot {lot} --torque 15"
        );
        for _ in 0..pieces.parse::<u32>().unwrap() {
            assert_eq!(code(&typed(&place, &line)), 0, "{line}");
        }
    };
    let left = place.json(&["stock", "--part", "plover-prosthetic-screw-1.4"]);
    for row in left["rows"].as_array().unwrap().iter().filter(|r| r["lot"] != "YESTERDAY") {
        gone(row["lot"].as_str().unwrap(), &row["quantity"].to_string());
    }
    let none = asked();
    assert_eq!((none.status, is_there(&none, "YESTERDAY")), (1, false));
    assert!(none.text.starts_with("NOT IN THE HOUSE: no prosthetic screw like"), "{}", none.text);
}

#[test]
fn a_torque_that_nobody_states_is_never_filled_in() {
    let place = Place::demo();
    // Shown although it stays in its drawer: without a torque.
    let shown = ask(&place, "1047", "25", "prosthetic-screw", "");
    let stint = shown.rows("if_fragment_stays").iter().find(|r| r["part"] == "stint-mua-4.1-c3.0").unwrap();
    assert_eq!((&stint["use"], &stint["torque_ncm"]), (&Json::from("leave"), &Json::Null));
    assert_eq!(stint["torque"], "torque not known, read the maker's instructions");
    // Where it is what stands in the mouth, it is the part to put back, and still nobody knows its torque.
    let fit = "case found 1047 --site 25 --position abutment --part stint-mua-4.1-c3.0 --sure label";
    assert_eq!(code(&typed(&place, fit)), 0);
    let asked = ask(&place, "1047", "25", "abutment", "");
    let row = asked.rows("tray").iter().find(|r| r["part"] == "stint-mua-4.1-c3.0").unwrap();
    assert_eq!((row["use"].as_str(), &row["torque_ncm"]), (Some("take"), &Json::Null), "{row:#}");
    let take = asked.text.lines().find(|l| l.contains("part stint-mua-4.1-c3.0")).unwrap();
    assert!(take.contains("; torque not known, read the maker's instructions"), "{take}");
    assert!(!take.contains("tighten to"), "{take}");
    let caution = "A torque is not known for a part listed here: read the maker's instructions, never guess.";
    assert!(asked.rows("cautions").contains(&Json::from(caution)), "{}", asked.text);
    assert!(asked.text.contains(" --torque 25:abutment=not-measured"), "{}", asked.text);
}

#[test]
fn nobody_has_looked_causes_in_order_and_one_tray_for_the_first_three() {
    let screwed = ["loose", "prosthetic-screw", "abutment-loose"];
    for (site, causes) in [
        (SITES[0], [&screwed[..], &["abutment", "implant-moves"]].concat()),
        (SITES[1], [&screwed[..], &["abutment-screw", "abutment", "implant-moves"]].concat()),
        (SITES[2], [&screwed[..], &["abutment-screw", "abutment", "implant-moves"]].concat()),
        (SITES[3], vec!["loose", "unglued-base", "abutment-screw", "implant-moves"]),
        (SITES[4], vec!["loose", "abutment-screw", "abutment", "implant-moves"]),
    ] {
        let asked = one(site, "not-known");
        let told = asked.told();
        let listed: Vec<&str> = asked.rows("causes").iter().map(|c| c["broken"].as_str().unwrap()).collect();
        assert_eq!(listed, causes, "{told}");
        for (n, cause) in asked.rows("causes").iter().enumerate() {
            assert_eq!(cause["covered"], n < 3, "{told}: {cause:#}");
            assert!(cause["tells"].as_str().is_some_and(|t| t.len() > 20), "{told}: {cause:#}");
        }
        let (tray, next) = (asked.units("tray"), asked.units("if_fragment_stays"));
        for cause in &causes[..3] {
            let single = one(site, cause);
            for unit in single.units("tray") {
                assert!(tray.contains(&unit), "{told}: {cause} needs {unit:?}: {tray:?}");
            }
            for unit in single.units("if_fragment_stays") {
                assert!(tray.contains(&unit) || next.contains(&unit), "{told}: {cause} may need {unit:?}");
            }
            let lacking: Vec<_> = single.tools().difference(&asked.tools()).copied().collect();
            assert!(lacking.is_empty(), "{told}: {cause} needs {lacking:?}");
        }
        // Nothing is counted twice: a site and position once, a tool once, no lot beyond what lies there.
        let places: BTreeSet<_> =
            tray.iter().chain(&next).map(|[site, position, _]| (site, position)).collect();
        assert_eq!(places.len(), tray.len() + next.len(), "{told}: {tray:?} {next:?}");
        let mut lots: BTreeMap<(&str, &str), [u64; 2]> = BTreeMap::new();
        for row in asked.rows("tray").iter().chain(asked.rows("if_fragment_stays")) {
            if let (Some(part), Some(lot), "take") =
                (row["part"].as_str(), row["lot"].as_str(), row["use"].as_str().unwrap())
            {
                let sum = lots.entry((part, lot)).or_insert([0, row["here"].as_u64().unwrap()]);
                sum[0] += row["quantity"].as_u64().unwrap();
            }
        }
        // A driver may be named for the step up again: it is the same one.
        let reusable = |part: &str| part.starts_with("driver-");
        let over = lots.iter().find(|((part, _), [wanted, here])| wanted > here && !reusable(part));
        assert!(!lots.is_empty() && over.is_none(), "{told}: {over:?}");
        let tools: Vec<&str> = asked
            .rows("tray")
            .iter()
            .filter(|r| r["verdict"].is_null())
            .filter_map(|r| r["part"].as_str())
            .collect();
        let once: BTreeSet<_> = tools.iter().collect();
        assert_eq!(tools.len(), once.len(), "{told}: {tools:?}");
    }
}

#[test]
fn a_visit_is_narrowed_without_becoming_another() {
    let place = Place::demo();
    let json = |line: &str| -> Json {
        let out = typed(&place, &format!("--json {line}"));
        assert_eq!((code(&out), text(&out.stderr)), (0, String::new()), "{line}");
        serde_json::from_slice(&out.stdout).unwrap()
    };
    let opened = json("visit 1047 --site 25 --broken not-known --open");
    assert_eq!(opened["visit"]["entry"], opened["entry"]);
    assert_eq!(opened["causes"].as_array().unwrap().len(), 5);
    let narrowed = json("visit 1047 --broken prosthetic-screw --left shank-in-abutment --narrow");
    assert_eq!(narrowed["visit"]["entry"], opened["entry"], "the same visit");
    assert_ne!(narrowed["entry"], opened["entry"]);
    assert_eq!(
        (&narrowed["broken"], &narrowed["left"]),
        (&"prosthetic-screw".into(), &"shank-in-abutment".into())
    );
    assert_eq!(narrowed["causes"], serde_json::json!([]));
    // What was said is not asked again.
    let again = json("visit 1047");
    assert_eq!(
        (&again["broken"], &again["left"], &again["site"]),
        (&narrowed["broken"], &narrowed["left"], &"25".into())
    );
    // Narrowed to another report, what stayed behind is not carried over from the first.
    let other = json("visit 1047 --broken abutment --narrow");
    assert_eq!((&other["left"], &other["visit"]["entry"]), (&"not-known".into(), &opened["entry"]));
}

#[test]
fn an_implant_that_moves_or_broke_is_no_parts_matter() {
    for site in SITES {
        for broken in ["implant-moves", "implant-neck"] {
            let asked = one(site, broken);
            let told = asked.told();
            assert!(asked.text.starts_with("NOT A PARTS MATTER"), "{told}: {}", asked.text);
            assert!(asked.text.lines().next().unwrap().contains("refer"), "{told}");
            assert_eq!((asked.status, &asked.json["ends"]), (1, &Json::from("refer")), "{told}");
            assert!(!asked.text.contains("TAKE") && !asked.text.contains("take 1"), "{told}: {}", asked.text);
            for list in
                ["tray", "undo", "fragment", "if_fragment_stays", "if_bridge_cannot_go_back", "not_in_house"]
            {
                assert_eq!(asked.json[list], serde_json::json!([]), "{told}: {list}");
            }
        }
    }
}

#[test]
fn laboratory_work_names_job_file_analogs_and_shade() {
    let unglued = one(("3306", "46"), "unglued-base");
    assert!(unglued.text.starts_with("LABORATORY WORK, tooth 46: "), "{}", unglued.text);
    let made = one(("4051", "36"), "abutment");
    assert!(
        made.text.starts_with(
            "LABORATORY WORK: the abutment at tooth 36 was made for this patient (Saltmarsh Dental Laboratory (made up), job J-4980): no drawer holds another."
        ),
        "{}",
        made.text
    );
    for (asked, wanted) in [
        (unglued, ["job J-5230; no file on record", "avocet-analog-4.0 (", "shade A2"]),
        (made, ["job J-4980; file 4051-36.stl", "dunlin-analog-4.2 (", "shade A3.5"]),
    ] {
        assert_eq!(asked.status, 1, "{}: it does not go back today", asked.told());
        let lines: Vec<&str> = asked.rows("to_laboratory").iter().map(|l| l.as_str().unwrap()).collect();
        for what in wanted {
            assert!(lines.iter().any(|l| l.contains(what)), "{}: no '{what}' in {lines:#?}", asked.told());
            assert!(asked.text.contains(what), "{}: {what}", asked.told());
        }
    }
    // Nobody orders what was made for one patient, and no drawer is searched for it.
    assert!(!made.text.contains("To order: 1 piece of abutment-4051-36"), "{}", made.text);
    let loose = one(("4051", "36"), "abutment-loose").text.lines().nth(1).unwrap();
    assert!(loose.starts_with("IF IT DOES NOT HOLD: LABORATORY WORK"), "{loose}");
}

#[test]
fn an_angled_abutment_is_photographed_and_keyed_before_anything_is_loosened() {
    let key = "Angled abutment (on record it leans mesial): photograph it and make a key before anything is loosened.";
    let has = |asked: &Asked| asked.rows("before").contains(&Json::from(key));
    for broken in
        ["abutment-screw", "abutment", "abutment-loose", "worn-thread", "not-known", "prosthetic-screw"]
    {
        let asked = one(("2210", "35"), broken);
        assert!(has(asked), "{}: {}", asked.told(), asked.text);
        let (said, undo) = (asked.text.find(key).unwrap(), asked.text.find("\nUndo\n").unwrap());
        assert!(said < undo, "{}", asked.told());
    }
    // A screw that came out whole leaves the abutment where it is; and so does one at another tooth.
    let place = Place::demo();
    for (site, broken, left) in [
        ("35", "prosthetic-screw", " --left nothing"),
        ("35", "loose", ""),
        ("43", "prosthetic-screw", ""),
        ("43", "abutment-screw", ""),
    ] {
        let asked = ask(&place, "2210", site, broken, left);
        assert!(!asked.text.contains("Angled abutment ("), "{}: {}", asked.told(), asked.text);
    }
}
