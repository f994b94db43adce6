//! How the seventh logbook was made: stock thrown away, kept apart and put back, called back; parts that came back from
//! patients; what was reprocessed.
//!
//! Run only when tests/museum/logbook-7 is gone: a logbook in the museum is never written again.

use std::path::Path;

use spareseat::case::TorqueRecord;
use spareseat::cases::entering;
use spareseat::catalog::{Lean, Position};
use spareseat::fitting::using::{self, Use};
use spareseat::maintenance::parts;
use spareseat::record::Became;
use spareseat::shelf::apart::{self, Source, Units};
use spareseat::shelf::returning::{self, Return, To};
use spareseat::tracing::withdrawing;
use spareseat::units::{CaseNumber, Lot, PartCode, PlaceId};

use super::make::{DAY, Maker, note, whole};

const CASE: &str = include_str!("case.toml");
const CATALOGUE: &str = include_str!("catalogue.toml");

fn units(part: &str, lot: &str, quantity: u32) -> Units {
    Units { part: PartCode::new(part).unwrap(), lot: Lot::new(lot).unwrap(), quantity }
}

/// Makes the logbook, and takes away what is no part of the record.
pub fn seventh_logbook(folder: &Path) {
    whole(folder, 0x0DDE, |maker| {
        // One abutment may be used again.
        let code = "code = \"heron-mua-17\"";
        let text = CATALOGUE.replace(code, &format!("{code}\nuse = \"reusable\""));
        let files = [("catalogue.toml".to_owned(), text)];
        let (act, by) = (maker.act(), maker.by.clone());
        parts::import(&mut maker.desk, Some(&by), act, &files).unwrap();
        maker.case(|view| entering::import(view, "case.toml", CASE, false, DAY));
        maker.receive("heron-screw", "S-1", 5, "drawer-1", Some("2027-09"), None);
        maker.receive("heron-mua-17", "A-17", 1, "drawer-2", None, None);
        apart(maker);
        came_back(maker);
        let (part, lot) = (PartCode::new("heron-screw").unwrap(), Lot::new("S-1").unwrap());
        let says = note("letter of the \"maker\" (made up)");
        maker.books(|view| withdrawing::decide(view, &lot, Some(&part), Some(&says)));
        let last = maker.last();
        maker.receive("heron-driver", "D-1", 1, "tray", Some("none"), None);
        let (part, lot) = (PartCode::new("heron-driver").unwrap(), Lot::new("D-1").unwrap());
        maker.books(|view| withdrawing::decide(view, &lot, Some(&part), None));
        assert!(maker.last() == last + 2);
    });
}

fn apart(maker: &mut Maker) {
    let drawer = PlaceId::new("drawer-1").unwrap();
    let screws = |n| units("heron-screw", "S-1", n);
    let from = Source::Drawer(None);
    maker.books(|view| apart::discard(view, &screws(1), &from, &note("it fell")));
    maker.books(|view| {
        let Units { part, lot, .. } = screws(2);
        apart::quarantine(view, &part, &lot, Some(2), None, &note("the pack is wet"))
    });
    maker.books(|view| apart::lift(view, &screws(1), &drawer, false, &note("only the outer one")));
    maker.books(|view| apart::discard(view, &screws(1), &Source::Quarantine, &note("wet inside as well")));
}

fn came_back(maker: &mut Maker) {
    let used = Use {
        case: CaseNumber::new("M-1").unwrap(),
        site: "21".to_owned(),
        position: Position::Abutment,
        part: PartCode::new("heron-mua-17").unwrap(),
        lot: Lot::new("A-17").unwrap(),
        place: None,
        torque: TorqueRecord::NotMeasured,
        lean: Some(Lean::NAMED[1].0),
        label: None,
        found: false,
        expired_because: None,
        held_because: None,
        became: Became::Discarded,
    };
    maker.books(|view| using::decide(view, &used, DAY));
    let mut back = Return {
        case: CaseNumber::new("M-1").unwrap(),
        site: "21".to_owned(),
        position: Position::Abutment,
        to: To::Reprocess,
        because: note("it does not sit"),
    };
    maker.books(|view| returning::decide(view, &back));
    let place = PlaceId::new("drawer-2").unwrap();
    maker.books(|view| apart::reprocess(view, &units("heron-mua-17", "A-17", 1), &place, false));
    back.site = "11".to_owned();
    back.to = To::Gone(Became::Kept);
    maker.books(|view| returning::decide(view, &back));
    maker.books(|view| using::decide(view, &used, DAY));
    back.site = "21".to_owned();
    back.to = To::Drawer { place, new_place: false };
    maker.books(|view| returning::decide(view, &back));
}
