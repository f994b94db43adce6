//! What is refused around a visit: word for word, with its exit status, and nothing changed by it.

use super::practice::{Practice, SCREW};
use super::refusals::refused;
use super::typed::typed;
use crate::support::{Place, code, text};

const OPEN: &str = "visit 1047 --site 25 --broken prosthetic-screw --left shank-in-abutment --open";

fn all_refused(place: &Place, rows: &[(&str, i32, &str)]) {
    for (line, status, says) in rows {
        refused(place, line, *status, says);
    }
}

#[test]
fn without_an_open_visit() {
    let p = Practice::with(&["1047"]);
    let none = "spareseat: no visit is open on case 1047: begin one with --site TOOTH --broken WHAT --open; nothing was booked";
    let say = "spareseat: no visit is open on case 1047: say --site TOOTH and --broken WHAT";
    all_refused(
        &p.place,
        &[
            ("visit 1047", 2, say),
            ("visit 1047 --site 25", 2, say),
            ("visit 1047 --broken loose", 2, say),
            ("visit 1047 --open", 2, say),
            ("visit 1047 --narrow", 1, none),
            ("visit 1047 --end back-in", 1, none),
            (
                "use 1047 --visit --torque 15",
                1,
                "spareseat: no visit is open on case 1047: put it on record first, 'spareseat --as INITIALS visit 1047 --site TOOTH --broken WHAT --open'; nothing was booked",
            ),
            (
                "use 1074 --visit",
                2,
                "spareseat: no case 1074 on record. Did you mean 1047? To enter one: 'spareseat case new 1074'; a patient who walks in: 'spareseat visit 1074 --new --site TOOTH --broken WHAT'",
            ),
            (
                "visit 1047 --site 25 --broken loose --because late",
                2,
                "error: the following required arguments were not provided:\n  <--open|--narrow|--end <HOW>|--new>",
            ),
            (
                "--as-of 3 visit 1047 --site 25 --broken loose --open",
                2,
                "spareseat: --as-of shows an earlier state: nothing can be booked there",
            ),
            (
                "visit 1047 --site 25 --broken loose --open --narrow",
                2,
                "error: the argument '--open' cannot be used with '--narrow'",
            ),
            (
                "visit 1047 --site 25 --broken loose --end gone",
                2,
                "error: invalid value 'gone' for '--end <HOW>'\n  [possible values: back-in, not-today, laboratory, referred]",
            ),
            (
                "visit 1047 --site 25 --broken unglued-base --open",
                1,
                "spareseat: case 1047, tooth 25 (upper left second premolar): no titanium base and no cylinder is on record there. On record: implant, abutment, framework, prosthetic screw (bridge to abutment). Where cement has given way: say --broken loose. Nothing was booked",
            ),
            (
                "visit 1047 --site 25 --broken loose --new",
                1,
                "spareseat: case 1047 is on record already: a walk-in needs a number of its own. Leave out --new if it is this patient; nothing was booked",
            ),
            (
                "visit 9001 --broken loose --new",
                2,
                "error: the following required arguments were not provided:\n  --site <TOOTH>",
            ),
            (
                "visit 9001 --site 99 --broken loose --new",
                2,
                "spareseat: '99' is not a tooth in ISO 3950: expected 11 to 48 (or 51 to 85 for first teeth), such as 25",
            ),
        ],
    );
    let nobody = p.place.run(&["visit", "1047", "--site", "25", "--broken", "loose", "--open"]);
    assert_eq!(
        (code(&nobody), text(&nobody.stderr)),
        (2, "spareseat: say who books: --as INITIALS\n".to_owned())
    );
}

