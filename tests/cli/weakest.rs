//! What breaks next, asked of the demo's cases, whose dimensions were committed before any of this was worked out.

use serde_json::{Value as Json, json};

use super::refusals::refused;
use super::typed::typed;
use crate::support::{Place, code, text};

fn weakest(place: &Place, line: &str) -> Json {
    let out = typed(place, &format!("--json weakest {line}"));
    assert_eq!(code(&out), 0, "{}", text(&out.stderr));
    serde_json::from_slice(&out.stdout).unwrap()
}

fn said(place: &Place, line: &str) -> String {
    let out = typed(place, line);
    assert_eq!((code(&out), text(&out.stderr)), (0, String::new()), "{line}");
    text(&out.stdout)
}

fn first(j: &Json) -> (Json, Json) {
    (j["breaks"]["first"].clone(), j["breaks"]["close_between"].clone())
}

/// A case file of the demo with a change, taken under another number.
fn changed(place: &Place, case: &str, as_case: &str, change: impl Fn(String) -> String) {
    let path =
        std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("demo/cases").join(format!("{case}.toml"));
    let whole = std::fs::read_to_string(path).unwrap();
    let dated = whole.split('\n').map(|l| match (l.find("\"{-"), l.rfind("}\"")) {
        (Some(a), Some(b)) => format!("{}\"2025-01-15\"{}", &l[..a], &l[b + 2..]),
        _ => l.to_owned(),
    });
    let renumbered = dated.collect::<Vec<_>>().join("\n").replace(case, as_case);
    std::fs::write(place.folder().join("changed.toml"), change(renumbered)).unwrap();
    let file = place.folder().join("changed.toml");
    let out = place.run(&["--as", "AB", "case", "import", file.to_str().unwrap()]);
    assert_eq!(code(&out), 0, "{}", text(&out.stderr));
}

/// The trade expects: on multi-units the prosthetic screw goes first; on bases straight on the implants it is close
/// between screw and implant (common practice; Monteith, J Prosthet Dent 1993;69:495, of one system's gold screws).
/// It comes out for the full arch on two-piece multi-units and for the bases. On one-piece multi-units of M2 and 30 Ncm
/// it does not: under bites from the side their own thread is as weak, and the order turns over inside the band.
#[test]
fn the_trade_s_expectation_held_against_the_demo() {
    let place = Place::demo();
    assert_eq!(first(&weakest(&place, "2210")), (json!("prosthetic screw"), json!([])));
    assert_eq!(first(&weakest(&place, "4051")), (Json::Null, json!(["implant neck", "abutment screw"])));
    for case in ["1047", "6188"] {
        let found = weakest(&place, case);
        assert_eq!(first(&found), (Json::Null, json!(["one-piece abutment", "prosthetic screw"])), "{case}");
        // By how much: the two lie within a tenth of each other at every friction.
        let rows = found["breaks"]["order"].as_array().unwrap();
        let of = |part: &str| rows.iter().find(|r| r["part"] == part).unwrap()["factor"].clone();
        let (a, b) = (of("one-piece abutment"), of("prosthetic screw"));
        for n in 0..3 {
            let ratio = a[n].as_f64().unwrap() / b[n].as_f64().unwrap();
            assert!((0.9..1.1).contains(&ratio), "{case}: {ratio}");
        }
    }
}

#[test]
fn a_cone_says_what_is_not_modelled_and_answers_the_rest() {
    let place = Place::demo();
    let found = weakest(&place, "3306");
    assert_eq!(first(&found), (json!("implant neck"), json!([])));
    assert_eq!(
        found["not_modelled"],
        json!(["tooth 46: abutment screw: when it breaks; over a cone only when it is pulled slack"])
    );
    assert!(said(&place, "weakest 3306").starts_with(
        "What breaks first: the implant neck, at tooth 46, at 0.65 times the bite, of what is modelled. The implant is the one part that cannot be swapped.\n"
    ));
    // Nothing but geometry: a single crown's neck bends by F·sin 30°·(9 + 1.5 … ) as a post would.
    let parts = found["parts"][0]["parts"].as_array().unwrap();
    let neck = parts.iter().find(|p| p["part"] == "implant neck").unwrap();
    let z = std::f64::consts::PI / 32.0 * (4.0_f64.powi(4) - 3.2_f64.powi(4)) / 4.0;
    let area = std::f64::consts::PI / 4.0 * (4.0_f64.powi(2) - 3.2_f64.powi(2));
    let (side, down) = (150.0, 300.0 * 30_f64.to_radians().cos());
    let stress = side * (9.0 + neck["below_seat_mm"].as_f64().unwrap() + 3.0) / z - down / area;
    let limit = 2.0 / (2.3 / 425.0 + 1.0 / 550.0);
    let by_hand = limit / stress;
    assert!((neck["breaks"][1].as_f64().unwrap() / by_hand - 1.0).abs() < 1e-9, "{neck} {by_hand}");
}

