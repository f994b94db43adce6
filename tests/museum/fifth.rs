//! How the fifth logbook was made: stock set aside, let go of, used although it was set aside for somebody else.
//!
//! Run only when tests/museum/logbook-5 is gone: a logbook in the museum is never written again.

use std::path::Path;

use jiff::civil::date;
use spareseat::case::TorqueRecord;
use spareseat::cases::entering;
use spareseat::catalog::Position;
use spareseat::fitting::using::{self, Use};
use spareseat::record::Became;
use spareseat::shelf::holding::{self, SetItAside};
use spareseat::units::{CaseNumber, Lot, PartCode};

use super::make::{DAY, Maker, note, whole};

const FIRST: &str = include_str!("case.toml");
const SECOND: &str = include_str!("case-2.toml");

/// Makes the logbook, and takes away what is no part of the record.
pub fn fifth_logbook(folder: &Path) {
    whole(folder, 0x0DDA, |maker| {
        maker.case(|view| entering::import(view, "case.toml", FIRST, false, DAY));
        maker.case(|view| entering::import(view, "case-2.toml", SECOND, false, DAY));
        maker.receive("heron-screw", "S-1", 2, "drawer-1", Some("2027-09"), None);
        maker.receive("heron-screw", "S-2", 2, "drawer-2", Some("2028-01-31"), None);
        hold(maker, "M-4", 3, Some("screws of the whole bridge"));
        hold(maker, "M-1", 1, None);
        maker.books(|view| using::decide(view, &used("S-2", None), DAY));
        maker.books(|view| {
            using::decide(view, &used("S-1", Some("in the chair, and no other in the house")), DAY)
        });
        let last = maker.last();
        maker.books(|view| holding::release(view, &[last - 3], Some(&note("planned for May"))));
        hold(maker, "M-4", 1, None);
    });
}

fn hold(maker: &mut Maker, case: &str, quantity: u32, because: Option<&str>) {
    let ask = SetItAside {
        case: CaseNumber::new(case).unwrap(),
        part: PartCode::new("heron-screw").unwrap(),
        lot: None,
        quantity,
        until: date(2027, 1, 31),
        place: None,
        because: because.map(note),
    };
    maker.books(|view| holding::set_aside(view, &ask, DAY));
}

fn used(lot: &str, held_because: Option<&str>) -> Use {
    Use {
        case: CaseNumber::new("M-1").unwrap(),
        site: "11".to_owned(),
        position: Position::ProstheticScrew,
        part: PartCode::new("heron-screw").unwrap(),
        lot: Lot::new(lot).unwrap(),
        place: None,
        torque: TorqueRecord::NotMeasured,
        lean: None,
        label: None,
        found: false,
        expired_because: None,
        held_because: held_because.map(note),
        became: Became::Discarded,
    }
}
