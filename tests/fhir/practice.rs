//! A practice with everything in it that the exchange form has a word for, and every bundle of it.

use std::collections::BTreeSet;

use serde_json::Value as Json;
use spareseat::demo;
use spareseat::desk::{Home, Today};
use spareseat::units::{Act, parse_date};

use crate::cli::typed::typed;
use crate::support::{DAY, Place, code, text};

pub const SCREW: &str = "plover-prosthetic-screw-1.4";

/// A GS1 label as a scanner sends it: item, expiry, lot, a separator, serial number.
pub const LABEL: &str = "01095212340006481729063010MONTH-1\u{1d}21S1";

/// The made-up practice in a logbook whose number is always the same, so that every number in a bundle is.
pub fn laid_down() -> Place {
    Place::copied("the demo under fixed numbers", lay_down)
}

fn lay_down(place: &Place) {
    let today = Today { now: jiff::Timestamp::now(), date: parse_date(DAY).unwrap(), said: true };
    let mut n = 0x5EA7_u128;
    let act = || {
        n += 1;
        Ok(Act::from_bits(n))
    };
    demo::lay_down(&Home::at(&place.home()), today, act).unwrap();
}

/// Types `line` with initials; it is booked.
pub fn book(place: &Place, line: &str) {
    let out = typed(place, line);
    assert!(matches!(code(&out), 0 | 1), "{line}: {}{}", text(&out.stdout), text(&out.stderr));
    assert!(text(&out.stdout).contains("entry "), "{line}: {}", text(&out.stdout));
}

/// Lots in every state: fitted, taken out, kept apart, called back, to be reprocessed; expiry a day, a month, none, not
/// recorded; a label with a separator; torque measured and not.
pub fn busy() -> Place {
    Place::copied("the demo with lots in every state", make_busy)
}

fn make_busy(place: &Place) {
    lay_down(place);
    let tray = "cabinet-2-drawer-1";
    for line in [
        &format!("receive {SCREW} --lot NONE-1 --quantity 2 --place {tray} --expiry none"),
        &format!("receive {SCREW} --lot ASKED-1 --quantity 1 --place {tray}"),
        &format!("receive {SCREW} --lot MONTH-1 --quantity 5 --place {tray} --expiry 2029-06"),
        &format!("receive {SCREW} --lot BACK-1 --quantity 3 --place {tray} --expiry 2029-06-30"),
        &format!("use 1047 --site 25 --position prosthetic-screw --part {SCREW} --lot PS-1120 --torque 15"),
        &format!("use 1047 --site 25 --position prosthetic-screw --part {SCREW} --lot BACK-1 --torque 12.5"),
        &format!(
            "use 1047 --site 24 --position prosthetic-screw --part {SCREW} --lot MONTH-1 --torque not-measured --label '{LABEL}'"
        ),
        &format!("withdraw --lot BACK-1 --part {SCREW} --because 'letter of today'"),
        &format!("quarantine {SCREW} --lot MONTH-1 --quantity 2 --because 'box wet'"),
        &format!("move {SCREW} --lot MONTH-1 --quantity 1 --from {tray} --to cabinet-2-drawer-3"),
    ] {
        book(place, line);
    }
}

/// The bundle of a look-up.
pub fn bundle(place: &Place, line: &str) -> Json {
    let out = typed(place, &format!("{line} --fhir"));
    assert_eq!((code(&out), text(&out.stderr)), (0, String::new()), "{line}");
    serde_json::from_slice(&out.stdout).unwrap_or_else(|e| panic!("{line}: {e}: {}", text(&out.stdout)))
}

/// Every look-up that has this form: all cases, every lot in stock, the whole stock and parts of it.
pub fn look_ups(place: &Place) -> Vec<String> {
    let cases = place.json(&["case", "list"]);
    let cases = cases["cases"].as_array().unwrap().iter();
    let mut all: Vec<String> = cases.map(|c| format!("trace --case {}", c.as_str().unwrap())).collect();
    assert!(all.len() >= 5, "{all:?}");
    let stock = place.json(&["stock"]);
    let lines = stock["rows"].as_array().unwrap().iter().chain(stock["apart"].as_array().unwrap());
    let lots: BTreeSet<(&str, &str)> =
        lines.map(|r| (r["part"].as_str().unwrap(), r["lot"].as_str().unwrap())).collect();
    all.extend(lots.iter().map(|(part, lot)| format!("trace --lot {lot} --part {part}")));
    all.extend(["stock", "stock --expires-within 30", "stock --place cabinet-2-drawer-1"].map(String::from));
    all.push(format!("stock --part {SCREW}"));
    all
}

/// The resources of one type.
pub fn of<'a>(bundle: &'a Json, kind: &str) -> Vec<&'a Json> {
    let entries = bundle["entry"].as_array().unwrap().iter().map(|e| &e["resource"]);
    entries.filter(|r| r["resourceType"] == kind).collect()
}
