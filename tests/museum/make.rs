//! How the first logbook was made: every kind of entry there was, with known, unknown and inapplicable values in them.
//!
//! Run only when tests/museum/logbook-1 is gone: a logbook in the museum is never written again.

use std::fmt::Debug;
use std::fs;
use std::path::Path;

use jiff::civil::{Date, date};
use spareseat::case::{Event, Grinding, Happening, Splint, Sure, TorqueRecord};
use spareseat::cases::entering::{self, CaseError};
use spareseat::catalog::{Lean, Position};
use spareseat::desk::{Desk, Home, Refused, Today, open_home};
use spareseat::fitting::using;
use spareseat::maintenance::parts;
use spareseat::record::{Accepted, Became, Entry, View};
use spareseat::shelf::{moving, receiving};
use spareseat::units::{
    Act, CaseNumber, Expiry, Initials, LIMITS, Lot, Note, PartCode, PlaceId, PracticeName, RawLabel, Tooth,
    Torque,
};

/// The clock of every line.
pub const NOW: &str = "2026-11-25T08:30:00Z";
/// The day of every line.
pub const DAY: Date = date(2026, 11, 25);

const CATALOGUE: &str = include_str!("catalogue.toml");
/// The case as a person would have written it.
const CASE: &str = include_str!("case.toml");

fn code(text: &str) -> PartCode {
    PartCode::new(text).unwrap()
}

pub fn note(text: &str) -> Note {
    Note::new(text).unwrap()
}

fn drawer(text: &str) -> PlaceId {
    PlaceId::new(text).unwrap()
}

/// Books with acts that are the same each time.
pub struct Maker {
    pub desk: Desk,
    pub home: Home,
    pub today: Today,
    pub by: Initials,
    id: u128,
    acts: u128,
}

impl Maker {
    pub fn act(&mut self) -> Act {
        self.acts += 1;
        Act::from_bits(self.acts << 64 | self.id)
    }

    /// The last entry.
    pub fn last(&self) -> u64 {
        self.desk.entry()
    }

    /// Books what nothing refuses.
    pub fn books<E: Debug>(&mut self, decide: impl FnMut(&View) -> Result<Entry, Refused<E>>) {
        let act = self.act();
        self.desk.book(Some(&self.by), act, decide).unwrap();
    }

    pub fn receive(
        &mut self,
        part: &str,
        lot: &str,
        quantity: u32,
        place: &str,
        expiry: Option<&str>,
        label: Option<&str>,
    ) {
        let ask = receiving::Receive {
            part: code(part),
            lot: Lot::new(lot).unwrap(),
            quantity,
            place: drawer(place),
            new_place: true,
            expiry: expiry.map(|e| Expiry::parse(e).unwrap()),
            label: label.map(|l| RawLabel::new(l).unwrap()),
        };
        let act = self.act();
        self.desk.book(Some(&self.by), act, |view| receiving::decide(view, &ask)).unwrap();
    }

    fn put_in(&mut self, ask: &using::Use) {
        let act = self.act();
        self.desk.book(Some(&self.by), act, |view| using::decide(view, ask, DAY)).unwrap();
    }

    pub fn case(&mut self, decide: impl FnMut(&View) -> Result<Entry, Refused<CaseError>>) {
        let act = self.act();
        self.desk.book(Some(&self.by), act, decide).unwrap();
    }
}

/// Makes a logbook with the catalogue in it, and takes away what is no part of the record.
pub fn whole(folder: &Path, id: u128, then: impl FnOnce(&mut Maker)) {
    let today = Today { now: NOW.parse().unwrap(), date: DAY, said: true };
    let home = Home::at(folder);
    let by = Initials::new("MU").unwrap();
    let practice = PracticeName::new("Museum \"practice\" (made up)").unwrap();
    home.make(Act::from_bits(id), true, &practice, &by, today, Act::from_bits(id)).unwrap();
    let desk = open_home(&home, today).unwrap();
    let mut maker = Maker { desk, home, today, by: by.clone(), id, acts: 0 };
    let files = [("catalogue.toml".to_owned(), CATALOGUE.to_owned())];
    let act = maker.act();
    parts::import(&mut maker.desk, Some(&by), act, &files).unwrap();
    then(&mut maker);
    drop(maker);
    fs::remove_dir_all(folder.join(spareseat::record::VIEW_FOLDER)).unwrap();
    fs::remove_file(folder.join(format!("{}.lock", spareseat::record::VIEW_FOLDER))).unwrap();
    fs::remove_file(folder.join("lock")).unwrap();
}

