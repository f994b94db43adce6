//! What could hurt somebody: a torque for the wrong part, the wrong part blamed, an answer that says yes with something
//! missing, a part that is not sterile, a fact that is booked without what speaks against it.

use serde_json::json;

use super::practice::Practice;
use super::typed::{typed, words};
use crate::support::{Place, code, text};

const OPEN: &str =
    "visit 1047 --site 25 --broken prosthetic-screw --left shank-in-abutment --open --because t";

fn done(place: &Place, line: &str) {
    let out = typed(place, line);
    assert_eq!(code(&out), 0, "{line}: {}{}", text(&out.stdout), text(&out.stderr));
}

#[test]
fn one_torque_is_not_set_on_parts_that_ask_for_several() {
    let place = Place::demo();
    done(&place, OPEN);
    let out = typed(&place, "use 1047 --visit --step-up --torque 15");
    let at = |site: &str| format!("prosthetic screw (bridge to abutment) at tooth {site}");
    assert_eq!(code(&out), 2, "{}", text(&out.stdout));
    assert_eq!(
        text(&out.stderr),
        format!(
            "spareseat: --torque 15 Ncm: the parts of this tray ask for different torques. 15 Ncm: {}, {}, {}; 30 Ncm: abutment at tooth 25. Name the torque of each of the others, such as --torque 25:abutment=30. Nothing was booked\n",
            at("25"),
            at("24"),
            at("27")
        )
    );
    // The one that was meant for the abutment names the others in turn.
    let out = typed(&place, "use 1047 --visit --step-up --torque 30");
    assert_eq!(code(&out), 2);
    assert!(text(&out.stderr).contains("such as --torque 25:prosthetic-screw=15."), "{}", text(&out.stderr));
    // Each of the others named: the bare one is for the rest.
    done(&place, "use 1047 --visit --step-up --torque 15 --torque 25:abutment=30");
    let case = place.json(&["case", "show", "1047"]);
    let site = case["sites"].as_array().unwrap().iter().find(|s| s["site"] == "25").unwrap();
    let fitted = site["fitted"].as_array().unwrap();
    let torque = |position: &str| {
        fitted.iter().find(|f| f["position"] == position).unwrap()["torque_ncm"].as_f64().unwrap()
    };
    assert_eq!((torque("abutment"), torque("prosthetic-screw")), (30.0, 15.0));
}

#[test]
fn one_torque_is_enough_where_all_ask_for_it_and_nobody_need_have_measured() {
    for torque in ["--torque 15", "--torque not-measured --step-up"] {
        let place = Place::demo();
        done(&place, OPEN);
        done(&place, &format!("use 1047 --visit {torque}"));
    }
}

#[test]
fn a_part_that_was_not_changed_is_not_blamed() {
    let place = Place::demo();
    let report = "visit 4051 --site 36 --broken worn-thread";
    let status = code(&typed(&place, report));
    let opened = typed(&place, &format!("{report} --open"));
    assert_eq!(code(&opened), status, "{}", text(&opened.stderr));
    done(&place, "use 4051 --visit --torque 30");
    let listed = text(&place.run(&["logbook", "show"]).stdout);
    let tray = listed.lines().find(|l| l.contains("case 4051, tray of the visit")).unwrap();
    assert!(!tray.contains("is the one that gave way"), "{tray}");
    let after = text(&place.run(&["visit", "4051"]).stdout);
    assert!(!after.contains("sheet complaint") && !after.contains("Keep what gave way"), "{after}");
    for sheet in ["bag", "complaint"] {
        let out = place.run(&["sheet", sheet, "4051"]);
        assert_eq!(code(&out), 1, "{}", text(&out.stdout));
        assert!(text(&out.stderr).contains("no broken piece is on record"), "{}", text(&out.stderr));
    }
}

#[test]
fn a_part_that_gave_way_and_was_changed_is_blamed() {
    let place = Place::demo();
    done(&place, OPEN);
    done(&place, "use 1047 --visit --torque 15");
    let out = place.run(&["sheet", "complaint", "1047"]);
    assert_eq!(code(&out), 0);
    assert!(text(&out.stdout).contains("REF: plover-prosthetic-screw-1.4"), "{}", text(&out.stdout));
}

