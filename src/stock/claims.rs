//! What is set aside of a part: holds of cases on lots, and what that leaves for others.
//!
//! A hold is on units of a lot, wherever these lie: moving them changes nothing. The holds that stand are served in the
//! order in which they were booked; what a fact has taken away since is missing from the last ones, which are short.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::StockLine;
use crate::units::{CaseNumber, Lot, Note};

/// Something that stands against the stock of a part.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub enum Claim {
    /// Units of a lot are set aside for a case.
    Held(Hold),
    /// The maker called the lot back: no unit of it is picked any more.
    CalledBack {
        /// The entry that says so first.
        entry: u64,
        /// When.
        on: Date,
        /// Which lot.
        lot: Lot,
    },
    /// A case needs units on a day.
    Needed(Need),
}

impl Claim {
    /// The hold, if it is one.
    pub fn hold(&self) -> Option<&Hold> {
        match self {
            Self::Held(hold) => Some(hold),
            Self::CalledBack { .. } | Self::Needed(_) => None,
        }
    }

    /// The need, if it is one.
    pub fn need(&self) -> Option<&Need> {
        match self {
            Self::Needed(need) => Some(need),
            _ => None,
        }
    }

    /// Whether that lot was called back by its maker.
    pub fn calls_back(&self, which: &Lot) -> bool {
        matches!(self, Self::CalledBack { lot, .. } if lot == which)
    }

    /// The same, to be changed.
    pub fn hold_mut(&mut self) -> Option<&mut Hold> {
        match self {
            Self::Held(hold) => Some(hold),
            Self::CalledBack { .. } | Self::Needed(_) => None,
        }
    }
}

/// Units of a lot set aside for a case until a day.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Hold {
    /// The entry that made it; a hold on several lots stands as one for each.
    pub entry: u64,
    /// When it was made.
    pub on: Date,
    /// For whom.
    pub case: CaseNumber,
    /// Of which lot.
    pub lot: Lot,
    /// How many.
    pub quantity: u32,
    /// The last day it counts.
    pub until: Date,
    /// The entries that took units of it, one for each unit.
    pub used: Vec<u64>,
}

impl Hold {
    /// How many units it still asks for.
    pub fn left(&self) -> u32 {
        self.quantity.saturating_sub(u32::try_from(self.used.len()).unwrap_or(u32::MAX))
    }

    /// Whether it counts on that day.
    pub fn stands(&self, on: Date) -> bool {
        on <= self.until
    }
}

/// Planned work: units that a case needs on a day, of whatever lot.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[allow(missing_docs)]
pub struct Need {
    pub entry: u64,
    pub case: CaseNumber,
    pub on: Date,
    pub quantity: u32,
    pub because: Option<Note>,
}

/// The holds that stand, each with how many units there are for it.
pub fn served<'c>(lines: &[StockLine], claims: &'c [Claim], today: Date) -> Vec<(&'c Hold, u32)> {
    // Of a lot that was called back there is nothing for anybody.
    let called_back = |lot: &Lot| claims.iter().any(|c| c.calls_back(lot));
    let mut standing: Vec<&Hold> =
        claims.iter().filter_map(Claim::hold).filter(|h| h.stands(today) && h.left() > 0).collect();
    standing.sort_by_key(|h| h.entry);
    let mut given: Vec<(&Lot, i64)> = Vec::new();
    let serve = |hold: &'c Hold| {
        let at = given.iter().position(|(lot, _)| **lot == hold.lot).unwrap_or_else(|| {
            given.push((&hold.lot, 0));
            given.len() - 1
        });
        let in_drawers = if called_back(&hold.lot) { 0 } else { in_drawers(lines, &hold.lot) };
        let there = in_drawers - given[at].1;
        let units = there.clamp(0, i64::from(hold.left()));
        given[at].1 += units;
        (hold, units as u32)
    };
    standing.into_iter().map(serve).collect()
}

/// How many units of a lot lie in drawers.
pub fn in_drawers(lines: &[StockLine], lot: &Lot) -> i64 {
    lines.iter().filter(|l| l.lot == *lot && l.place.house().is_some()).map(|l| l.quantity.max(0)).sum()
}

