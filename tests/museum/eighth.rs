//! How the eighth logbook was made: a delivery of several lines, a drawer counted, work planned and called off.
//!
//! Run only when tests/museum/logbook-8 is gone: a logbook in the museum is never written again.

use std::path::Path;

use jiff::civil::date;
use spareseat::cases::entering;
use spareseat::record::Needed;
use spareseat::shelf::counting::{self, Count, Found};
use spareseat::shelf::delivery;
use spareseat::shelf::{planning, receiving};
use spareseat::units::{CaseNumber, PartCode, PlaceId};

use super::make::{DAY, note, whole};

const CASE: &str = include_str!("case.toml");
const DELIVERY: &str =
    "lot;part;place;quantity;expiry\nS-8;heron-screw;drawer-1;4;2028-06\nA-8;heron-mua-3.0;drawer-1;1;\n";

/// Makes the logbook, and takes away what is no part of the record.
pub fn eighth_logbook(folder: &Path) {
    whole(folder, 0x0DDF, |maker| {
        maker.case(|view| entering::import(view, "case.toml", CASE, false, DAY));
        let lines = delivery::read(DELIVERY, None, true).unwrap();
        maker.books(|view| receiving::decide_all(view, &delivery::known(view, &lines, DAY)?.0));
        let found = ["heron-screw=3", "heron-mua-3.0:A-8=1", "heron-mua-3.0:A-9=2"];
        let found = found.iter().map(|f| Found::parse(f).unwrap()).collect();
        let ask = Count { place: PlaceId::new("drawer-1").unwrap(), found, all: true };
        maker.books(|view| counting::decide(view, &ask, &note("counted \"twice\"")));
        for because in [Some(note("the bridge comes off for cleaning")), None] {
            let needed = Needed {
                case: CaseNumber::new("M-1").unwrap(),
                on: date(2027, 3, 2),
                part: PartCode::new("heron-screw").unwrap(),
                quantity: 2,
                because,
            };
            maker.books(|view| planning::plan(view, &needed, DAY));
        }
        let (case, last) = (CaseNumber::new("M-1").unwrap(), maker.last());
        maker.books(|view| planning::call_off(view, &case, last, Some(&note("not yet"))));
        maker.books(|view| planning::call_off(view, &case, last - 1, None));
    });
}
