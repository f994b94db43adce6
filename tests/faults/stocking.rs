//! What happens to the small practice's stock beside deliveries, moves and uses: each act with its command, what it
//! does to the drawers, and what must stand in the view after it.

use spareseat::catalog::Position;
use spareseat::desk::Desk;
use spareseat::desk::apart::{self, ApartError, Source, Units};
use spareseat::desk::counting::{self, Count, CountError, Found};
use spareseat::desk::holding::{self, HoldError, SetItAside};
use spareseat::desk::planning::{self, NeedError};
use spareseat::desk::returning::{self, Return, ReturnError, To};
use spareseat::desk::withdrawing::{self, WithdrawError};
use spareseat::record::{Became, Booked, Needed};
use spareseat::stock::Where;
use spareseat::units::{Act, CaseNumber, Note};

use super::world::{CASE, DRAWERS, LOT, SCREW, by, code, lot, place, today};

/// As a command says what was counted.
const COUNTED: &str = "plover-prosthetic-screw-1.4:PS-1120=4";
/// As a command says why.
const BECAUSE: &str = "--because=it fell";

fn why() -> Note {
    Note::new("it fell").expect("a reason")
}

/// An act on stock.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stocking {
    /// Two screws are set aside for the case until today.
    Hold,
    /// One is thrown away from the first drawer.
    Discard,
    /// The screw of the case came out and is thrown away.
    Return,
    /// Two are kept apart from the first drawer.
    Quarantine,
    /// The lot is called back, six of it in the first drawer.
    Withdraw,
    /// Two of the six in the first drawer are missing.
    Count,
    /// Work is planned for today.
    Need,
}

impl Stocking {
    /// Books it.
    pub fn book(self, desk: &mut Desk, act: Act) -> Result<Booked, String> {
        match self {
            Self::Hold => {
                let ask = SetItAside {
                    case: CaseNumber::new(CASE).expect("a case number"),
                    part: code(),
                    lot: Some(lot()),
                    quantity: 2,
                    until: today().date,
                    place: None,
                    because: None,
                };
                desk.book::<HoldError>(Some(&by()), act, |view| holding::set_aside(view, &ask, today().date))
                    .map_err(|e| e.to_string())
            }
            Self::Discard => {
                let units = Units { part: code(), lot: lot(), quantity: 1 };
                let from = Source::Drawer(Some(place(0)));
                desk.book::<ApartError>(Some(&by()), act, |view| apart::discard(view, &units, &from, &why()))
                    .map_err(|e| e.to_string())
            }
            Self::Return => {
                let ask = Return {
                    case: CaseNumber::new(CASE).expect("a case number"),
                    site: "25".to_owned(),
                    position: Position::ProstheticScrew,
                    to: To::Gone(Became::Discarded),
                    because: why(),
                };
                desk.book::<ReturnError>(Some(&by()), act, |view| returning::decide(view, &ask))
                    .map_err(|e| e.to_string())
            }
            Self::Quarantine => desk
                .book::<ApartError>(Some(&by()), act, |view| {
                    apart::quarantine(view, &code(), &lot(), Some(2), Some(&place(0)), &why())
                })
                .map_err(|e| e.to_string()),
            Self::Count => {
                let found = vec![Found { part: code(), lot: Some(lot()), counted: 4 }];
                let ask = Count { place: place(0), found, all: false };
                desk.book::<CountError>(Some(&by()), act, |view| counting::decide(view, &ask, &why()))
                    .map_err(|e| e.to_string())
            }
            Self::Need => {
                let case = CaseNumber::new(CASE).expect("a case number");
                let day = today().date;
                let needed = Needed { case, on: day, part: code(), quantity: 1, because: None };
                desk.book::<NeedError>(Some(&by()), act, |view| planning::plan(view, &needed, day))
                    .map_err(|e| e.to_string())
            }
            Self::Withdraw => desk
                .book::<WithdrawError>(Some(&by()), act, |view| {
                    withdrawing::decide(view, &lot(), Some(&code()), None)
                })
                .map_err(|e| e.to_string()),
        }
    }

    /// The command that books it.
    pub fn command(self) -> Vec<String> {
        let day = today().date.to_string();
        let words: &[&str] = match self {
            Self::Hold => {
                &["hold", CASE, "--part", SCREW, "--lot", LOT, "--quantity", "2", "--until", day.as_str()]
            }
            Self::Discard => {
                &["discard", SCREW, "--lot", LOT, "--quantity", "1", "--place", DRAWERS[0], BECAUSE]
            }
            Self::Return => {
                let (at, position) = ("--site=25", "--position=prosthetic-screw");
                &["return", CASE, at, position, "--old", "discarded", BECAUSE]
            }
            Self::Quarantine => {
                &["quarantine", SCREW, "--lot", LOT, "--quantity", "2", "--place", DRAWERS[0], BECAUSE]
            }
            Self::Count => &["count", DRAWERS[0], COUNTED, BECAUSE],
            Self::Need => &["need", CASE, "--part", SCREW, "--quantity", "1", "--date", day.as_str()],
            Self::Withdraw => &["withdraw", "--lot", LOT, "--part", SCREW],
        };
        words.iter().map(|w| (*w).to_owned()).collect()
    }

    /// What it does to the two drawers.
    pub fn deltas(self) -> [i64; 2] {
        match self {
            Self::Hold | Self::Return | Self::Need => [0, 0],
            Self::Discard => [-1, 0],
            Self::Quarantine | Self::Count => [-2, 0],
            Self::Withdraw => [-6, 0],
        }
    }
}

/// Holds what is set aside and kept apart against the entries that did it: `Err` says what is not true.
pub fn check(desk: &mut Desk, stocked: &[(u64, Stocking)]) -> Result<(), String> {
    let asked = desk.ask(|view| {
        let held = holding::standing(view, today().date)?;
        let apart = view.stock_of(&code())?.into_iter().filter(|l| l.place == Where::Quarantine);
        let apart: i64 = apart.map(|l| l.quantity).sum();
        let pieces = view.pieces(&CaseNumber::new(CASE).expect("a case number"))?;
        let out: Vec<u64> =
            pieces.into_iter().filter(|p| p.removed.lot != Some(lot())).map(|p| p.entry).collect();
        Ok::<_, HoldError>((held, apart, out, apart::called_back(view, &code(), &lot())?))
    });
    let (held, apart, out, called_back) = asked.map_err(|e| e.to_string())?;
    let entries = |which: Stocking| -> Vec<u64> {
        stocked.iter().filter(|(_, step)| *step == which).map(|(entry, _)| *entry).collect()
    };
    let held: Vec<u64> = held.iter().map(|s| s.hold.entry).collect();
    let kept = |step: Stocking, each: i64| entries(step).len() as i64 * each;
    let expected = (
        entries(Stocking::Hold),
        kept(Stocking::Quarantine, 2) + kept(Stocking::Withdraw, 6),
        entries(Stocking::Withdraw).first().copied(),
    );
    let came_out = entries(Stocking::Return);
    if (&held, apart, called_back) == (&expected.0, expected.1, expected.2)
        && came_out.iter().all(|entry| out.contains(entry))
    {
        return Ok(());
    }
    Err(format!(
        "held by, kept apart, called back by: {held:?} {apart} {called_back:?}, the entries make it {expected:?}; came out by {out:?}, booked by {came_out:?}"
    ))
}
