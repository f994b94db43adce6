//! How the logbook of restorations by commands was made: a bridge entered with all that can be said of it, one of which
//! little is known, one built on what stood there before; one that ended.
//!
//! Run only when tests/museum/logbook-10 is gone: a logbook in the museum is never written again.

use std::path::Path;

use jiff::civil::date;
use spareseat::case::{CrownFrom, Fitted, Restoration, Span, Sure, TorqueRecord};
use spareseat::cases::bridging::{self, BridgeAsk, HeldBy, read_shoulder};
use spareseat::cases::entering::{self, FittedWithout};
use spareseat::catalog::Position;
use spareseat::desk::{HomeError, open_home_after};
use spareseat::record::{BridgeEntered, BridgeStep, BuiltThere, Entry, View};
use spareseat::units::{CaseNumber, InterfaceId, LIMITS, Length, Name, PartCode, Tooth};

use super::make::{DAY, Maker, whole};

/// Makes the logbook, and takes away what is no part of the record.
pub fn bridge_logbook(folder: &Path) {
    whole(folder, 0x0DE0, |maker| {
        let case = CaseNumber::new("M-9").unwrap();
        maker.case(|view| {
            entering::new(
                view,
                &case,
                spareseat::case::Grinding::NotAsked,
                spareseat::case::Splint::NotAsked,
                None,
                None,
            )
        });
        for site in ["14", "11", "24", "46"] {
            fit(maker, site, Position::Abutment, "heron-mua-3.0");
            fit(maker, site, Position::ProstheticScrew, "heron-screw");
        }
        let full = BridgeAsk {
            frame_seat: Some(InterfaceId::new("heron-top").unwrap()),
            head_seat: Some(read_shoulder("cone 30,1.9,1.6").unwrap()),
            crown: Some((Length::parse("12.5", &LIMITS.crown_height).unwrap(), CrownFrom::Seat)),
            cantilever_right: 1,
            built_on: Some(date(2024, 2, 29)),
            ..little("(15)-14-(13)-(12)-11", HeldBy::Abutments)
        };
        enter(maker, &full);
        let cement = Some(Name::new("a \"cement\"").unwrap());
        enter(maker, &BridgeAsk { cement, ..little("46", HeldBy::Cement) });
        enter(maker, &little("24", HeldBy::Implants));
        let (span, ended) = (Span::parse("24").unwrap(), date(2026, 11, 24));
        maker.books(|view| bridging::end(view, &case, &span, ended, DAY));
        maker.case(|view| Ok(built_before(view, &case)));
    });
}

/// Only a logbook of several days books a part that stood there before; here it stands for its form.
fn built_before(view: &View, case: &CaseNumber) -> Entry {
    let site = Tooth::parse("24").unwrap();
    let assembly = view.assembly(case, site).unwrap();
    let frame = Fitted::at(&assembly, Position::Framework).unwrap().clone();
    let part = view.part(&PartCode::new("heron-mua-3.0-b").unwrap()).unwrap().unwrap();
    let restoration =
        Restoration { sites: vec![site], pontics: Vec::new(), ..view.restorations(case).unwrap()[0].clone() };
    Entry::Bridge(BridgeEntered {
        case: case.clone(),
        step: BridgeStep::Made {
            restoration,
            frame: Box::new(frame),
            built_on: date(2026, 11, 24),
            measure: vec![BuiltThere { site, position: Position::Abutment, part }],
        },
    })
}

fn little(teeth: &str, held_by: HeldBy) -> BridgeAsk {
    BridgeAsk {
        case: CaseNumber::new("M-9").unwrap(),
        span: Span::parse(teeth).unwrap(),
        held_by,
        cement: None,
        cantilever_right: 0,
        cantilever_left: 0,
        frame_seat: None,
        head_seat: None,
        crown: None,
        built_on: None,
    }
}

fn fit(maker: &mut Maker, site: &str, position: Position, part: &str) {
    let fitted = FittedWithout {
        position,
        lot: None,
        label: None,
        on: None,
        torque: TorqueRecord::NotRecorded,
        lean: None,
        driver: None,
        sure: Sure::Label,
    };
    let (case, site) = (CaseNumber::new("M-9").unwrap(), Tooth::parse(site).unwrap());
    let ask = entering::Enter { case, site, part: PartCode::new(part).unwrap(), fitted };
    maker.case(|view| entering::enter(view, &ask, DAY));
}

fn enter(maker: &mut Maker, ask: &BridgeAsk) {
    let (act, by, home, today) = (maker.act(), maker.by.clone(), maker.home.clone(), maker.today);
    let earlier = |entry| -> Result<_, HomeError> { open_home_after(&home, today, entry) };
    bridging::enter(&mut maker.desk, Some(&by), act, ask, earlier).unwrap();
}
