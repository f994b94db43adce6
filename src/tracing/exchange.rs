//! What an exchange form says beside an answer: whose record it is of, the numbers of the parts, the facts of the lots.
//!
//! Only reads, and judges one thing: a lot whose last day of use is over is called expired.

use std::collections::btree_map::Entry;
use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use crate::catalog::Part;
use crate::logbook::LogbookId;
use crate::lots::called_back::called_back;
use crate::record::{View, ViewError};
use crate::shelf::shelves::{Apart, Row, StockFilter};
use crate::stock::Where;
use crate::tracing::trace::{CaseTrace, LotTrace};
use crate::units::{CaseNumber, Expiry, Lot, PartCode, PracticeName};

/// What an answer rests on.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Bundled {
    /// Which logbook: what has a number in it has that number in this logbook alone.
    pub logbook: LogbookId,
    pub practice: Option<PracticeName>,
    /// The whole record is invented.
    pub made_up: bool,
    /// Invented cases.
    pub made_up_cases: BTreeSet<CaseNumber>,
    /// Up to which entry.
    pub as_of: u64,
    /// The day for which it is told.
    pub today: Date,
    /// The parts of the catalogue that are named; one that left the catalogue is missing.
    pub parts: BTreeMap<PartCode, Part>,
    /// The lots that are named.
    pub lots: BTreeMap<(PartCode, Lot), LotFacts>,
}

/// What is on record of a lot as a whole.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LotFacts {
    /// Until when it may be used.
    pub expiry: Expiry,
    /// The entry by which it was called back.
    pub called_back: Option<u64>,
    /// Its last day of use is over.
    pub expired: bool,
}

/// Units of a lot in one place under this roof.
#[derive(Debug, Clone, PartialEq, Eq)]
#[allow(missing_docs)]
pub struct OnShelf {
    pub part: PartCode,
    pub lot: Lot,
    pub place: Where,
    pub quantity: i64,
}

/// What lies in drawers and apart from them, as one list.
pub fn on_shelves(rows: &[Row], apart: &[Apart]) -> Vec<OnShelf> {
    let lying = rows.iter().map(|r| OnShelf {
        part: r.part.clone(),
        lot: r.lot.clone(),
        place: Where::House(r.place.clone()),
        quantity: r.quantity,
    });
    let apart = apart.iter().map(|a| OnShelf {
        part: a.part.clone(),
        lot: a.lot.clone(),
        place: a.place.clone(),
        quantity: a.quantity,
    });
    lying.chain(apart).collect()
}

/// What of traced lots is under this roof.
pub fn under_roof(all: &[LotTrace]) -> Vec<OnShelf> {
    let of = |t: &LotTrace| {
        let (part, lot) = (t.part.clone(), t.lot.clone());
        let here = t.places.clone().into_iter().filter(|(place, _)| place.is_under_roof());
        here.map(move |(place, quantity)| OnShelf { part: part.clone(), lot: lot.clone(), place, quantity })
    };
    all.iter().flat_map(of).collect()
}

/// In words, what a list of stock leaves out; `None` where it is the whole.
pub fn only(which: &StockFilter) -> Option<String> {
    let part = which.part.as_ref().map(|p| format!("only part {p}"));
    let place = which.place.as_ref().map(|p| format!("only what lies in {p}"));
    let soon = which.expires_within.map(|days| {
        let unit = if days == 1 { "day" } else { "days" };
        format!("only what lies in a drawer and can be used for at most {days} {unit} more")
    });
    let all: Vec<String> = [part, place, soon].into_iter().flatten().collect();
    (!all.is_empty()).then(|| format!("Not the whole stock: {}.", all.join("; ")))
}

/// For a list of stock.
pub fn of_stock(view: &View, shelves: &[OnShelf], today: Date) -> Result<Bundled, ViewError> {
    let lots = shelves.iter().map(|s| (s.part.clone(), Some(s.lot.clone())));
    gather(view, today, lots, std::iter::empty())
}

/// For traced lots.
pub fn of_lots(view: &View, all: &[LotTrace], today: Date) -> Result<Bundled, ViewError> {
    let lots = all.iter().map(|t| (t.part.clone(), Some(t.lot.clone())));
    let cases = all.iter().flat_map(|t| {
        t.in_mouths.iter().map(|u| &u.case).chain(t.taken_out.iter().map(|u| &u.case)).cloned()
    });
    gather(view, today, lots, cases)
}

/// For a traced case.
pub fn of_case(view: &View, trace: &CaseTrace, today: Date) -> Result<Bundled, ViewError> {
    let now = trace.now.iter().map(|(_, f, _)| (f.part.code.clone(), f.lot.clone()));
    let out = trace.taken_out.iter().map(|t| (t.part.clone(), Some(t.lot.clone())));
    gather(view, today, now.chain(out), std::iter::once(trace.case.clone()))
}

fn gather(
    view: &View,
    today: Date,
    named: impl Iterator<Item = (PartCode, Option<Lot>)>,
    cases: impl Iterator<Item = CaseNumber>,
) -> Result<Bundled, ViewError> {
    let head = view.head();
    let mut exchange = Bundled {
        logbook: head.head.id,
        practice: head.practice.clone(),
        made_up: head.made_up,
        made_up_cases: BTreeSet::new(),
        as_of: head.head.seq,
        today,
        parts: BTreeMap::new(),
        lots: BTreeMap::new(),
    };
    for case in cases {
        if view.case(&case)?.is_some_and(|c| c.made_up) {
            exchange.made_up_cases.insert(case);
        }
    }
    for (code, lot) in named {
        if !exchange.parts.contains_key(&code)
            && let Some(part) = view.part(&code)?
        {
            exchange.parts.insert(code.clone(), part);
        }
        let Some(lot) = lot else { continue };
        if let Entry::Vacant(new) = exchange.lots.entry((code, lot)) {
            let (part, lot) = new.key();
            let facts = facts(view, part, lot, today)?;
            new.insert(facts);
        }
    }
    Ok(exchange)
}

fn facts(view: &View, part: &PartCode, lot: &Lot, today: Date) -> Result<LotFacts, ViewError> {
    let line = view.stock_of(part)?.into_iter().find(|l| l.lot == *lot);
    let expiry = line.map_or(Expiry::NotRecorded, |l| l.expiry);
    Ok(LotFacts { expiry, called_back: called_back(view, part, lot)?, expired: expiry.is_over(today) })
}
