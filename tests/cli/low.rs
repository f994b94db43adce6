//! The lists of stock: by what they are, and what is low: fewer than the next visit takes, what is planned, and what is set aside. And needs in their order.

use serde_json::{Value as Json, json};

use super::booking::{booked, pieces};
use super::typed::typed;
use crate::support::{Place, code, text};

const SCREW: &str = "dunlin-prosthetic-screw-1.4";

fn low(place: &Place) -> Vec<Json> {
    place.json(&["stock", "--low"])["low"].as_array().unwrap().clone()
}

fn of(place: &Place, part: &str) -> Option<Json> {
    low(place).into_iter().find(|l| l["part"] == part)
}

/// Case 2210 has this screw on four of its sites, and three lie in the drawer.
#[test]
fn a_set_of_screws_that_is_not_there_whole_is_low() {
    let place = Place::demo();
    let case = place.json(&["case", "show", "2210"]);
    let sites = case["sites"].as_array().unwrap();
    let screws = sites.iter().flat_map(|s| s["fitted"].as_array().unwrap()).filter(|f| f["part"] == SCREW);
    let found = of(&place, SCREW).expect("it is low");
    assert_eq!(found["one_visit"]["quantity"], screws.count());
    assert_eq!((&found["there"], &found["wanted"], &found["promised"]), (&json!(3), &json!(4), &json!(0)));
    let line = format!("receive {SCREW} --lot D-1 --quantity 1 --place cabinet-3-drawer-1 --expiry 2029-01");
    booked(&place, &line);
    assert_eq!(of(&place, SCREW), None, "four are there");
    // Planned work comes on top; what is held for it is not counted twice.
    booked(&place, &format!("need 2210 --date 2026-12-02 --part {SCREW} --quantity 2"));
    let found = of(&place, SCREW).unwrap();
    assert_eq!((&found["there"], &found["wanted"], &found["promised"]), (&json!(4), &json!(6), &json!(2)));
    booked(&place, &format!("hold 2210 --part {SCREW} --quantity 1 --until 2026-12-02"));
    assert_eq!(of(&place, SCREW).unwrap()["promised"], 2);
    let said = text(&place.run(&["stock", "--low"]).stdout);
    let row = said.lines().find(|l| l.contains(SCREW)).unwrap();
    let says = "4 pieces  6 pieces  4 pieces at one visit (case 2210, bridge 45-(44)-43-(42)-41-(31)-(32)-33-(34)-35); 2 pieces planned or set aside";
    assert!(row.contains(says), "{row}");
}

/// What may not go into anybody is not there: expired, or called back. A case that is closed asks for nothing.
#[test]
fn only_what_may_be_used_is_there_and_only_open_cases_ask() {
    let place = Place::demo();
    let part = "plover-mua-4.1-c3.0";
    assert_eq!(of(&place, part), None, "one is there until 30 November");
    let mut later = crate::support::started();
    later.arg("--home").arg(place.home()).args(["--on", "2026-12-01", "--json", "stock", "--low"]);
    let out = later.output().unwrap();
    let said: Json = serde_json::from_slice(&out.stdout).unwrap();
    assert!(said["low"].as_array().unwrap().iter().any(|l| l["part"] == part && l["there"] == 0), "{said:#}");
    assert_eq!(code(&typed(&place, &format!("withdraw --lot MU-2077 --part {part}"))), 0);
    assert_eq!(of(&place, part).unwrap()["there"], 0);
    booked(&place, "visit 5120 --end not-today");
    for case in place.json(&["case", "list"])["cases"].as_array().unwrap() {
        booked(&place, &format!("case close {} --because moved", case.as_str().unwrap()));
    }
    assert_eq!(low(&place), Vec::<Json>::new());
    let said = text(&place.run(&["stock", "--low"]).stdout);
    assert!(
        said.starts_with(
            "Nothing is low: what one visit takes is there, with what is planned and set aside.\n"
        ),
        "{said}"
    );
}

