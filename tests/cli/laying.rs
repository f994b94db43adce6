//! A visit on record: begun, narrowed, its tray booked in one entry, ended; and what the record says afterwards.

use serde_json::{Value as Json, json};

use super::practice::{Practice, SCREW, places};
use super::typed::typed;
use crate::support::{code, text};

const OPEN: &str = "visit 1047 --site 25 --broken prosthetic-screw --left shank-in-abutment --open";

/// The visit ends and another begins.
fn another(p: &Practice, case: &str, open: &str) {
    p.done(&format!("visit {case} --end back-in"));
    p.done(open);
}

#[test]
fn a_visit_from_the_call_to_its_end() {
    let p = Practice::with(&["1047"]);
    let before = p.last();
    let opened = p.done(&format!("{OPEN} --because 'bridge loose since Monday'"));
    assert_eq!(opened["entry"], before + 1);
    assert_eq!(
        p.entry(before + 1),
        "case 1047, tooth 25: visit begun (prosthetic screw (bridge to abutment) broken; left behind: shank in abutment); 4 pieces to be laid out; bridge loose since Monday"
    );
    assert_eq!(
        p.balances(SCREW, "P-1"),
        places([("drawer-1", 8), ("supplier", -8)]),
        "a visit takes nothing"
    );
    let shown = text(&p.place.run(&["visit", "1047"]).stdout);
    let stands = format!("Visit on record since 25 Nov 2026 (entry {}).", before + 1);
    assert!(shown.lines().any(|l| l == stands), "{shown}");

    let (booked, said) = p.told(
        "use 1047 --visit --torque 25:prosthetic-screw=14.5 --torque 24=15 --torque not-measured --old 24=kept --old 25=discarded --because 'all three new'",
    );
    assert_eq!(
        said,
        "note: prosthetic screw (bridge to abutment) at tooth 25: tightened to 14.5 Ncm; its source states 15 Ncm.\n"
    );
    // The whole tray is one entry.
    assert_eq!((&booked["entry"], p.last()), (&json!(before + 2), before + 2));
    assert_eq!(
        [&booked["put_in"], &booked["came_out"], &booked["kept"], &booked["spoiled"]],
        [&json!(3), &json!(3), &json!(1), &json!(0)]
    );
    for (site, torque, words) in [
        ("24", json!(15.0), "15 Ncm"),
        ("25", json!(14.5), "14.5 Ncm"),
        ("27", Json::Null, "torque not measured"),
    ] {
        let screw = p.fitted("1047", site, "prosthetic-screw");
        assert_eq!(
            [&screw["part"], &screw["lot"], &screw["on"], &screw["torque_ncm"], &screw["torque"]],
            [&json!(SCREW), &json!("P-1"), &json!("2026-11-25"), &torque, &json!(words)],
            "tooth {site}"
        );
    }
    // The driver that reaches at 27 is the way to the screw, not the screw.
    assert_eq!(p.fitted("1047", "27", "prosthetic-screw")["driver"], "driver-hexagon-1.22-short");
    assert_eq!(p.balances(SCREW, "P-1"), places([("cases", 3), ("drawer-1", 5), ("supplier", -8)]));
    assert_eq!(p.balances(SCREW, "PS-0952"), places([("cases", -3), ("kept pieces", 1), ("waste", 2)]));
    let put_in = |site: &str, torque: &str, became: &str| {
        format!(
            "tooth {site}: prosthetic screw (bridge to abutment) {SCREW}, lot P-1, from drawer-1, {torque}; replaced {SCREW} (lot PS-0952), {became}"
        )
    };
    assert_eq!(
        p.entry(before + 2),
        format!(
            "case 1047, tray of the visit: {}; {}; {}; {SCREW} at tooth 25 is the one that gave way (lot PS-0952); all three new",
            put_in("25", "14.5 Ncm", "discarded"),
            put_in("24", "15 Ncm", "kept"),
            put_in("27", "torque not measured", "discarded")
        )
    );

    // Asked again, the visit says what is left to do, and nothing of what is done.
    let again = p.done("visit 1047");
    let answer = again["answer"].as_str().unwrap();
    assert!(
        answer.starts_with(&format!("BOOKED: the tray of this visit went in with entry {}.", before + 2)),
        "{answer}"
    );
    assert_eq!(
        (&again["visit"]["booked"], &again["tray"], &again["undo"]),
        (&json!(before + 2), &json!([]), &json!([]))
    );
    let told = |list: &str, what: &str| {
        again[list].as_array().unwrap().iter().any(|l| l.as_str().unwrap().contains(what))
    };
    assert!(told("after", "each once more after ten minutes") && told("after", "--end back-in"), "{again:#}");
    assert!(!told("after", "Book the tray") && !told("before", SCREW), "{again:#}");

    p.done("visit 1047 --end back-in");
    assert_eq!(p.last(), before + 3);
    let over = p.place.run(&["visit", "1047"]);
    assert_eq!(code(&over), 2, "{}", text(&over.stdout));
    p.is_whole();
}

