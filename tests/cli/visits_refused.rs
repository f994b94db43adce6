//! Visits that are refused for what is reported, or for the case: word for word, and nothing is put on record.

use super::practice::Practice;
use super::refusals::refused;
use super::typed::typed;
use crate::support::{Place, code, text};

const OPEN: &str = "visit 1047 --site 25 --broken prosthetic-screw --left shank-in-abutment --open";

/// Every report that contradicts itself, and nothing is put on record by any of them.
#[test]
fn what_cannot_have_stayed_behind() {
    let place = Place::demo();
    let thread = "its thread sits in the implant, so its shank cannot be in the abutment";
    let no_screw = "an abutment that broke is no whole screw";
    let bone = "what broke is the implant: its rest is in the bone";
    let nothing = "nothing broke off there, so nothing can have stayed behind";
    let screw = "abutment screw (abutment to implant) broken";
    let rows = [
        (
            "1047 --site 25",
            "prosthetic-screw",
            "fragment-in-implant",
            "prosthetic screw (bridge to abutment) broken",
            "its thread sits in the abutment, not in the implant; a fragment in the implant is the abutment screw's or the abutment's",
        ),
        (
            "1047 --site 25",
            "stripped-head",
            "fragment-in-implant",
            "screw head stripped: no driver holds in it",
            "a head that was only stripped has left no fragment in the implant; if the screw broke, say which",
        ),
        (
            "1047 --site 25",
            "stripped-head",
            "nothing",
            "screw head stripped: no driver holds in it",
            "a screw whose head is stripped is still in",
        ),
        (
            "2210 --site 35",
            "abutment-screw",
            "shank-in-abutment",
            "angled abutment's own screw (abutment to implant) broken",
            thread,
        ),
        ("2210 --site 43", "abutment-screw", "shank-in-abutment", screw, thread),
        ("3306 --site 46", "abutment-screw", "shank-in-abutment", screw, thread),
        ("4051 --site 36", "abutment-screw", "shank-in-abutment", screw, thread),
        ("1047 --site 25", "abutment", "shank-in-abutment", "one-piece abutment broken", thread),
        ("1047 --site 25", "abutment", "whole-screw", "one-piece abutment broken", no_screw),
        ("2210 --site 35", "abutment", "shank-in-abutment", "abutment broken", thread),
        ("4051 --site 36", "abutment", "whole-screw", "abutment broken", no_screw),
        ("3306 --site 46", "implant-neck", "shank-in-abutment", "implant neck broken", bone),
        ("3306 --site 46", "implant-neck", "whole-screw", "implant neck broken", bone),
        ("3306 --site 46", "implant-moves", "whole-screw", "the implant itself moves", nothing),
        ("1047 --site 25", "loose", "whole-screw", "loose, not broken", nothing),
        (
            "2210 --site 35",
            "worn-thread",
            "shank-in-abutment",
            "abutment's thread worn or its seat nicked",
            nothing,
        ),
        (
            "2210 --site 35",
            "abutment-loose",
            "fragment-in-implant",
            "abutment loose under a tight bridge",
            nothing,
        ),
        (
            "3306 --site 46",
            "unglued-base",
            "whole-screw",
            "base or cylinder come unglued from the restoration",
            nothing,
        ),
        ("4051 --site 36", "facing", "fragment-in-implant", "facing or tooth broken", nothing),
        (
            "1047 --site 25",
            "not-known",
            "nothing",
            "loose or not right, not looked at yet",
            "nobody has looked, so nobody knows what stayed behind",
        ),
        (
            "9001 --new --site 25",
            "not-known",
            "whole-screw",
            "loose or not right, not looked at yet",
            "nobody has looked, so nobody knows what stayed behind",
        ),
        (
            "9001 --new --site 25",
            "stripped-head",
            "nothing",
            "screw head stripped: no driver holds in it",
            "a screw whose head is stripped is still in",
        ),
    ];
    for (case, broken, left, report, why) in rows {
        let line = format!("visit {case} --broken {broken} --left {left}");
        let says = format!("spareseat: {report}: {why}. Say again what broke and what stayed behind");
        refused(&place, &line, 2, &says);
        if !case.contains("--new") {
            refused(&place, &format!("{line} --open"), 2, &says);
        }
    }
}

#[test]
fn a_closed_case() {
    let p = Practice::with(&["1047"]);
    p.done("case close 1047 --because 'moved away'");
    let says = "spareseat: case 1047 was closed on 25 Nov 2026 (moved away): nothing was looked up. To open it again: 'spareseat --as INITIALS case reopen 1047 --because REASON'";
    for line in ["visit 1047", "visit 1047 --site 25 --broken loose", OPEN] {
        refused(&p.place, line, 1, says);
    }
    p.done("case reopen 1047 --because 'came back'");
    p.done(OPEN);
}

/// A site where nothing is on record is looked at, and nothing is booked for it.
#[test]
fn a_site_without_an_assembly() {
    let p = Practice::with(&[]);
    let file = "form = 1\ncase = \"88\"\nnumbering = \"iso-3950\"\n[[site]]\ntooth = 14\n";
    std::fs::write(p.place.folder().join("case.toml"), file).unwrap();
    p.done("case import case.toml");
    let out = typed(&p.place, "visit 88 --site 14 --broken loose");
    assert_eq!((code(&out), text(&out.stderr)), (1, String::new()));
    let shown = text(&out.stdout);
    assert!(
        shown.starts_with("NOT KNOWN what is fitted at tooth 14 (upper right first premolar): look first"),
        "{shown}"
    );
    assert!(!shown.contains("TAKE "), "{shown}");
    p.done("visit 88 --site 14 --broken loose --open");
    refused(
        &p.place,
        "use 88 --visit --torque 15",
        1,
        "spareseat: nothing of the tray of case 88 is left to be booked. What went in otherwise: 'spareseat use 88 --site TOOTH --position POSITION --part PART --lot LOT --torque NCM'; nothing was booked",
    );
}
