//! One damaged line of the logbook: a list that is read from it says that it is not complete, and never gets shorter in
//! silence.

use std::process::Command;

use serde_json::{Value as Json, json};

use super::by_hand::units;
use super::typed::typed;
use crate::support::{Place, code, text};

const SAYS: &str = "read up to entry 20 of 50: this list is not complete";
const SCREW: &str = "plover-prosthetic-screw-1.4";

/// The demo with the one word of line 21 changed, as somebody who tried it did.
fn damaged() -> Place {
    let place = Place::demo();
    assert_eq!(place.json(&["stock"])["as_of"], 50, "the demo has 50 entries");
    let logbook = place.home().join("logbook.jsonl");
    let before = std::fs::read(&logbook).unwrap();
    let sed = Command::new("sed").args(["-i", "21s/cabinet-4/cabinet-6/"]).arg(&logbook).status().unwrap();
    assert!(sed.success() && std::fs::read(&logbook).unwrap() != before, "line 21 names cabinet-4");
    place
}

/// The answer says it first, and the exit status and stderr say it too.
fn says_so(place: &Place, line: &str) -> String {
    let out = typed(place, line);
    let (shown, said) = (text(&out.stdout), text(&out.stderr));
    assert_eq!(code(&out), 3, "{line}: {shown}{said}");
    assert!(shown.lines().next().unwrap_or_default().contains(SAYS), "{line}: {shown}");
    for part in ["the logbook is damaged at line 21", "what to do: keep a copy of the whole home as it is"] {
        assert!(said.contains(part), "{line}: {said}");
    }
    shown
}

fn json_says_so(place: &Place, line: &str, of: u64) -> Json {
    let out = typed(place, &format!("--json {line}"));
    assert_eq!(code(&out), 3, "{line}");
    let told: Json = serde_json::from_slice(&out.stdout).unwrap();
    let not_complete = &told["not_complete"];
    assert_eq!(
        (&not_complete["read_up_to"], &not_complete["of"], &not_complete["words"]),
        (&20.into(), &of.into(), &SAYS.replace("50", &of.to_string()).into()),
        "{line}: {told:#}"
    );
    assert!(
        not_complete["why"].as_str().is_some_and(|w| w.contains("damaged at line 21")),
        "{line}: {told:#}"
    );
    told
}

#[test]
fn the_trace_of_a_lot_says_how_far_it_was_read() {
    let place = damaged();
    let shown = says_so(&place, "trace --lot PS-0952");
    // The three units that were in a mouth came out by entry 49, which nobody could read.
    assert!(!shown.contains("Was in a mouth and came out"), "{shown}");
    json_says_so(&place, "trace --lot PS-0952", 50);
}

/// Entry 3 put a part there, entry 49 another one of the same code: who was last is not known once 49 is unread.
#[test]
fn the_trace_of_a_case_names_no_entry_that_a_later_one_may_have_gone_over() {
    let place = damaged();
    says_so(&place, "trace --case 1047");
    let told = json_says_so(&place, "trace --case 1047", 50);
    let now = told["now"].as_array().unwrap();
    let screws: Vec<&Json> = now.iter().filter(|f| f["lot"] == "PS-1120").collect();
    assert_eq!(screws.len(), 3, "what stands there is known from the view: {told:#}");
    for part in now {
        assert_eq!(part["booked"], Json::Null, "{part:#}");
    }
}

#[test]
fn the_entries_of_a_lot_say_how_far_they_were_read() {
    let place = damaged();
    let shown = says_so(&place, "logbook show --lot PS-1120");
    assert!(shown.contains("1 entry."), "{shown}");
    assert_eq!(
        json_says_so(&place, "logbook show --lot PS-1120", 50)["entries"].as_array().map(Vec::len),
        Some(1)
    );
    for line in [
        "logbook show",
        "logbook show --case 1047",
        "logbook show --since 2026-11-25",
        "logbook show --lot X",
    ] {
        says_so(&place, line);
        json_says_so(&place, line, 50);
    }
}

#[test]
fn a_lot_is_kept_apart_although_the_list_of_its_units_is_not_complete() {
    let place = damaged();
    let told = json_says_so(&place, "withdraw --lot PS-1120 --because 'letter of today'", 51);
    assert_eq!(
        told["moved"],
        json!([{ "part": SCREW, "lot": "PS-1120", "quantity": 3, "from": "cabinet-2-drawer-1", "to": "quarantine" }])
    );
    assert_eq!((&told["entry"], &told["in_a_mouth"]), (&51.into(), &true.into()), "{told:#}");
    assert_eq!(units(&place, SCREW, "PS-1120", "quarantine"), 3);
    let out = typed(&place, "withdraw --lot PS-0952");
    let shown = text(&out.stdout);
    assert_eq!(code(&out), 3, "{shown}{}", text(&out.stderr));
    assert!(
        shown.starts_with("entry 52: CALLED BACK BY ITS MAKER: ")
            && shown.contains("read up to entry 20 of 52: this list is not complete"),
        "{shown}"
    );
}

/// Another program gets no bundle rather than half a one.
#[test]
fn no_bundle_is_made_of_a_list_that_is_not_complete() {
    let place = damaged();
    for line in ["trace --lot PS-0952 --fhir", "trace --case 1047 --fhir"] {
        let out = typed(&place, line);
        assert_eq!((code(&out), text(&out.stdout)), (3, String::new()), "{line}");
        assert!(text(&out.stderr).contains(SAYS), "{}", text(&out.stderr));
    }
}

/// Where no view remembers what came behind the damage, the lists say so as well.
#[test]
fn without_a_view_the_lists_end_where_the_damage_begins() {
    let place = damaged();
    std::fs::remove_dir_all(place.home().join(spareseat::record::VIEW_FOLDER)).unwrap();
    for line in ["trace --case 1047", "logbook show --case 1047", "logbook show"] {
        let out = typed(&place, line);
        let (shown, said) = (text(&out.stdout), text(&out.stderr));
        assert_eq!(code(&out), 3, "{line}: {shown}{said}");
        let first = shown.lines().next().unwrap_or_default();
        assert!(
            first.contains("read up to entry 20, where the damage begins: this list is not complete"),
            "{line}: {shown}"
        );
        assert!(said.contains("the logbook is damaged at line 21"), "{line}: {said}");
    }
}

/// Fewer lines than the view has seen are a shorter list too.
#[test]
fn a_logbook_that_was_cut_short_makes_no_list_shorter_in_silence() {
    let place = Place::demo();
    assert_eq!(code(&place.run(&["stock"])), 0);
    let logbook = place.home().join("logbook.jsonl");
    let whole = std::fs::read_to_string(&logbook).unwrap();
    std::fs::write(&logbook, whole.split_inclusive('\n').take(30).collect::<String>()).unwrap();
    for line in ["trace --lot PS-1120", "trace --case 1047", "logbook show --case 1047"] {
        let out = typed(&place, line);
        let shown = text(&out.stdout);
        assert_eq!(code(&out), 3, "{line}: {shown}");
        assert!(
            shown
                .lines()
                .next()
                .unwrap_or_default()
                .contains("read up to entry 30 of 50: this list is not complete"),
            "{line}: {shown}"
        );
    }
}
