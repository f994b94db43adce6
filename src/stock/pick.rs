//! Which lots to take for a set of alike parts: one code, one position, one visit.
//!
//! Nobody can tell alike parts apart on a tray afterwards, so the record of which lot is in which tooth is right only
//! where all are of one lot. What is never taken comes first: an expired lot, and what is held for somebody else
//! ([`super::free_for`] has taken that off). Then, in this order: the own hold where it covers the whole set; fewest
//! lots; most of the own hold; earliest last day, unit by unit; fewest drawers.

#[cfg(test)]
mod tests;

use std::cmp::Ordering;

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

/// After so many choices of lots the best one so far is taken; a drawer of any practice is through long before.
const MOST_TRIED: u32 = 50_000;
/// With more drawers than this the fullest are taken first, without looking for the fewest.
const MOST_DRAWERS_TRIED: usize = 10;

/// When a lot ends: dated ones first, then those whose label has no date, last those whose label nobody read.
type Ends = (u8, Option<Date>);

/// A lot with the drawers it may be taken from.
struct LotOf<'l> {
    lot: &'l Lot,
    expiry: Expiry,
    ends: Ends,
    /// Units that may be taken.
    units: i64,
    /// How many of those are held for the case.
    own: i64,
    drawers: Vec<(&'l PlaceId, i64)>,
}

/// What is taken of a set of lots.
struct Choice {
    /// How many units of the own hold are among it.
    own: i64,
    /// How many units end when, the earliest first.
    ends: Vec<(Ends, i64)>,
    /// From each lot and drawer.
    taken: Vec<(usize, usize, i64)>,
    drawers: usize,
}

/// Takes `wanted` units from `lines` in the order of this module; fewer when there are not enough.
pub fn pick(lines: &[StockLine], wanted: u32, today: Date) -> Vec<Pick> {
    let mut lots = lots_of(lines, today);
    let own: i64 = lots.iter().map(|l| l.own).sum();
    if own >= i64::from(wanted) {
        // The hold is for this: nothing else is touched, and all of it counts as held.
        lots.retain(|l| l.own > 0);
        lots.iter_mut().for_each(|l| l.units = l.own);
        lots.iter_mut().for_each(|l| l.own = 0);
    }
    let there: i64 = lots.iter().map(|l| l.units).sum();
    let wanted = i64::from(wanted).min(there);
    if wanted == 0 {
        return Vec::new();
    }
    let Choice { taken, .. } = Search::best(&lots, wanted);
    let count = |n: i64| u32::try_from(n).unwrap_or(u32::MAX);
    let picked = taken.into_iter().map(|(lot, drawer, take)| {
        let LotOf { lot, expiry, drawers, .. } = &lots[lot];
        let (place, here) = drawers[drawer];
        Pick {
            place: place.clone(),
            lot: (*lot).clone(),
            expiry: *expiry,
            take: count(take),
            here: count(here),
        }
    });
    picked.collect()
}

/// The lots that may be used, the first to end first; of each the fullest drawer first.
fn lots_of(lines: &[StockLine], today: Date) -> Vec<LotOf<'_>> {
    let mut lots: Vec<LotOf<'_>> = Vec::new();
    for line in lines.iter().filter(|l| l.quantity > 0 && !l.expiry.is_over(today)) {
        let Some(place) = line.place.house() else { continue };
        let rank = match line.expiry {
            Expiry::Day(_) | Expiry::Month(_) => 0,
            Expiry::NoneOnLabel => 1,
            Expiry::NotRecorded => 2,
        };
        let at = lots.iter().position(|l| *l.lot == line.lot).unwrap_or_else(|| {
            let ends = (rank, line.expiry.last_day());
            let (units, own, drawers) = (0, 0, Vec::new());
            lots.push(LotOf { lot: &line.lot, expiry: line.expiry, ends, units, own, drawers });
            lots.len() - 1
        });
        let lot = &mut lots[at];
        lot.units += line.quantity;
        lot.own += line.own.clamp(0, line.quantity);
        lot.drawers.push((place, line.quantity));
    }
    lots.sort_by_key(|l| (l.ends, l.lot));
    lots.iter_mut().for_each(|l| l.drawers.sort_by_key(|(place, units)| (-units, *place)));
    lots
}