#[test]
fn a_visit_that_is_put_on_record_answers_as_the_look_does() {
    for (look, status) in [
        ("visit 2210 --site 35 --broken abutment-screw", 1),
        ("visit 1047 --site 25 --broken prosthetic-screw --left nothing", 0),
        ("visit 3306 --site 46 --broken implant-moves", 1),
    ] {
        let place = Place::demo();
        assert_eq!(code(&typed(&place, look)), status, "{look}");
        let before = place.json(&["stock"])["as_of"].as_u64().unwrap();
        let opened = typed(&place, &format!("{look} --open --json"));
        assert_eq!(code(&opened), status, "{look} --open: {}", text(&opened.stderr));
        let answer: serde_json::Value = serde_json::from_slice(&opened.stdout).unwrap();
        assert_eq!(answer["entry"], json!(before + 1), "{look}");
    }
}

#[test]
fn what_is_not_sterile_is_said_in_the_line_that_says_take() {
    let place = Place::demo();
    let shown = text(&typed(&place, "visit 1047 --site 25 --broken prosthetic-screw").stdout);
    let takes: Vec<&str> = shown.lines().filter(|l| l.contains("TAKE ")).collect();
    assert!(takes.len() > 1, "{shown}");
    for line in takes {
        assert!(line.contains("; NOT STERILE: sterilise first."), "{line}");
    }
    // What is sterile in its pack is not.
    let home = Practice::bare(&["1047"]);
    let file = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/catalog/plover.toml")).unwrap();
    std::fs::write(home.place.folder().join("sterile.toml"), file.replace("to be sterilised", "sterile"))
        .unwrap();
    home.done("part import sterile.toml");
    home.done(
        "receive plover-prosthetic-screw-1.4 --lot S --quantity 9 --place d --new-place --expiry 2028-01",
    );
    let shown =
        text(&typed(&home.place, "visit 1047 --site 25 --broken prosthetic-screw --left nothing").stdout);
    assert!(shown.contains("TAKE ") && !shown.contains("NOT STERILE"), "{shown}");
}

#[test]
fn a_use_says_every_finding_against_it_each_on_its_line() {
    let p = Practice::bare(&["1047"]);
    let part = "stint-prosthetic-screw-1.4";
    p.done(&format!("receive {part} --lot X1 --quantity 2 --place d1 --new-place --expiry none"));
    let asked = format!("swap 1047 24 prosthetic-screw {part}");
    let swap = p.place.json(&words(&asked).iter().map(String::as_str).collect::<Vec<_>>());
    let line = format!("use 1047 --site 24 --position prosthetic-screw --part {part} --lot X1 --torque 20");
    let (_, said) = p.told(&line);
    let lines: Vec<&str> = said.lines().collect();
    assert_eq!(
        lines[0],
        "note: by the record this part in place of plover-prosthetic-screw-1.4: not confirmed. Look again before the patient leaves."
    );
    let (mut heavy, mut rules) = (0, Vec::new());
    for f in swap["candidates"][0]["findings"].as_array().unwrap() {
        let (rule, level) = (f["rule"].as_str().unwrap(), f["level"].as_str().unwrap());
        let mark = match level {
            "against" => "AGAINST",
            "unknown" => "NOT KNOWN",
            "change" => "change",
            _ => continue,
        };
        let says = format!("note: {mark}: {}", f["effect"].as_str().unwrap());
        let found = lines.iter().filter(|l| l.starts_with(&says)).count();
        if ["against", "unknown"].contains(&level) {
            heavy += 1;
            assert_eq!(found, 1, "{says}: {said}");
        }
        if found == 1 {
            rules.push(rule);
        }
    }
    // Its source, its torque, and that what was set on the wrench is not what it asks for.
    assert!(heavy > 0 && said.contains("another maker's part"), "{said}");
    assert!(rules.contains(&"torque"), "{rules:?}: {said}");
    assert!(lines.iter().any(|l| l.starts_with("note: tightened to 20 Ncm;")), "{said}");
}
