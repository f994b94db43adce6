//! Bad input: what was typed, the exit status, the sentence word for word, and nothing changed.

use std::fs;

use super::typed::{typed, without_day};
use crate::support::{Place, code, text};

/// What the record holds, byte for byte, apart from locks and the disposable view.
pub fn held(place: &Place) -> Vec<(String, Vec<u8>)> {
    let mut all =
        vec![("logbook".to_owned(), fs::read(place.home().join("logbook.jsonl")).unwrap_or_default())];
    let editions = fs::read_dir(place.home().join("editions")).into_iter().flatten().flatten();
    all.extend(editions.map(|e| (e.path().display().to_string(), fs::read(e.path()).unwrap())));
    all.sort();
    all
}

/// Types `line` with initials, as text and as JSON: refused with `says`, an empty answer, an unchanged record.
pub fn refused(place: &Place, line: &str, status: i32, says: &str) {
    for json in ["", "--json "] {
        let before = held(place);
        let out = typed(place, &format!("{json}{line}"));
        let said = text(&out.stderr);
        assert!(
            said == format!("{says}\n") || said.starts_with(&format!("{says}\n")),
            "{line}\nsaid: {said}\nnot:  {says}"
        );
        assert_eq!(code(&out), status, "{line}: {said}");
        assert_eq!(text(&out.stdout), "", "{line}: a refusal is no answer");
        assert!(held(place) == before, "{line}: the record was changed");
    }
}

fn all_refused(rows: &[(&str, i32, &str)]) {
    let place = Place::demo();
    for (line, status, says) in rows {
        refused(&place, line, *status, says);
    }
}

#[test]
fn a_case_that_is_not_on_record() {
    all_refused(&[
        (
            "visit 1048 --site 25 --broken prosthetic-screw",
            2,
            "spareseat: no case 1048 on record. Did you mean 1047? To enter one: 'spareseat case new 1048'; a patient who walks in: 'spareseat visit 1048 --new --site TOOTH --broken WHAT'",
        ),
        (
            "swap 9 25 abutment",
            2,
            "spareseat: no case 9 on record. To enter one: 'spareseat case new 9'; a patient who walks in: 'spareseat visit 9 --new --site TOOTH --broken WHAT'",
        ),
        (
            "use 1074 --site 25 --position prosthetic-screw --part plover-prosthetic-screw-1.4 --lot PS-1120 --torque 15",
            2,
            "spareseat: no case 1074 on record. Did you mean 1047? To enter one: 'spareseat case new 1074'; a patient who walks in: 'spareseat visit 1074 --new --site TOOTH --broken WHAT'",
        ),
        (
            "case show 3360",
            2,
            "spareseat: no case 3360 on record. Did you mean 3306? To enter one: 'spareseat case new 3360'; a patient who walks in: 'spareseat visit 3360 --new --site TOOTH --broken WHAT'",
        ),
        (
            "case note 1047b loose",
            2,
            "spareseat: no case 1047b on record. Did you mean 1047? To enter one: 'spareseat case new 1047b'; a patient who walks in: 'spareseat visit 1047b --new --site TOOTH --broken WHAT'",
        ),
        (
            "visit 'Jo Doe' --site 25 --broken prosthetic-screw",
            2,
            "error: invalid value 'Jo Doe' for '<CASE>': 'Jo Doe' is not a case number: expected digits or letters, such as 1047, never a name",
        ),
        (
            "case new 1047",
            2,
            "spareseat: case 1047 is on record already: nothing was changed. See 'spareseat case show 1047'",
        ),
    ]);
}

