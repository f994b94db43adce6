//! The shape of the visit's answer for every report it knows: its parts, their order, their keys.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::Value as Json;

use super::asked::{answered, everything};

/// The thirteen parts of the answer, in the order in which they are needed at the chair.
const PARTS: [&str; 13] = [
    "answer",
    "before",
    "fitted",
    "undo",
    "fragment",
    "tray",
    "stop_rule",
    "if_fragment_stays",
    "if_bridge_cannot_go_back",
    "not_in_house",
    "rest_of_bridge",
    "after",
    "cautions",
];

const ROW: [&str; 16] = [
    "use",
    "what_for",
    "position",
    "sites",
    "part",
    "description",
    "verdict",
    "place",
    "lot",
    "expiry",
    "quantity",
    "here",
    "torque_ncm",
    "torque",
    "sterile",
    "findings",
];

/// How the sections of the text begin, in their order, with what of the JSON stands in them.
const SECTIONS: [(&str, &str); 14] = [
    ("Case ", "case"),
    ("Likely, in this order", "causes"),
    ("Before the first turn", "before"),
    ("Fitted at ", "fitted"),
    ("Undo", "undo"),
    ("The fragment", "fragment"),
    ("Put back", "tray"),
    ("Tools for the tray", "tray"),
    ("Stop rule", "stop_rule"),
    ("If ", "if_fragment_stays"),
    ("Not in the house: ", "not_in_house"),
    ("The rest of the ", "rest_of_bridge"),
    ("After", "after"),
    ("Cautions", "cautions"),
];

#[test]
fn every_report_has_its_thirteen_parts_or_one_sentence() {
    let mut sentences = Vec::new();
    for asked in &everything().0 {
        let told = asked.told();
        assert!(matches!(asked.status, 0 | 1), "{told}: exit {}", asked.status);
        let keys: Vec<&str> = asked.json.as_object().unwrap().keys().map(String::as_str).collect();
        let answer = asked.json["answer"].as_str().unwrap();
        assert!(!answer.lines().next().unwrap_or_default().trim().is_empty(), "{told}");
        assert!(asked.text.starts_with(answer), "{told}: the text begins with the answer");
        if asked.is_answered() {
            assert_eq!(keys[keys.len() - PARTS.len()..], PARTS, "{told}");
            continue;
        }
        // Refused in one line: whose, where, what is not there, and what is.
        assert_eq!((asked.status, asked.text.lines().count()), (1, 1), "{told}: {}", asked.text);
        let (begins, there) =
            (format!("case {}, tooth {} (", asked.case, asked.site), " is on record there. On record: ");
        assert!(answer.starts_with(&begins) && answer.contains(there), "{told}: {answer}");
        assert_eq!(asked.json["tray"], serde_json::json!([]), "{told}");
        let missing = answer.split("): no ").nth(1).unwrap().split(there).next().unwrap();
        sentences.push(format!("{} {} {}: {missing}", asked.case, asked.site, asked.broken));
    }
    assert_eq!(
        sentences,
        [
            "1047 25 abutment-screw: abutment screw (abutment to implant)",
            "1047 25 unglued-base: titanium base and no cylinder",
            "2210 35 unglued-base: titanium base and no cylinder",
            "2210 43 unglued-base: titanium base and no cylinder",
            "3306 46 prosthetic-screw: prosthetic screw (bridge to abutment)",
            "3306 46 abutment: abutment",
            "3306 46 abutment-loose: abutment",
            "3306 46 worn-thread: abutment",
            "4051 36 prosthetic-screw: prosthetic screw (bridge to abutment)",
            "4051 36 unglued-base: titanium base and no cylinder",
        ]
    );
}

