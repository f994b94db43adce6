//! Low: of which parts less is there than the next visit of somebody who has them can take.
//!
//! A visit at which a restoration comes off takes a new set of the screws that hold it, and one of anything else that
//! is changed at the chair. What is set aside and what is planned comes on top. Another part that could stand in is not
//! counted: whether it may is judged case by case.

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::shelves::StockError;
use crate::case::{CaseHead, Fitted, Restoration};
use crate::cases::empty::empties_at;
use crate::catalog::Position;
use crate::desk::{Refused, lookup};
use crate::record::{View, ViewError};
use crate::stock::Claim;
use crate::units::{CaseNumber, PartCode};

/// What one visit can take of a part, and at whose.
#[derive(Debug, Clone, PartialEq, Eq)]
#[allow(missing_docs)]
pub struct OneVisit {
    pub quantity: u32,
    pub case: CaseNumber,
    /// The restoration, in words, or the site where nothing stands on it.
    pub at: String,
}

/// A part of which not enough is there.
#[derive(Debug, Clone, PartialEq, Eq)]
#[allow(missing_docs)]
pub struct Low {
    pub part: PartCode,
    /// What lies in drawers and can be used today, set aside or not.
    pub there: i64,
    /// The most that one visit takes; nothing where it is only planned or set aside.
    pub one_visit: Option<OneVisit>,
    /// What is planned from today on, or set aside: of either the greater, case by case.
    pub promised: i64,
    /// In how many open cases it stands.
    pub cases: usize,
}

impl Low {
    /// How many should be there.
    pub fn wanted(&self) -> i64 {
        self.one_visit.as_ref().map_or(0, |v| i64::from(v.quantity)) + self.promised
    }
}

/// What the open cases have of a part.
#[derive(Debug, Default)]
struct Stands {
    most: Option<OneVisit>,
    cases: usize,
}

/// The parts that are low; nothing left first, then the most that is missing.
pub fn low(view: &View, today: Date) -> Result<Vec<Low>, Refused<StockError>> {
    let mut stands = BTreeMap::new();
    for case in view.cases()? {
        if view.state(&case.number)?.closed.is_none() {
            of_case(view, &case, &mut stands)?;
        }
    }
    let claims = view.claims()?;
    for part in claims.keys() {
        stands.entry(part.clone()).or_default();
    }
    let mut all = Vec::new();
    for (part, Stands { most, cases }) in stands {
        let claims = claims.get(&part).map_or(&[][..], Vec::as_slice);
        let lines = view.stock_of(&part)?.into_iter();
        let usable = lines.filter(|l| {
            l.place.house().is_some()
                && !l.expiry.is_over(today)
                && !claims.iter().any(|c| c.calls_back(&l.lot))
        });
        let there = usable.map(|l| l.quantity).sum();
        let low = Low { part, there, one_visit: most, promised: promised(claims, today), cases };
        if low.there < low.wanted() {
            all.push(low);
        }
    }
    all.sort_by_key(|l| (l.there > 0, l.there - l.wanted(), l.part.clone()));
    Ok(all)
}

/// Adds what one visit of a case takes.
fn of_case(view: &View, case: &CaseHead, stands: &mut BTreeMap<PartCode, Stands>) -> Result<(), ViewError> {
    let restorations = view.restorations(&case.number)?;
    let mut takes: BTreeMap<(PartCode, String), u32> = BTreeMap::new();
    for site in &case.sites {
        let assembly = view.assembly(&case.number, *site)?;
        let restoration = lookup::restoration_at(&restorations, *site);
        let at = restoration.map_or_else(|| format!("tooth {site}"), Restoration::words);
        // An empty position takes one as well: what stood there, or else what its neighbour has.
        let empty = empties_at(view, case, *site)?;
        let empty = empty.iter().filter(|e| e.site == *site).filter_map(|e| e.known.fitted());
        let all: Vec<&Fitted> = assembly.iter().chain(empty).collect();
        let prosthetic = all.iter().any(|f| f.position == Position::ProstheticScrew);
        for fitted in all.into_iter().filter(|f| is_changed_at_the_chair(f)) {
            let takes = takes.entry((fitted.part.code.clone(), at.clone())).or_default();
            let is_of_a_set = restoration.is_some() && holds_restoration(prosthetic, fitted.position);
            *takes = if is_of_a_set { *takes + 1 } else { (*takes).max(1) };
        }
    }
    let mut counted = None;
    for ((part, at), quantity) in takes {
        let its = stands.entry(part.clone()).or_default();
        its.cases += usize::from(counted.as_ref() != Some(&part));
        counted = Some(part);
        if its.most.as_ref().is_none_or(|most| most.quantity < quantity) {
            its.most = Some(OneVisit { quantity, case: case.number.clone(), at });
        }
    }
    Ok(())
}

/// What is in the bridge, in the bone, or made for one patient is not changed out of a drawer.
fn is_changed_at_the_chair(fitted: &Fitted) -> bool {
    let position =
        matches!(fitted.position, Position::Abutment | Position::AbutmentScrew | Position::ProstheticScrew);
    position && fitted.part.made.is_none()
}

/// The screw that is undone to take the restoration off: it goes back with a new one at every site.
fn holds_restoration(prosthetic: bool, screw: Position) -> bool {
    match screw {
        Position::ProstheticScrew => true,
        Position::AbutmentScrew => !prosthetic,
        _ => false,
    }
}

/// Of what is planned and what is set aside the greater, case by case: a hold is for the work that is planned.
fn promised(claims: &[Claim], today: Date) -> i64 {
    let mut cases: BTreeMap<&CaseNumber, (i64, i64)> = BTreeMap::new();
    for claim in claims {
        match claim {
            Claim::Needed(need) if need.on >= today => {
                cases.entry(&need.case).or_default().0 += i64::from(need.quantity);
            }
            Claim::Held(hold) if hold.until >= today => {
                cases.entry(&hold.case).or_default().1 += i64::from(hold.left());
            }
            _ => {}
        }
    }
    cases.into_values().map(|(needed, held)| needed.max(held)).sum()
}
