//! The record held against the model, and the view against itself.

use std::collections::BTreeMap;

use spareseat::record::View;
use spareseat::shelf::shelves::{StockFilter, list};
use spareseat::stock::Where;
use spareseat::units::{CaseNumber, Expiry, PartCode};

use super::bench::Bench;
use super::plain::{CASES, CORRECTION, KEPT, Plain, QUARANTINE, REPROCESS, SUPPLIER, WASTE};
use super::{apart, counting, holding, visits};

/// Balances, shelves, cases: all as the model has them; the record verifies; the view is what is folded at once.
/// Gives how many holds are short.
pub fn everything(bench: &mut Bench, plain: &Plain, told: &str) -> usize {
    let today = plain.today;
    let desk = bench.desk();
    assert_eq!(desk.entry(), plain.entries(), "{told}");
    balances(desk.view(), plain, told);
    cases(desk.view(), plain, told);
    visits::check(desk.view(), plain, told);
    let short = holding::check(desk.view(), plain, told);
    counting::check(desk.view(), plain, told);
    let rows = list(desk.view(), &StockFilter::default(), today).unwrap();
    let shelves: Vec<(String, String, String, i64)> = rows
        .into_iter()
        .map(|r| (r.part.to_string(), r.lot.to_string(), r.place.to_string(), r.quantity))
        .collect();
    let house = |((_, place), n): &(&((&str, &str), &str), &i64)| plain.drawers.contains(place) && **n != 0;
    let mut expected: Vec<(String, String, String, i64)> = plain
        .balance
        .iter()
        .filter(house)
        .map(|(((part, lot), place), n)| (part.to_string(), lot.to_string(), place.to_string(), *n))
        .collect();
    let mut shown = shelves;
    shown.sort();
    expected.sort();
    assert_eq!(shown, expected, "{told}: what stock lists");
    let verified = desk.record().verify().unwrap();
    assert!(!verified.view_differs && verified.below_zero.is_empty(), "{told}: {verified:?}");
    assert_eq!(
        desk.view().digest().unwrap(),
        bench.at_once().view().digest().unwrap(),
        "{told}: entry by entry, and at once"
    );
    short
}

/// The view is thrown away and folded in one go: the same rows as entry by entry, and as in memory.
pub fn folded_at_once(bench: &mut Bench, plain: &Plain, told: &str) {
    let entry_by_entry = bench.desk().view().digest().unwrap();
    bench.forget_view();
    bench.reopen(plain);
    assert_eq!(bench.desk().view().digest().unwrap(), entry_by_entry, "{told}: built at once");
    assert_eq!(bench.at_once().view().digest().unwrap(), entry_by_entry, "{told}: in memory");
    everything(bench, plain, told);
    apart::traced(bench, plain, told);
}

pub fn name(place: &Where) -> String {
    match place {
        Where::House(drawer) => drawer.to_string(),
        Where::Supplier => SUPPLIER.to_owned(),
        Where::Cases => CASES.to_owned(),
        Where::Waste => WASTE.to_owned(),
        Where::KeptPieces => KEPT.to_owned(),
        Where::Correction => CORRECTION.to_owned(),
        Where::Reprocess => REPROCESS.to_owned(),
        Where::Quarantine => QUARANTINE.to_owned(),
        other => panic!("no act puts anything in {other:?}"),
    }
}

fn balances(view: &View, plain: &Plain, told: &str) {
    let mut held: BTreeMap<(String, String, String), i64> = BTreeMap::new();
    let mut sums: BTreeMap<(String, String), i64> = BTreeMap::new();
    for (part, lines) in view.stock().unwrap() {
        for line in lines {
            let lot = (part.to_string(), line.lot.to_string());
            *sums.entry(lot.clone()).or_default() += line.quantity;
            assert!(!line.place.is_under_roof() || line.quantity >= 0, "{told}: below zero: {part} {line:?}");
            let known =
                plain.expiry.iter().find(|((p, l), _)| (*p, *l) == (part.as_str(), line.lot.as_str()));
            let expiry = known.map_or(Expiry::NotRecorded, |(_, e)| Expiry::parse(e).unwrap());
            assert_eq!(line.expiry, expiry, "{told}: {part} {line:?}");
            let twice = held.insert((lot.0, lot.1, name(&line.place)), line.quantity);
            assert_eq!(twice, None, "{told}: one lot in one place stands in two lines: {part} {line:?}");
        }
    }
    for (lot, sum) in sums {
        assert_eq!(sum, 0, "{told}: {lot:?}: the sum over all places");
    }
    let nonzero = |held: BTreeMap<(String, String, String), i64>| -> BTreeMap<_, _> {
        held.into_iter().filter(|(_, n)| *n != 0).collect()
    };
    let expected = plain
        .balance
        .iter()
        .map(|(((part, lot), place), n)| ((part.to_string(), lot.to_string(), place.to_string()), *n));
    assert_eq!(nonzero(held), nonzero(expected.collect()), "{told}: balances");
    let drawers: Vec<String> = view.places().unwrap().iter().map(ToString::to_string).collect();
    assert_eq!(drawers, plain.drawers.iter().map(ToString::to_string).collect::<Vec<_>>(), "{told}: drawers");
}

fn cases(view: &View, plain: &Plain, told: &str) {
    let numbers: Vec<String> = view.cases().unwrap().iter().map(|c| c.number.to_string()).collect();
    assert_eq!(numbers, plain.cases.keys().map(ToString::to_string).collect::<Vec<_>>(), "{told}: cases");
    for (number, case) in &plain.cases {
        let number = CaseNumber::new(number).unwrap();
        let head = view.case(&number).unwrap().unwrap();
        let mut sites: Vec<u8> = head.sites.iter().map(|t| t.iso()).collect();
        sites.sort_unstable();
        assert_eq!(sites, case.sites.keys().copied().collect::<Vec<_>>(), "{told}: sites of {number}");
        for tooth in head.sites {
            let fitted = view.assembly(&number, tooth).unwrap().into_iter().map(|f| {
                let stated = f.part.torque.stated().map(|t| t.number() as u32);
                (f.position.slug().to_owned(), f.part.code.to_string(), f.lot.map(|l| l.to_string()), stated)
            });
            let mut fitted: Vec<_> = fitted.collect();
            fitted.sort();
            let standing = case.sites[&tooth.iso()].iter();
            let expected: Vec<_> = standing
                .map(|(p, s)| (p.to_string(), s.part.to_owned(), s.lot.map(ToOwned::to_owned), s.stated))
                .collect();
            assert_eq!(fitted, expected, "{told}: case {number}, {tooth}");
        }
        assert_eq!(view.events(&number).unwrap().len(), case.events, "{told}: what happened in {number}");
    }
    let tried =
        ["heron-mua-3.0", "heron-mua-17", "heron-implant", "heron-screw", "heron-driver", "knot-mua-3.0"];
    let verified: usize =
        tried.iter().map(|p| view.verifications(&PartCode::new(p).unwrap()).unwrap().len()).sum();
    assert_eq!(verified, plain.verified, "{told}: verifications");
}