/// Looks for the best set of as few lots as will do.
struct Search<'s, 'l> {
    lots: &'s [LotOf<'l>],
    wanted: i64,
    /// The most units of so many lots from this one on.
    most: Vec<Vec<i64>>,
    /// The same of what is held.
    most_own: Vec<Vec<i64>>,
    tried: u32,
    best: Choice,
}

impl<'s, 'l> Search<'s, 'l> {
    fn best(lots: &'s [LotOf<'l>], wanted: i64) -> Choice {
        // The fullest first: so many are needed at least, and they are a choice to begin with.
        let mut fullest: Vec<usize> = (0..lots.len()).collect();
        fullest.sort_by_key(|n| (-lots[*n].units, *n));
        let mut units = 0;
        let mut first: Vec<usize> = Vec::new();
        for n in fullest {
            if units >= wanted {
                break;
            }
            units += lots[n].units;
            first.push(n);
        }
        first.sort_unstable();
        let count = first.len();
        let best = choose(lots, &first, wanted);
        let most = greatest(lots, count, |l| l.units);
        let most_own = greatest(lots, count, |l| l.own);
        let mut search = Self { lots, wanted, most, most_own, tried: 0, best };
        search.look(0, count, &mut Vec::new(), 0, 0);
        search.best
    }

    /// Tries every way to take `more` lots from `at` on beside those taken; a way that cannot be better is left out.
    fn look(&mut self, at: usize, more: usize, taken: &mut Vec<usize>, units: i64, own: i64) {
        if self.tried >= MOST_TRIED {
            return;
        }
        self.tried += 1;
        if more == 0 {
            if units < self.wanted {
                return;
            }
            let choice = choose(self.lots, taken, self.wanted);
            if better(&choice, &self.best) == Ordering::Less {
                self.best = choice;
            }
            return;
        }
        for n in at..=self.lots.len() - more {
            if units + self.most[n][more] < self.wanted {
                break;
            }
            if own + self.most_own[n][more] < self.best.own {
                break;
            }
            let lot = &self.lots[n];
            if self.is_second_best(n, taken) {
                continue;
            }
            taken.push(n);
            self.look(n + 1, more - 1, taken, units + lot.units, own + lot.own);
            taken.pop();
        }
    }

    /// A lot that ends earlier, holds no less and was left out would do better in its place.
    fn is_second_best(&self, n: usize, taken: &[usize]) -> bool {
        let lot = &self.lots[n];
        let would = |l: &LotOf<'_>| {
            l.ends < lot.ends && l.own >= lot.own && l.units.min(self.wanted) >= lot.units.min(self.wanted)
        };
        (0..n).any(|m| would(&self.lots[m]) && !taken.contains(&m))
    }
}

/// From each lot on, the greatest sum over so many lots.
fn greatest(lots: &[LotOf<'_>], count: usize, of: impl Fn(&LotOf<'_>) -> i64) -> Vec<Vec<i64>> {
    let from = |n: usize| {
        let mut all: Vec<i64> = lots[n..].iter().map(&of).collect();
        all.sort_unstable_by_key(|units| -units);
        let mut sums = vec![0];
        all.into_iter().take(count).for_each(|units| sums.push(sums[sums.len() - 1] + units));
        sums.resize(count + 1, sums[sums.len() - 1]);
        sums
    };
    (0..lots.len()).map(from).collect()
}

fn better(a: &Choice, b: &Choice) -> Ordering {
    let ends = |a: &Choice, b: &Choice| {
        for (one, other) in a.ends.iter().zip(&b.ends) {
            // As many units as possible end early: the more of the earliest day, the better.
            let order = one.0.cmp(&other.0).then(other.1.cmp(&one.1));
            if order != Ordering::Equal {
                return order;
            }
        }
        Ordering::Equal
    };
    b.own.cmp(&a.own).then_with(|| ends(a, b)).then(a.drawers.cmp(&b.drawers))
}

