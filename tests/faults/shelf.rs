//! What the small practice's stock, its claims and its only site must be: added up from the acts in the order in which
//! the logbook has them, apart from the program's own fold.
//!
//! Only which drawer a tray or a lot that is called back was taken from is read off the entry.

use std::collections::BTreeMap;

use spareseat::catalog::Position;
use spareseat::desk::lookup::NotFound;
use spareseat::desk::{Desk, Refused};
use spareseat::lots::holds;
use spareseat::record::{Entry, View, ViewError};
use spareseat::shelf::planning;
use spareseat::stock::{Claim, Where};
use spareseat::units::{CaseNumber, PartCode, Tooth};

use super::recording::{CYLINDER_LOT, Recording};
use super::stocking::{ABUTMENT, ABUTMENT_LOT, Stocking, delivered};
use super::visits::{BRIDGE, Visiting};
use super::world::{CASE, DRAWERS, LOT, Step, code, today};

const QUARANTINE: &str = "quarantine";
const REPROCESS: &str = "to be reprocessed";
/// The lot of the screw the case came with.
const OLD_LOT: &str = "PS-0952";

/// A lot in a place under this roof.
type At = (String, String);

#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Held {
    entry: u64,
    case: &'static str,
    quantity: u32,
    used: Vec<u64>,
}

/// The lots of screw and abutment in the case; the cylinder's once it was entered anew.
type Fitted = [Option<String>; 3];

/// The lot of a screw that stood there, or that none did.
type Screw = Option<String>;

/// What an entry moved, and of a use which screw had stood there.
#[derive(Default)]
struct Undo {
    moved: Vec<(At, i64)>,
    stood: Option<Screw>,
}

/// All of it.
#[derive(Default)]
pub struct Shelf {
    at: BTreeMap<At, i64>,
    holds: Vec<Held>,
    needs: Vec<u64>,
    called_back: BTreeMap<String, u64>,
    came_out: Vec<u64>,
    fitted: Fitted,
    undo: BTreeMap<u64, Undo>,
}

fn name(place: &Where) -> Option<String> {
    match place {
        Where::House(drawer) => Some(drawer.to_string()),
        Where::Quarantine => Some(QUARANTINE.to_owned()),
        Where::Reprocess => Some(REPROCESS.to_owned()),
        _ => None,
    }
}

impl Shelf {
    fn put(&mut self, entry: u64, lot: &str, place: &str, pieces: i64) {
        let at = (lot.to_owned(), place.to_owned());
        *self.at.entry(at.clone()).or_default() += pieces;
        self.undo.entry(entry).or_default().moved.push((at, pieces));
    }

    fn held(&self, lot: &str, place: &str) -> i64 {
        self.at.get(&(lot.to_owned(), place.to_owned())).copied().unwrap_or(0)
    }

    /// A unit of the lot went to that case: of its holds the first is one less.
    fn use_up(&mut self, entry: u64, case: &str) {
        let own = |h: &&mut Held| h.case == case && (h.used.len() as u32) < h.quantity;
        if let Some(hold) = self.holds.iter_mut().find(own) {
            hold.used.push(entry);
        }
    }

    /// Does what the entry of that number did.
    pub fn apply(&mut self, n: u64, step: Step, entry: &Entry) -> Result<(), String> {
        self.undo.insert(n, Undo::default());
        match step {
            Step::Case => self.fitted = [Some(OLD_LOT.to_owned()), Some(ABUTMENT_LOT.to_owned()), None],
            Step::Receive(pieces, drawer) => self.put(n, LOT, DRAWERS[drawer], i64::from(pieces)),
            Step::Move(pieces, drawer) => {
                self.put(n, LOT, DRAWERS[drawer], -i64::from(pieces));
                self.put(n, LOT, DRAWERS[1 - drawer], i64::from(pieces));
            }
            Step::Use(drawer) => {
                self.put(n, LOT, DRAWERS[drawer], -1);
                self.use_up(n, CASE);
                let stood = self.fitted[0].replace(LOT.to_owned());
                self.undo.entry(n).or_default().stood = Some(stood);
            }
            Step::Visit(Visiting::Tray) => {
                let Entry::Tray(tray) = entry else { return Err(format!("entry {n} is no tray: {entry:?}")) };
                for line in &tray.lines {
                    self.put(n, line.lot.as_str(), line.place.as_str(), -1);
                    if line.lot.as_str() == LOT {
                        self.use_up(n, BRIDGE);
                    }
                }
            }
            Step::Counter(other) => self.take_back(other),
            Step::Record(Recording::Fit) => self.fitted[2] = Some(CYLINDER_LOT.to_owned()),
            Step::Stock(stocking) => self.stock(n, stocking, entry)?,
            _ => {}
        }
        Ok(())
    }