#[test]
fn a_site_that_the_case_does_not_have_or_has_only_in_the_other_numbering() {
    all_refused(&[
        (
            "visit 1047 --site 14 --broken prosthetic-screw",
            2,
            "spareseat: case 1047 has no site at tooth 14 (upper right first premolar). Its sites: tooth 24, tooth 25, tooth 27",
        ),
        // 26 hangs in the bridge: a pontic is no site.
        (
            "swap 1047 26 abutment",
            2,
            "spareseat: case 1047 has no site at tooth 26 (upper left first molar). Its sites: tooth 24, tooth 25, tooth 27",
        ),
        (
            "visit 1047 --site 99 --broken prosthetic-screw",
            2,
            "spareseat: '99' is not a tooth in ISO 3950: expected 11 to 48 (or 51 to 85 for first teeth), such as 25",
        ),
        (
            "visit 1047 --site -5 --broken prosthetic-screw",
            2,
            "spareseat: '-5' is not a tooth in ISO 3950: expected 11 to 48 (or 51 to 85 for first teeth), such as 25",
        ),
        (
            "swap 1047 '25 ' abutment",
            2,
            "spareseat: '25 ' is not a tooth in ISO 3950: expected 11 to 48 (or 51 to 85 for first teeth), such as 25",
        ),
        // Universal 13 is ISO 25, which the case has; ISO 13 it has not.
        (
            "visit 1047 --site 13 --broken prosthetic-screw",
            2,
            "spareseat: case 1047 has no site at 13 read as ISO 3950 (tooth 13, upper right canine); read in the Universal numbering 13 is tooth 25 (upper left second premolar), which is a site. Say which: --site 25 for that tooth",
        ),
        // Universal 30 is ISO 46; ISO 3950 has no tooth 30 at all.
        (
            "visit 3306 --site 30 --broken abutment-screw",
            2,
            "spareseat: case 3306 has no site at 30 read as ISO 3950; read in the Universal numbering 30 is tooth 46 (lower right first molar), which is a site. Say which: --site 46 for that tooth",
        ),
        (
            "use 1047 --site 12 --position prosthetic-screw --part plover-prosthetic-screw-1.4 --lot PS-1120 --torque 15",
            2,
            "spareseat: case 1047 has no site at 12 read as ISO 3950 (tooth 12, upper right lateral incisor); read in the Universal numbering 12 is tooth 24 (upper left first premolar), which is a site. Say which: --site 24 for that tooth",
        ),
        (
            "case note 1047 --site 15 loose",
            2,
            "spareseat: case 1047 has no site at 15 read as ISO 3950 (tooth 15, upper right second premolar); read in the Universal numbering 15 is tooth 27 (upper left second molar), which is a site. Say which: --site 27 for that tooth",
        ),
        (
            "case found 1047 --site 33 --position implant --part plover-implant-4.0x1 --sure guess",
            2,
            "spareseat: no part 'plover-implant-4.0x1' in the catalogue. Did you mean plover-implant-4.0x10 or plover-implant-4.0x13 or plover-implant-5.0x10? See 'spareseat part list'",
        ),
    ]);
}

