//! A lot keeps the edition of the catalogue it was received under; an import says whether the article changed or the
//! number was wrong, and which lots and mouths it concerns.

use serde_json::{Value as Json, json};
use spareseat::catalog::{Part, Position};
use spareseat::units::{CaseNumber, Tooth};

use super::practice::{Practice, SCREW};
use super::typed::{typed, words};
use crate::practice::demo_case;
use crate::support::{code, text};

const LENGTHS: &str = "under_head = 3.2";
const THREAD: &str = "size = \"M1.4x0.3\"\nlength = 2.0";
const REPORT: &str = "visit 1047 --site 25 --broken prosthetic-screw --left nothing";

/// The catalogue's file with a screw that is longer: 3.6 under the head in place of 3.2, thread 2.4 in place of 2.0.
fn longer(p: &Practice) {
    let file = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/catalog/plover.toml")).unwrap();
    let at = file.find(&format!("code = \"{SCREW}\"\n")).unwrap();
    let (before, its) = file.split_at(at);
    let its = its.replacen(LENGTHS, "under_head = 3.6", 1);
    let its = its.replacen(THREAD, "size = \"M1.4x0.3\"\nlength = 2.4", 1);
    std::fs::write(p.place.folder().join("longer.toml"), format!("{before}{its}")).unwrap();
}

fn receive(p: &Practice, lot: &str) {
    // The old ones end first.
    let expiry = if lot == "OLD" { "2028-01" } else { "2029-01" };
    p.done(&format!(
        "receive {SCREW} --lot {lot} --quantity 6 --place drawer-1 --new-place --expiry {expiry}"
    ));
}

/// Case 1047 with a lot of the screws of its day.
fn practice() -> Practice {
    let p = Practice::bare(&["1047"]);
    receive(&p, "OLD");
    longer(&p);
    p
}

/// Another case with that screw, entered under the catalogue in force.
fn later_case(p: &Practice) {
    std::fs::write(p.place.folder().join("later.toml"), demo_case("6188")).unwrap();
    p.done("case import later.toml");
}

fn ask(p: &Practice, line: &str) -> Json {
    p.place.json(&words(line).iter().map(String::as_str).collect::<Vec<_>>())
}

/// Of the screw on a tray: what to do with which lot, and its verdict.
fn rows(visit: &Json) -> Vec<(String, String, String)> {
    let word = |row: &Json, key: &str| row[key].as_str().unwrap().to_owned();
    let rows = visit["tray"].as_array().unwrap().iter().filter(|r| r["part"] == SCREW);
    rows.map(|r| (word(r, "use"), word(r, "lot"), word(r, "verdict"))).collect()
}

fn row(what: &str, lot: &str, verdict: &str) -> (String, String, String) {
    (what.to_owned(), lot.to_owned(), verdict.to_owned())
}

/// The part that stands in a mouth, with its numbers.
fn stands(p: &Practice, case: &str, tooth: u8) -> Part {
    let (case, tooth) = (CaseNumber::new(case).unwrap(), Tooth::from_iso(tooth).unwrap());
    let assembly = p.desk().view().assembly(&case, tooth).unwrap();
    assembly.into_iter().find(|f| f.position == Position::ProstheticScrew).unwrap().part
}

const NUMBERS: [&str; 2] =
    ["lower thread, length: 2.0 mm, now 2.4 mm", "length under the head: 3.2 mm, now 3.6 mm"];

fn patients() -> Json {
    let one = |site: &str| json!({ "case": "1047", "site": site, "position": "prosthetic-screw", "stands_there": true, "built_on": false });
    json!(["24", "25", "27"].map(one))
}

