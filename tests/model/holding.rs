//! Holds: set aside, used up by their own case, let go of; what the plain model says of them, and the real thing asked.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use jiff::ToSpan as _;
use jiff::civil::Date;
use spareseat::lots::holds;
use spareseat::record::View;
use spareseat::shelf::holding;
use spareseat::stock::{Pick, StockLine, Where, pick};
use spareseat::units::{CaseNumber, Expiry, Lot, PartCode, PlaceId};

use super::Dice;
use super::acts::{Asked, CASES, something_in_the_house};
use super::bench::Bench;
use super::plain::{PartLot, Place, Plain};

/// Units of a lot set aside for a case.
#[derive(Debug, Clone)]
pub struct Hold {
    pub entry: u64,
    case: &'static str,
    lot: PartLot,
    quantity: i64,
    until: Date,
    used: Vec<u64>,
}

impl Hold {
    fn left(&self) -> i64 {
        self.quantity - self.used.len() as i64
    }
}

/// Units of a lot in a drawer that may be taken, and how many of them are set aside for whoever takes.
pub struct Free {
    pub lot: &'static str,
    pub place: Place,
    pub units: i64,
    pub own: i64,
}

#[derive(Debug)]
pub enum HoldAct {
    Hold {
        case: &'static str,
        part: &'static str,
        lot: Option<&'static str>,
        quantity: i64,
        until: i64,
        place: Option<Place>,
    },
    Release {
        hold: u64,
    },
}

impl HoldAct {
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Hold { .. } => "hold",
            Self::Release { .. } => "release",
        }
    }

    pub fn random(dice: &mut Dice, plain: &Plain) -> Self {
        if dice.chance(35) {
            let all: Vec<u64> = plain.holds.iter().map(|h| h.entry).collect();
            let any = dice.below(20) as u64;
            return Self::Release {
                hold: if all.is_empty() || dice.chance(15) { any } else { dice.pick(&all) },
            };
        }
        let (part, lot, place) = something_in_the_house(dice, plain);
        // Now and then all there is of a lot.
        let there = plain.in_drawers((part, lot));
        if dice.chance(25) && there > 0 {
            let (case, lot, until) = (dice.pick(&CASES), Some(lot), 5 + dice.below(20) as i64);
            return Self::Hold { case, part, lot, quantity: there, until, place: None };
        }
        Self::Hold {
            case: dice.pick(&CASES),
            part,
            lot: dice.chance(40).then_some(lot),
            quantity: 1 + dice.below(3) as i64,
            until: dice.below(40) as i64 - 1,
            place: dice.chance(20).then_some(place),
        }
    }
}

impl Plain {
    pub fn in_drawers(&self, lot: PartLot) -> i64 {
        self.drawers.iter().map(|d| self.at(lot, d)).sum()
    }

    /// The holds that stand, in the order they were booked, each with how many units there are for it.
    fn served(&self) -> Vec<(&Hold, i64)> {
        let mut given: BTreeMap<PartLot, i64> = BTreeMap::new();
        let standing = self.holds.iter().filter(|h| h.until >= self.today && h.left() > 0);
        let serve = |h| {
            let h: &Hold = h;
            let so_far = given.entry(h.lot).or_default();
            let there = if self.is_called_back(h.lot) { 0 } else { self.in_drawers(h.lot) };
            let units = (there - *so_far).min(h.left());
            *so_far += units;
            (h, units)
        };
        standing.map(serve).collect()
    }

    /// How many units of a lot are set aside for others than that case.
    pub fn for_others(&self, lot: PartLot, case: &str) -> i64 {
        self.served().iter().filter(|(h, _)| h.lot == lot && h.case != case).map(|(_, n)| n).sum()
    }

    /// The lots of which every unit in the drawers is set aside for others than that case.
    pub fn all_held(&self, case: &str) -> Vec<PartLot> {
        let mut lots: Vec<PartLot> = self.holds.iter().map(|h| h.lot).collect();
        lots.retain(|lot| self.in_drawers(*lot) > 0 && self.in_drawers(*lot) == self.for_others(*lot, case));
        lots
    }