#[test]
fn with_one_that_is_open() {
    let p = Practice::with(&["1047"]);
    let entry = p.done(OPEN)["entry"].clone();
    let open = format!(
        "spareseat: a visit is open on case 1047 already: tooth 25, prosthetic screw (bridge to abutment) broken, since 25 Nov 2026 (entry {entry}). Narrow it with --narrow, or end it first with --end; nothing was booked"
    );
    // A site that is under no bridge with tooth 25.
    p.done("case found 1047 --site 11 --position implant --part plover-implant-4.0x10 --sure passport");
    let there = "It has: 25:prosthetic-screw, 24:prosthetic-screw, 27:prosthetic-screw, 25:abutment. Nothing was booked";
    let positions = "expected one of implant, abutment, base, abutment-screw, cylinder, framework, prosthetic-screw, healing-cap, cover-screw";
    let single = format!("use 1047 --site 25 --position prosthetic-screw --part {SCREW} --lot P-1");
    let straight = format!("spareseat: part {SCREW} is straight: leave out its --lean. Nothing was booked");
    let line = "with --visit say for which line: 25=VALUE or 25:abutment=VALUE";
    all_refused(
        &p.place,
        &[
            ("visit 1047 --site 24 --broken loose --open", 1, &open),
            (OPEN, 1, &open),
            (
                "visit 1047 --site 11 --broken implant-moves --narrow",
                2,
                "spareseat: the open visit of case 1047 is at tooth 25: it is not narrowed to tooth 11. End it first, or say --site 25; nothing was booked",
            ),
            (
                "visit 1047 --end back-in --site 25",
                2,
                "spareseat: --end ends the visit that is open: leave out --site, --broken and --left, or narrow it first",
            ),
            (
                "visit 1047 --left fragment-in-implant --narrow",
                2,
                "spareseat: prosthetic screw (bridge to abutment) broken: its thread sits in the abutment, not in the implant; a fragment in the implant is the abutment screw's or the abutment's. Say again what broke and what stayed behind",
            ),
            (
                "use 1047 --visit --torque 46=15",
                2,
                &format!("spareseat: --torque tooth 46: the tray has no such line. {there}"),
            ),
            (
                "use 1047 --visit --except 24:abutment",
                2,
                &format!("spareseat: --except abutment at tooth 24: the tray has no such line. {there}"),
            ),
            (
                "use 1047 --visit --dropped 11",
                2,
                &format!("spareseat: --dropped tooth 11: the tray has no such line. {there}"),
            ),
            (
                "use 1047 --visit --opened 27:abutment",
                2,
                &format!("spareseat: --opened abutment at tooth 27: the tray has no such line. {there}"),
            ),
            (
                "use 1047 --visit --old 11=kept",
                2,
                &format!("spareseat: --old tooth 11: the tray has no such line. {there}"),
            ),
            ("use 1047 --visit --lean 24=mesial", 2, &straight),
            (
                "use 1047 --visit --lean 25:abutment=mesial",
                2,
                "spareseat: part plover-mua-4.1-c3.0 is straight: leave out its --lean. Nothing was booked",
            ),
            ("use 1047 --visit --lean mesial", 2, &format!("spareseat: --lean: {line}")),
            ("use 1047 --visit --old kept", 2, &format!("spareseat: --old: {line}")),
            (
                "use 1047 --visit --site 25",
                2,
                "error: the argument '--visit' cannot be used with '--site <TOOTH>'",
            ),
            (
                &format!("use 1047 --visit --part {SCREW}"),
                2,
                "error: the argument '--visit' cannot be used with '--part <PART>'",
            ),
            (
                "use 1047 --visit --except 25:abutmnt",
                2,
                &format!(
                    "error: invalid value '25:abutmnt' for '--except <LINE>': 'abutmnt' is no position: {positions}"
                ),
            ),
            (
                "use 1047 --visit --dropped 99",
                2,
                "error: invalid value '99' for '--dropped <LINE>': '99' is not a tooth in ISO 3950: expected 11 to 48 (or 51 to 85 for first teeth), such as 25",
            ),
            (
                "use 1047 --visit --torque 25=500",
                2,
                "error: invalid value '25=500' for '--torque <NCM>': '500' is not a torque: expected 1 to 100 Ncm, or 'not-measured'",
            ),
            (
                "use 1047 --visit --old 25=sold",
                2,
                "error: invalid value '25=sold' for '--old <OLD>': 'sold' is none of discarded, kept",
            ),
            // One part is booked here: a line belongs to a tray, and nothing that is said is passed over.
            (
                &format!("{single} --torque 25=15"),
                2,
                "spareseat: --torque LINE=VALUE is for --visit: here say --torque VALUE",
            ),
            (
                &format!("{single} --torque 15 --torque 20"),
                2,
                "spareseat: --torque stands more than once: one part is booked here",
            ),
            (
                &format!("{single} --torque 15 --dropped 25"),
                2,
                "spareseat: --dropped is for --visit, which books the whole tray: leave it out",
            ),
            (
                &format!("{single} --torque 15 --because late"),
                2,
                "spareseat: --because is for --visit, which books the whole tray: leave it out",
            ),
            (
                "use 1047 --visit --except 24 --except 25 --except 27",
                1,
                "spareseat: nothing of the tray of case 1047 is left to be booked. What went in otherwise: 'spareseat use 1047 --site TOOTH --position POSITION --part PART --lot LOT --torque NCM'; nothing was booked",
            ),
        ],
    );
    let booked = p.done("use 1047 --visit --torque 15")["entry"].clone();
    refused(
        &p.place,
        "use 1047 --visit --torque 15",
        1,
        &format!(
            "spareseat: the tray of this visit was booked already, as entry {booked}: nothing was booked now. If that was a mistake: 'spareseat --as INITIALS reverse {booked}'"
        ),
    );
    // Narrowed to what it is, the same tray would be there to be booked a second time.
    refused(
        &p.place,
        "visit 1047 --narrow",
        1,
        &format!(
            "spareseat: case 1047: the tray for just this report was booked already, as entry {booked}: there is nothing to narrow. For another tray end the visit and begin a new one; nothing was booked"
        ),
    );
    // Something else turned out: that is another tray, of the same visit.
    let other = p.done("visit 1047 --broken abutment --left fragment-in-implant --narrow");
    assert_eq!((&other["visit"]["entry"], &other["visit"]["booked"]), (&entry, &serde_json::Value::Null));
    assert_eq!(p.done("use 1047 --visit --torque 15 --torque 25:abutment=30")["put_in"], 4);
    p.is_whole();
}