#[test]
fn an_import_says_what_a_changed_number_is_taken_for_and_whom_it_concerns() {
    let p = practice();
    let imported = p.done("part import longer.toml");
    assert_eq!(
        imported["changed_parts"],
        json!([{
            "part": SCREW, "numbers": NUMBERS, "taken_as": "the article changed", "lots": ["OLD"], "patients": patients(),
        }])
    );
    let p = practice();
    let said = text(&typed(&p.place, "part import longer.toml").stdout);
    let positions =
        ["24", "25", "27"].map(|t| format!("case 1047, tooth {t}, prosthetic screw (bridge to abutment)"));
    let told = format!(
        "  {SCREW}: {}\n    The article changed: lots and patients keep the numbers of before. Lots: OLD. Patients: {}.\n    If the number was wrong: import the same files again with --number-was-wrong {SCREW}\n",
        NUMBERS.join("; "),
        positions.join("; ")
    );
    assert!(said.contains(&told), "{said}");
    // What only the paper says is no number.
    let p = practice();
    let file = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/catalog/plover.toml")).unwrap();
    std::fs::write(p.place.folder().join("paper.toml"), file.replace("pack = 4", "pack = 40")).unwrap();
    let imported = p.done("part import paper.toml");
    assert_eq!(imported["changed_parts"], json!([]));
    assert!(imported["changed"].as_u64().unwrap() > 0, "{imported}");
}

#[test]
fn old_screws_are_the_same_part_where_they_are_what_is_in_and_are_not_taken_where_they_are_shorter() {
    let p = practice();
    p.done("part import longer.toml");
    later_case(&p);
    for after in ["as folded entry by entry", "as folded at once"] {
        // Case 1047 has exactly the old ones.
        let visit = ask(&p, REPORT);
        assert_eq!(rows(&visit), [row("take", "OLD", "same part")], "{after}: {}", visit["answer"]);
        // The case fitted under the new edition does not get them.
        let report = "visit 6188 --site 14 --broken prosthetic-screw --left nothing";
        let visit = ask(&p, report);
        let answer = visit["answer"].as_str().unwrap();
        assert!(!answer.contains("TAKE 2"), "{after}: {answer}");
        assert!(
            answer.contains(&format!(
                "NOT IN THE HOUSE: no prosthetic screw like {SCREW} for teeth 16 and 14."
            )),
            "{after}: {answer}"
        );
        assert!(rows(&visit).is_empty(), "{after}: {visit:#}");
        assert_eq!(code(&typed(&p.place, report)), 1);
        p.is_whole();
        assert_eq!(code(&p.place.run(&["logbook", "rebuild"])), 0);
    }
    // Screws that come now have the new numbers: for the one and not for the other.
    receive(&p, "NEW");
    assert_eq!(rows(&ask(&p, REPORT)), [row("take", "OLD", "same part")]);
    let visit = ask(&p, "visit 6188 --site 14 --broken prosthetic-screw --left nothing");
    assert_eq!(rows(&visit), [row("take", "NEW", "same part")]);
    // Two numbers of one part are two candidates.
    let swap = ask(&p, &format!("swap 1047 25 prosthetic-screw {SCREW}"));
    let all = swap["candidates"].as_array().unwrap();
    let of = |n: usize| (all[n]["verdict"].as_str().unwrap(), all[n]["in_house"][0]["lot"].as_str().unwrap());
    assert_eq!((all.len(), of(0).0, of(0).1, of(1).1), (2, "same part", "OLD", "NEW"), "{swap:#}");
    assert_ne!(of(1).0, "same part");
    let note = &all[0]["findings"][0];
    assert_eq!(
        (
            note["rule"].as_str().unwrap(),
            note["level"].as_str().unwrap(),
            note["candidate"].as_str().unwrap()
        ),
        ("lot-numbers", "note", "lot OLD")
    );
    p.is_whole();
}

#[test]
fn a_use_is_judged_and_booked_by_the_numbers_of_its_lot() {
    let p = practice();
    p.done("part import longer.toml");
    later_case(&p);
    receive(&p, "NEW");
    let line = |case: &str, site: &str, lot: &str| {
        format!(
            "use {case} --site {site} --position prosthetic-screw --part {SCREW} --lot {lot} --torque 15 --old discarded"
        )
    };
    p.done(&line("1047", "24", "OLD"));
    let (_, said) = p.told(&line("1047", "25", "NEW"));
    assert!(said.starts_with(&format!("note: by the record this part in place of {SCREW}: ")), "{said}");
    let (_, said) = p.told(&line("6188", "14", "OLD"));
    assert!(
        said.starts_with(&format!("note: by the record this part in place of {SCREW}: does not fit. ")),
        "{said}"
    );
    p.done(&line("6188", "16", "NEW"));
    for (case, tooth, length) in
        [("1047", 24, "3.2 mm"), ("1047", 25, "3.6 mm"), ("6188", 14, "3.2 mm"), ("6188", 16, "3.6 mm")]
    {
        assert_eq!(stands(&p, case, tooth).under_head.to_string(), length, "{case}, {tooth}");
    }
    p.is_whole();
}

