//! What happens to the small practice's stock beside deliveries, moves and uses: each act, and the command that books
//! it. What must be true after them: `shelf`.

use std::fmt::Display;

use spareseat::catalog::Position;
use spareseat::desk::{Desk, DeskError, Refused};
use spareseat::fitting::using::{self, Use};
use spareseat::record::{Became, Booked, Entry, Needed, View};
use spareseat::shelf::apart::{self, Source, Units};
use spareseat::shelf::counting::{self, Count, Found};
use spareseat::shelf::delivery;
use spareseat::shelf::holding::{self, SetItAside};
use spareseat::shelf::planning;
use spareseat::shelf::receiving;
use spareseat::shelf::returning::{self, Return, To};
use spareseat::tracing::withdrawing;
use spareseat::units::{Act, CaseNumber, Lot, Note, PartCode};

use super::world::{CASE, DRAWERS, LOT, SCREW, by, code, lot, place, today, used};

/// The abutment of the case: of this catalogue's parts the one that may be used again.
pub const ABUTMENT: &str = "plover-mua-4.1-c3.0";
/// Its lot.
pub const ABUTMENT_LOT: &str = "MU-1203";
/// As a command says what was counted.
const COUNTED: &str = "plover-prosthetic-screw-1.4:PS-1120=4";
/// As a command says why.
const BECAUSE: &str = "--because=it fell";

fn why() -> Note {
    Note::new("it fell").expect("a reason")
}

/// An act on stock; the numbers are those of the entries they are about, or of a delivery.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stocking {
    /// A delivery of two lines: two more of the lot into the first drawer, and a lot of its own, three, into the second.
    Deliver(u32),
    /// So many screws are set aside for the case, or for the one with the bridge, until today.
    Hold(u32, &'static str),
    /// What was set aside by that entry is let go of.
    Release(u64),
    /// A screw that is set aside for another case goes into the case, from the first drawer.
    UseHeld,
    /// One is thrown away from the first drawer.
    Discard,
    /// The screw of the case came out and is thrown away.
    Return,
    /// The abutment of the case came out and is to be used again.
    GiveBack,
    /// It has been reprocessed, and lies in the second drawer.
    Reprocess,
    /// Two are kept apart from the first drawer.
    Quarantine,
    /// One of them lies in the first drawer again.
    Lift,
    /// The lot is called back.
    Withdraw,
    /// The lot that came with that delivery is called back.
    WithdrawDelivered(u32),
    /// There are four in the first drawer.
    Count,
    /// Work is planned for today.
    Need,
    /// What was planned by that entry is called off.
    NeedOff(u64),
}

/// The lot that a delivery brings.
pub fn delivered(n: u32) -> String {
    format!("T-{n}")
}

/// The lines of that delivery as a file.
fn lines(n: u32) -> String {
    let own = delivered(n);
    let [first, second] = DRAWERS;
    format!("part,lot,quantity,place\n{SCREW},{LOT},2,{first}\n{SCREW},{own},3,{second}\n")
}

fn case(number: &str) -> CaseNumber {
    CaseNumber::new(number).expect("a case number")
}

fn abutment(quantity: u32) -> Units {
    let (part, lot) = (PartCode::new(ABUTMENT).expect("a code"), Lot::new(ABUTMENT_LOT).expect("a lot"));
    Units { part, lot, quantity }
}

fn screws(quantity: u32) -> Units {
    Units { part: code(), lot: lot(), quantity }
}

fn booked<E: Display>(
    desk: &mut Desk,
    act: Act,
    decide: impl FnMut(&View) -> Result<Entry, Refused<E>>,
) -> Result<Booked, String>
where
    DeskError<E>: Display,
{
    desk.book(Some(&by()), act, decide).map_err(|e| e.to_string())
}

