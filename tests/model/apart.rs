//! Stock that is thrown away, kept apart, called back, comes back from a patient, is reprocessed: what the plain model
//! says of it, and the real thing asked; and every unit of a lot found again.

use spareseat::catalog::Position;
use spareseat::record::Became;
use spareseat::shelf::apart::{self, Source, Units};
use spareseat::shelf::returning::{self, Return, To};
use spareseat::stock::Where;
use spareseat::tracing::{trace, withdrawing};
use spareseat::units::{CaseNumber, Lot, Note, PartCode, PlaceId};

use super::Dice;
use super::acts::{Asked, CASES, SITES, any_part, part_of, something_in_the_house};
use super::bench::Bench;
use super::plain::{CASES as MOUTHS, KEPT, PartLot, Place, Plain, QUARANTINE, REPROCESS, WASTE};

/// The only part of the tiny catalogue that may be used again and stands in a patient; see `bench`.
const REUSABLE: &str = "heron-mua-17";
const LEAST: u64 = 1;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum From {
    Drawer(Option<Place>),
    Quarantine,
    Reprocess,
}

#[derive(Debug)]
pub enum ApartAct {
    Discard { lot: PartLot, quantity: i64, from: From },
    Quarantine { lot: PartLot, quantity: Option<i64>, place: Option<Place> },
    Lift { lot: PartLot, quantity: i64, place: Place },
    Reprocess { lot: PartLot, quantity: i64, place: Place },
    Withdraw { lot: PartLot },
    Return { case: &'static str, site: u8, position: &'static str, to: Back },
}

#[derive(Debug, Clone, Copy)]
pub enum Back {
    Reprocess,
    Gone(bool),
    Drawer(Place),
}

impl ApartAct {
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Discard { .. } => "discard",
            Self::Quarantine { .. } => "quarantine",
            Self::Lift { .. } => "quarantine lifted",
            Self::Reprocess { .. } => "reprocess",
            Self::Withdraw { .. } => "withdraw",
            Self::Return { .. } => "return",
        }
    }

    pub fn random(dice: &mut Dice, plain: &Plain) -> Self {
        let (part, name, place) = something_in_the_house(dice, plain);
        let quantity = 1 + dice.below(2) as i64;
        // Mostly something that is there.
        let kept = |dice: &mut Dice, at: Place| {
            let there: Vec<PartLot> = plain
                .balance
                .iter()
                .filter(|((_, p), n)| *p == at && **n > 0)
                .map(|((l, _), _)| *l)
                .collect();
            if there.is_empty() || dice.chance(10) { (part, name) } else { dice.pick(&there) }
        };
        let drawer = |dice: &mut Dice| dice.chance(60).then_some(place);
        // Seldom anything comes back that may be used again.
        let waits = plain.balance.iter().any(|((_, p), n)| *p == REPROCESS && *n > 0);
        if waits && dice.chance(40) {
            return Self::Reprocess { lot: kept(dice, REPROCESS), quantity: 1, place };
        }
        match dice.below(100) {
            0..=14 => Self::Discard { lot: (part, name), quantity, from: From::Drawer(drawer(dice)) },
            15..=21 => Self::Discard { lot: kept(dice, QUARANTINE), quantity, from: From::Quarantine },
            22..=28 => Self::Discard { lot: kept(dice, REPROCESS), quantity, from: From::Reprocess },
            29..=45 => {
                let quantity = dice.chance(60).then_some(quantity);
                Self::Quarantine { lot: (part, name), quantity, place: drawer(dice) }
            }
            46..=58 => Self::Lift { lot: kept(dice, QUARANTINE), quantity: 1, place },
            59..=68 => Self::Reprocess { lot: kept(dice, REPROCESS), quantity: 1, place },
            // Few: a lot that was called back is of no more use to anybody.
            69..=72 if dice.chance(50) => Self::Withdraw { lot: (any_part(dice), "NEVER-SEEN") },
            69..=72 => Self::Withdraw { lot: (part, name) },
            _ => {
                let to = match dice.below(10) {
                    0..=4 => Back::Reprocess,
                    5..=7 => Back::Gone(dice.chance(50)),
                    _ => Back::Drawer(place),
                };
                // What an empty position of a bridge does to the next tray is not modelled: tests/cli/empty_positions.rs.
                let in_bridge =
                    |case: &str, site: u8| plain.cases.get(case).is_some_and(|c| c.bridge.contains(&site));
                let angled: Vec<(&'static str, u8)> = plain
                    .cases
                    .iter()
                    .flat_map(|(number, case)| case.sites.iter().map(move |(site, at)| (*number, *site, at)))
                    .filter(|(.., at)| {
                        at.get("abutment").is_some_and(|s| s.part == REUSABLE && s.lot.is_some())
                    })
                    .map(|(number, site, _)| (number, site))
                    .filter(|(number, site)| !in_bridge(number, *site))
                    .collect();
                if !angled.is_empty() && dice.chance(80) {
                    let (case, site) = dice.pick(&angled);
                    return Self::Return { case, site, position: "abutment", to };
                }
                let position = dice.pick(&["abutment", "prosthetic-screw", "implant"]);
                let (case, site) = (dice.pick(&CASES), dice.pick(&SITES));
                if in_bridge(case, site) {
                    // Mostly nothing of it is in quarantine.
                    return Self::Lift { lot: (part, name), quantity: 1, place };
                }
                Self::Return { case, site, position, to }
            }
        }
    }
}