/// Two needs of one part: the later one has what the earlier one leaves, and a hold serves its own case.
#[test]
fn what_an_earlier_need_takes_is_not_there_for_a_later_one() {
    let place = Place::demo();
    let screw = "plover-prosthetic-screw-1.4";
    let there = |n: usize| place.json(&["stock", "--part", screw])["needs"][n]["there"].as_i64().unwrap();
    let all = pieces(&place, screw, "PS-1120", "cabinet-2-drawer-1") as i64;
    booked(&place, &format!("need 1047 --date 2026-12-05 --part {screw} --quantity 2"));
    assert_eq!(there(0), all);
    booked(&place, &format!("need 2210 --date 2026-12-01 --part {screw} --quantity 1"));
    assert_eq!((there(0), there(1)), (all, all - 1));
    // Held for the later one: the earlier one has the rest, the later one its own and nothing that is left over.
    booked(&place, &format!("hold 1047 --part {screw} --quantity 2 --until 2026-12-31"));
    assert_eq!((there(0), there(1)), (all - 2, all - 1));
    booked(&place, &format!("need 4051 --date 2026-12-02 --part {screw} --quantity 3"));
    assert_eq!((there(0), there(1), there(2)), (all - 2, all - 3, 2));
}

/// Whoever asks what may come in hears that it is set aside.
#[test]
fn a_swap_and_a_fit_say_what_is_set_aside() {
    let place = Place::demo();
    let part = "plover-mua-4.1-c3.0";
    booked(&place, &format!("hold 2210 --part {part} --quantity 1 --until 2026-11-28"));
    for line in [format!("swap 1047 25 abutment {part}"), format!("fit 1047 --swap 25:abutment={part}")] {
        let out = typed(&place, &line);
        let said = text(&out.stdout);
        assert!(
            said.contains(": 1 piece of lot MU-2077 for case 2210 until 28 Nov 2026\n"),
            "{line}: {said}"
        );
        assert!(said.contains("    set aside, hold "), "{line}: {said}");
    }
    let swap: Json =
        serde_json::from_slice(&typed(&place, &format!("--json swap 1047 25 abutment {part}")).stdout)
            .unwrap();
    let held = &swap["candidates"][0]["held"][0];
    assert_eq!((&held["case"], &held["quantity"]), (&json!("2210"), &json!(1)));
}

/// The rows of a list as they stand on the screen, and a key of every row of its JSON.
fn listed(place: &Place, by: &str, key: &str) -> (Vec<String>, Vec<Json>) {
    let said = text(&place.run(&["stock", "--by", by]).stdout);
    let rows = said.lines().skip(4).take_while(|l| !l.is_empty()).map(|l| l.trim().to_owned()).collect();
    let json = place.json(&["stock", "--by", by]);
    (rows, json["rows"].as_array().unwrap().iter().map(|r| r[key].clone()).collect())
}

#[test]
fn a_list_is_by_part_by_drawer_or_by_expiry() {
    let place = Place::demo();
    for (by, key, first) in [
        ("part", "part", "avocet-abutment-screw"),
        ("place", "place", "cabinet-1-tray-1"),
        ("expiry", "days_left", "EXPIRED end of Sep 2026"),
    ] {
        let (rows, keys) = listed(&place, by, key);
        assert_eq!(rows.len(), keys.len());
        assert!(rows[0].starts_with(first), "{by}: {}", rows[0]);
        let known: Vec<&Json> = keys.iter().take_while(|k| !k.is_null()).collect();
        let in_order = known.windows(2).all(|w| match (w[0].as_i64(), w[1].as_i64()) {
            (Some(a), Some(b)) => a <= b,
            _ => w[0].as_str() <= w[1].as_str(),
        });
        assert!(in_order && keys[known.len()..].iter().all(Json::is_null), "{by}: {keys:?}");
    }
    let said = text(&place.run(&["stock", "--place", "cabinet-1-tray-1", "--expires-within", "30"]).stdout);
    assert_eq!(said, "Nothing of what was asked for lies in a drawer.\n");
}
