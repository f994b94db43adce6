//! Entries booked through the library where a test must not depend on what a command makes of a call, and what only
//! the library shows: the sums over all places.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicU64, Ordering};

use spareseat::case::{Broken, Left, TorqueRecord};
use spareseat::catalog::{Position, Value};
use spareseat::desk::lookup::NotFound;
use spareseat::desk::{Desk, Home, Refused, Today, open_home};
use spareseat::record::{
    Became, Entry, Removed, Replaced, Spoiled, Spoilt, Step, TrayBooked, UseLine, VisitStep,
};
use spareseat::units::{
    Act, CaseNumber, Initials, LIMITS, Lot, Note, PartCode, PlaceId, Tooth, Torque, parse_date,
};

use crate::support::{DAY, Place};

pub const SCREW: &str = "plover-prosthetic-screw-1.4";
const DRAWER: &str = "cabinet-2-drawer-1";

/// The home, opened on the tests' day.
pub fn desk(place: &Place) -> Desk {
    let today = Today { now: jiff::Timestamp::now(), date: parse_date(DAY).unwrap(), said: true };
    open_home(&Home::at(&place.home()), today).unwrap()
}

/// Books `entry` by AB; gives its number.
pub fn book(place: &Place, entry: &Entry) -> u64 {
    static ACTS: AtomicU64 = AtomicU64::new(1);
    let act = Act::from_bits(0xAC75 << 64 | u128::from(ACTS.fetch_add(1, Ordering::Relaxed)));
    let by = Initials::new("AB").unwrap();
    desk(place).book(Some(&by), act, |_| Ok::<_, Refused<NotFound>>(entry.clone())).unwrap().seq
}

/// For every lot the units over all places come to nothing.
pub fn sums_are_zero(place: &Place) {
    let mut sums: BTreeMap<(String, String), i64> = BTreeMap::new();
    for (part, lines) in desk(place).view().stock().unwrap() {
        for line in lines {
            *sums.entry((part.to_string(), line.lot.to_string())).or_default() += line.quantity;
            assert!(line.place.house().is_none() || line.quantity >= 0, "{part}: {line:?}");
        }
    }
    assert!(!sums.is_empty());
    sums.retain(|_, sum| *sum != 0);
    assert_eq!(sums, BTreeMap::new());
}

/// How many units of a lot are in a place, in the house or out of it.
pub fn units(place: &Place, part: &str, lot: &str, there: &str) -> i64 {
    let lines = desk(place).view().stock_of(&PartCode::new(part).unwrap()).unwrap();
    let here = lines.iter().filter(|l| l.lot.as_str() == lot && l.place.to_string() == there);
    here.map(|l| l.quantity).sum()
}

fn case() -> CaseNumber {
    CaseNumber::new("1047").unwrap()
}

/// The visit of case 1047 at tooth 25 begins: the prosthetic screw broke.
pub fn visit_begun() -> Entry {
    Entry::Visit(VisitStep {
        case: case(),
        step: Step::Begun { new_case: false },
        site: Tooth::parse("25").unwrap(),
        broken: Broken::ProstheticScrew,
        left: Left::ShankInAbutment,
        tray: Vec::new(),
        note: Some(Note::new("came loose at breakfast").unwrap()),
    })
}

/// The tray of that visit: new prosthetic screws at teeth 24 and 25, one dropped; the old one at tooth 25 is the one
/// that gave way and was kept, the other was thrown away.
pub fn tray(place: &Place) -> Entry {
    tray_with(place, Became::Kept)
}

/// The same, with what became of the one that gave way.
pub fn tray_with(place: &Place, broken_became: Became) -> Entry {
    let desk = desk(place);
    let part = desk.view().part(&PartCode::new(SCREW).unwrap()).unwrap().unwrap();
    let torque = TorqueRecord::Measured(Torque::parse("15", &LIMITS.torque).unwrap());
    let (mut lines, mut removed) = (Vec::new(), Vec::new());
    for (site, became, broken) in [("24", Became::Discarded, false), ("25", broken_became, true)] {
        let site = Tooth::parse(site).unwrap();
        let assembly = desk.view().assembly(&case(), site).unwrap();
        let old = assembly.into_iter().find(|f| f.position == Position::ProstheticScrew).unwrap();
        let (position, code, lot) = (old.position, old.part.code, old.lot);
        lines.push(UseLine {
            site,
            position,
            part: part.clone(),
            lot: Lot::new("PS-1120").unwrap(),
            place: PlaceId::new(DRAWER).unwrap(),
            label: None,
            torque,
            lean: Value::NotApplicable,
            found: false,
            expired_because: None,
            replaced: Some(Replaced { part: code.clone(), lot: lot.clone(), became }),
        });
        let (since, torque) = (old.on, old.torque);
        removed.push(Removed { site, position, part: code, lot, since, torque, became, broken });
    }
    let spoiled = Spoiled {
        part: PartCode::new(SCREW).unwrap(),
        lot: Lot::new("PS-1120").unwrap(),
        place: PlaceId::new(DRAWER).unwrap(),
        how: Spoilt::Dropped,
        to_reprocess: false,
    };
    Entry::Tray(TrayBooked { case: case(), lines, removed, spoiled: vec![spoiled], note: None })
}