#[test]
fn a_part_or_position_that_is_not_there() {
    all_refused(&[
        (
            "swap 1047 25 abutment plover-mua-4.1-c3",
            2,
            "spareseat: no part 'plover-mua-4.1-c3' in the catalogue. Did you mean plover-mua-4.1-c3.0 or plover-mua-4.1-c3.5 or plover-mua-4.1-c2.0? See 'spareseat part list'",
        ),
        (
            "receive plover-mua-4.1-c3.O --lot L1 --quantity 1 --place cabinet-2-drawer-3",
            2,
            "error: invalid value 'plover-mua-4.1-c3.O' for '[PART]': 'plover-mua-4.1-c3.O' is not a part code: expected small letters, digits, '-' and '.', such as plover-mua-3.0",
        ),
        (
            "part show nothing-like-it-at-all",
            2,
            "spareseat: no part 'nothing-like-it-at-all' in the catalogue. See 'spareseat part list'",
        ),
        (
            "stock --part stint-mua-4.1-c3.1",
            2,
            "spareseat: no part 'stint-mua-4.1-c3.1' in the catalogue. Did you mean stint-mua-4.1-c3.0 or stint-mua-4.1-c3.5 or stint-mua-4.1-c2.0? See 'spareseat part list'",
        ),
        (
            "interface show top-4.9",
            2,
            "spareseat: no interface 'top-4.9' in the catalogue. Did you mean top-4.8? See 'spareseat interface list'",
        ),
        (
            "swap 1047 25 abutment-screw",
            2,
            "spareseat: case 1047, tooth 25: nothing is on record in position abutment-screw. On record there: implant, abutment, framework, prosthetic-screw",
        ),
        (
            "swap 1047 25 abutmnt",
            2,
            "error: invalid value 'abutmnt' for '<POSITION>'\n  [possible values: implant, abutment, base, abutment-screw, cylinder, framework, prosthetic-screw, healing-cap, cover-screw]\n\n  tip: a similar value exists: 'abutment'",
        ),
        (
            "visit 1047 --site 25 --broken prosthetic-scrw",
            2,
            "error: invalid value 'prosthetic-scrw' for '--broken <WHAT>'\n  [possible values: not-known, loose, prosthetic-screw, stripped-head, abutment-screw, abutment, abutment-loose, worn-thread, unglued-base, facing, implant-moves, implant-neck]\n\n  tip: a similar value exists: 'prosthetic-screw'",
        ),
        (
            "use 1047 --site 25 --position abutment --part plover-prosthetic-screw-1.4 --lot PS-1120 --torque 15",
            2,
            "spareseat: part plover-prosthetic-screw-1.4 is a prosthetic screw (bridge to abutment): it does not go in position abutment. Nothing was booked",
        ),
        (
            "case found 1047 --site 26 --position abutment --part plover-prosthetic-screw-1.4 --sure guess",
            2,
            "spareseat: part plover-prosthetic-screw-1.4 is a prosthetic screw (bridge to abutment): it does not go in position abutment. Nothing was changed",
        ),
        (
            "use 1047 --site 25 --position prosthetic-screw --part plover-prosthetic-screw-1.4 --lot PS-1120 --torque 15 --lean mesial",
            2,
            "spareseat: part plover-prosthetic-screw-1.4 is straight: leave out --lean",
        ),
        (
            "part verify plover-mua-4.1-c3.0 plover-mua-4.1-c3.5 --pieces 3 --how tried",
            2,
            "spareseat: plover-mua-4.1-c3.0 and plover-mua-4.1-c3.5 are of one maker: a verification is for another maker's part",
        ),
    ]);
}

const PLACES: &str = "Places: cabinet-1-tray-1, cabinet-1-tray-2, cabinet-1-tray-3, cabinet-2-drawer-1, cabinet-2-drawer-3, cabinet-2-drawer-4, cabinet-2-drawer-5, cabinet-3-drawer-1, cabinet-3-drawer-2, cabinet-3-drawer-3, cabinet-4-drawer-1, cabinet-4-drawer-2, cabinet-4-drawer-3, cabinet-5-drawer-1.";

#[test]
fn a_place_that_is_not_there_and_how_to_make_one_where_that_helps() {
    let near = "Did you mean cabinet-2-drawer-1 or cabinet-2-drawer-3 or cabinet-2-drawer-4?";
    let to_fill =
        format!("spareseat: no place 'cabinet-2-drawr-1'. {near} {PLACES} To make a new one add --new-place");
    let to_take = format!("spareseat: no place 'cabinet-2-drawr-1'. {near} {PLACES}");
    let screw = "plover-prosthetic-screw-1.4 --lot PS-1120 --quantity 1";
    all_refused(&[
        ("receive plover-mua-4.1-c3.0 --lot L1 --quantity 1 --place cabinet-2-drawr-1", 2, &to_fill),
        (&format!("move {screw} --to cabinet-2-drawr-1"), 2, &to_fill),
        (&format!("move {screw} --from cabinet-2-drawr-1 --to cabinet-2-drawer-3"), 2, &to_take),
        ("stock --place cabinet-2-drawr-1", 2, &to_take),
        (
            "use 1047 --site 25 --position prosthetic-screw --part plover-prosthetic-screw-1.4 --lot PS-1120 --torque 15 --place cabinet-2-drawr-1",
            2,
            &to_take,
        ),
        ("stock --place garden", 2, &format!("spareseat: no place 'garden'. {PLACES}")),
        (
            "receive plover-mua-4.1-c3.0 --lot L1 --quantity 1 --place 'Cabinet 2'",
            2,
            "error: invalid value 'Cabinet 2' for '--place <PLACE>': 'Cabinet 2' is not a place: expected small letters, digits, '-' and '.', such as cabinet-2-drawer-4",
        ),
    ]);
}

