//! What happens to the small practice's stock beside deliveries, moves and uses: each act with its command, what it
//! does to the drawers, and what must stand in the view after it.

use spareseat::desk::Desk;
use spareseat::desk::holding::{self, HoldError, SetItAside};
use spareseat::record::Booked;
use spareseat::units::{Act, CaseNumber};

use super::world::{CASE, LOT, SCREW, by, code, lot, today};

/// An act on stock.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stocking {
    /// Two screws are set aside for the case until today.
    Hold,
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
        }
    }

    /// The command that books it.
    pub fn command(self) -> Vec<String> {
        let day = today().date.to_string();
        let words: &[&str] = match self {
            Self::Hold => {
                &["hold", CASE, "--part", SCREW, "--lot", LOT, "--quantity", "2", "--until", day.as_str()]
            }
        };
        words.iter().map(|w| (*w).to_owned()).collect()
    }

    /// What it does to the two drawers.
    pub fn deltas(self) -> [i64; 2] {
        match self {
            Self::Hold => [0, 0],
        }
    }
}

/// Holds what is set aside against the entries that did it: `Err` says what is not true.
pub fn check(desk: &mut Desk, stocked: &[(u64, Stocking)]) -> Result<(), String> {
    let all = desk.ask(|view| holding::standing(view, today().date).map_err(HoldError::from));
    let held: Vec<u64> = all.map_err(|e| e.to_string())?.iter().map(|s| s.hold.entry).collect();
    let expected: Vec<u64> =
        stocked.iter().filter(|(_, step)| *step == Stocking::Hold).map(|(entry, _)| *entry).collect();
    if held == expected {
        return Ok(());
    }
    Err(format!("held by entries {held:?}, set aside by {expected:?}"))
}