#[test]
fn the_sections_of_the_text_stand_in_their_order_and_none_is_empty() {
    for asked in answered() {
        let told = asked.told();
        let mut found: Vec<usize> = Vec::new();
        for block in asked.text.split("\n\n").skip(1) {
            let heading = block.lines().next().unwrap();
            // What goes to the laboratory belongs to the bridge that cannot go back.
            if heading == "To the laboratory with it" {
                continue;
            }
            let at = SECTIONS.iter().position(|(begins, _)| heading.starts_with(begins));
            found.push(at.unwrap_or_else(|| panic!("{told}: a section '{heading}'")));
        }
        assert!(found.is_sorted(), "{told}: {found:?}\n{}", asked.text);
        for (n, (begins, key)) in SECTIONS.iter().enumerate().filter(|(_, (b, _))| *b != "If ") {
            let is_tool = |r: &&Json| r["verdict"].is_null();
            let filled = match (*begins, &asked.json[key]) {
                ("Put back", _) => asked.rows("tray").iter().any(|r| !is_tool(&r)),
                ("Tools for the tray", _) => asked.rows("tray").iter().any(|r| is_tool(&r)),
                (_, Json::Array(all)) => !all.is_empty(),
                (_, value) => value.is_string(),
            };
            assert_eq!(found.contains(&n), filled, "{told}: '{begins}'\n{}", asked.text);
        }
        let ifs = |ends: &str| {
            let begins = |l: &&str| l.starts_with("If ") && l.ends_with(ends);
            asked.text.lines().filter(begins).count()
        };
        let step_up = usize::from(!asked.rows("next_step").is_empty());
        assert_eq!(ifs("fragment stays") + ifs("does not hold"), step_up, "{told}\n{}", asked.text);
        let back = ["if_bridge_cannot_go_back", "if_bridge_cannot_go_back_words"];
        let back = usize::from(back.iter().any(|list| !asked.rows(list).is_empty()));
        assert_eq!(ifs(" cannot go back today"), back, "{told}\n{}", asked.text);
    }
}

#[test]
fn what_is_to_be_taken_lies_in_the_drawers() {
    let stock = everything().1["rows"].as_array().unwrap();
    let mut taken = 0;
    for asked in answered() {
        let mut wanted: BTreeMap<[&str; 3], u64> = BTreeMap::new();
        for line in asked.json["answer"].as_str().unwrap().lines() {
            let Some((_, take)) = line.split_once("TAKE ") else { continue };
            let between = |a: &str, b: &str| take.split_once(a).and_then(|(_, rest)| rest.split_once(b));
            let number = take.split(' ').next().unwrap().parse::<u64>().unwrap();
            let part = between(", part ", ", lot ").unwrap().0;
            let lot = between(", lot ", ", from ").unwrap().0;
            let drawer = between(", from ", ": for ").unwrap().0;
            *wanted.entry([part, lot, drawer]).or_default() += number;
        }
        for ([part, lot, drawer], number) in wanted {
            let row = stock.iter().find(|r| r["part"] == part && r["lot"] == lot && r["place"] == drawer);
            let here = row.map_or(0, |r| r["quantity"].as_u64().unwrap());
            assert!(number <= here, "{}: {number} of {part} lot {lot}, {drawer} has {here}", asked.told());
            taken += 1;
        }
    }
    assert!(taken > 40, "{taken}");
}

#[test]
fn every_row_has_every_key_and_no_torque_without_a_number() {
    let mut rows = 0;
    for asked in answered() {
        for list in ["tray", "if_fragment_stays", "if_bridge_cannot_go_back"] {
            for row in asked.rows(list) {
                rows += 1;
                let told = format!("{}: {row:#}", asked.told());
                let keys: Vec<&str> = row.as_object().unwrap().keys().map(String::as_str).collect();
                assert_eq!(keys, ROW, "{told}");
                let words = row["torque"].as_str().unwrap_or_default();
                assert_eq!(row["torque_ncm"].is_number(), words.ends_with(" Ncm"), "{told}");
                assert!(row["quantity"].as_u64() <= row["here"].as_u64() || row["place"].is_null(), "{told}");
                let sites = row["sites"].as_array().unwrap();
                let each: BTreeSet<&str> = sites.iter().map(|s| s.as_str().unwrap()).collect();
                assert!(!sites.is_empty() && each.len() == sites.len(), "a site stands twice: {told}");
            }
        }
    }
    assert!(rows > 300, "{rows}");
}
