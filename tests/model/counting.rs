//! Counts and planned work: what the plain model says of them, and the real thing asked.

use jiff::ToSpan as _;
use jiff::civil::Date;
use spareseat::record::{Needed, View};
use spareseat::shelf::counting::{self, Count, Found};
use spareseat::shelf::planning;
use spareseat::units::{CaseNumber, Lot, Note, PartCode, PlaceId};

use super::Dice;
use super::acts::{Asked, CASES, LOTS, any_part, part_of, something_in_the_house};
use super::bench::Bench;
use super::plain::{CORRECTION, PartLot, Place, Plain};

/// Planned work.
#[derive(Debug, Clone)]
pub struct Need {
    entry: u64,
    case: &'static str,
    part: &'static str,
    quantity: u32,
    on: Date,
}

#[derive(Debug)]
pub enum CountAct {
    Count { place: Place, found: Vec<(&'static str, Option<&'static str>, u32)>, all: bool },
    Need { case: &'static str, part: &'static str, quantity: u32, days: i64 },
    Off { case: &'static str, need: u64 },
}

impl CountAct {
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Count { .. } => "count",
            Self::Need { .. } => "need",
            Self::Off { .. } => "need called off",
        }
    }

    pub fn random(dice: &mut Dice, plain: &Plain) -> Self {
        match dice.below(10) {
            0..=4 => {
                let (part, lot, place) = something_in_the_house(dice, plain);
                let mut found = vec![(part, dice.chance(60).then_some(lot), dice.below(4) as u32)];
                if dice.chance(40) {
                    let lot = dice.chance(80).then(|| dice.pick(&LOTS));
                    found.push((any_part(dice), lot, dice.below(3) as u32));
                }
                Self::Count { place, found, all: dice.chance(8) }
            }
            5..=7 => Self::Need {
                case: dice.pick(&CASES),
                part: any_part(dice),
                quantity: 1 + dice.below(4) as u32,
                days: dice.below(20) as i64 - 3,
            },
            _ => {
                let planned = !plain.needs.is_empty() && !dice.chance(20);
                let known = planned.then(|| plain.needs[dice.below(plain.needs.len())].clone());
                known.map_or(Self::Off { case: dice.pick(&CASES), need: 3 }, |n| Self::Off {
                    case: n.case,
                    need: n.entry,
                })
            }
        }
    }
}

impl Plain {
    pub fn count(&mut self, act: &CountAct) -> bool {
        let entry = self.entries() + 1;
        match act {
            CountAct::Need { case, part, quantity, days } => {
                let on = self.today.checked_add(days.days()).unwrap();
                let may = self.cases.contains_key(case) && part_of(part).is_some() && on >= self.today;
                if may {
                    let today = self.today;
                    self.needs.retain(|n| n.part != *part || n.on >= today);
                    self.needs.push(Need { entry, case, part, quantity: *quantity, on });
                }
                may
            }
            CountAct::Off { case, need } => {
                let before = self.needs.len();
                if self.cases.contains_key(case) {
                    self.needs.retain(|n| n.entry != *need || n.case != *case);
                }
                self.needs.len() < before
            }
            CountAct::Count { place, found, all } => self.counted(place, found, *all),
        }
    }

    fn counted(
        &mut self,
        place: Place,
        found: &[(&'static str, Option<&'static str>, u32)],
        all: bool,
    ) -> bool {
        if !self.drawers.contains(place) {
            return false;
        }
        let here: Vec<(PartLot, i64)> = self
            .balance
            .iter()
            .filter(|((_, at), n)| *at == place && **n > 0)
            .map(|((lot, _), n)| (*lot, *n))
            .collect();
        let mut counts: Vec<(PartLot, i64)> = Vec::new();
        for (part, lot, n) in found {
            let of_part: Vec<&str> =
                here.iter().filter(|((p, _), _)| p == part).map(|((_, l), _)| *l).collect();
            let lot = match (lot, &of_part[..]) {
                (Some(lot), _) => *lot,
                (None, [only]) => only,
                (None, []) if *n == 0 && part_of(part).is_some() => continue,
                _ => return false,
            };
            if part_of(part).is_none() || counts.iter().any(|(l, _)| *l == (*part, lot)) {
                return false;
            }
            counts.push(((*part, lot), i64::from(*n)));
        }
        if all {
            for (lot, _) in &here {
                if !counts.iter().any(|(l, _)| l == lot) {
                    counts.push((*lot, 0));
                }
            }
        }
        for (lot, n) in counts {
            let more = n - self.at(lot, place);
            match more {
                0 => {}
                1.. => self.go(lot, CORRECTION, place, more),
                _ => self.go(lot, place, CORRECTION, -more),
            }
        }
        true
    }
}

impl Bench {
    pub fn count(&mut self, id: u128, act: &CountAct, plain: &Plain) -> Asked {
        match act {
            CountAct::Count { place, found, all } => {
                let found = found.iter().map(|(part, lot, counted)| Found {
                    part: PartCode::new(part).unwrap(),
                    lot: lot.map(|l| Lot::new(l).unwrap()),
                    counted: *counted,
                });
                let ask = Count { place: PlaceId::new(place).unwrap(), found: found.collect(), all: *all };
                let because = Note::new("as counted").unwrap();
                self.book(id, |view| counting::decide(view, &ask, &because))
            }
            CountAct::Need { case, part, quantity, days } => {
                let needed = Needed {
                    case: CaseNumber::new(case).unwrap(),
                    on: plain.today.checked_add(days.days()).unwrap(),
                    part: PartCode::new(part).unwrap(),
                    quantity: *quantity,
                    because: None,
                };
                self.book(id, |view| planning::plan(view, &needed, plain.today))
            }
            CountAct::Off { case, need } => {
                let case = CaseNumber::new(case).unwrap();
                self.book(id, |view| planning::call_off(view, &case, *need, None))
            }
        }
    }
}

/// The work that is planned from today on is what the model has.
pub fn check(view: &View, plain: &Plain, told: &str) {
    let all = planning::planned(view, None, plain.today).unwrap().into_iter();
    let mut planned: Vec<_> = all
        .map(|p| (p.need.entry, p.need.case.to_string(), p.part.to_string(), p.need.quantity, p.need.on))
        .collect();
    let mut expected: Vec<_> = plain
        .needs
        .iter()
        .filter(|n| n.on >= plain.today)
        .map(|n| (n.entry, n.case.to_owned(), n.part.to_owned(), n.quantity, n.on))
        .collect();
    planned.sort();
    expected.sort();
    assert_eq!(planned, expected, "{told}: planned work");
}