/// What becomes of the old parts where nobody says it, and the text a person reads.
#[test]
fn what_gave_way_is_kept_and_the_rest_of_the_set_discarded() {
    let p = Practice::with(&["1047"]);
    p.done(OPEN);
    let out = typed(&p.place, "use 1047 --visit --torque 15");
    assert_eq!((code(&out), text(&out.stderr)), (0, String::new()));
    let line = |site: &str| {
        format!("  prosthetic screw (bridge to abutment) at tooth {site}: {SCREW}, lot P-1, 15 Ncm\n")
    };
    assert_eq!(
        text(&out.stdout),
        format!(
            "entry {}: case 1047: the tray is booked: 3 pieces put in, 3 pieces came out, 1 piece of them kept, 0 pieces spoiled.\n{}{}{}",
            p.last(),
            line("25"),
            line("24"),
            line("27")
        )
    );
    assert_eq!(p.balances(SCREW, "PS-0952"), places([("cases", -3), ("kept pieces", 1), ("waste", 2)]));
    let events = p.place.json(&["case", "show", "1047"])["events"].clone();
    let kept: Vec<&Json> = events
        .as_array()
        .unwrap()
        .iter()
        .filter(|e| e["on"] == "2026-11-25" && !e["kept"].is_null())
        .collect();
    assert_eq!(
        (kept.len(), &kept[0]["site"], &kept[0]["kept"]),
        (1, &json!("25"), &json!(format!("the old {SCREW}")))
    );
}

#[test]
fn a_torque_for_all_for_a_site_for_a_position_or_none() {
    let p = Practice::with(&["2210"]);
    p.done("visit 2210 --site 35 --broken abutment-screw --open");
    let positions = [("35", "abutment-screw"), ("35", "prosthetic-screw"), ("45", "prosthetic-screw")];
    let silent = "booked as not recorded. To put it on record now: 'spareseat case found CASE --site TOOTH --position POSITION --part PART --sure label --torque NCM', one for each.";
    for (options, torques, said) in [
        (
            "--torque 15 --torque 35:prosthetic-screw=15",
            [json!(15.0), json!(15.0), json!(15.0)],
            "prosthetic screw (bridge to abutment) at tooth 35: tightened to 15 Ncm; its source states 20 Ncm.",
        ),
        ("--torque 35=20", [json!(20.0), json!(20.0), json!("torque not recorded")], silent),
        // What names a position counts before what names a site, in whichever order they stand.
        (
            "--torque 35=20 --torque 35:abutment-screw=15 --torque not-measured",
            [json!(15.0), json!(20.0), json!("torque not measured")],
            "",
        ),
        (
            "--torque not-measured --torque 35:abutment-screw=15 --torque 35=20",
            [json!(15.0), json!(20.0), json!("torque not measured")],
            "",
        ),
        (
            "",
            [json!("torque not recorded"), json!("torque not recorded"), json!("torque not recorded")],
            silent,
        ),
    ] {
        let (_, remarks) = p.told(&format!("use 2210 --visit {options}"));
        assert_eq!(remarks.is_empty(), said.is_empty(), "{options}: {remarks}");
        assert!(remarks.contains(said), "{options}: {remarks}");
        for ((site, position), torque) in positions.iter().zip(torques) {
            let part = p.fitted("2210", site, position);
            let key = if torque.is_number() { "torque_ncm" } else { "torque" };
            assert_eq!(part[key], torque, "{options}: {position} at {site}: {part:#}");
            assert_eq!(part["torque_ncm"].is_number(), torque.is_number(), "{options}: nothing is filled in");
        }
        // Nobody set a wrench on the abutment.
        assert_eq!(p.fitted("2210", "35", "abutment")["torque_ncm"], Json::Null, "{options}");
        another(&p, "2210", "visit 2210 --site 35 --broken abutment-screw --open");
    }
    p.is_whole();
}