    fn stock(&mut self, n: u64, step: Stocking, entry: &Entry) -> Result<(), String> {
        let [first, second] = DRAWERS;
        match step {
            Stocking::Deliver(number) => {
                self.put(n, LOT, first, 2);
                self.put(n, &delivered(number), second, 3);
            }
            Stocking::Hold(quantity, case) => {
                self.holds.push(Held { entry: n, case, quantity, used: Vec::new() });
            }
            Stocking::Release(hold) => self.holds.retain(|h| h.entry != hold),
            Stocking::UseHeld => return self.apply(n, Step::Use(0), entry),
            Stocking::Discard => self.put(n, LOT, first, -1),
            Stocking::Return => {
                self.fitted[0] = None;
                self.came_out.push(n);
            }
            Stocking::GiveBack => {
                self.fitted[1] = None;
                self.put(n, ABUTMENT_LOT, REPROCESS, 1);
            }
            Stocking::Reprocess => {
                self.put(n, ABUTMENT_LOT, REPROCESS, -1);
                self.put(n, ABUTMENT_LOT, second, 1);
            }
            Stocking::Quarantine => {
                self.put(n, LOT, first, -2);
                self.put(n, LOT, QUARANTINE, 2);
            }
            Stocking::Lift => {
                self.put(n, LOT, QUARANTINE, -1);
                self.put(n, LOT, first, 1);
            }
            Stocking::Count => self.put(n, LOT, first, 4 - self.held(LOT, first)),
            Stocking::Withdraw | Stocking::WithdrawDelivered(_) => {
                let lot = step.withdrawn().unwrap_or_default();
                for drawer in DRAWERS {
                    let left = self.held(&lot, drawer);
                    self.put(n, &lot, drawer, -left);
                    self.put(n, &lot, QUARANTINE, left);
                }
                self.called_back.entry(lot).or_insert(n);
            }
            Stocking::Need => self.needs.push(n),
            Stocking::NeedOff(need) => self.needs.retain(|by| *by != need),
        }
        Ok(())
    }

    /// The entry of that number never happened.
    fn take_back(&mut self, entry: u64) {
        if let Some(Undo { moved, stood }) = self.undo.remove(&entry) {
            for (at, pieces) in moved {
                *self.at.entry(at).or_default() -= pieces;
            }
            self.fitted[0] = stood.unwrap_or(self.fitted[0].take());
        }
        self.holds.iter_mut().for_each(|h| h.used.retain(|by| *by != entry));
        self.called_back.retain(|_, by| *by != entry);
        self.came_out.retain(|by| *by != entry);
    }

    /// Holds the record against it: `Err` says what is not true.
    pub fn check(&self, desk: &mut Desk) -> Result<(), String> {
        let there =
            desk.ask(|view| stock(view).map_err(Refused::<NotFound>::from)).map_err(|e| e.to_string())?;
        let mut expected = self.at.clone();
        expected.retain(|_, n| *n != 0);
        let below = expected.iter().find(|(_, n)| **n < 0);
        if there != expected || below.is_some() {
            return Err(format!("under this roof lies {there:?}, the entries make it {expected:?}"));
        }
        let asked = desk.ask(|view| {
            let held = holds::standing(view, today().date)?.into_iter();
            let mut held: Vec<_> =
                held.map(|s| (s.hold.entry, s.hold.case.to_string(), s.hold.left())).collect();
            held.sort();
            let claims = view.claims_of(&code())?.into_iter().filter_map(|claim| match claim {
                Claim::CalledBack { entry, lot, .. } => Some((lot.to_string(), entry)),
                _ => None,
            });
            let case = CaseNumber::new(CASE).expect("a case number");
            let out: Vec<u64> = view.pieces(&case)?.into_iter().map(|p| p.entry).collect();
            let fitted = view.assembly(&case, Tooth::from_iso(25).expect("a tooth"))?;
            let lot = |position| {
                fitted
                    .iter()
                    .find(|f| f.position == position)
                    .and_then(|f| f.lot.clone())
                    .map(|l| l.to_string())
            };
            let fitted = [Position::ProstheticScrew, Position::Abutment, Position::Cylinder].map(lot);
            Ok::<_, Refused<NotFound>>((held, claims.collect::<BTreeMap<_, _>>(), out, fitted))
        });
        let needs =
            desk.ask(|view| planning::planned(view, None, today().date).map_err(Refused::<NotFound>::from));
        let needs = needs.map_err(|e| e.to_string())?.into_iter().map(|p| p.need.entry).collect::<Vec<_>>();
        let left = |h: &Held| h.quantity - h.used.len() as u32;
        let standing = self.holds.iter().filter(|h| left(h) > 0);
        let held: Vec<_> = standing.map(|h| (h.entry, h.case.to_owned(), left(h))).collect();
        let expected = (held, self.called_back.clone(), self.came_out.clone(), self.fitted.clone());
        let found = asked.map_err(|e| e.to_string())?;
        if (&found, &needs) == (&expected, &self.needs) {
            return Ok(());
        }
        Err(format!(
            "held, called back, came out, fitted; planned: {found:?} {needs:?}, the entries make it {expected:?} {:?}",
            self.needs
        ))
    }
}

/// What lies under this roof, by lot and place; that all places of a lot together are zero is a part of it.
fn stock(view: &View) -> Result<BTreeMap<At, i64>, ViewError> {
    let mut there: BTreeMap<At, i64> = BTreeMap::new();
    for part in [code(), PartCode::new(ABUTMENT).expect("a code")] {
        for line in view.stock_of(&part)? {
            let lot = line.lot.to_string();
            *there.entry((lot.clone(), "all places together".to_owned())).or_default() += line.quantity;
            if let Some(place) = name(&line.place) {
                *there.entry((lot, place)).or_default() += line.quantity;
            }
        }
    }
    there.retain(|_, n| *n != 0);
    Ok(there)
}
