//! What somebody says stands there, and what happened to it: booked whatever it is, and remarked on where by the
//! record it cannot be.

use serde_json::Value as Json;
use spareseat::case::{Sure, TorqueRecord};
use spareseat::cases::entering::{Enter, FittedWithout, remarks};

use super::booking::booked;
use super::by_hand::desk;
use super::refusals::refused;
use super::typed::typed;
use crate::support::{Place, code, heard, text};

#[test]
fn a_part_that_does_not_mate_is_booked_and_remarked_on() {
    let place = Place::demo();
    for (line, says) in [
        (
            "case found 1047 --site 25 --position abutment --part plover-mua-5.0-c4.0 --torque 30 --sure label",
            "note: part plover-mua-4.1-c3.0, lot MU-1203, stood there on record and does not any more; where that unit went is not on record: if it came out, 'spareseat return' says so, before the new one is entered; if this is a mistake, enter it again.\nnote: by the record this part does not mate with the implant plover-implant-4.0x10: interface plover-hex-4.1 below, plover-hex-5.0 above. Look again.\n",
        ),
        (
            "case found 1047 --site 25 --position implant --part plover-implant-5.0x8.5 --sure radiograph",
            "note: part plover-implant-4.0x10, lot IM-0327, stood there on record and does not any more; where that unit went is not on record: if it came out, 'spareseat return' says so, before the new one is entered; if this is a mistake, enter it again.\n",
        ),
        (
            "case found 1047 --site 25 --position abutment --part plover-mua-4.1-c3.0 --torque 30 --sure label",
            "note: by the record this part does not mate with the implant plover-implant-5.0x8.5: interface plover-hex-5.0 below, plover-hex-4.1 above. Look again.\n",
        ),
        // The other way round: what stands above it was there first.
        (
            "case found 1047 --site 25 --position implant --part plover-implant-5.0x10 --sure radiograph",
            "note: by the record this part does not mate with the abutment plover-mua-4.1-c3.0: interface plover-hex-5.0 below, plover-hex-4.1 above. Look again.\n",
        ),
        ("case found 1047 --site 25 --position implant --part plover-implant-4.0x10 --sure radiograph", ""),
    ] {
        let out = typed(&place, line);
        assert_eq!((code(&out), heard(&out).as_str()), (0, says), "{line}");
        assert!(text(&out.stdout).contains(" is on record as "), "{line}: {}", text(&out.stdout));
    }
    let line = "--json case found 1047 --site 25 --position abutment --part plover-mua-5.0-c4.0 --sure label";
    let out = typed(&place, line);
    let json: Json = serde_json::from_slice(&out.stdout).unwrap();
    let remark = json["remarks"][0].as_str().unwrap();
    assert_eq!(heard(&out), "", "all of it stands in the answer");
    assert!(remark.starts_with("by the record this part does not mate with the implant"), "{remark}");
}

/// The made-up cases stand together: entered once more, none of their parts is remarked on.
#[test]
fn what_mates_is_not_remarked_on() {
    let place = Place::demo();
    let desk = desk(&place);
    let view = desk.view();
    let mut looked_at = 0;
    for case in view.cases().unwrap() {
        for site in &case.sites {
            for f in view.assembly(&case.number, *site).unwrap() {
                if view.part(&f.part.code).unwrap().is_none() {
                    continue; // made for this patient: not in the catalogue
                }
                let fitted = FittedWithout {
                    position: f.position,
                    lot: None,
                    label: None,
                    on: None,
                    torque: TorqueRecord::NotRecorded,
                    lean: None,
                    driver: None,
                    sure: Sure::Label,
                };
                let ask = Enter { case: case.number.clone(), site: *site, part: f.part.code, fitted };
                assert_eq!(remarks(view, &ask).unwrap(), [""; 0], "case {}, {site}", case.number);
                looked_at += 1;
            }
        }
    }
    assert!(looked_at > 20, "{looked_at}");
}

/// A facing hangs at a tooth without an implant, and breaks all the same.
#[test]
fn something_can_happen_at_a_tooth_that_hangs_in_the_bridge() {
    let place = Place::demo();
    booked(&place, "case note 1047 'facing chipped' --site 26 --what worn");
    let case = place.json(&["case", "show", "1047"]);
    let events = case["events"].as_array().unwrap();
    assert!(events.iter().any(|e| e["note"] == "facing chipped" && e["site"] == "26"), "{events:#?}");
    // Elsewhere it is no site, and a tooth of no restoration is none here either.
    refused(
        &place,
        "case found 2210 --site 26 --position base --part plover-mua-4.1-c3.0 --sure label",
        2,
        "spareseat: part plover-mua-4.1-c3.0 is a multi-unit abutment: it does not go in position base. Nothing was changed",
    );
    refused(
        &place,
        "case note 1047 'facing chipped' --site 23 --what worn",
        2,
        "spareseat: case 1047 has no site at tooth 23 (upper left canine). Its sites: tooth 24, tooth 25, tooth 27",
    );
}