/// What lies in drawers and may be taken for that case: less what is set aside for others.
///
/// Of each line [`StockLine::own`] says how many are set aside for the case itself. Without a case nothing that is set
/// aside may be taken.
pub fn free_for(
    mut lines: Vec<StockLine>,
    claims: &[Claim],
    case: Option<&CaseNumber>,
    today: Date,
) -> Vec<StockLine> {
    lines.retain(|l| l.quantity > 0 && l.place.house().is_some());
    if claims.is_empty() {
        return lines;
    }
    lines.retain(|l| !claims.iter().any(|c| c.calls_back(&l.lot)));
    let served: Vec<(Lot, bool, i64)> = served(&lines, claims, today)
        .into_iter()
        .map(|(h, units)| (h.lot.clone(), Some(&h.case) == case, i64::from(units)))
        .collect();
    // From the fullest drawer is picked first, so what is set aside for others stays in the emptiest.
    let mut order: Vec<usize> = (0..lines.len()).collect();
    order.sort_by(|a, b| (lines[*a].quantity, &lines[*b].place).cmp(&(lines[*b].quantity, &lines[*a].place)));
    for (lot, own, mut units) in served {
        let all = order.iter().copied();
        let of_lot: Vec<usize> = all.filter(|n| lines[*n].lot == lot).collect();
        let way: Vec<usize> = if own { of_lot.into_iter().rev().collect() } else { of_lot };
        for n in way {
            let line = &mut lines[n];
            let there = if own { line.quantity - line.own } else { line.quantity };
            let some = units.min(there).max(0);
            units -= some;
            if own {
                line.own += some;
            } else {
                line.quantity -= some;
                line.own = line.own.min(line.quantity);
            }
        }
    }
    lines.retain(|l| l.quantity > 0);
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stock::{Where, pick};
    use crate::units::{Expiry, PlaceId};
    use jiff::civil::date;

    const TODAY: Date = date(2026, 11, 25);

    fn line(lot: &str, expiry: &str, place: &str, quantity: i64) -> StockLine {
        let place = Where::House(PlaceId::new(place).unwrap());
        StockLine {
            lot: Lot::new(lot).unwrap(),
            expiry: Expiry::parse(expiry).unwrap(),
            place,
            quantity,
            own: 0,
            edition: 0,
        }
    }

    fn hold(entry: u64, case: &str, lot: &str, quantity: u32, until: Date) -> Claim {
        let (case, lot) = (CaseNumber::new(case).unwrap(), Lot::new(lot).unwrap());
        Claim::Held(Hold { entry, on: TODAY, case, lot, quantity, until, used: Vec::new() })
    }

    fn taken(lines: &[StockLine], claims: &[Claim], case: Option<&str>) -> Vec<(String, String, u32)> {
        let case = case.map(|c| CaseNumber::new(c).unwrap());
        let free = free_for(lines.to_vec(), claims, case.as_ref(), TODAY);
        let all = pick(&free, 100, TODAY).into_iter();
        all.map(|p| (p.lot.to_string(), p.place.to_string(), p.take)).collect()
    }

    #[test]
    fn an_own_hold_may_be_picked_and_what_is_held_for_others_not() {
        let lines =
            [line("A", "2026-12", "a", 2), line("B", "2027-01", "a", 1), line("B", "2027-01", "b", 4)];
        let claims = [hold(5, "1", "B", 3, date(2026, 12, 1)), hold(6, "2", "A", 1, date(2026, 12, 1))];
        let text = |all: &[(&str, &str, u32)]| -> Vec<(String, String, u32)> {
            all.iter().map(|(l, p, n)| ((*l).to_owned(), (*p).to_owned(), *n)).collect()
        };
        assert_eq!(taken(&lines, &claims, Some("1")), text(&[("A", "a", 1), ("B", "b", 4), ("B", "a", 1)]));
        assert_eq!(taken(&lines, &claims, Some("2")), text(&[("A", "a", 2), ("B", "b", 2)]));
        assert_eq!(taken(&lines, &claims, None), text(&[("A", "a", 1), ("B", "b", 2)]));
        let lapsed = [hold(5, "1", "B", 3, date(2026, 11, 24))];
        assert_eq!(taken(&lines, &lapsed, None), text(&[("A", "a", 2), ("B", "b", 4), ("B", "a", 1)]));
    }

    #[test]
    fn what_is_missing_is_missing_from_the_last_hold() {
        let lines = [line("A", "2027-01", "a", 3)];
        let claims = [hold(9, "2", "A", 2, TODAY), hold(5, "1", "A", 2, TODAY)];
        let units: Vec<(u64, u32)> =
            served(&lines, &claims, TODAY).into_iter().map(|(h, n)| (h.entry, n)).collect();
        assert_eq!(units, [(5, 2), (9, 1)]);
        assert_eq!(taken(&lines, &claims, None), []);
    }
}
