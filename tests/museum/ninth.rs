//! How the ninth logbook was made: a part back from a patient, a note that sounds like that booking, two uses of one day in
//! one place, and all three taken back; what a person typed stays beside what is marked as taken back.
//!
//! Run only when tests/museum/logbook-9 is gone: a logbook in the museum is never written again.

use std::path::Path;

use spareseat::amend::countering::{Counter, counter};
use spareseat::case::{Event, Happening, TorqueRecord};
use spareseat::cases::entering;
use spareseat::catalog::Position;
use spareseat::desk::open_home_as_of;
use spareseat::fitting::using::{self, Use};
use spareseat::record::Became;
use spareseat::shelf::returning::{self, Return, To};
use spareseat::units::{CaseNumber, Lot, PartCode};

use super::make::{DAY, Maker, note, whole};

const CASE: &str = include_str!("case.toml");

/// Makes the logbook, and takes away what is no part of the record.
pub fn ninth_logbook(folder: &Path) {
    whole(folder, 0x0DE0, |maker| {
        maker.case(|view| entering::import(view, "case.toml", CASE, false, DAY));
        maker.receive("heron-screw", "S-1", 3, "drawer-1", Some("2027-09"), None);
        let back = returned(maker);
        noted(maker, &format!("shank split, when it came out, by entry {back}"));
        taken_back(maker, back);
        let first = used(maker);
        let second = used(maker);
        noted(maker, &format!("booked as replaced; taken back by entry {}", second + 2));
        taken_back(maker, second);
        taken_back(maker, first);
    });
}

fn case() -> CaseNumber {
    CaseNumber::new("M-1").unwrap()
}

fn returned(maker: &mut Maker) -> u64 {
    let back = Return {
        case: case(),
        site: "11".to_owned(),
        position: Position::ProstheticScrew,
        to: To::Gone(Became::Kept),
        because: note("broken"),
    };
    maker.books(|view| returning::decide(view, &back));
    maker.last()
}

fn noted(maker: &mut Maker, text: &str) {
    let event = Event {
        on: DAY,
        tooth: None,
        position: Some(Position::ProstheticScrew),
        what: Happening::Noted,
        note: Some(note(text)),
        kept: Some(note("both halves, bag 7")),
    };
    maker.case(|view| entering::happened(view, &case(), Some("11"), event.clone(), DAY));
}

fn used(maker: &mut Maker) -> u64 {
    let used = Use {
        case: case(),
        site: "11".to_owned(),
        position: Position::ProstheticScrew,
        part: PartCode::new("heron-screw").unwrap(),
        lot: Lot::new("S-1").unwrap(),
        place: None,
        torque: TorqueRecord::NotMeasured,
        lean: None,
        label: None,
        found: false,
        expired_because: None,
        held_because: None,
        became: Became::Kept,
    };
    maker.books(|view| using::decide(view, &used, DAY));
    maker.last()
}

fn taken_back(maker: &mut Maker, entry: u64) {
    let (act, by, home, today) = (maker.act(), maker.by.clone(), maker.home.clone(), maker.today);
    let ask = Counter { entry, because: Some(note("the wrong site")), was_in_mouth: false };
    counter(&mut maker.desk, Some(&by), act, &ask, |n| open_home_as_of(&home, today, n)).unwrap();
}