#[test]
fn a_tray_that_is_not_what_was_shown() {
    let p = Practice::with(&["1047"]);
    p.done(OPEN);
    let all = |drawer: &str| {
        let one = |site: &str| {
            format!("prosthetic screw (bridge to abutment) at tooth {site}: {SCREW}, lot P-1, from {drawer}")
        };
        ["24", "25", "27"].map(one).join(", ")
    };
    let changed = |then: &str, now: &str| {
        format!(
            "spareseat: the tray has changed since it was shown; nothing was booked. Shown: {then}. Now: {now}. Look at it again: 'spareseat --as INITIALS visit 1047 --narrow' puts it on record as it is now"
        )
    };
    // The lot was carried to another drawer.
    p.done(&format!("move {SCREW} --lot P-1 --quantity 8 --to drawer-2"));
    refused(&p.place, "use 1047 --visit --torque 15", 1, &changed(&all("drawer-1"), &all("drawer-2")));
    let seen = p.done("visit 1047 --narrow");
    assert_eq!(seen["visit"]["changed"], serde_json::Value::Null);
    // Somebody used all but two.
    for _ in 0..6 {
        let line =
            format!("use 1047 --site 24 --position prosthetic-screw --part {SCREW} --lot P-1 --torque 15");
        assert_eq!(code(&typed(&p.place, &line)), 0);
    }
    let gone = format!("prosthetic screw (bridge to abutment) at tooth 27: {SCREW}, lot P-1, from drawer-2");
    refused(&p.place, "use 1047 --visit --torque 15", 1, &changed(&gone, "none"));
    // The visit itself says so too.
    let answer = p.place.json(&["visit", "1047"])["answer"].as_str().unwrap().to_owned();
    let says = format!("CHANGED since it was put on record. Then: {gone}. Now: none.");
    assert!(answer.lines().any(|l| l == says), "{answer}");
    // The abutment for the step up ran out: a tray without it is what was shown, one with it is not.
    p.done("visit 1047 --narrow");
    p.done("move plover-mua-4.1-c3.0 --lot M-1 --quantity 2 --to drawer-1");
    let abutment =
        |drawer: &str| format!("abutment at tooth 25: plover-mua-4.1-c3.0, lot M-1, from {drawer}");
    refused(
        &p.place,
        "use 1047 --visit --torque 15 --step-up",
        1,
        &changed(&abutment("drawer-2"), &abutment("drawer-1")),
    );
    assert_eq!(p.done("use 1047 --visit --torque 15")["put_in"], 2);
    p.is_whole();
}
