//! What a bridge was built on stays the measure, whatever was put in since.

use std::process::Output;

use crate::support::{Place, code, heard, text};

const VISIT: [&str; 6] = ["visit", "1047", "--site", "25", "--broken", "prosthetic-screw"];

fn fit(place: &Place, part: &str, lot: &str) -> Output {
    let words = [
        "use",
        "1047",
        "--site",
        "25",
        "--position",
        "abutment",
        "--part",
        part,
        "--lot",
        lot,
        "--torque",
        "30",
    ];
    let out = place.book(&words);
    assert_eq!(code(&out), 0, "{}", text(&out.stderr));
    out
}

fn verdict(place: &Place, part: &str) -> String {
    let json = place.json(&["swap", "1047", "25", "abutment", part]);
    json["candidates"][0]["verdict"].as_str().expect("a verdict").to_owned()
}

#[test]
fn a_part_that_does_not_fit_never_becomes_the_measure_of_the_next() {
    let place = Place::demo();
    fit(&place, "plover-mua-4.1-c3.5", "MU-2101");
    assert_eq!(verdict(&place, "plover-mua-4.1-c3.5"), "does not fit");
    assert_eq!(verdict(&place, "plover-mua-4.1-c3.0"), "same part");
    let answer = place.json(&VISIT);
    let careful = &answer["careful"][0];
    assert_eq!(careful["on_record"], "plover-mua-4.1-c3.5");
    assert_eq!(careful["built_on"], "plover-mua-4.1-c3.0");
    assert_eq!(careful["verdict"], "does not fit");
    assert!(answer["answer"].as_str().expect("text").contains("CAREFUL, tooth 25"), "{answer}");

    // The same survives a new view, and ends when the right part is back.
    assert_eq!(code(&place.run(&["logbook", "rebuild"])), 0);
    assert_eq!(verdict(&place, "plover-mua-4.1-c3.5"), "does not fit");
    fit(&place, "plover-mua-4.1-c3.0", "MU-2077");
    assert_eq!(place.json(&VISIT)["careful"], serde_json::json!([]));
    assert_eq!(code(&place.run(&["logbook", "verify"])), 0);
}

#[test]
fn like_for_like_is_no_stray_and_a_person_who_looked_sets_the_measure() {
    let place = Place::demo();
    fit(&place, "plover-mua-4.1-c3.0-b", "MB-0014");
    assert_eq!(place.json(&VISIT)["careful"], serde_json::json!([]));
    assert_eq!(verdict(&place, "plover-mua-4.1-c3.0"), "same part");
    let looked = [
        "case",
        "found",
        "1047",
        "--site",
        "25",
        "--position",
        "abutment",
        "--part",
        "plover-mua-4.1-c3.5",
        "--sure",
        "label",
    ];
    assert_eq!(code(&place.book(&looked)), 0);
    assert_eq!(verdict(&place, "plover-mua-4.1-c3.5"), "same part");
}

#[test]
fn the_same_act_with_other_words_tells_what_stands_and_books_nothing() {
    let place = Place::demo();
    let act = "00112233445566778899aabbccddeeff";
    let receive = |quantity: &str| {
        let words = [
            "--act",
            act,
            "receive",
            "plover-healing-cap-4.8",
            "--lot",
            "HC-0450",
            "--quantity",
            quantity,
            "--place",
            "cabinet-2-drawer-5",
        ];
        place.book(&words)
    };
    assert_eq!(code(&receive("1")), 0);
    let again = text(&receive("2").stdout);
    assert!(again.contains("nothing was booked now") && again.contains("received 1 piece"), "{again}");
    assert!(!again.contains("2 pieces"), "{again}");
}

#[test]
fn a_rebuild_keeps_the_view_when_a_line_of_the_logbook_is_damaged() {
    let place = Place::demo();
    let path = place.home().join("logbook.jsonl");
    let mut bytes = std::fs::read(&path).expect("a logbook");
    let tenth = bytes.iter().enumerate().filter(|(_, b)| **b == b'\n').nth(8).expect("ten lines").0;
    bytes[tenth + 200] ^= 1;
    std::fs::write(&path, bytes).expect("written");
    let before = text(&place.run(&["stock"]).stdout);
    let out = place.run(&["logbook", "rebuild"]);
    assert_eq!(code(&out), 3, "{}", text(&out.stdout));
    assert!(text(&out.stderr).contains("damaged at line 10"), "{}", text(&out.stderr));
    assert_eq!(text(&place.run(&["stock"]).stdout), before, "the view that was good is still there");
}

#[test]
fn what_is_missing_stands_before_what_to_take_and_a_missing_driver_is_missing() {
    let place = Place::demo();
    let missing = place.run(&["visit", "2210", "--site", "35", "--broken", "abutment"]);
    assert_eq!(code(&missing), 1);
    assert!(
        text(&missing.stdout).starts_with("NOT IN THE HOUSE: no multi-unit abutment"),
        "{}",
        text(&missing.stdout)
    );
    let implant = place.run(&[&VISIT[..5], &["abutment", "--left", "fragment-in-implant"]].concat());
    assert!(
        text(&implant.stdout).starts_with("ONLY WHEN THE FRAGMENT IS OUT OF THE IMPLANT: TAKE"),
        "{}",
        text(&implant.stdout)
    );
}

#[test]
fn a_driver_that_is_not_in_the_house_makes_the_answer_no() {
    let place = Place::empty();
    let source = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let case = std::fs::read_to_string(source.join("demo/cases/3306.toml")).expect("a case");
    let case = case.replace("{-19 months}", "2025-04-25").replace("{-15 months}", "2025-08-25");
    let file = place.folder().join("3306.toml");
    std::fs::write(&file, case).expect("written");
    let (catalog, file) = (source.join("catalog"), file.to_string_lossy().into_owned());
    let receive = |part, lot| {
        place.book(&["receive", part, "--lot", lot, "--quantity", "1", "--place", "drawer-1", "--new-place"])
    };
    for out in [
        place.book(&["new", "--practice", "Mudflat Practice (made up)"]),
        place.book(&["part", "import", &catalog.to_string_lossy()]),
        place.book(&["case", "import", &file]),
        receive("avocet-abutment-screw", "AS-0401"),
    ] {
        assert_eq!(code(&out), 0, "{}", text(&out.stderr));
    }
    let visit = || place.run(&["visit", "3306", "--site", "46", "--broken", "abutment-screw"]);
    let without = visit();
    assert_eq!(code(&without), 1);
    assert!(
        text(&without.stdout).starts_with("NOT IN THE HOUSE: driver square 1.3 mm"),
        "{}",
        text(&without.stdout)
    );
    assert_eq!(code(&receive("driver-square-1.3-long", "TR-0009")), 0);
    assert_eq!(code(&visit()), 0, "{}", text(&visit().stdout));
}

#[test]
fn a_torque_that_nobody_stated_is_remarked_on() {
    let place = Place::demo();
    let out = fit(&place, "stint-mua-4.1-c3.0", "TL-0088");
    let said = heard(&out);
    assert!(
        said.contains("tightened to 30 Ncm; for this part: torque not known, read the maker's instructions"),
        "{said}"
    );
}
