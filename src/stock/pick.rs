//! Which lot to take: earliest usable expiry first, never an expired one.

use jiff::civil::Date;

use super::StockLine;
use crate::units::{Expiry, Lot, PlaceId};

/// So many units of a lot from a drawer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pick {
    /// From where.
    pub place: PlaceId,
    /// Which lot.
    pub lot: Lot,
    /// Until when it may be used.
    pub expiry: Expiry,
    /// How many to take.
    pub take: u32,
    /// How many lie there.
    pub here: u32,
}

/// Takes `wanted` units from `lines`, as few drawers as the expiry order allows; fewer when there are not enough.
///
/// What is set aside for the case comes first. A lot whose label carries no expiry comes after the dated ones, one
/// whose label nobody read comes last.
pub fn pick(lines: &[StockLine], wanted: u32, today: Date) -> Vec<Pick> {
    let usable = lines
        .iter()
        .filter(|l| l.quantity > 0 && !l.expiry.is_over(today))
        .filter_map(|l| l.place.house().map(|place| (l, place)));
    // A line of which some are set aside is looked at twice: these first, the others where their expiry puts them.
    let mut shares: Vec<(bool, i64, &StockLine, &PlaceId)> = usable
        .flat_map(|(l, place)| {
            let own = l.own.clamp(0, l.quantity);
            [(false, own, l, place), (true, l.quantity - own, l, place)]
        })
        .filter(|(_, units, ..)| *units > 0)
        .collect();
    shares.sort_by_key(|(others, _, l, place)| {
        let rank = match l.expiry {
            Expiry::Day(_) | Expiry::Month(_) => 0,
            Expiry::NoneOnLabel => 1,
            Expiry::NotRecorded => 2,
        };
        (*others, rank, l.expiry.last_day(), l.lot.clone(), std::cmp::Reverse(l.quantity), (*place).clone())
    });
    let mut left = wanted;
    let mut picks: Vec<Pick> = Vec::new();
    for (_, units, line, place) in shares {
        if left == 0 {
            break;
        }
        let count = |n: i64| u32::try_from(n).unwrap_or(u32::MAX);
        let take = count(units).min(left);
        left -= take;
        match picks.iter_mut().find(|p| p.lot == line.lot && p.place == *place) {
            Some(before) => before.take += take,
            None => {
                let (place, lot, here) = (place.clone(), line.lot.clone(), count(line.quantity));
                picks.push(Pick { place, lot, expiry: line.expiry, take, here });
            }
        }
    }
    picks
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stock::Where;
    use jiff::civil::date;

    fn line(lot: &str, expiry: &str, place: &str, quantity: i64) -> StockLine {
        let expiry = if expiry.is_empty() { Expiry::NotRecorded } else { Expiry::parse(expiry).unwrap() };
        let place = match place {
            "waste" => Where::Waste,
            other => Where::House(PlaceId::new(other).unwrap()),
        };
        StockLine { lot: Lot::new(lot).unwrap(), expiry, place, quantity, own: 0 }
    }

    #[test]
    fn earliest_usable_expiry_first_never_an_expired_one() {
        let lines = [
            line("D", "", "a", 9),
            line("C", "none", "a", 9),
            line("B", "2027-01", "a", 2),
            line("A", "2026-12-01", "b", 1),
            line("OLD", "2026-11-24", "a", 9),
            line("LAST", "2026-11-25", "b", 1),
            line("W", "2026-12-01", "waste", 9),
            line("E", "2026-12-01", "b", 0),
        ];
        let today = date(2026, 11, 25);
        let taken: Vec<(String, u32)> =
            pick(&lines, 20, today).into_iter().map(|p| (p.lot.to_string(), p.take)).collect();
        let expected = [("LAST", 1), ("A", 1), ("B", 2), ("C", 9), ("D", 7)];
        assert_eq!(taken, expected.map(|(l, n)| (l.to_owned(), n)));
        assert_eq!(pick(&lines, 1, today).len(), 1);
        assert_eq!(pick(&[], 1, today), []);
    }
}
