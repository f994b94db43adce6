//! Alike parts of one visit come from one lot where one suffices; where lots must mix, each tooth is said.

use serde_json::{Value as Json, json};

use super::practice::Practice;
use super::typed::typed;
use crate::support::{code, text};

const SCREW: &str = "dunlin-prosthetic-screw-1.4";
const SITES: [&str; 4] = ["45", "43", "41", "33"];
const REPORT: &str = "visit 2210 --site 43 --broken prosthetic-screw --left nothing";

/// A practice with case 2210, whose bridge has four of these screws, and with these lots of them.
fn practice(lots: &[(&str, u32, &str, &str)]) -> Practice {
    let p = Practice::bare(&["2210"]);
    for (lot, quantity, drawer, expiry) in lots {
        p.done(&format!(
            "receive {SCREW} --lot {lot} --quantity {quantity} --place {drawer} --new-place --expiry {expiry}"
        ));
    }
    // The fifth screw is another one, and lies ready.
    p.done(
        "receive dunlin-prosthetic-screw-1.6 --lot L16 --quantity 2 --place d9 --new-place --expiry 2028-01",
    );
    p
}

/// From which lot and drawer each of the four is laid out.
fn laid(visit: &Json) -> Vec<(String, String, String)> {
    let mut all = Vec::new();
    let rows = visit["tray"].as_array().unwrap();
    for row in rows.iter().filter(|r| r["part"] == SCREW && r["use"] == "take") {
        let word = |key: &str| row[key].as_str().unwrap().to_owned();
        for site in row["sites"].as_array().unwrap() {
            all.push((site.as_str().unwrap().to_owned(), word("lot"), word("place")));
        }
    }
    all.sort();
    all
}

fn look(p: &Practice) -> Json {
    let words = super::typed::words(REPORT);
    p.place.json(&words.iter().map(String::as_str).collect::<Vec<_>>())
}

/// Refused, with nothing booked: exit code and what is said.
fn refused(p: &Practice, line: &str) -> (i32, String) {
    let before = p.last();
    let out = typed(&p.place, line);
    assert_eq!(p.last(), before, "{line}");
    (code(&out), text(&out.stderr))
}

/// Drawer d1 with 1 of lot A and 10 of lot C, d5 with 2 of lot B.
#[test]
fn four_alike_screws_are_of_one_lot_where_one_has_four() {
    let p = practice(&[("A", 1, "d1", "2026-12"), ("C", 10, "d1", "2027-06"), ("B", 2, "d5", "2027-01")]);
    let visit = look(&p);
    let mut expected: Vec<_> = SITES.map(|s| (s.to_owned(), "C".to_owned(), "d1".to_owned())).into();
    expected.sort();
    assert_eq!(laid(&visit), expected);
    assert_eq!((&visit["keep_apart"], &visit["holds_left_over"]), (&json!([]), &json!([])));
}

#[test]
fn a_hold_of_one_piece_does_not_mix_the_set_and_is_said() {
    let p = practice(&[("A", 1, "d1", "2026-12"), ("C", 10, "d1", "2027-06")]);
    p.done(&format!("hold 2210 --part {SCREW} --lot A --quantity 1 --until 2026-12-05"));
    let hold = p.last();
    let visit = look(&p);
    assert!(laid(&visit).iter().all(|(_, lot, _)| lot == "C"), "{:?}", laid(&visit));
    let said = format!(
        "HOLD LEFT OVER: hold {hold}: 1 piece of lot A for case 2210 until 5 Dec 2026, {SCREW}; this tray takes none of it. When it is not needed any more: 'spareseat --as INITIALS release {hold}'"
    );
    assert!(visit["answer"].as_str().unwrap().lines().any(|l| l == said), "{}", visit["answer"]);
    let left = &visit["holds_left_over"][0];
    assert_eq!((&left["hold"], &left["lot"], &left["left_over"]), (&json!(hold), &json!("A"), &json!(1)));

    // One that covers the whole set is used, although another lot ends earlier.
    let p = practice(&[("A", 9, "d1", "2026-12"), ("C", 10, "d1", "2027-06")]);
    p.done(&format!("hold 2210 --part {SCREW} --lot C --quantity 4 --until 2026-12-05"));
    let visit = look(&p);
    assert!(laid(&visit).iter().all(|(_, lot, _)| lot == "C"), "{:?}", laid(&visit));
    assert_eq!(visit["holds_left_over"], json!([]));
}

