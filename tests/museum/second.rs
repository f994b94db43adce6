//! How the second logbook was made: what happens around a visit, a counter, a case closed and opened again, checks.
//!
//! Run only when tests/museum/logbook-2 is gone: a logbook in the museum is never written again.

use std::path::Path;

use spareseat::amend::countering::{Counter, counter};
use spareseat::case::{Broken, Left, TorqueRecord};
use spareseat::cases::{entering, standing};
use spareseat::catalog::Position;
use spareseat::chair::visit::VisitQuestion;
use spareseat::desk::open_home_as_of;
use spareseat::fitting::laying::{self, Line, Told};
use spareseat::fitting::visiting::{self, WalkIn};
use spareseat::record::{Became, Outcome};
use spareseat::units::{CaseNumber, LIMITS, Tooth, Torque};

use super::make::{DAY, Maker, note, whole};

/// A bridge over two sites, as a person would have written it.
const CASE: &str = include_str!("case-2.toml");

fn number(text: &str) -> CaseNumber {
    CaseNumber::new(text).unwrap()
}

fn line(position: Option<Position>) -> Line {
    Line { site: Tooth::parse("11").unwrap(), position }
}

/// Makes the logbook, and takes away what is no part of the record.
pub fn second_logbook(folder: &Path) {
    whole(folder, 0x0DD6, |maker| {
        let first = number("M-4");
        maker.case(|view| entering::import(view, "case-2.toml", CASE, false, DAY));
        maker.receive("heron-screw", "S-1", 4, "drawer-1", Some("2028-09"), None);
        maker.receive("heron-mua-3.0", "A-1", 2, "drawer-2", None, None);
        begun_and_narrowed(maker, &first);
        let tray = maker.last();
        taken_back(maker, tray);
        booked_again_and_ended(maker, &first);
        walked_in(maker);
        closed_and_checked(maker, &first);
    });
}

fn step(
    maker: &mut Maker,
    case: &CaseNumber,
    site: Option<&str>,
    broken: Option<Broken>,
    left: Option<Left>,
    why: Option<&str>,
) {
    let ask = VisitQuestion { case: case.clone(), site: site.map(ToOwned::to_owned), broken, left };
    let why = why.map(note);
    let narrow = site.is_none();
    maker.books(|view| match narrow {
        true => visiting::narrow(view, &ask, why.as_ref(), DAY),
        false => visiting::begin(view, &ask, why.as_ref(), DAY),
    });
}

/// Nobody has looked, then somebody has; an abutment and two screws go in, a third one falls.
fn begun_and_narrowed(maker: &mut Maker, case: &CaseNumber) {
    step(maker, case, Some("11"), Some(Broken::NotKnown), None, Some("telephone: \"it is loose\""));
    step(maker, case, None, Some(Broken::Abutment), Some(Left::FragmentInImplant), None);
    let told = Told {
        torque: Some(TorqueRecord::NotMeasured),
        torques: vec![(
            line(Some(Position::Abutment)),
            TorqueRecord::Measured(Torque::parse("29.5", &LIMITS.torque).unwrap()),
        )],
        dropped: vec![line(Some(Position::ProstheticScrew))],
        old: vec![(line(Some(Position::ProstheticScrew)), Became::Kept)],
        note: Some(note("the fragment came out")),
        ..Told::default()
    };
    maker.books(|view| laying::decide(view, case, &told, DAY));
}

/// It was booked by mistake, and so was the delivery after it.
fn taken_back(maker: &mut Maker, tray: u64) {
    maker.receive("heron-screw", "S-2", 1, "drawer-3", None, None);
    let delivery = maker.last();
    for (entry, because) in [(tray, Some(note("it was the other patient"))), (delivery, None)] {
        let (act, by, home, today) = (maker.act(), maker.by.clone(), maker.home.clone(), maker.today);
        let ask = Counter { entry, because, was_in_mouth: false };
        counter(&mut maker.desk, Some(&by), act, &ask, |n| open_home_as_of(&home, today, n)).unwrap();
    }
}

/// Booked once more: opened, not used, and no torque said; then every way to end.
fn booked_again_and_ended(maker: &mut Maker, case: &CaseNumber) {
    let told = Told { opened: vec![line(Some(Position::Abutment))], ..Told::default() };
    maker.books(|view| laying::decide(view, case, &told, DAY));
    for (n, (outcome, _)) in Outcome::ALL.into_iter().enumerate() {
        let why = (n == 0).then(|| note("bite checked"));
        maker.books(|view| visiting::end(view, case, outcome, why.as_ref()));
        if n + 1 < Outcome::ALL.len() {
            step(maker, case, Some("11"), Some(Broken::Loose), None, None);
        }
    }
    // One that goes on: what stands with a case is in the rows too.
    step(maker, case, Some("11"), Some(Broken::ProstheticScrew), Some(Left::ShankInAbutment), None);
}

fn walked_in(maker: &mut Maker) {
    let ask = WalkIn {
        case: number("M-3"),
        site: Tooth::parse("46").unwrap(),
        broken: Broken::StrippedHead,
        left: None,
        note: None,
    };
    maker.books(|view| visiting::walk_in(view, &ask));
}

fn closed_and_checked(maker: &mut Maker, case: &CaseNumber) {
    let walk_in = number("M-3");
    maker.books(|view| standing::check(view, case, DAY.tomorrow().ok(), &note("bite, screws"), DAY));
    maker.books(|view| standing::check(view, &walk_in, DAY.tomorrow().ok(), &note("screws"), DAY));
    maker.books(|view| standing::check(view, &walk_in, None, &note("seen elsewhere"), DAY));
    maker.books(|view| visiting::end(view, &walk_in, Outcome::Referred, None));
    maker.books(|view| standing::close(view, &walk_in, true, &note("went home")));
    maker.books(|view| standing::close(view, &walk_in, false, &note("came back")));
    maker.books(|view| standing::close(view, &walk_in, true, &note("moved away")));
}