    /// What may be taken of a part for that case, what some have taken already left out.
    pub fn free(
        &self,
        part: &'static str,
        case: Option<&str>,
        taken: &BTreeMap<(&'static str, Place), i64>,
    ) -> Vec<Free> {
        let mut out: Vec<Free> = Vec::new();
        for ((lot, place), n) in &self.balance {
            if lot.0 == part && self.drawers.contains(place) && *n > 0 && !self.is_called_back(*lot) {
                out.push(Free { lot: lot.1, place, units: *n, own: 0 });
            }
        }
        // The fullest first; what others hold stays in the emptiest.
        out.sort_by_key(|f| (Reverse(f.units), f.place));
        for (hold, mut units) in self.served().into_iter().filter(|(h, _)| h.lot.0 == part) {
            let own = Some(hold.case) == case;
            let of_lot = out.iter_mut().filter(|f| f.lot == hold.lot.1);
            let way: Vec<&mut Free> = if own { of_lot.collect() } else { of_lot.rev().collect() };
            for f in way {
                let some = units.min(if own { f.units - f.own } else { f.units });
                units -= some;
                if own { f.own += some } else { f.units -= some }
            }
        }
        for f in &mut out {
            f.units -= taken.get(&(f.lot, f.place)).copied().unwrap_or(0);
            f.own = f.own.min(f.units);
        }
        out.retain(|f| f.units > 0);
        out
    }

    /// What is taken of them, as lot, drawer, units. Which lots that is has a brute force of its own beside `stock::pick`,
    /// so its word is taken here; what is free, held, expired or called back is the model's.
    pub fn pick(&self, part: &'static str, free: &[Free], wanted: i64) -> Vec<(&'static str, Place, i64)> {
        let line = |f: &Free| StockLine {
            lot: Lot::new(f.lot).unwrap(),
            expiry: self
                .expiry
                .get(&(part, f.lot))
                .map_or(Expiry::NotRecorded, |e| Expiry::parse(e).unwrap()),
            place: Where::House(PlaceId::new(f.place).unwrap()),
            quantity: f.units,
            own: f.own,
            edition: 0,
        };
        let usable = free.iter().filter(|f| !self.is_over((part, f.lot)));
        let lines: Vec<StockLine> = usable.map(line).collect();
        let found = |p: Pick| {
            let from = free.iter().find(|f| f.lot == p.lot.as_str() && f.place == p.place.as_str()).unwrap();
            (from.lot, from.place, i64::from(p.take))
        };
        pick(&lines, u32::try_from(wanted).unwrap(), self.today).into_iter().map(found).collect()
    }

    /// Of a lot that went to a case the hold that lapses first is one less.
    pub fn use_up(&mut self, case: &str, lot: PartLot) {
        let (entry, today) = (self.entries() + 1, self.today);
        let own = |h: &&mut Hold| h.case == case && h.lot == lot && h.until >= today && h.left() > 0;
        if let Some(hold) = self.holds.iter_mut().filter(own).min_by_key(|h| (h.until, h.entry)) {
            hold.used.push(entry);
        }
    }

    pub fn give_back(&mut self, entry: u64) {
        self.holds.iter_mut().for_each(|h| h.used.retain(|by| *by != entry));
    }

    pub fn hold(&mut self, act: &HoldAct) -> bool {
        match act {
            HoldAct::Release { hold } => {
                let known = self.holds.iter().any(|h| h.entry == *hold && h.left() > 0);
                if known {
                    self.holds.retain(|h| h.entry != *hold);
                }
                known
            }
            HoldAct::Hold { case, part, lot, quantity, until, place } => {
                self.set_aside(case, part, *lot, *quantity, *until, *place)
            }
        }
    }

    fn set_aside(
        &mut self,
        case: &'static str,
        part: &'static str,
        lot: Option<&'static str>,
        quantity: i64,
        days: i64,
        place: Option<Place>,
    ) -> bool {
        let until = self.today.checked_add(days.days()).unwrap();
        let known = self.cases.contains_key(case) && super::acts::part_of(part).is_some();
        if !known || until < self.today || !place.iter().all(|p| self.drawers.contains(p)) {
            return false;
        }
        let over = |lot: &str| self.is_over_on((part, lot), until);
        let mut free = self.free(part, None, &BTreeMap::new());
        free.retain(|f| !over(f.lot) && lot.is_none_or(|l| l == f.lot) && place.is_none_or(|p| p == f.place));
        let picked = self.pick(part, &free, quantity);
        if picked.iter().map(|(.., n)| n).sum::<i64>() < quantity {
            return false;
        }
        let (entry, today) = (self.entries() + 1, self.today);
        self.holds.retain(|h| h.lot.0 != part || h.until >= today);
        let mut lots: Vec<(&'static str, i64)> = Vec::new();
        for (lot, _, n) in picked {
            match lots.iter_mut().find(|(l, _)| *l == lot) {
                Some((_, sum)) => *sum += n,
                None => lots.push((lot, n)),
            }
        }
        self.holds.extend(lots.into_iter().map(|(lot, quantity)| Hold {
            entry,
            case,
            lot: (part, lot),
            quantity,
            until,
            used: Vec::new(),
        }));
        true
    }
}

impl Bench {
    pub fn hold(&mut self, id: u128, act: &HoldAct, plain: &Plain) -> Asked {
        let today = plain.today;
        match act {
            HoldAct::Release { hold } => self.book(id, |view| holding::release(view, &[*hold], None)),
            HoldAct::Hold { case, part, lot, quantity, until, place } => {
                let ask = holding::SetItAside {
                    case: CaseNumber::new(case).unwrap(),
                    part: PartCode::new(part).unwrap(),
                    lot: lot.map(|l| Lot::new(l).unwrap()),
                    quantity: *quantity as u32,
                    until: today.checked_add(until.days()).unwrap(),
                    place: place.map(|p| PlaceId::new(p).unwrap()),
                    because: None,
                };
                self.book(id, |view| holding::set_aside(view, &ask, today))
            }
        }
    }
}

/// A hold that was just booked: the drawers hold what it is on, beside what was set aside before it.
pub fn covered(view: &View, plain: &Plain, told: &str) {
    let all = holds::standing(view, plain.today).unwrap();
    let mut own = all.iter().filter(|s| s.hold.entry == plain.entries()).peekable();
    assert!(own.peek().is_some(), "{told}: the hold does not stand");
    for new in own {
        assert!(!new.is_short(), "{told}: set aside and not there: {new:?}");
        let of_lot = all.iter().filter(|s| s.part == new.part && s.hold.lot == new.hold.lot);
        let aside: i64 = of_lot.map(|s| i64::from(s.covered)).sum();
        let lines = view.stock_of(&new.part).unwrap().into_iter();
        let there = lines.filter(|l| l.lot == new.hold.lot && l.place.house().is_some());
        let there: i64 = there.map(|l| l.quantity).sum();
        assert!(aside <= there, "{told}: {aside} set aside of {there}: {new:?}");
    }
}

/// Every hold that stands, and whether it is short, as the model has them; gives how many are short.
pub fn check(view: &View, plain: &Plain, told: &str) -> usize {
    let all = holds::standing(view, plain.today).unwrap().into_iter();
    let mut held: Vec<_> = all
        .map(|s| {
            let h = &s.hold;
            let lot = (s.part.to_string(), h.lot.to_string());
            (h.entry, h.case.to_string(), lot, i64::from(h.left()), i64::from(s.covered), s.is_short())
        })
        .collect();
    let mut expected: Vec<_> = plain
        .served()
        .into_iter()
        .map(|(h, n)| {
            let lot = (h.lot.0.to_owned(), h.lot.1.to_owned());
            (h.entry, h.case.to_owned(), lot, h.left(), n, n < h.left())
        })
        .collect();
    held.sort();
    expected.sort();
    assert_eq!(held, expected, "{told}: holds");
    held.iter().filter(|(.., short)| *short).count()
}