impl Plain {
    fn taken_from(&self, lot: PartLot, from: From, quantity: i64) -> Option<Place> {
        match from {
            From::Drawer(place) => self.take(lot, place, quantity),
            From::Quarantine => (self.at(lot, QUARANTINE) >= quantity).then_some(QUARANTINE),
            From::Reprocess => (self.at(lot, REPROCESS) >= quantity).then_some(REPROCESS),
        }
    }

    /// In the catalogue, or in stock some time.
    fn is_named(&self, part: &str) -> bool {
        part_of(part).is_some() || self.balance.keys().any(|((p, _), _)| *p == part)
    }

    pub fn is_called_back(&self, lot: PartLot) -> bool {
        self.called_back.iter().any(|(_, called)| *called == lot)
    }

    pub fn apart(&mut self, act: &ApartAct) -> bool {
        let entry = self.entries() + LEAST;
        let lot = match act {
            ApartAct::Discard { lot, .. }
            | ApartAct::Quarantine { lot, .. }
            | ApartAct::Lift { lot, .. }
            | ApartAct::Reprocess { lot, .. }
            | ApartAct::Withdraw { lot } => *lot,
            ApartAct::Return { case, site, position, to } => return self.give_up(case, *site, position, *to),
        };
        if !self.is_named(lot.0) {
            return false;
        }
        match act {
            ApartAct::Discard { quantity, from, .. } => {
                if matches!(from, From::Drawer(Some(place)) if !self.drawers.contains(place)) {
                    return false;
                }
                let Some(from) = self.taken_from(lot, *from, *quantity) else { return false };
                self.go(lot, from, WASTE, *quantity);
                true
            }
            ApartAct::Quarantine { quantity, place, .. } => {
                if !place.iter().all(|p| self.drawers.contains(p)) {
                    return false;
                }
                let from: Vec<(Place, i64)> = match quantity {
                    Some(n) => self.take(lot, *place, *n).map(|from| (from, *n)).into_iter().collect(),
                    None => {
                        let all = self.drawers.iter().filter(|d| place.is_none_or(|p| p == **d));
                        all.map(|d| (*d, self.at(lot, d))).filter(|(_, n)| *n > 0).collect()
                    }
                };
                for (from, n) in &from {
                    self.go(lot, from, QUARANTINE, *n);
                }
                !from.is_empty()
            }
            ApartAct::Lift { quantity, place, .. } | ApartAct::Reprocess { quantity, place, .. } => {
                let from = if matches!(act, ApartAct::Lift { .. }) { QUARANTINE } else { REPROCESS };
                let may = self.drawers.contains(place)
                    && !self.is_called_back(lot)
                    && self.at(lot, from) >= *quantity;
                if may {
                    self.go(lot, from, place, *quantity);
                }
                may
            }
            _ => {
                let seen =
                    self.balance.keys().any(|(l, _)| *l == lot) || self.stands_in(lot).next().is_some();
                let left = self.drawers.iter().copied().chain([REPROCESS]);
                let left: Vec<(Place, i64)> =
                    left.map(|d| (d, self.at(lot, d))).filter(|(_, n)| *n > 0).collect();
                if !seen || (self.is_called_back(lot) && left.is_empty()) {
                    return false;
                }
                self.nothing_left = left.is_empty();
                for (from, n) in left {
                    self.go(lot, from, QUARANTINE, n);
                }
                if !self.is_called_back(lot) {
                    self.called_back.push((entry, lot));
                }
                true
            }
        }
    }