impl Stocking {
    /// Books it.
    pub fn book(self, desk: &mut Desk, act: Act) -> Result<Booked, String> {
        let (day, why) = (today().date, why());
        match self {
            Self::Deliver(n) => {
                let lines = delivery::read(&lines(n), None, true).map_err(|e| e.to_string())?;
                booked(desk, act, |view| receiving::decide_all(view, &delivery::known(view, &lines, day)?.0))
            }
            Self::Hold(quantity, number) => {
                let (case, part, lot) = (case(number), code(), Some(lot()));
                let ask = SetItAside { case, part, lot, quantity, until: day, place: None, because: None };
                booked(desk, act, |view| holding::set_aside(view, &ask, day))
            }
            Self::Release(hold) => booked(desk, act, |view| holding::release(view, &[hold], Some(&why))),
            Self::UseHeld => {
                let ask = Use { held_because: Some(why), ..used(0) };
                booked(desk, act, |view| using::decide(view, &ask, day))
            }
            Self::Return | Self::GiveBack => {
                let (position, to) = match self {
                    Self::Return => (Position::ProstheticScrew, To::Gone(Became::Discarded)),
                    _ => (Position::Abutment, To::Reprocess),
                };
                let ask = Return { case: case(CASE), site: "25".to_owned(), position, to, because: why };
                booked(desk, act, |view| returning::decide(view, &ask))
            }
            Self::Withdraw | Self::WithdrawDelivered(_) => {
                let lot = self.withdrawn().map_or_else(lot, |l| Lot::new(&l).expect("a lot"));
                booked(desk, act, |view| withdrawing::decide(view, &lot, Some(&code()), None))
            }
            Self::Count => {
                let found = vec![Found { part: code(), lot: Some(lot()), counted: 4 }];
                let ask = Count { place: place(0), found, all: false };
                booked(desk, act, |view| counting::decide(view, &ask, &why))
            }
            Self::Need => {
                let (case, part) = (case(CASE), code());
                let needed = Needed { case, on: day, part, quantity: 1, because: None };
                booked(desk, act, |view| planning::plan(view, &needed, day))
            }
            Self::NeedOff(need) => {
                booked(desk, act, |view| planning::call_off(view, &case(CASE), need, Some(&why)))
            }
            Self::Discard | Self::Quarantine | Self::Lift | Self::Reprocess => self.shift(desk, act),
        }
    }

    /// Books what only moves units from here to there.
    fn shift(self, desk: &mut Desk, act: Act) -> Result<Booked, String> {
        let (why, first) = (why(), place(0));
        booked(desk, act, |view| match self {
            Self::Discard => apart::discard(view, &screws(1), &Source::Drawer(Some(first.clone())), &why),
            Self::Quarantine => apart::quarantine(view, &code(), &lot(), Some(2), Some(&first), &why),
            Self::Lift => apart::lift(view, &screws(1), &first, false, &why),
            _ => apart::reprocess(view, &abutment(1), &place(1), true),
        })
    }

    /// The lot that it calls back, if it calls one back.
    pub fn withdrawn(self) -> Option<String> {
        match self {
            Self::Withdraw => Some(LOT.to_owned()),
            Self::WithdrawDelivered(n) => Some(delivered(n)),
            _ => None,
        }
    }

    /// The command that books it; `file` writes a file for it.
    pub fn command(self, file: &dyn Fn(&str, &str) -> String) -> Vec<String> {
        let day = today().date.to_string();
        let screws = |quantity: &'static str| ["--lot", LOT, "--quantity", quantity];
        let from = ["--place", DRAWERS[0], BECAUSE];
        let at = |position: &'static str| ["return", CASE, "--site=25", position];
        let words: Vec<&str> = match self {
            Self::Deliver(n) => {
                let path = file("delivery.csv", &lines(n));
                return ["receive", "--lines", &path, "--new-place"].map(ToOwned::to_owned).into();
            }
            Self::Hold(n, case) => {
                let n = n.to_string();
                let words = ["hold", case, "--part", SCREW, "--lot", LOT, "--quantity", &n, "--until", &day];
                return words.map(ToOwned::to_owned).into();
            }
            Self::Release(hold) => {
                return ["release", &hold.to_string(), BECAUSE].map(ToOwned::to_owned).into();
            }
            Self::NeedOff(need) => {
                return ["need", CASE, "--off", &need.to_string(), BECAUSE].map(ToOwned::to_owned).into();
            }
            Self::Withdraw | Self::WithdrawDelivered(_) => {
                let lot = self.withdrawn().unwrap_or_default();
                return ["withdraw", "--lot", &lot, "--part", SCREW].map(ToOwned::to_owned).into();
            }
            Self::Need => vec!["need", CASE, "--part", SCREW, "--quantity", "1", "--date", &day],
            Self::UseHeld => {
                let part = ["--part", SCREW, "--lot", LOT, "--torque", "15", "--place", DRAWERS[0]];
                let site = ["use", CASE, "--site=25", "--position=prosthetic-screw"];
                [&site[..], &part, &["--held-because=it fell"]].concat()
            }
            Self::Discard => [&["discard", SCREW][..], &screws("1"), &from].concat(),
            Self::Return => {
                [&at("--position=prosthetic-screw")[..], &["--old", "discarded", BECAUSE]].concat()
            }
            Self::GiveBack => [&at("--position=abutment")[..], &[BECAUSE]].concat(),
            Self::Reprocess => {
                let what = ["reprocess", ABUTMENT, "--lot", ABUTMENT_LOT, "--quantity", "1"];
                [&what[..], &["--place", DRAWERS[1], "--new-place"]].concat()
            }
            Self::Quarantine => [&["quarantine", SCREW][..], &screws("2"), &from].concat(),
            Self::Lift => [&["quarantine", "--lift", SCREW][..], &screws("1"), &from].concat(),
            Self::Count => vec!["count", DRAWERS[0], COUNTED, BECAUSE],
        };
        words.into_iter().map(ToOwned::to_owned).collect()
    }
}
