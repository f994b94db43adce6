//! The order of picking, held against every other way to take a small set.

use super::*;
use crate::stock::Where;
use jiff::civil::date;

const TODAY: Date = date(2026, 11, 25);

fn line(lot: &str, expiry: &str, place: &str, quantity: i64) -> StockLine {
    let expiry = if expiry.is_empty() { Expiry::NotRecorded } else { Expiry::parse(expiry).unwrap() };
    let place = match place {
        "waste" => Where::Waste,
        other => Where::House(PlaceId::new(other).unwrap()),
    };
    StockLine { lot: Lot::new(lot).unwrap(), expiry, place, quantity, own: 0, edition: 0 }
}

fn held(line: StockLine, own: i64) -> StockLine {
    StockLine { own, ..line }
}

fn taken(lines: &[StockLine], wanted: u32) -> Vec<(String, String, u32)> {
    let all = pick(lines, wanted, TODAY).into_iter();
    all.map(|p| (p.lot.to_string(), p.place.to_string(), p.take)).collect()
}

fn text(all: &[(&str, &str, u32)]) -> Vec<(String, String, u32)> {
    all.iter().map(|(lot, place, n)| ((*lot).to_owned(), (*place).to_owned(), *n)).collect()
}

#[test]
fn an_expired_lot_is_never_taken_and_all_of_the_rest_where_it_is_wanted() {
    let lines = [
        line("D", "", "a", 9),
        line("C", "none", "a", 9),
        line("B", "2027-01", "a", 2),
        line("A", "2026-12-01", "b", 1),
        line("OLD", "2026-11-24", "a", 99),
        line("LAST", "2026-11-25", "b", 1),
        line("W", "2026-12-01", "waste", 99),
        line("E", "2026-12-01", "b", 0),
    ];
    let all = [("LAST", "b", 1), ("A", "b", 1), ("B", "a", 2), ("C", "a", 9), ("D", "a", 9)];
    assert_eq!(taken(&lines, 40), text(&all));
    assert_eq!(taken(&lines, 1), text(&[("LAST", "b", 1)]));
    assert_eq!(taken(&lines, 9), text(&[("C", "a", 9)]), "one lot of nine before three that end earlier");
    assert_eq!(taken(&[], 1), []);
    assert_eq!(taken(&lines, 0), []);
}

/// Drawer d1 with 1 of lot A and 10 of lot C, d5 with 2 of lot B, four screws wanted.
#[test]
fn a_set_comes_from_one_lot_where_one_suffices() {
    let lines = [
        line("A", "2026-12-31", "d1", 1),
        line("C", "2027-06-30", "d1", 10),
        line("B", "2027-01-31", "d5", 2),
    ];
    assert_eq!(taken(&lines, 4), text(&[("C", "d1", 4)]));
    // Three screws: still no lot but C has them all.
    assert_eq!(taken(&lines, 3), text(&[("C", "d1", 3)]));
    // Two, one: the earliest of those that suffice alone.
    assert_eq!(taken(&lines, 2), text(&[("B", "d5", 2)]));
    assert_eq!(taken(&lines, 1), text(&[("A", "d1", 1)]));
    // Where lots must mix: two, not three, and the earlier of the two that will do.
    assert_eq!(taken(&lines, 11), text(&[("A", "d1", 1), ("C", "d1", 10)]));
    assert_eq!(taken(&lines, 12), text(&[("B", "d5", 2), ("C", "d1", 10)]));
}

#[test]
fn a_hold_that_does_not_cover_the_set_does_not_mix_it() {
    // A hold of one piece: the set still comes from one lot.
    let lines = [held(line("A", "2026-12-31", "d1", 1), 1), line("C", "2027-06-30", "d1", 10)];
    assert_eq!(taken(&lines, 4), text(&[("C", "d1", 4)]));
    assert_eq!(taken(&lines, 1), text(&[("A", "d1", 1)]));
    // One that covers it is used although another lot ends earlier, and even where it is of two lots.
    let lines = [
        line("A", "2026-12-31", "d1", 9),
        held(line("B", "2027-06-30", "d1", 5), 3),
        held(line("C", "2027-07-31", "d2", 5), 1),
    ];
    assert_eq!(taken(&lines, 4), text(&[("B", "d1", 3), ("C", "d2", 1)]));
    // Of lots that will do alone, the one with more of the hold.
    assert_eq!(taken(&lines, 5), text(&[("B", "d1", 5)]));
}

#[test]
fn then_fewest_drawers() {
    let lines = [
        line("A", "2027-01", "a", 2),
        line("A", "2027-01", "b", 1),
        line("A", "2027-01", "c", 2),
        line("B", "2027-01", "d", 3),
    ];
    assert_eq!(taken(&lines, 3), text(&[("B", "d", 3)]));
    assert_eq!(taken(&lines[..3], 3), text(&[("A", "a", 2), ("A", "c", 1)]));
    assert_eq!(taken(&lines[..3], 4), text(&[("A", "a", 2), ("A", "c", 2)]));
}