#[test]
fn quantities_and_torques_that_no_hand_counts_or_turns() {
    let receive = "receive plover-mua-4.1-c3.0 --lot L1 --place cabinet-2-drawer-3 --quantity";
    let tighten = "use 1047 --site 25 --position prosthetic-screw --part plover-prosthetic-screw-1.4 --lot PS-1120 --torque";
    let place = Place::demo();
    for (typed, what) in [
        ("0", "'0' is not a quantity: expected 1 to 100000"),
        ("-3", "'-3' is not a quantity: expected 1 to 100000"),
        ("100001", "'100001' is not a quantity: expected 1 to 100000"),
        ("1e9", "'1e9' is not a plain decimal number such as 4.1"),
        ("2.5", "'2.5' is finer than 0 decimal places"),
        ("99999999999999999999", "'99999999999999999999' is too large"),
        ("three", "'three' is not a plain decimal number such as 4.1"),
    ] {
        let says = format!("error: invalid value '{typed}' for '--quantity <QUANTITY>': {what}");
        refused(&place, &format!("{receive} {typed}"), 2, &says);
    }
    for (typed, what) in [
        ("-5", "'-5' is not a torque: expected 1 to 100 Ncm, or 'not-measured'"),
        ("0", "'0' is not a torque: expected 1 to 100 Ncm, or 'not-measured'"),
        ("500", "'500' is not a torque: expected 1 to 100 Ncm, or 'not-measured'"),
        ("15Ncm", "'15Ncm' is not a plain decimal number such as 4.1, or 'not-measured'"),
        ("NaN", "'NaN' is not a plain decimal number such as 4.1, or 'not-measured'"),
    ] {
        let says = format!("error: invalid value '{typed}' for '--torque <NCM>': {what}");
        refused(&place, &format!("{tighten} {typed}"), 2, &says);
    }
    for (line, says) in [
        (
            "part verify plover-mua-4.1-c3.0 stint-mua-4.1-c3.0 --how tried --pieces 0",
            "error: invalid value '0' for '--pieces <PIECES>': '0' is not a number of pieces: expected 1 to 10000",
        ),
        (
            "stock --expires-within -1",
            "error: invalid value '-1' for '--expires-within <DAYS>': '-1' is not a number of days: expected 0 to 365",
        ),
    ] {
        refused(&place, line, 2, says);
    }
}

