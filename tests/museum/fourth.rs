//! How the fourth logbook was made: a case taken from a share, taken again, and answers of a laboratory taken back.
//!
//! Run only when tests/museum/logbook-4 is gone: a logbook in the museum is never written again.

use std::path::Path;

use spareseat::case::TorqueRecord;
use spareseat::cases::entering;
use spareseat::catalog::Position;
use spareseat::fitting::using::{self, Use};
use spareseat::lab::sharing::{self, Answering, Opened};
use spareseat::record::{AnswerSwap, Became, FitWord};
use spareseat::units::{CaseNumber, Initials, Lot, PartCode, PracticeName, Tooth};

use super::make::{DAY, Maker, whole};

const SHARED: &str = include_str!("case.toml");
const OWN: &str = include_str!("case-2.toml");

fn number(text: &str) -> CaseNumber {
    CaseNumber::new(text).unwrap()
}

/// Makes the logbook, and takes away what is no part of the record.
pub fn fourth_logbook(folder: &Path) {
    let elsewhere = crate::support::folder();
    let mut files = Vec::new();
    whole(&elsewhere.path().join("home"), 0x0DD7, |maker| {
        maker.case(|view| entering::import(view, "case.toml", SHARED, false, DAY));
        files.push(sharing::share(maker.desk.view(), &number("M-1"), DAY).unwrap().text);
        other_abutment(maker);
        files.push(sharing::share(maker.desk.view(), &number("M-1"), DAY).unwrap().text);
    });
    whole(folder, 0x0DD8, |maker| {
        maker.case(|view| entering::import(view, "case-2.toml", OWN, false, DAY));
        for (file, here) in files.iter().zip([Some(number("L-1")), None]) {
            take(maker, file, here.as_ref());
        }
        for (verdict, gap) in [(FitWord::KeepsTheFit, Some(12.34)), (FitWord::NotEnoughKnown, None)] {
            let answer = answer(maker, verdict, gap);
            take(maker, &answer, None);
        }
    });
}

/// From now on the restoration was built on something else than what stands there.
fn other_abutment(maker: &mut Maker) {
    maker.receive("knot-mua-3.0", "K-1", 1, "drawer-1", None, None);
    let ask = Use {
        case: number("M-1"),
        site: "11".to_owned(),
        position: Position::Abutment,
        part: PartCode::new("knot-mua-3.0").unwrap(),
        lot: Lot::new("K-1").unwrap(),
        place: None,
        torque: TorqueRecord::NotMeasured,
        lean: None,
        label: None,
        found: false,
        expired_because: None,
        held_because: None,
        became: Became::Discarded,
    };
    maker.books(|view| using::decide(view, &ask, DAY));
    assert!(!maker.desk.view().built_on(&number("M-1"), Tooth::parse("11").unwrap()).unwrap().is_empty());
}

fn take(maker: &mut Maker, text: &str, here: Option<&CaseNumber>) {
    let opened = sharing::open("file", text).unwrap();
    maker.books(|view| match &opened {
        Opened::Share(file, sum) => sharing::take(view, file, *sum, here, DAY),
        Opened::Answer(file, sum) => sharing::confirm(view, file, *sum, DAY),
    });
}

fn answer(maker: &Maker, verdict: FitWord, worst_gap_um: Option<f64>) -> String {
    let view = maker.desk.view();
    let code = PartCode::new("heron-mua-3.0").unwrap();
    let part = view.part(&code).unwrap().unwrap();
    let swap = AnswerSwap { site: Tooth::parse("11").unwrap(), position: Position::Abutment, part };
    let ask = Answering {
        swaps: vec![swap],
        verdict,
        worst_gap_um,
        bands_um: (20.0, 60.5),
        working: serde_json::json!({ "rest_seat": [0.25, 1e-9] }),
        by: Initials::new("LB").unwrap(),
        on: DAY,
        laboratory: Some(PracticeName::new("Museum laboratory (made up)").unwrap()),
    };
    sharing::write_answer(view, &number("M-4"), ask).unwrap().text
}