/// Makes the first logbook.
pub fn first_logbook(folder: &Path) {
    whole(folder, 0x0DD5, |maker| {
        cases_and_stock(maker);
        uses(maker);
        // A decision that only a damaged record asks for; here it stands for its form.
        let why = note("the backup of Monday is the right one");
        let accepted = Entry::Accepted(Accepted { seen: 9, found: 7, why });
        maker.case(|_| Ok(accepted.clone()));
    });
}

fn cases_and_stock(maker: &mut Maker) {
    let first = CaseNumber::new("M-1").unwrap();
    maker.case(|view| entering::import(view, "case.toml", CASE, false, DAY));
    let second = CaseNumber::new("M-2").unwrap();
    maker.case(|view| {
        entering::new(view, &second, Grinding::NotAsked, Splint::Wears, None, Some(note("a full denture")))
    });
    let fitted = entering::FittedWithout {
        position: Position::Abutment,
        lot: None,
        label: Some(RawLabel::new("]d20101234567890128\u{1d}10X").unwrap()),
        on: None,
        torque: TorqueRecord::NotRecorded,
        lean: Some(Lean::NAMED[1].0),
        driver: Some(code("heron-driver")),
        sure: Sure::Radiograph,
    };
    let ask = entering::Enter {
        case: second,
        site: Tooth::parse("46").unwrap(),
        part: code("heron-mua-17"),
        fitted,
    };
    maker.case(|view| entering::enter(view, &ask, DAY));
    let event = Event {
        on: date(2026, 11, 23),
        tooth: None,
        position: Some(Position::ProstheticScrew),
        what: Happening::Broken,
        note: Some(note("head off, shank still in")),
        kept: Some(note("the head, in a bag")),
    };
    maker.case(|view| entering::happened(view, &first, Some("11"), event.clone(), DAY));
    maker.receive("heron-screw", "S-1", 3, "drawer-1", Some("2028-09"), None);
    maker.receive("heron-screw", "S-0", 1, "drawer-1", Some("2026-11-20"), Some("raw\u{1d}label\u{1b}[0m"));
    maker.receive("heron-mua-3.0", "A-1", 1, "drawer-2", None, None);
    maker.receive("heron-driver", "D-1", 1, "tray", Some("none"), None);
    let ask = moving::Move {
        part: code("heron-screw"),
        lot: Lot::new("S-1").unwrap(),
        quantity: 2,
        from: None,
        to: drawer("drawer-3"),
        new_place: true,
    };
    let act = maker.act();
    maker.desk.book(Some(&maker.by), act, |view| moving::decide(view, &ask)).unwrap();
    let act = maker.act();
    let by = maker.by.clone();
    let how = note("on the analog, with a gauge");
    let verify =
        |view: &View| parts::verify(view, &code("heron-mua-3.0"), &code("knot-mua-3.0"), 3, &how, &by, DAY);
    maker.desk.book(Some(&maker.by), act, verify).unwrap();
}

fn uses(maker: &mut Maker) {
    let screw = using::Use {
        case: CaseNumber::new("M-1").unwrap(),
        site: "11".to_owned(),
        position: Position::ProstheticScrew,
        part: code("heron-screw"),
        lot: Lot::new("S-1").unwrap(),
        place: Some(drawer("drawer-3")),
        torque: TorqueRecord::Measured(Torque::parse("15", &LIMITS.torque).unwrap()),
        lean: None,
        label: None,
        found: false,
        expired_because: None,
        held_because: None,
        became: Became::Kept,
    };
    maker.put_in(&screw);
    maker.put_in(&using::Use {
        lot: Lot::new("S-0").unwrap(),
        place: None,
        torque: TorqueRecord::NotMeasured,
        label: Some(RawLabel::new("raw\u{1d}label").unwrap()),
        expired_because: Some(note("nothing else in the house")),
        held_because: None,
        became: Became::Discarded,
        ..screw.clone()
    });
    maker.put_in(&using::Use { lot: Lot::new("HAND").unwrap(), found: true, ..screw });
}