#[test]
fn days_that_do_not_exist_lie_ahead_or_too_far_off() {
    let place = Place::demo();
    let receive = "receive plover-mua-4.1-c3.0 --lot L1 --quantity 1 --place cabinet-2-drawer-3 --expiry";
    for (typed, what) in [
        ("2026-13-01", "'2026-13-01' is not an expiry: expected YYYY-MM-DD, YYYY-MM or 'none'"),
        ("2027-02-29", "'2027-02-29' is not an expiry: expected YYYY-MM-DD, YYYY-MM or 'none'"),
        ("31.12.2027", "'31.12.2027' is not an expiry: expected YYYY-MM-DD, YYYY-MM or 'none'"),
        ("9999-01-01", "'9999-01-01' lies outside the years 1970 to 2100"),
        ("1950-01", "'1950-01' lies outside the years 1970 to 2100"),
    ] {
        let says = format!("error: invalid value '{typed}' for '--expiry <EXPIRY>': {what}");
        refused(&place, &format!("{receive} {typed}"), 2, &says);
    }
    for (line, says) in [
        ("case note 1047 loose --when 2026-11-26", "spareseat: 2026-11-26 lies after today, 2026-11-25"),
        (
            "case found 1047 --site 25 --position abutment --part plover-mua-4.1-c3.0 --sure guess --since 2027-01-01",
            "spareseat: 2027-01-01 lies after today, 2026-11-25",
        ),
        (
            "case note 1047 loose --when 2026-02-30",
            "error: invalid value '2026-02-30' for '--when <DATE>': '2026-02-30' is not a date: expected YYYY-MM-DD, such as 2026-11-30",
        ),
        (
            "logbook show --since yesterday",
            "error: invalid value 'yesterday' for '--since <DATE>': 'yesterday' is not a date: expected YYYY-MM-DD, such as 2026-11-30",
        ),
    ] {
        refused(&place, line, 2, says);
    }
    for (on, what) in [
        ("2026-02-30", "'2026-02-30' is not a date: expected YYYY-MM-DD, such as 2026-11-30"),
        ("0001-01-01", "'0001-01-01' lies outside the years 1970 to 2100"),
        ("tomorrow", "'tomorrow' is not a date: expected YYYY-MM-DD, such as 2026-11-30"),
    ] {
        let out = without_day(&place, &format!("--on {on} stock"));
        let says = format!("error: invalid value '{on}' for '--on <DATE>': {what}\n");
        assert!(text(&out.stderr).starts_with(&says), "{}", text(&out.stderr));
        assert_eq!((code(&out), text(&out.stdout)), (2, String::new()));
    }
}

#[test]
fn a_lot_that_is_expired_empty_or_elsewhere() {
    let found = "If the part was in your hand all the same: add --found --place PLACE, which books the correction too";
    let screw =
        "use 1047 --site 25 --position prosthetic-screw --part plover-prosthetic-screw-1.4 --torque 15";
    let place = Place::demo();
    let last_day = typed(
        &place,
        "receive plover-prosthetic-screw-1.4 --lot OLD --quantity 1 --place cabinet-2-drawer-1 --expiry 2026-11-24",
    );
    assert_eq!(code(&last_day), 0);
    for (line, status, says) in [
        (
            format!("{screw} --lot OLD"),
            1,
            "spareseat: lot OLD of part plover-prosthetic-screw-1.4 is EXPIRED, 24 Nov 2026: not booked. If it was used all the same: add --expired-because REASON, which is recorded with your initials".to_owned(),
        ),
        (
            format!("{screw} --lot NOPE"),
            1,
            format!("spareseat: no lot NOPE of part plover-prosthetic-screw-1.4 in the house. In the house: lot PS-1120, lot OLD. Nothing was booked. {found}"),
        ),
        (
            format!("{screw} --lot PS-1120 --place cabinet-2-drawer-3"),
            1,
            format!("spareseat: place cabinet-2-drawer-3 holds 0 of lot PS-1120 of part plover-prosthetic-screw-1.4, 1 wanted. The lot lies in: cabinet-2-drawer-1 (3 pieces). Nothing was booked. {found}"),
        ),
        (format!("{screw} --lot NOPE --found"), 2, "spareseat: --found needs --place: in which drawer was it?".to_owned()),
        (
            format!("{screw} --lot PS-1120 --found --place cabinet-2-drawer-1"),
            2,
            "spareseat: place cabinet-2-drawer-1 holds lot PS-1120 of part plover-prosthetic-screw-1.4 by the record too: leave out --found".to_owned(),
        ),
        (
            "move plover-prosthetic-screw-1.4 --lot PS-1120 --quantity 4 --to cabinet-2-drawer-3".to_owned(),
            1,
            "spareseat: place cabinet-2-drawer-1 holds 3 of lot PS-1120 of part plover-prosthetic-screw-1.4, 4 wanted. The lot lies in: cabinet-2-drawer-1 (3 pieces). Nothing was booked".to_owned(),
        ),
        (
            "move plover-prosthetic-screw-1.4 --lot PS-1120 --quantity 1 --to cabinet-2-drawer-1".to_owned(),
            1,
            "spareseat: part plover-prosthetic-screw-1.4 already lies in cabinet-2-drawer-1: nothing was booked".to_owned(),
        ),
        (
            "receive plover-mua-4.1-c3.0 --lot MU-2077 --quantity 1 --place cabinet-2-drawer-3 --expiry 2028-01-01".to_owned(),
            1,
            "spareseat: lot MU-2077 of part plover-mua-4.1-c3.0 is on record with another expiry: 30 Nov 2026; now said: 1 Jan 2028. Read the label again; nothing was booked".to_owned(),
        ),
    ] {
        refused(&place, &line, status, &says);
    }
    // The three that are left are used; then the lot is empty.
    for site in ["24", "25", "27"] {
        let line = format!(
            "use 1047 --site {site} --position prosthetic-screw --part plover-prosthetic-screw-1.4 --lot PS-1120 --torque 15"
        );
        assert_eq!(code(&typed(&place, &line)), 0);
    }
    let says = format!(
        "spareseat: no lot PS-1120 of part plover-prosthetic-screw-1.4 in the house. In the house: lot OLD. Nothing was booked. {found}"
    );
    refused(&place, &format!("{screw} --lot PS-1120"), 1, &says);
}