const MIXED: [(&str, u32, &str, &str); 3] =
    [("A", 1, "d1", "2026-12"), ("B", 2, "d5", "2027-01"), ("D", 1, "d1", "2027-06")];

#[test]
fn lots_that_must_mix_are_kept_apart_and_each_tooth_is_said() {
    let p = practice(&MIXED);
    let visit = look(&p);
    let said = format!(
        "KEEP APART: the prosthetic screws {SCREW} are of 3 lots: lot A for tooth 43; lot B for teeth 45 and 41; lot D for tooth 33. Lay each by itself, with its tooth and its lot written beside it."
    );
    assert!(visit["answer"].as_str().unwrap().lines().any(|l| l == said), "{}", visit["answer"]);
    assert_eq!(visit["keep_apart"][0]["lots"][0], json!({ "lot": "A", "sites": ["43"] }));
    p.done(&format!("{REPORT} --open"));

    let book = "use 2210 --visit --torque not-measured";
    let at = |site: &str| format!("prosthetic screw (bridge to abutment) at tooth {site}");
    assert_eq!(
        refused(&p, book),
        (
            2,
            format!(
                "spareseat: the tray has prosthetic screws {SCREW} of 3 lots (1 piece of lot A, 2 pieces of lot B, 1 piece of lot D), and nobody can tell them apart afterwards: say for each tooth which lot went in. Not said for {}, {}, {}, {}. Add --lot 43:prosthetic-screw=LOT for each, or --label 43:prosthetic-screw=LABEL as scanned. Nothing was booked\n",
                at("43"),
                at("45"),
                at("41"),
                at("33")
            )
        )
    );
    // One that was not laid out; more of one than was.
    let some = format!("{book} --lot 43=B --lot 45:prosthetic-screw=A");
    let go_on = "Read the packs again. Another pack than those is booked by itself: leave that line out with --except, then 'spareseat use CASE --site TOOTH --position POSITION --part PART --lot LOT --torque NCM'. Nothing was booked\n";
    let lots = "It has: 1 piece of lot A, 2 pieces of lot B, 1 piece of lot D.";
    for (more, line, lot, there) in [
        (" --lot 41:prosthetic-screw=X --lot 33=D", "41", "X", "no piece"),
        (" --lot 41=A --lot 33=D", "41", "A", "1 piece and no more"),
    ] {
        assert_eq!(
            refused(&p, &format!("{some}{more}")),
            (
                1,
                format!(
                    "spareseat: {}: lot {lot} was said, and of that the tray has {there}. {lots} {go_on}",
                    at(line)
                )
            )
        );
    }
    assert_eq!(refused(&p, &format!("{some} --lot 41=B")).0, 2, "tooth 33 is not said");

    // What was said is what is on record, whatever had been laid out for which tooth.
    let (booked, _) = p.told(&format!("{some} --lot 41=B --lot 33=D"));
    let put_in = |site: &str| {
        let lines = booked["lines"].as_array().unwrap();
        let line = lines.iter().find(|l| l["site"] == site && l["part"] == SCREW).unwrap();
        (line["lot"].as_str().unwrap().to_owned(), line["place"].as_str().unwrap().to_owned())
    };
    for (site, lot, place) in [("43", "B", "d5"), ("45", "A", "d1"), ("41", "B", "d5"), ("33", "D", "d1")] {
        assert_eq!(put_in(site), (lot.to_owned(), place.to_owned()), "tooth {site}");
        assert_eq!(p.fitted("2210", site, "prosthetic-screw")["lot"], lot, "tooth {site}");
    }
    p.is_whole();
}

#[test]
fn of_mixed_lots_the_one_that_fell_is_the_one_that_is_left() {
    let p = practice(&[("A", 1, "d1", "2026-12"), ("B", 1, "d5", "2027-01"), ("C", 3, "d1", "2027-06")]);
    // Three lots of which two will do: C and the earliest.
    p.done(&format!("{REPORT} --open"));
    let (booked, _) = p.told(
        "use 2210 --visit --torque not-measured --dropped 33 --lot 43=C --lot 45=C --lot 41=C --lot 33=B",
    );
    assert_eq!(booked["spoiled"], 1);
    // C went in three times, so what fell was A; for it B was taken.
    assert_eq!(p.balances(SCREW, "A").get("cases"), None);
    assert_eq!(p.fitted("2210", "33", "prosthetic-screw")["lot"], "B");
    assert_eq!(p.balances(SCREW, "C").get("d1"), None, "all three are in the mouth");
    p.is_whole();
}