#[test]
fn a_bite_is_said_or_taken_from_the_table_by_tooth_and_grinding() {
    let place = Place::demo();
    let by_table = weakest(&place, "1047");
    let forces: Vec<(Json, Json)> = by_table["bites"]
        .as_array()
        .unwrap()
        .iter()
        .map(|b| (b["site"].clone(), b["force_n"].clone()))
        .collect();
    for (site, force) in forces {
        let expected = if site == json!("27") { 415.0 } else { 275.0 };
        assert_eq!(force, json!(expected), "grinding probable, tooth {site}");
    }
    // Nothing but the bite is doubled: what has no preload, the neck, is reached at half of the multiple.
    let [one, two] = ["1047 --bite 100", "1047 --bite 200"].map(|line| weakest(&place, line));
    let neck = |j: &Json| {
        let rows = j["breaks"]["order"].as_array().unwrap().clone();
        rows.iter().find(|r| r["part"] == "implant neck").unwrap()["factor"][1].as_f64().unwrap()
    };
    assert!((neck(&one) / neck(&two) - 2.0).abs() < 1e-9);
    let steeper = weakest(&place, "1047 --angle 20");
    let angles: std::collections::BTreeSet<String> =
        steeper["bites"].as_array().unwrap().iter().map(|b| b["angle_deg"].to_string()).collect();
    assert_eq!(angles.into_iter().collect::<Vec<_>>(), ["10.0", "20.0"]);
    let text = said(&place, "weakest 1047 --bite 100 --crown 8 --from seat");
    assert!(text.contains("  - the bite: 100 N everywhere, as said\n"), "{text}");
    assert!(text.contains("  - the crown height as said: 8.0 mm from the abutment's seat (from the implant's platform: 10.0 mm at tooth 24; 11.0 mm at tooth 25; 12.0 mm at tooth 27)\n"), "{text}");
    assert_eq!(weakest(&place, "1047 --crown 8 --from seat")["crown_height_mm"], json!(8.0));
}

/// Two levers of a bridge on two screws, by hand: with the far one gone the other carries all of the sideways load.
#[test]
fn while_a_joint_is_out_the_others_carry_its_load() {
    let place = Place::demo();
    let found = weakest(&place, "6188 --without 16 --bite 200");
    let shifts = found["without"]["shifts"].as_array().unwrap();
    assert_eq!(shifts.len(), 1);
    assert_eq!(shifts[0]["site"], "14");
    // The hardest sideways bite on what is left: 200 N at 30°, whole.
    assert!((shifts[0]["sideways_n"][1].as_f64().unwrap() - 100.0).abs() < 1e-9, "{shifts:?}");
    let words = shifts[0]["words"][0].as_str().unwrap();
    let before = shifts[0]["sideways_n"][0].as_f64().unwrap();
    assert!(words.starts_with(&format!("{:.1} times the sideways load (", 100.0 / before)), "{words}");
    let text = said(&place, "weakest 1047 --without 24");
    assert!(
        text.contains("\nWhile the joint at tooth 24 is out\n  - the joint at tooth 25 takes "),
        "{text}"
    );
    assert!(text.contains(" times the sideways load ("), "{text}");
    assert!(text.contains("replace all prosthetic screws of the bridge as a set"), "{text}");
}