    /// Where a lot stands in patients.
    fn stands_in(&self, lot: PartLot) -> impl Iterator<Item = (&'static str, u8, &'static str)> + '_ {
        self.cases.iter().flat_map(move |(number, case)| {
            let at = case.sites.iter().flat_map(|(site, at)| at.iter().map(move |(p, s)| (*site, *p, s)));
            at.filter(move |(.., s)| (s.part, s.lot) == (lot.0, Some(lot.1)))
                .map(|(site, position, _)| (*number, site, position))
        })
    }

    fn give_up(&mut self, case: &'static str, site: u8, position: &'static str, to: Back) -> bool {
        let entry = self.entries() + LEAST;
        let Some(standing) =
            self.cases.get(case).and_then(|c| c.sites.get(&site)).and_then(|s| s.get(position)).cloned()
        else {
            return false;
        };
        let to = match to {
            Back::Gone(kept) => {
                if kept {
                    KEPT
                } else {
                    WASTE
                }
            }
            Back::Reprocess if standing.part == REUSABLE && standing.lot.is_some() => REPROCESS,
            Back::Drawer(place) if self.drawers.contains(place) && standing.lot.is_some() => place,
            _ => return false,
        };
        if let Some(lot) = standing.lot {
            self.go((standing.part, lot), MOUTHS, to, 1);
        }
        let case_now = self.cases.get_mut(case).unwrap();
        case_now.sites.get_mut(&site).unwrap().remove(position);
        case_now.events += 1;
        if [KEPT, WASTE].contains(&to) {
            case_now.pieces.push(entry);
        }
        self.touched.push((case, site, position, Some(standing)));
        true
    }
}

impl Bench {
    pub fn apart(&mut self, id: u128, act: &ApartAct) -> Asked {
        let code = |lot: PartLot| PartCode::new(lot.0).unwrap();
        let name = |lot: PartLot| Lot::new(lot.1).unwrap();
        let units = |lot, quantity: i64| Units { part: code(lot), lot: name(lot), quantity: quantity as u32 };
        let drawer = |place: Place| PlaceId::new(place).unwrap();
        let because = Note::new("as the model says").unwrap();
        match act {
            ApartAct::Discard { lot, quantity, from } => {
                let from = match from {
                    From::Drawer(place) => Source::Drawer(place.map(drawer)),
                    From::Quarantine => Source::Quarantine,
                    From::Reprocess => Source::Reprocess,
                };
                let units = units(*lot, *quantity);
                self.book(id, |view| apart::discard(view, &units, &from, &because))
            }
            ApartAct::Quarantine { lot, quantity, place } => {
                let (part, lot, place) = (code(*lot), name(*lot), place.map(drawer));
                let quantity = quantity.map(|n| n as u32);
                self.book(id, |view| apart::quarantine(view, &part, &lot, quantity, place.as_ref(), &because))
            }
            ApartAct::Lift { lot, quantity, place } => {
                let (units, place) = (units(*lot, *quantity), drawer(place));
                self.book(id, |view| apart::lift(view, &units, &place, false, &because))
            }
            ApartAct::Reprocess { lot, quantity, place } => {
                let (units, place) = (units(*lot, *quantity), drawer(place));
                self.book(id, |view| apart::reprocess(view, &units, &place, false))
            }
            ApartAct::Withdraw { lot } => {
                let (part, lot) = (code(*lot), name(*lot));
                self.book(id, |view| withdrawing::decide(view, &lot, Some(&part), None))
            }
            ApartAct::Return { case, site, position, to } => {
                let to = match to {
                    Back::Reprocess => To::Reprocess,
                    Back::Gone(true) => To::Gone(Became::Kept),
                    Back::Gone(false) => To::Gone(Became::Discarded),
                    Back::Drawer(place) => To::Drawer { place: drawer(place), new_place: false },
                };
                let ask = Return {
                    case: CaseNumber::new(case).unwrap(),
                    site: site.to_string(),
                    position: Position::from_slug(position).unwrap(),
                    to,
                    because,
                };
                self.book(id, |view| returning::decide(view, &ask))
            }
        }
    }
}