#[test]
fn who_books_when_and_what_was_asked_of_the_past() {
    let place = Place::demo();
    let last = place.json(&["stock"])["as_of"].as_u64().unwrap();
    refused(
        &place,
        "--as-of 999999 stock",
        2,
        &format!("spareseat: there is no entry 999999: the record ends at entry {last}"),
    );
    refused(
        &place,
        "--as-of 0 stock",
        2,
        &format!("spareseat: there is no entry 0: the record ends at entry {last}"),
    );
    for (line, status, says) in [
        (
            "--as-of 10 receive plover-mua-4.1-c3.0 --lot L1 --quantity 1 --place cabinet-2-drawer-3",
            2,
            "spareseat: --as-of shows an earlier state: nothing can be booked there",
        ),
        (
            "--act 12 stock",
            2,
            "error: invalid value '12' for '--act <HEX>': '12' is not an act: expected 32 hexadecimal digits",
        ),
        ("frobnicate", 2, "error: unrecognized subcommand 'frobnicate'"),
        ("stok", 2, "error: unrecognized subcommand 'stok'\n\n  tip: a similar subcommand exists: 'stock'"),
        (
            "logbook accept --because lost",
            1,
            &format!("spareseat: nothing to accept: the view and the logbook agree, up to entry {last}"),
        ),
    ] {
        refused(&place, line, status, says);
    }
    let nobody = place.run(&[
        "receive",
        "plover-mua-4.1-c3.0",
        "--lot",
        "L1",
        "--quantity",
        "1",
        "--place",
        "cabinet-2-drawer-3",
    ]);
    assert_eq!(
        (code(&nobody), text(&nobody.stderr)),
        (2, "spareseat: say who books: --as INITIALS\n".to_owned())
    );
    let a_name = place.run(&["--as", "A B", "stock"]);
    let says = "error: invalid value 'A B' for '--as <INITIALS>': 'A B' is not the initials: expected one to eight letters, such as AB\n";
    assert!(text(&a_name.stderr).starts_with(says), "{}", text(&a_name.stderr));
    assert_eq!(code(&a_name), 2);
}
