//! Counts, deliveries of several lines, planned work and the entries that name a lot, as typed; refusals word for word.

use std::fs;

use serde_json::json;

use super::booking::{booked, pieces, whole};
use super::by_hand::sums_are_zero;
use super::refusals::refused;
use super::typed::typed;
use crate::support::{Place, code, text};

const SCREW: &str = "plover-prosthetic-screw-1.4";
const ABUTMENT: &str = "plover-mua-4.1-c3.0";
const DRAWER: &str = "cabinet-2-drawer-1";

#[test]
fn a_count_shows_what_differs_and_books_it_only_with_a_reason() {
    let place = Place::demo();
    let line = format!("count cabinet-2-drawer-3 {ABUTMENT}=0 plover-mua-4.1-c3.5:MU-2101=1 {SCREW}:NEW-1=2");
    let before = super::refusals::held(&place);
    let out = typed(&place, &line);
    assert_eq!((code(&out), text(&out.stderr)), (1, String::new()));
    let shown = text(&out.stdout);
    assert!(
        shown.starts_with("2 of 3 lots counted in cabinet-2-drawer-3 differ. Nothing is booked yet: look again, then say --because REASON.\n"),
        "{shown}"
    );
    assert!(shown.contains("1 piece missing") && shown.contains("2 pieces more"), "{shown}");
    // What agrees is not told: who counts again is not led.
    assert!(!shown.contains("MU-2101"), "{shown}");
    assert!(
        shown.contains(
            "2 lots in this drawer by the record not counted; --all says that nothing else lies there."
        ),
        "{shown}"
    );
    let json = typed(&place, &format!("--json {line}"));
    let json: serde_json::Value = serde_json::from_slice(&json.stdout).unwrap();
    assert_eq!(
        json["differences"],
        json!([
            { "part": ABUTMENT, "lot": "MU-2077", "counted": 0, "on_record": 1, "difference": -1 },
            { "part": SCREW, "lot": "NEW-1", "counted": 2, "on_record": 0, "difference": 2 },
        ])
    );
    assert_eq!((&json["counted_lots"], &json["not_counted_lots"]), (&3.into(), &2.into()));
    assert!(super::refusals::held(&place) == before, "looking books nothing");
    let done = booked(&place, &format!("{line} --because 'counted twice, by two'"));
    assert_eq!(
        done["moved"],
        json!([
            { "part": ABUTMENT, "lot": "MU-2077", "quantity": 1, "from": "cabinet-2-drawer-3", "to": "correction" },
            { "part": SCREW, "lot": "NEW-1", "quantity": 2, "from": "correction", "to": "cabinet-2-drawer-3" },
        ])
    );
    assert_eq!(pieces(&place, SCREW, "NEW-1", "cabinet-2-drawer-3"), 2);
    let same = typed(&place, &line);
    assert_eq!(
        (code(&same), text(&same.stdout).lines().next().map(ToOwned::to_owned)),
        (0, Some("2 lots counted in cabinet-2-drawer-3: nothing differs.".to_owned()))
    );
    let log = text(&place.run(&["logbook", "show", "--lot", "NEW-1"]).stdout);
    assert!(log.starts_with("1 entry.\n"), "{log}");
    assert!(
        log.contains(&format!("counted 3 lots in cabinet-2-drawer-3: {ABUTMENT}, lot MU-2077: 0 pieces counted, 1 piece on record, 1 piece missing; {SCREW}, lot NEW-1: 2 pieces counted, 0 pieces on record, 2 pieces more; reason: counted twice, by two")),
        "{log}"
    );
    sums_are_zero(&place);
    booked(&place, &format!("reverse {}", done["entry"]));
    assert_eq!(pieces(&place, ABUTMENT, "MU-2077", "cabinet-2-drawer-3"), 1);
    booked(&place, "count cabinet-2-drawer-3 --all --because 'drawer emptied by mistake'");
    let left = place.json(&["stock", "--place", "cabinet-2-drawer-3"]);
    assert_eq!(left["rows"], json!([]));
    sums_are_zero(&place);
    whole(&place);
}