/// The best that these lots give: all that is held of them, the rest from the first to end.
fn choose(lots: &[LotOf<'_>], chosen: &[usize], wanted: i64) -> Choice {
    let own: i64 = chosen.iter().map(|n| lots[*n].own).sum();
    let mut rest = wanted - own;
    let mut ends: Vec<(Ends, i64)> = Vec::new();
    for n in chosen {
        let free = rest.min(lots[*n].units - lots[*n].own);
        rest -= free;
        match ends.last_mut().filter(|(day, _)| *day == lots[*n].ends) {
            Some((_, units)) => *units += lots[*n].own + free,
            None => ends.push((lots[*n].ends, lots[*n].own + free)),
        }
    }
    let taken = from_drawers(lots, chosen, &ends);
    let mut drawers: Vec<&PlaceId> = taken.iter().map(|(lot, at, _)| lots[*lot].drawers[*at].0).collect();
    drawers.sort_unstable();
    drawers.dedup();
    Choice { own, ends, drawers: drawers.len(), taken }
}

/// The units of each lot and drawer, from as few drawers as will do; `ends` says how many end when.
fn from_drawers(lots: &[LotOf<'_>], chosen: &[usize], ends: &[(Ends, i64)]) -> Vec<(usize, usize, i64)> {
    let mut drawers: Vec<(&PlaceId, i64)> = Vec::new();
    for (place, units) in chosen.iter().flat_map(|n| &lots[*n].drawers) {
        match drawers.iter_mut().find(|(p, _)| p == place) {
            Some((_, all)) => *all += units,
            None => drawers.push((place, *units)),
        }
    }
    drawers.sort_by_key(|(place, units)| (-units, *place));
    let all: Vec<&PlaceId> = drawers.into_iter().map(|(place, _)| place).collect();
    if all.len() <= MOST_DRAWERS_TRIED {
        let mut sets: Vec<u32> = (1..1 << all.len()).collect();
        sets.sort_by_key(|set| (set.count_ones(), *set));
        for set in sets {
            let open = |place: &PlaceId| {
                let at = all.iter().position(|p| *p == place);
                at.is_some_and(|at| set & (1 << at) != 0)
            };
            if let Some(taken) = with_drawers(lots, chosen, ends, &open) {
                return taken;
            }
        }
    }
    with_drawers(lots, chosen, ends, &|_| true).unwrap_or_default()
}

/// The same from the drawers that are open; nothing if that cannot be.
fn with_drawers(
    lots: &[LotOf<'_>],
    chosen: &[usize],
    ends: &[(Ends, i64)],
    open: &dyn Fn(&PlaceId) -> bool,
) -> Option<Vec<(usize, usize, i64)>> {
    let mut taken = Vec::new();
    for (day, units) in ends {
        let of_day: Vec<usize> = chosen.iter().copied().filter(|n| lots[*n].ends == *day).collect();
        // What is held of each lot comes out of it; the rest of that day is spread as the drawers allow.
        let least: i64 = of_day.iter().map(|n| lots[*n].own).sum();
        let mut rest = units - least;
        for n in of_day {
            let lot = &lots[n];
            let there: i64 = lot.drawers.iter().filter(|(p, _)| open(p)).map(|(_, units)| units).sum();
            let spare = there.min(lot.units) - lot.own;
            if spare < 0 {
                return None;
            }
            let more = rest.min(spare);
            rest -= more;
            let mut left = lot.own + more;
            for (at, (_, here)) in lot.drawers.iter().enumerate().filter(|(_, (p, _))| open(p)) {
                let some = left.min(*here);
                left -= some;
                if some > 0 {
                    taken.push((n, at, some));
                }
            }
        }
        if rest > 0 {
            return None;
        }
    }
    Some(taken)
}