#[test]
fn what_cannot_be_answered_is_refused_with_what_to_do() {
    let place = Place::demo();
    changed(&place, "6188", "7001", |t| {
        t.lines().filter(|l| !l.starts_with("crown_height")).collect::<Vec<_>>().join("\n")
    });
    for (line, status, says) in [
        (
            "weakest 9",
            2,
            "spareseat: no case 9 on record. To enter one: 'spareseat case new 9'; a patient who walks in: 'spareseat visit 9 --new --site TOOTH --broken WHAT'",
        ),
        ("weakest 5120", 1, "spareseat: no restoration is on record in case 5120: nothing there bites"),
        (
            "weakest 3306 --without 46",
            1,
            "spareseat: tooth 46 is the only site of its restoration: without it nothing is held",
        ),
        (
            "weakest 7001",
            2,
            "spareseat: the crown height of 16-(15)-14 is not on record: say it with --crown MM --from platform, or --from seat, up to where it bites",
        ),
        (
            "weakest 1047 --without 16",
            2,
            "spareseat: case 1047 has no site at tooth 16 (upper right first molar). Its sites: tooth 24, tooth 25, tooth 27",
        ),
    ] {
        refused(&place, line, status, says);
    }
    assert_eq!(weakest(&place, "7001 --crown 10 --from seat")["crown_height_mm"], json!(10.0));
    for (option, value, says) in [
        ("--bite", "0", "'0' is not a bite in N: expected 1 to 2000"),
        ("--bite", "-5", "'-5' is not a bite in N: expected 1 to 2000"),
        ("--bite", "NaN", "'NaN' is not a bite in N: expected 1 to 2000"),
        ("--angle", "0", "'0' is not an angle in degrees: expected 1 to 80"),
        ("--angle", "90", "'90' is not an angle in degrees: expected 1 to 80"),
        ("--crown", "0", "'0' is not a crown height: expected 1 to 40 mm"),
    ] {
        let out = typed(&place, &format!("weakest 1047 {option} {value}"));
        assert_eq!(code(&out), 2);
        assert!(text(&out.stderr).contains(says), "{}", text(&out.stderr));
    }
}

/// A part without its dimensions is not modelled; what is on record is answered even so, and nothing is called first
/// without saying so.
#[test]
fn a_number_that_is_missing_is_named_and_never_guessed() {
    let place = Place::demo();
    changed(&place, "1047", "7002", |t| t.replacen("plover-mua-4.1-c3.0", "stint-mua-4.1-c3.0", 1));
    let found = weakest(&place, "7002");
    assert_eq!(
        found["not_modelled"],
        json!(["tooth 25: one-piece abutment: the torque of stint-mua-4.1-c3.0 is not on record"])
    );
    let answer = said(&place, "weakest 7002");
    assert!(answer.lines().next().unwrap().contains(", of what is modelled."), "{answer}");
    let row =
        found["parts"][1]["parts"].as_array().unwrap().iter().find(|p| p["part"] == "one-piece abutment");
    assert_eq!(row.unwrap()["breaks"], Json::Null);
}

#[test]
fn a_swap_that_changes_what_breaks_next_says_so() {
    let place = Place::demo();
    // A stronger screw into the implant: it protects the implant's neck less.
    let text = said_whatever(&place, "swap 2210 35 abutment-screw dunlin-abutment-screw");
    assert!(
        text.contains("    - change: the reserve of the implant's neck over the weakest screw falls by 27 %: the screws protect the implant less (fitted: the neck bears 1.41 times to 2.22 times what the weakest screw bears; this part: the neck bears 1.04 times to 1.79 times what the weakest screw bears)\n"),
        "{text}"
    );
    // What cannot be compared is a change; the same part changes nothing.
    let text = said_whatever(&place, "swap 1047 25 abutment stint-mua-4.1-c3.0");
    assert!(
        text.contains("    - change: what would break next with it cannot be compared: the torque of stint-mua-4.1-c3.0 is not on record\n"),
        "{text}"
    );
    for line in ["swap 1047 25 abutment plover-mua-4.1-c3.0", "swap 1047 25 abutment plover-mua-4.1-c3.0-b"] {
        let text = said_whatever(&place, line);
        assert!(!text.contains("reserve") && !text.contains("break next"), "{text}");
    }
    let fit = said_whatever(&place, "fit 2210 --swap 35:abutment-screw=dunlin-abutment-screw");
    assert!(fit.contains("the screws protect the implant less"), "{fit}");
}

fn said_whatever(place: &Place, line: &str) -> String {
    text(&typed(place, line).stdout)
}

#[test]
fn the_page_holds_the_answer_and_nothing_from_outside() {
    let place = Place::demo();
    let file = place.folder().join("w.html");
    let line = format!("1047 --without 24 --sheet {}", file.display());
    let found = weakest(&place, &line);
    assert_eq!(found["sheet"], json!(file.to_str().unwrap()));
    let page = std::fs::read_to_string(&file).unwrap();
    let three = |f: &Json| [0, 1, 2].map(|n| format!("{:.2}", f[n].as_f64().unwrap())).join(" / ");
    for row in found["breaks"]["order"].as_array().unwrap() {
        let cells = format!("<td>{}</td><td>{}</td>", row["part"].as_str().unwrap(), three(&row["factor"]));
        assert!(page.contains(&cells), "{cells}");
    }
    // A drawing for each site, the middle factors beside it.
    assert_eq!(page.matches("<svg").count(), 3);
    for site in found["parts"].as_array().unwrap() {
        for part in site["parts"].as_array().unwrap() {
            let breaks = format!("breaks {:.2}", part["breaks"][1].as_f64().unwrap());
            assert!(page.contains(&breaks), "{breaks}");
        }
    }
    for line in found["assumed"].as_array().unwrap() {
        let escaped = line.as_str().unwrap();
        assert!(page.contains(escaped), "{escaped}");
    }
    assert!(page.contains("INVENTED: no real patient, no real part"));
    assert!(page.contains("Decision support. A licensed clinician decides"));
    for outside in ["http://www", "https://", "<script", "@import", "url("] {
        assert!(!page.replace("http://www.w3.org/2000/svg", "").contains(outside), "{outside}");
    }
    let again = typed(&place, &format!("weakest {line}"));
    assert_eq!(code(&again), 2, "a file of that name is left alone");
}