#[test]
fn a_number_that_was_wrong_is_put_right_in_lots_and_mouths() {
    let now = |p: &Practice| {
        // One candidate, the same part: what lies there and what is in has the right number.
        let swap = ask(p, &format!("swap 1047 25 prosthetic-screw {SCREW}"));
        let all = swap["candidates"].as_array().unwrap();
        assert_eq!((all.len(), &all[0]["verdict"]), (1, &json!("same part")), "{swap:#}");
        assert_eq!(rows(&ask(p, REPORT)), [row("take", "OLD", "same part")]);
        assert_eq!(stands(p, "1047", 25).under_head.to_string(), "3.6 mm");
        p.is_whole();
    };
    // Said at once.
    let p = practice();
    let imported = p.done(&format!("part import longer.toml --number-was-wrong {SCREW}"));
    let one = &imported["changed_parts"][0];
    assert_eq!(
        (&one["taken_as"], &one["lots"], &one["patients"]),
        (&json!("the number was wrong"), &json!(["OLD"]), &patients())
    );
    now(&p);
    let said = p.entry(p.last());
    let told = format!(
        "0 added, 1 changed; numbers of {SCREW} had been wrong, put right in 1 lot and in 3 positions of patients; edition "
    );
    assert!(said.contains(&told), "{said}");
    assert_eq!(code(&p.place.run(&["logbook", "rebuild"])), 0);
    now(&p);
    // Of all that change.
    let p = practice();
    p.done("part import longer.toml --number-was-wrong all");
    now(&p);
    // Found out later: the same files again.
    let p = practice();
    p.done("part import longer.toml");
    receive(&p, "NEW");
    assert_eq!(stands(&p, "1047", 25).under_head.to_string(), "3.2 mm");
    p.done(&format!("part import longer.toml --number-was-wrong {SCREW}"));
    now(&p);
    assert_eq!(code(&p.place.run(&["logbook", "rebuild"])), 0);
    now(&p);
}

#[test]
fn a_number_is_called_wrong_only_where_one_changes() {
    let p = practice();
    let before = p.last();
    for (line, wanted) in [
        (
            "part import longer.toml --number-was-wrong plover-mua-4.1-c3.0",
            "spareseat: --number-was-wrong plover-mua-4.1-c3.0: these files change no number of it, and no lot on record has other numbers than today's. Name a part whose numbers change; 'spareseat part import FILES' without the option says which those are. Nothing was imported\n",
        ),
        (
            "part import longer.toml --number-was-wrong nobody",
            "spareseat: --number-was-wrong nobody: these files change no number of it, and no lot on record has other numbers than today's. Name a part whose numbers change; 'spareseat part import FILES' without the option says which those are. Nothing was imported\n",
        ),
    ] {
        let out = typed(&p.place, line);
        assert_eq!((code(&out), text(&out.stderr)), (2, wanted.to_owned()), "{line}");
    }
    assert_eq!(p.last(), before);
}

/// A delivery that was taken back came under no edition: the lot has the numbers under which it really came.
#[test]
fn a_delivery_that_was_taken_back_leaves_no_numbers_behind() {
    let p = practice();
    let entry = p.last();
    p.done(&format!("reverse {entry} --because 'wrong drawer'"));
    p.done("part import longer.toml");
    receive(&p, "OLD");
    let swap = ask(&p, &format!("swap 1047 25 prosthetic-screw {SCREW}"));
    assert_eq!(swap["candidates"].as_array().unwrap().len(), 1, "{swap:#}");
    p.is_whole();
    // And where the catalogue changed between the two.
    let p = practice();
    let entry = p.last();
    p.done("part import longer.toml");
    p.done(&format!("reverse {entry} --because 'wrong drawer'"));
    p.is_whole();
    receive(&p, "OLD");
    let swap = ask(&p, &format!("swap 1047 25 prosthetic-screw {SCREW}"));
    assert_eq!(swap["candidates"].as_array().unwrap().len(), 1, "{swap:#}");
    p.is_whole();
}