#[test]
fn what_was_not_used_dropped_opened_or_taken_in_the_step_up() {
    let p = Practice::with(&["1047"]);
    p.done(OPEN);
    // The fragment stayed in: the abutment too. One screw stayed in its drawer, one more fell on the floor.
    let booked =
        p.done("use 1047 --visit --step-up --torque 15 --torque 25:abutment=30 --except 24 --dropped 27:prosthetic-screw");
    assert_eq!(
        [&booked["put_in"], &booked["came_out"], &booked["spoiled"]],
        [&json!(3), &json!(3), &json!(1)]
    );
    assert_eq!(p.fitted("1047", "24", "prosthetic-screw")["lot"], "PS-0952", "it is the old one still");
    assert_eq!(p.fitted("1047", "27", "prosthetic-screw")["lot"], "P-1");
    let abutment = p.fitted("1047", "25", "abutment");
    assert_eq!([&abutment["lot"], &abutment["torque_ncm"]], [&json!("M-1"), &json!(30.0)]);
    // It was in no mouth and came unsterile: it is cleaned and sterilised, and lies in no drawer until then.
    assert_eq!(
        p.balances(SCREW, "P-1"),
        places([("cases", 2), ("drawer-1", 5), ("supplier", -8), ("to be reprocessed", 1)])
    );
    assert_eq!(
        p.balances("plover-mua-4.1-c3.0", "M-1"),
        places([("cases", 1), ("drawer-2", 1), ("supplier", -2)])
    );
    assert_eq!(p.balances("plover-mua-4.1-c3.0", "MU-1203"), places([("cases", -1), ("waste", 1)]));
    assert!(
        p.entry(p.last()).contains(&format!("; {SCREW} lot P-1 from drawer-1: dropped, to be reprocessed; ")),
        "{}",
        p.entry(p.last())
    );

    // Another visit: the abutment's pack was opened, the shank came out after all.
    another(&p, "1047", OPEN);
    let booked = p.done("use 1047 --visit --torque 15 --opened 25:abutment");
    assert_eq!(
        [&booked["put_in"], &booked["came_out"], &booked["spoiled"]],
        [&json!(3), &json!(3), &json!(1)]
    );
    assert_eq!(p.fitted("1047", "25", "abutment")["torque_ncm"], 30.0, "the one from before stands there");
    assert_eq!(
        p.balances("plover-mua-4.1-c3.0", "M-1"),
        places([("cases", 1), ("supplier", -2), ("to be reprocessed", 1)])
    );
    // What is opened in place of being used is taken out of the drawer once, not twice.
    another(&p, "1047", OPEN);
    let booked = p.done("use 1047 --visit --torque 15 --opened 24");
    assert_eq!(
        [&booked["put_in"], &booked["came_out"], &booked["spoiled"]],
        [&json!(1), &json!(1), &json!(1)]
    );
    assert_eq!(p.balances(SCREW, "P-1")["to be reprocessed"], 2);
    assert_eq!(p.balances(SCREW, "P-1").get("drawer-1"), None, "8 are gone: 6 in, 2 spoiled");
    p.is_whole();
}

#[test]
fn whichever_screw_fell_the_next_lot_goes_in_for_it() {
    for fell in ["24", "25", "27"] {
        let p = Practice::bare(&["1047"]);
        for (lot, quantity, expiry) in [("LAST", 3, "2027-01"), ("NEXT", 2, "2029-01")] {
            p.done(&format!(
                "receive {SCREW} --lot {lot} --quantity {quantity} --place drawer-1 --new-place --expiry {expiry}"
            ));
        }
        p.done(OPEN);
        let booked = p.done(&format!("use 1047 --visit --torque 15 --dropped {fell}"));
        assert_eq!([&booked["put_in"], &booked["spoiled"]], [&json!(3), &json!(1)], "{fell}");
        for site in ["24", "25", "27"] {
            let lot = if site == fell { "NEXT" } else { "LAST" };
            assert_eq!(p.fitted("1047", site, "prosthetic-screw")["lot"], lot, "{fell} fell: {site}");
        }
        assert_eq!(
            p.balances(SCREW, "LAST"),
            places([("cases", 2), ("supplier", -3), ("to be reprocessed", 1)])
        );
        assert_eq!(p.balances(SCREW, "NEXT"), places([("cases", 1), ("drawer-1", 1), ("supplier", -2)]));
    }
}

#[test]
fn an_angled_abutment_carries_the_lean_that_was_said() {
    let p = Practice::with(&["2210"]);
    p.done("visit 2210 --site 35 --broken abutment --open");
    let torques = "--torque 35:abutment-screw=15 --torque 35:prosthetic-screw=20 --torque 15";
    for (option, lean) in [
        ("--lean 35:abutment=distal", json!("distal")),
        ("--lean 35=12.5", json!("12.5° from buccal by way of mesial")),
    ] {
        let booked = p.done(&format!("use 2210 --visit {torques} {option}"));
        assert_eq!(booked["put_in"], 7);
        assert_eq!(p.fitted("2210", "35", "abutment")["lean"], lean);
        another(&p, "2210", "visit 2210 --site 35 --broken abutment --open");
    }
    // Nothing is carried over from the one before: it need not lean the same way.
    let (_, said) = p.told(&format!("use 2210 --visit {torques}"));
    assert_eq!(
        said,
        "note: which way the new abutment at tooth 35 leans is not said: enter it with --lean 35=DIRECTION next time, or 'case found' now.\n"
    );
    assert_eq!(p.fitted("2210", "35", "abutment")["lean"], Json::Null);
}