/// A trace of every lot finds every unit: at the end of a play.
pub fn traced(bench: &mut Bench, plain: &Plain, told: &str) {
    let mut lots: Vec<PartLot> = plain.balance.keys().map(|(lot, _)| *lot).collect();
    lots.dedup();
    for lot in lots {
        trace(bench, plain, lot, told);
    }
}

/// A lot that was just called back: not a unit of it is left where it could be picked, and a trace finds every one.
pub fn withdrawn(bench: &mut Bench, plain: &Plain, lot: PartLot, told: &str) {
    let (part, name) = (PartCode::new(lot.0).unwrap(), Lot::new(lot.1).unwrap());
    let lines = bench.desk().view().stock_of(&part).unwrap().into_iter();
    let left: Vec<_> = lines
        .filter(|l| l.lot == name && l.quantity != 0)
        .filter(|l| l.place.is_under_roof() && l.place != Where::Quarantine)
        .collect();
    assert_eq!(left, [], "{told}: left of {lot:?}");
    trace(bench, plain, lot, told);
}

/// A trace of a lot: by place and in every mouth, with who put it there.
fn trace(bench: &mut Bench, plain: &Plain, lot: PartLot, told: &str) {
    let (view, logbook) = bench.desk().view_and_logbook();
    let (name, part) = (Lot::new(lot.1).unwrap(), PartCode::new(lot.0).unwrap());
    let all = trace::lot(view, logbook, &name, Some(&part)).unwrap();
    let [found] = &all.lots[..] else { panic!("{told}: {lot:?}: {all:?}") };
    let mut places: Vec<(String, i64)> =
        found.places.iter().map(|(place, n)| (super::check::name(place), *n)).collect();
    let of_lot = plain.balance.iter().filter(|((l, _), n)| *l == lot && **n != 0);
    let mut expected: Vec<(String, i64)> = of_lot.map(|((_, p), n)| ((*p).to_owned(), *n)).collect();
    places.sort();
    expected.sort();
    assert_eq!(places, expected, "{told}: where {lot:?} is");
    let mut mouths: Vec<(String, u8, String)> = found
        .in_mouths
        .iter()
        .map(|u| (u.case.to_string(), u.site.iso(), u.position.slug().to_owned()))
        .collect();
    let mut expected: Vec<(String, u8, String)> =
        plain.stands_in(lot).map(|(c, s, p)| (c.to_owned(), s, p.to_owned())).collect();
    mouths.sort();
    expected.sort();
    assert_eq!(mouths, expected, "{told}: in whom {lot:?} is");
    assert!(found.in_mouths.iter().all(|u| u.booked.is_some()), "{told}: who put {lot:?} there: {found:?}");
    assert_eq!(found.called_back.is_some(), plain.is_called_back(lot), "{told}: {lot:?} called back");
    // Every movement that is told adds up to where the units are.
    let mut sums: std::collections::BTreeMap<String, i64> = std::collections::BTreeMap::new();
    for step in &found.steps {
        *sums.entry(super::check::name(&step.from)).or_default() -= i64::from(step.quantity);
        *sums.entry(super::check::name(&step.to)).or_default() += i64::from(step.quantity);
    }
    sums.retain(|_, n| *n != 0);
    assert_eq!(sums.into_iter().collect::<Vec<_>>(), places, "{told}: the steps of {lot:?} add up");
}