#[test]
fn a_count_that_cannot_be_is_refused() {
    let place = Place::demo();
    booked(&place, &format!("receive {SCREW} --lot OTHER --quantity 1 --place {DRAWER}"));
    let rows: [(&str, i32, &str); 9] = [
        (
            "count cabinet-2-drawer-1 plover-prosthetic-screw-1.4:PS-1120=-1",
            2,
            "error: invalid value 'plover-prosthetic-screw-1.4:PS-1120=-1' for '[PART[:LOT]=N]...': '-1' is not a count: expected 0 to 100000",
        ),
        (
            "count cabinet-2-drawer-1 plover-prosthetic-screw-1.4:PS-1120=10000000",
            2,
            "error: invalid value 'plover-prosthetic-screw-1.4:PS-1120=10000000' for '[PART[:LOT]=N]...': '10000000' is not a count: expected 0 to 100000",
        ),
        (
            "count cabinet-2-drawer-1 plover-prosthetic-screw-1.4",
            2,
            "error: invalid value 'plover-prosthetic-screw-1.4' for '[PART[:LOT]=N]...': 'plover-prosthetic-screw-1.4' is no count: expected PART=N or PART:LOT=N",
        ),
        (
            "count cabinet-2-drawer-1 plover-prosthetic-screw-1.4=3",
            2,
            "spareseat: part plover-prosthetic-screw-1.4: say which lot was counted, plover-prosthetic-screw-1.4:LOT=N. Lots of it in cabinet-2-drawer-1 by the record: lot PS-1120, lot OTHER. Nothing was booked",
        ),
        (
            "count cabinet-2-drawer-1 plover-mua-4.1-c3.0=3",
            2,
            "spareseat: part plover-mua-4.1-c3.0: say which lot was counted, plover-mua-4.1-c3.0:LOT=N. Lots of it in cabinet-2-drawer-1 by the record: none. Nothing was booked",
        ),
        (
            "count cabinet-2-drawer-1 plover-prosthetic-screw-1.4:OTHER=1 plover-prosthetic-screw-1.4:OTHER=2",
            2,
            "spareseat: lot OTHER of part plover-prosthetic-screw-1.4 is counted twice: say it once, with the sum. Nothing was booked",
        ),
        (
            "count cabinet-2-drawer-1",
            2,
            "spareseat: nothing was counted: say what lies there, PART=N or PART:LOT=N, or --all for an empty drawer. Nothing was booked",
        ),
        (
            "count cabinet-2-drawer-1 plover-nothing:L=1",
            2,
            "spareseat: no part 'plover-nothing' in the catalogue. See 'spareseat part list'",
        ),
        (
            "count cabinet-2-drawer-1 plover-mua-4.1-c3.0:L/é=1",
            2,
            "error: invalid value 'plover-mua-4.1-c3.0:L/é=1' for '[PART[:LOT]=N]...': 'L/é' is not a lot: expected the lot as printed, without spaces",
        ),
    ];
    for (line, status, says) in rows {
        refused(&place, line, status, says);
    }
}

/// Fourteen lines of a delivery, the ninth as given.
fn delivery(ninth: &str) -> String {
    let mut text = String::new();
    for n in 1..=14 {
        let line = format!("{SCREW},D-{n},{n},{DRAWER},2029-{:02}", n.min(12));
        text.push_str(if n == 9 { ninth } else { &line });
        text.push('\n');
    }
    text
}