/// Screw and partner ask for different torques: the lower one is worked with, and both are shown.
#[test]
fn of_two_torques_the_lower_rules_and_both_are_shown() {
    let place = Place::demo();
    let catalogue = include_str!("../../catalog/dunlin.toml");
    let (head, _) = catalogue.split_once("[[part]]").unwrap();
    let own = catalogue.split("[[part]]").find(|p| p.contains("code = \"dunlin-mua-two-4.2-c2.0\"")).unwrap();
    let own = own
        .replace("dunlin-mua-two-4.2-c2.0", "dunlin-mua-two-slack")
        .replace("torque = \"n/a\"", "torque = 25");
    let kept: Vec<&str> = own.lines().filter(|l| !l.starts_with("gtin")).collect();
    std::fs::write(place.folder().join("slack.toml"), format!("{head}[[part]]{}\n", kept.join("\n")))
        .unwrap();
    let out = typed(&place, "part import slack.toml");
    assert_eq!(code(&out), 0, "{}", text(&out.stderr));
    let before = weakest(&place, "2210");
    changed(&place, "2210", "7003", |t| t.replacen("dunlin-mua-two-4.2-c2.0", "dunlin-mua-two-slack", 1));
    let found = weakest(&place, "7003");
    let screw = |j: &Json| {
        let parts = j["parts"][0]["parts"].as_array().unwrap().clone();
        parts.into_iter().find(|p| p["part"] == "abutment screw").unwrap()
    };
    let (lower, usual) = (screw(&found), screw(&before));
    assert_eq!(lower["screw"]["torque_ncm"], 25.0);
    let both = json!({ "own_ncm": 30.0, "partner": "dunlin-mua-two-slack", "partner_ncm": 25.0 });
    assert_eq!((&lower["screw"]["disagree"], &usual["screw"]["disagree"]), (&both, &Json::Null));
    // At the chair the lower one goes on the wrench, and both are read.
    let visit = said_whatever(&place, "visit 7003 --site 45 --broken abutment-screw --left nothing");
    let line = "for tooth 45; tighten to 25 Ncm, the lower one: the screw asks for 30 Ncm, part dunlin-mua-two-slack for 25 Ncm";
    assert!(visit.contains(line), "{visit}");
    // Preload goes with the torque.
    let low = |j: &Json| j["screw"]["preload_low_n"].as_f64().unwrap();
    assert!((low(&lower) / low(&usual) - 25.0 / 30.0).abs() < 1e-9);
    let careful = "tooth 45: dunlin-abutment-screw-mua and dunlin-mua-two-slack ask for different torques, 30 Ncm and 25 Ncm: the lower one is worked with";
    assert!(found["careful"].as_array().unwrap().iter().any(|c| c == careful), "{}", found["careful"]);
}

/// A screw that nobody entered is named, not passed over: the prosthetic screw over a multi-unit abutment is there.
#[test]
fn a_screw_that_nobody_entered_is_not_passed_over() {
    let place = Place::demo();
    changed(&place, "1047", "7004", |t| {
        let mut blocks: Vec<&str> = t.split("[[site.fitted]]").collect();
        let screw = blocks.iter().position(|b| b.contains("position = \"prosthetic-screw\"")).unwrap();
        let next = blocks[screw].find("[[site]]").map_or("", |at| &blocks[screw][at..]).to_owned();
        blocks.remove(screw);
        blocks[..screw].join("[[site.fitted]]")
            + &next
            + "[[site.fitted]]"
            + &blocks[screw..].join("[[site.fitted]]")
    });
    let found = weakest(&place, "7004");
    assert_eq!(
        found["not_modelled"],
        json!(["tooth 24: prosthetic screw: which screw holds framework-7004 is not on record"])
    );
}
