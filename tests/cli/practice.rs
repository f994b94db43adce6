//! A made-up practice with drawers of its own, so that what the demo holds may change without the tests of the tray.

use std::collections::BTreeMap;

use jiff::civil::Date;
use serde_json::Value as Json;
use spareseat::demo;
use spareseat::desk::{Desk, Home, Today, open_home};

use super::typed::typed;
use crate::practice::{Builder, Pack};
use crate::support::{DAY, Place, code, text};

pub const SCREW: &str = "plover-prosthetic-screw-1.4";

/// Part, lot, quantity, drawer, expiry.
const DRAWERS: [Pack; 7] = [
    (SCREW, "P-1", 8, "drawer-1", Some("2028-01")),
    ("plover-mua-4.1-c3.0", "M-1", 2, "drawer-2", Some("2028-01")),
    ("dunlin-prosthetic-screw-1.4", "D-14", 24, "drawer-3", Some("2028-01")),
    ("dunlin-prosthetic-screw-1.6", "D-16", 6, "drawer-3", Some("2028-01")),
    ("dunlin-abutment-screw-angled", "D-A", 6, "drawer-4", Some("2028-01")),
    ("dunlin-mua-4.2-a30-corner-c3.5", "D-M", 3, "drawer-4", Some("2028-01")),
    ("avocet-abutment-screw", "A-1", 2, "drawer-5", Some("2028-01")),
];

/// The home, and what the tests of the tray ask of it.
pub struct Practice {
    pub place: Place,
}

impl Practice {
    /// A home with the catalogue and these of the demo's cases, and nothing in its drawers.
    pub fn bare(cases: &[&str]) -> Self {
        Self { place: Builder::shipped().real().demo_cases(cases.iter().copied()).place() }
    }

    /// The same with its drawers filled.
    pub fn with(cases: &[&str]) -> Self {
        let builder = Builder::shipped().real().demo_cases(cases.iter().copied());
        Self { place: builder.packs(DRAWERS).place() }
    }

    /// What is typed goes through: its answer, and what was said beside it.
    pub fn told(&self, line: &str) -> (Json, String) {
        let out = typed(&self.place, &format!("--json {line}"));
        // A visit that is put on record answers as the look does: 1 where something is missing.
        let most =
            i32::from(line.ends_with("--open") || line.contains("--open ") || line.contains("--narrow"));
        assert!((0..=most).contains(&code(&out)), "{line}: {}{}", text(&out.stdout), text(&out.stderr));
        let answer: Json = serde_json::from_slice(&out.stdout).unwrap();
        let remarks = answer["remarks"].as_array().into_iter().flatten();
        let said: String = remarks.map(|r| format!("note: {}.\n", r.as_str().unwrap())).collect();
        (answer, said + &text(&out.stderr))
    }

    /// What is typed goes through, and nothing needs to be said beside it.
    pub fn done(&self, line: &str) -> Json {
        let (answer, said) = self.told(line);
        assert_eq!(said, "", "{line}");
        answer
    }

    /// The last entry.
    pub fn last(&self) -> u64 {
        self.place.json(&["stock"])["as_of"].as_u64().unwrap()
    }

    /// What stands in a position.
    pub fn fitted(&self, case: &str, site: &str, position: &str) -> Json {
        let case = self.place.json(&["case", "show", case]);
        let site = case["sites"].as_array().unwrap().iter().find(|s| s["site"] == site).unwrap().clone();
        let all = site["fitted"].as_array().unwrap();
        all.iter().find(|f| f["position"] == position).cloned().unwrap_or(Json::Null)
    }

    /// What the logbook says of an entry.
    pub fn entry(&self, entry: u64) -> String {
        let shown = text(&self.place.run(&["logbook", "show"]).stdout);
        let begins = format!("  entry {entry} on 25 Nov 2026 by AB: ");
        let line = shown.lines().find_map(|l| l.strip_prefix(&begins));
        line.unwrap_or_else(|| panic!("no entry {entry} in {shown}")).to_owned()
    }

    /// The record itself.
    pub fn desk(&self) -> Desk {
        let today = Today { now: demo::noon(day()).unwrap(), date: day(), said: true };
        let mut desk = open_home(&Home::at(&self.place.home()), today).unwrap();
        desk.notices();
        desk
    }

    /// Where the units of a lot are, the places without any left out.
    pub fn balances(&self, part: &str, lot: &str) -> BTreeMap<String, i64> {
        let desk = self.desk();
        let lines = desk.view().stock_of(&spareseat::units::PartCode::new(part).unwrap()).unwrap();
        let of_lot = lines.into_iter().filter(|l| l.lot.as_str() == lot && l.quantity != 0);
        of_lot.map(|l| (l.place.to_string(), l.quantity)).collect()
    }

    /// The chain, every place, and the view: all of it holds.
    pub fn is_whole(&self) {
        let out = self.place.run(&["logbook", "verify"]);
        assert_eq!(code(&out), 0, "{}{}", text(&out.stdout), text(&out.stderr));
    }
}

pub fn day() -> Date {
    DAY.parse().unwrap()
}

/// Balances as they are written in a test.
pub fn places<const N: usize>(all: [(&str, i64); N]) -> BTreeMap<String, i64> {
    all.into_iter().map(|(place, n)| (place.to_owned(), n)).collect()
}