#[test]
fn a_delivery_is_one_entry_all_lines_or_none() {
    let place = Place::demo();
    let file = place.folder().join("delivery.csv");
    for (ninth, status, says) in [
        (
            "plover-prosthetic-screw-1.5,D-9,9,cabinet-2-drawer-1",
            2,
            "line 9 of the delivery: no part 'plover-prosthetic-screw-1.5' in the catalogue. Did you mean plover-prosthetic-screw-1.4 or avocet-prosthetic-screw-1.4 or plover-prosthetic-screw-1.4-cone? See 'spareseat part list'. No line of it was booked",
        ),
        (
            "plover-prosthetic-screw-1.4,PS-1120,9,cabinet-2-drawer-1,2029-09",
            1,
            "line 9 of the delivery: lot PS-1120 of part plover-prosthetic-screw-1.4 is on record with another expiry: end of Sep 2028; now said: end of Sep 2029. Read the label again; nothing was booked. No line of it was booked",
        ),
        (
            "plover-prosthetic-screw-1.4,D-3,9,cabinet-2-drawer-1,2029-09",
            1,
            "line 9 of the delivery: lot D-3 of part plover-prosthetic-screw-1.4 is on record with another expiry: end of Mar 2029; now said: end of Sep 2029. Read the label again; nothing was booked. No line of it was booked",
        ),
        (
            "plover-prosthetic-screw-1.4,D-9,10000000,cabinet-2-drawer-1",
            2,
            "line 9 of the delivery: '10000000' is not a quantity: expected 1 to 100000. No line of it was booked",
        ),
        (
            "plover-prosthetic-screw-1.4,D-9,9,no-such-drawer",
            2,
            "line 9 of the delivery: no place 'no-such-drawer'.",
        ),
        (
            "plover-prosthetic-screw-1.4,D-9",
            2,
            "line 9 of the delivery has 2 cells: expected 4 to 6. No line of it was booked",
        ),
    ] {
        fs::write(&file, delivery(ninth)).unwrap();
        let before = super::refusals::held(&place);
        let out = typed(&place, "receive --lines delivery.csv");
        assert_eq!(code(&out), status, "{ninth}: {}", text(&out.stderr));
        assert!(
            text(&out.stderr).starts_with(&format!("spareseat: {says}")),
            "{ninth}: {}",
            text(&out.stderr)
        );
        assert!(super::refusals::held(&place) == before, "{ninth}");
    }
    fs::write(&file, delivery(&format!("{SCREW},D-9,9,shelf-9,none"))).unwrap();
    let done = booked(&place, "receive --lines delivery.csv --new-place");
    assert_eq!(done["moved"].as_array().unwrap().len(), 14);
    assert_eq!((pieces(&place, SCREW, "D-9", "shelf-9"), pieces(&place, SCREW, "D-14", DRAWER)), (9, 14));
    booked(&place, &format!("reverse {}", done["entry"]));
    assert_eq!(pieces(&place, SCREW, "D-14", DRAWER), 0);
    refused(
        &place,
        "receive --lines none.csv",
        2,
        "spareseat: could not read none.csv: No such file or directory (os error 2)",
    );
    sums_are_zero(&place);
    whole(&place);
}

#[test]
fn planned_work_is_shown_with_what_is_there_for_it() {
    let place = Place::demo();
    let need = booked(
        &place,
        &format!("need 1047 --date 2026-12-01 --part {ABUTMENT} --quantity 1 --because 'new bridge'"),
    );
    booked(&place, &format!("need 1047 --date 2026-11-30 --part {SCREW} --quantity 3"));
    let needs = place.json(&["stock"])["needs"].clone();
    let of = |n: usize, key: &str| needs[n][key].clone();
    assert_eq!((of(0, "part"), of(0, "there"), of(0, "short")), (SCREW.into(), 3.into(), false.into()));
    // The only abutment expires the day before.
    assert_eq!(
        (of(1, "need"), of(1, "there"), of(1, "short")),
        (need["entry"].clone(), 0.into(), true.into())
    );
    let shown = text(&place.run(&["stock", "--part", ABUTMENT]).stdout);
    assert!(
        shown.contains("\nNeeded\n") && shown.contains("SHORT: 0 pieces that can be used then"),
        "{shown}"
    );
    booked(&place, &format!("hold 2210 --part {SCREW} --quantity 2 --until 2026-12-24"));
    assert_eq!(place.json(&["stock", "--part", SCREW])["needs"][0]["there"], 1);
    booked(&place, &format!("need 1047 --off {} --because 'she travels'", need["entry"]));
    assert_eq!(place.json(&["stock", "--part", ABUTMENT])["needs"], json!([]));
    let log = text(&place.run(&["logbook", "show", "--case", "1047"]).stdout);
    for says in [
        format!("case 1047: 1 piece of {ABUTMENT} needed on 1 Dec 2026; new bridge"),
        format!("case 1047: what entry {} planned with {ABUTMENT} is called off; she travels", need["entry"]),
    ] {
        assert!(log.contains(&says), "{says}\n{log}");
    }
    for (line, status, says) in [
        (
            format!("need 1047 --date 2026-11-24 --part {SCREW} --quantity 1"),
            2,
            "spareseat: --date 2026-11-24: today is 2026-11-25, and work is planned ahead. Nothing was booked".to_owned(),
        ),
        (
            "need 2210 --off 3".to_owned(),
            2,
            "spareseat: entry 3 plans nothing for case 2210. Planned for it: none. Nothing was booked".to_owned(),
        ),
        (
            format!("reverse {}", need["entry"]),
            1,
            format!("spareseat: entry {} plans work for case 1047: call it off instead, with 'spareseat need 1047 --off ENTRY'. Nothing was booked", need["entry"]),
        ),
    ] {
        refused(&place, &line, status, &says);
    }
    whole(&place);
}