#[test]
fn the_same_act_is_booked_once_and_says_what_stands() {
    let p = Practice::with(&["1047"]);
    for (act, first, again) in [
        ("1", OPEN, "visit 1047 --site 24 --broken loose --open"),
        ("2", "visit 1047 --broken loose --narrow", "visit 1047 --broken abutment --narrow"),
        ("3", "use 1047 --visit --torque 15", "use 1047 --visit --torque 30 --except 24"),
        ("4", "visit 1047 --end back-in", "visit 1047 --end referred"),
    ] {
        let act = format!("--act {act:0>32}");
        let booked = p.done(&format!("{act} {first}"));
        assert_eq!(
            (&booked["entry"], &booked["booked_before"]),
            (&json!(p.last()), &json!(false)),
            "{first}"
        );
        let told = p.entry(p.last());
        let stands = p.done(&format!("{act} {again}"));
        assert_eq!(
            stands,
            json!({ "version": 1, "entry": p.last(), "booked_before": true, "stands": told }),
            "{again}"
        );
        let out = typed(&p.place, &format!("{act} {again}"));
        let says = format!(
            "Booked before by the same act; nothing was booked now. Entry {} stands: {told}\n",
            p.last()
        );
        assert_eq!((code(&out), text(&out.stdout), text(&out.stderr)), (0, says, String::new()));
        assert_eq!(booked["entry"], p.last(), "{again}");
    }
    assert_eq!(p.balances(SCREW, "P-1")["drawer-1"], 5);
    p.is_whole();
}

#[test]
fn a_visit_ends_in_one_of_four_ways_and_another_may_begin() {
    let p = Practice::with(&["1047"]);
    for (outcome, words) in [
        ("back-in", "the restoration is back in"),
        ("not-today", "the restoration could not go back today"),
        ("laboratory", "sent to the laboratory"),
        ("referred", "referred"),
    ] {
        p.done(OPEN);
        let (ended, said) = p.told(&format!("visit 1047 --end {outcome} --because 'as told'"));
        // Back in, and nothing booked: the old parts are still in by the record.
        let expected = match outcome {
            "back-in" => {
                "note: no tray was booked for this visit: by the record the old parts are still in at tooth 25.\n"
            }
            _ => "",
        };
        assert_eq!(said, expected, "{outcome}");
        assert_eq!(ended["ended"], words);
        assert_eq!(
            p.entry(p.last()),
            format!(
                "case 1047, tooth 25: visit ended: {words} (prosthetic screw (bridge to abutment) broken; left behind: shank in abutment); as told"
            )
        );
        let over = typed(&p.place, "use 1047 --visit");
        assert_eq!(code(&over), 1, "{outcome}: {}", text(&over.stdout));
    }
}

#[test]
fn a_walk_in_becomes_a_case_and_its_tray_comes_with_what_is_found() {
    let p = Practice::with(&[]);
    let new = p.done("visit 9001 --site 25 --broken prosthetic-screw --new --because 'walked in'");
    let answer = new["answer"].as_str().unwrap();
    assert!(
        answer.starts_with("NOT KNOWN what is fitted at tooth 25 (upper left second premolar): "),
        "{answer}"
    );
    assert!(answer.contains("Parts it might be lie in: drawer-1, drawer-3."), "{answer}");
    assert_eq!((&new["tray"], new["candidates"].as_array().unwrap().len()), (&json!([]), 3));
    assert_eq!(
        p.entry(p.last()),
        "case 9001, tooth 25: walk-in put on record, visit begun (prosthetic screw (bridge to abutment) broken; left behind: not known); walked in"
    );
    // What is found out is entered; the visit then answers, and what it shows is put on record before it is booked.
    for (position, part) in [
        ("implant", "plover-implant-4.0x10"),
        ("abutment", "plover-mua-4.1-c3.0"),
        ("cylinder", "plover-cylinder-4.8"),
        ("prosthetic-screw", SCREW),
    ] {
        p.done(&format!("case found 9001 --site 25 --position {position} --part {part} --sure label"));
    }
    p.done("visit 9001 --narrow --left nothing");
    let booked = p.done("use 9001 --visit --torque 15");
    assert_eq!([&booked["put_in"], &booked["came_out"]], [&json!(1), &json!(1)]);
    // Nobody knew the lot of the screw that came out: no stock moves for it.
    assert_eq!(p.balances(SCREW, "P-1"), places([("cases", 1), ("drawer-1", 7), ("supplier", -8)]));
    assert!(
        p.entry(p.last()).contains("is the one that gave way (lot not recorded)"),
        "{}",
        p.entry(p.last())
    );
    p.done("visit 9001 --end back-in");
    p.is_whole();
}
