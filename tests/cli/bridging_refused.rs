//! `case bridge` with bad input: refused word for word, and nothing is booked.

use super::booking::booked;
use super::bridging::three_sites;
use super::refusals::refused;
use crate::support::Place;

const HOW: &str = "--retention screwed-to-abutments";

#[test]
fn a_restoration_that_cannot_be_is_refused() {
    let place = Place::demo();
    three_sites(&place);
    let form = "expected its teeth with hyphens between them, pontics in brackets, such as 24-25-(26)-27, or one tooth for a crown";
    let typed = |value: &str, why: &str| format!("error: invalid value '{value}' for '<TEETH>': {why}");
    for (teeth, why) in [
        ("24,25", format!("'24,25' is not a restoration: {form}")),
        ("24-34", "tooth 24 and tooth 34 are in two jaws: expected the teeth of one jaw".to_owned()),
        ("24-25-24", "tooth 24 stands twice in '24-25-24'".to_owned()),
        (
            "(24)-(25)",
            "'(24)-(25)' names no site: expected a tooth without brackets, where an implant carries it"
                .to_owned(),
        ),
    ] {
        refused(&place, &format!("case bridge 9001 '{teeth}' {HOW}"), 2, &typed(teeth, &why));
    }
    let said = |teeth: &str, more: &str| format!("case bridge 9001 '{teeth}' {HOW}{more}");
    for (line, status, says) in [
        (
            said("24-25-(27)", ""),
            2,
            "spareseat: tooth 27 stands in brackets beyond tooth 25, the last site on the patient's left: no cantilever is given there. A pontic lies between two sites. If it hangs there: --cantilever left=1. Nothing was booked",
        ),
        (
            said("(22)-(23)-24-25", " --cantilever right=1"),
            2,
            "spareseat: teeth 22 and 23 stand in brackets beyond tooth 24, the last site on the patient's right: the cantilever there is given with 1. A pontic lies between two sites. If it hangs there: --cantilever right=2. Nothing was booked",
        ),
        (
            said("24-27", ""),
            2,
            "spareseat: case 9001 has no site at tooth 27 (upper left second molar). Its sites: tooth 24, tooth 25, tooth 26",
        ),
        (
            said("24-25", " --cement 'glass ionomer'"),
            2,
            "spareseat: --cement names a cement, and the restoration is screwed to abutments: leave one of the two out. Nothing was booked",
        ),
        (
            "case bridge 9001 24-25 --retention cemented --head-seat flat,1.9,1.6".to_owned(),
            2,
            "spareseat: --head-seat says what the heads of screws rest on, and the restoration is cemented: leave one of the two out. Nothing was booked",
        ),
        (
            said("24-25", " --built-on 2026-11-26"),
            2,
            "spareseat: 26 Nov 2026 lies after today, 25 Nov 2026: nothing was booked",
        ),
        (
            "case bridge 9001 24-25 --end 2026-11-25".to_owned(),
            2,
            "spareseat: case 9001 has no restoration on teeth 24 and 25: nothing was booked. On record: none",
        ),
        (
            said("24-25", " --cantilever left=1,left=2"),
            2,
            "spareseat: --cantilever names the same side twice: say each side once",
        ),
    ] {
        refused(&place, &line, status, says);
    }
    for (more, says) in [
        (
            "--cantilever middle=1",
            "error: invalid value 'middle=1' for '--cantilever <SIDE=TEETH>': 'middle=1' is not a cantilever: expected right=TEETH or left=TEETH, 0 to 3 teeth, such as right=1",
        ),
        (
            "--cantilever left=4",
            "error: invalid value 'left=4' for '--cantilever <SIDE=TEETH>': 'left=4' is not a cantilever: expected right=TEETH or left=TEETH, 0 to 3 teeth, such as right=1",
        ),
        (
            "--crown 41 --from seat",
            "error: invalid value '41' for '--crown <MM>': '41' is not a crown height: expected 1 to 40 mm",
        ),
    ] {
        refused(&place, &format!("case bridge 9001 24-25 {HOW} {more}"), 2, says);
    }
}

#[test]
fn one_restoration_a_site_and_none_on_a_closed_case() {
    let place = Place::demo();
    let other = "spareseat: tooth 25 is part of bridge 24-25-(26)-27 already: a tooth is in one restoration only. Nothing was booked. If that one is not in any more: 'spareseat --as INITIALS case bridge 1047 \"24-25-(26)-27\" --end DATE'";
    refused(&place, &format!("case bridge 1047 25 {HOW}"), 1, other);
    let pontic = other.replace("tooth 25 is", "tooth 26 is");
    refused(&place, &format!("case bridge 1047 '26' {HOW}"), 1, &pontic);
    refused(
        &place,
        "case bridge 1047 24-25 --end 2026-11-25",
        2,
        "spareseat: case 1047 has no restoration on teeth 24 and 25: nothing was booked. On record: bridge 24-25-(26)-27",
    );
    refused(
        &place,
        "case bridge 1047 '24-25-(26)-27' --end 2026-11-26",
        2,
        "spareseat: 26 Nov 2026 lies after today, 25 Nov 2026: nothing was booked",
    );
    booked(&place, "case close 1047 --because moved");
    let closed = "spareseat: case 1047 is closed since 25 Nov 2026 (moved): nothing was booked. To open it again: 'spareseat --as INITIALS case reopen 1047 --because REASON'";
    refused(&place, &format!("case bridge 1047 25 {HOW}"), 1, closed);
    refused(&place, "case bridge 1047 '24-25-(26)-27' --end 2026-11-25", 1, closed);
}

/// It is put right by ending it, never by a counter; a use before it is not taken back from under it.
#[test]
fn a_bridge_is_not_countered() {
    let place = Place::demo();
    three_sites(&place);
    let at = "use 9001 --site 24 --position prosthetic-screw --part plover-prosthetic-screw-1.4 --lot PS-1120 --torque 15";
    let used = booked(&place, at)["entry"].as_u64().unwrap();
    let entry = booked(&place, &format!("case bridge 9001 24-25-26 {HOW}"))["entry"].as_u64().unwrap();
    refused(
        &place,
        &format!("reverse {entry}"),
        1,
        &format!(
            "spareseat: entry {entry} entered a restoration of case 9001, or ended one: end it, or enter it again, with 'spareseat case bridge 9001'. Nothing was booked"
        ),
    );
    refused(
        &place,
        &format!("reverse {used}"),
        1,
        &format!(
            "spareseat: entry {used} cannot be taken back: entry {entry} changed tooth 24 of case 9001 after it. Somebody looked and said what stands there, and that stays: put right with 'spareseat case found' what is not true; nothing was booked"
        ),
    );
}
