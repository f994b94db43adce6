//! Holds that stand: what is set aside for whom, and whether it is all there.

use jiff::civil::Date;

use crate::desk::lookup;
use crate::record::{Entry, View, ViewError, movements};
use crate::stock::{Claim, Hold, StockLine, in_drawers, served};
use crate::units::{CaseNumber, Lot, PartCode, show_date};

/// A hold that stands.
#[derive(Debug, Clone, PartialEq, Eq)]
#[allow(missing_docs)]
pub struct Standing {
    pub part: PartCode,
    pub hold: Hold,
    /// How many units there are for it.
    pub covered: u32,
}

impl Standing {
    /// A fact has taken away what it was promised.
    pub fn is_short(&self) -> bool {
        self.covered < self.hold.left()
    }

    /// 'hold 61: 2 pieces of lot A for case 1047 until 5 Dec 2026'
    pub fn words(&self) -> String {
        let Hold { entry, case, lot, until, .. } = &self.hold;
        format!(
            "hold {entry}: {} of lot {lot} for case {case} until {}",
            lookup::pieces(self.hold.left()),
            show_date(*until)
        )
    }
}

/// The holds on a part that stand.
pub fn standing_on(view: &View, part: &PartCode, today: Date) -> Result<Vec<Standing>, ViewError> {
    let claims = view.claims_of(part)?;
    if claims.is_empty() {
        return Ok(Vec::new());
    }
    Ok(of_part(part, &view.stock_of(part)?, &claims, today))
}

fn of_part(part: &PartCode, lines: &[StockLine], claims: &[Claim], today: Date) -> Vec<Standing> {
    let all = served(lines, claims, today).into_iter();
    all.map(|(hold, covered)| Standing { part: part.clone(), hold: hold.clone(), covered }).collect()
}

/// Every hold that stands, by part, then in the order they were booked.
pub fn standing(view: &View, today: Date) -> Result<Vec<Standing>, ViewError> {
    let mut all = Vec::new();
    for (part, claims) in view.claims()? {
        all.extend(of_part(&part, &view.stock_of(&part)?, &claims, today));
    }
    Ok(all)
}

/// What to hear after something was taken: the holds on these parts that are short.
pub fn short(view: &View, parts: &[PartCode], today: Date) -> Result<Vec<String>, ViewError> {
    let mut lines = Vec::new();
    for part in parts {
        let all = standing_on(view, part, today)?.into_iter().filter(Standing::is_short);
        lines.extend(all.map(|s| {
            format!("{} of {part} is SHORT: {} in the house", s.words(), lookup::pieces(s.covered))
        }));
    }
    Ok(lines)
}

/// The other cases' holds that would be touched if `wanted` more units of a lot went to a case; none if they are free.
pub fn in_the_way(
    view: &View,
    part: &PartCode,
    lot: &Lot,
    case: &CaseNumber,
    wanted: i64,
    today: Date,
) -> Result<Vec<Standing>, ViewError> {
    let mut others = standing_on(view, part, today)?;
    others.retain(|s| s.hold.lot == *lot && s.hold.case != *case);
    let for_others: i64 = others.iter().map(|s| i64::from(s.covered)).sum();
    if in_drawers(&view.stock_of(part)?, lot) - for_others >= wanted {
        others.clear();
    }
    Ok(others)
}

/// The parts of which an entry moved units.
pub fn parts_of(entry: &Entry) -> Vec<PartCode> {
    let mut parts: Vec<PartCode> = Vec::new();
    let _: Result<(), std::convert::Infallible> = movements(entry, |m| {
        if !parts.contains(m.part) {
            parts.push(m.part.clone());
        }
        Ok(())
    });
    parts
}