/// What the stated order compares, of units taken from each line.
fn measure(lines: &[StockLine], units: &[i64], wanted: u32) -> (bool, usize, i64, Vec<Ends>, usize) {
    let mut lots: Vec<&Lot> = lines.iter().map(|l| &l.lot).collect();
    lots.sort_unstable();
    lots.dedup();
    let of = |lot: &Lot, what: &dyn Fn(usize) -> i64| -> i64 {
        (0..lines.len()).filter(|n| lines[*n].lot == *lot).map(what).sum()
    };
    let (mut number, mut own_used, mut own_all, mut within) = (0, 0, 0, true);
    for lot in lots {
        let (took, own) = (of(lot, &|n| units[n]), of(lot, &|n| lines[n].own));
        number += usize::from(took > 0);
        own_used += took.min(own);
        own_all += own;
        within &= took <= own;
    }
    let mut ends: Vec<Ends> = Vec::new();
    for (line, n) in lines.iter().zip(units) {
        let rank = match line.expiry {
            Expiry::NoneOnLabel => 1,
            Expiry::NotRecorded => 2,
            _ => 0,
        };
        (0..*n).for_each(|_| ends.push((rank, line.expiry.last_day())));
    }
    ends.sort_unstable();
    let mut places: Vec<&Where> =
        lines.iter().zip(units).filter(|(_, n)| **n > 0).map(|(l, _)| &l.place).collect();
    places.sort_unstable();
    places.dedup();
    let held = own_all >= i64::from(wanted) && within;
    (!held, number, -own_used, ends, places.len())
}

/// Every way to take `left` units from the lines from `at` on.
fn every_way(lines: &[StockLine], at: usize, left: i64, units: &mut Vec<i64>, each: &mut dyn FnMut(&[i64])) {
    if at == lines.len() {
        if left == 0 {
            each(units);
        }
        return;
    }
    let most = if lines[at].expiry.is_over(TODAY) { 0 } else { lines[at].quantity.min(left) };
    for n in 0..=most {
        units.push(n);
        every_way(lines, at + 1, left - n, units, each);
        units.pop();
    }
}

/// Small shelves drawn at random, every way to take the set from them tried: none is better by the stated order.
#[test]
fn no_other_way_is_better_by_the_stated_order() {
    let expiries = ["2026-11-20", "2026-12-31", "2026-12", "2027-01", "2027-02-01", "none", ""];
    let mut state = 0x5eed_u64;
    let mut draw = |most: u64| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) % most
    };
    let (mut mixed, mut from_hold) = (0, 0);
    for _ in 0..4000 {
        let mut lines: Vec<StockLine> = Vec::new();
        for lot in ["A", "B", "C", "D"].iter().take(1 + draw(4) as usize) {
            let expiry = expiries[draw(7) as usize];
            for place in ["a", "b", "c"] {
                let quantity = draw(4) as i64;
                if quantity > 0 && draw(3) > 0 {
                    let own = if draw(3) == 0 { draw(quantity as u64 + 1) as i64 } else { 0 };
                    lines.push(held(line(lot, expiry, place, quantity), own));
                }
            }
        }
        lines.truncate(7);
        // What is held and expired is no use to anybody.
        lines.iter_mut().filter(|l| l.expiry.is_over(TODAY)).for_each(|l| l.own = 0);
        let wanted = 1 + draw(5) as u32;
        let there: i64 = lines.iter().filter(|l| !l.expiry.is_over(TODAY)).map(|l| l.quantity).sum();
        let picked = pick(&lines, wanted, TODAY);
        let units: Vec<i64> = lines
            .iter()
            .map(|l| {
                let here = |p: &&Pick| p.lot == l.lot && l.place.house() == Some(&p.place);
                picked.iter().filter(here).map(|p| i64::from(p.take)).sum()
            })
            .collect();
        let took = i64::from(wanted).min(there);
        assert_eq!(units.iter().sum::<i64>(), took, "{lines:?}");
        assert!(units.iter().zip(&lines).all(|(n, l)| *n <= l.quantity), "{lines:?}");
        let own = measure(&lines, &units, wanted);
        every_way(&lines, 0, took, &mut Vec::new(), &mut |other| {
            let other = measure(&lines, other, wanted);
            assert!(own <= other, "{wanted} from {lines:?}: {picked:?}, {own:?} where {other:?} can be");
        });
        mixed += usize::from(own.1 > 1);
        from_hold += usize::from(!own.0);
    }
    assert!(mixed > 200 && from_hold > 200, "the draw reaches both: {mixed}, {from_hold}");
}

#[test]
fn a_shelf_of_many_lots_is_through_at_once() {
    let lines: Vec<StockLine> = (0..200_i64)
        .map(|n| {
            let expiry = format!("20{}-{:02}", 27 + n / 60, 1 + n % 12);
            line(&format!("L{n:03}"), &expiry, &format!("drawer-{}", n % 40), 1 + n % 3)
        })
        .collect();
    let picked = pick(&lines, 14, TODAY);
    assert_eq!(picked.iter().map(|p| p.take).sum::<u32>(), 14);
    // Three to a lot at most: five lots, whichever they are.
    assert_eq!(picked.len(), 5);
}
