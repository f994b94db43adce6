//! What of a part lies in the house, and what of that may be taken for whom.

use jiff::civil::Date;

use crate::record::{View, ViewError};
use crate::stock::{StockLine, free_for};
use crate::units::{CaseNumber, PartCode};

/// What lies in the house of a part, expired or not.
pub fn in_house(view: &View, code: &PartCode) -> Result<Vec<StockLine>, ViewError> {
    let mut lines = view.stock_of(code)?;
    lines.retain(|l| l.quantity > 0 && l.place.house().is_some());
    Ok(lines)
}

/// What lies in drawers of a part and may be taken for that case: nothing that is set aside for another one.
pub fn free(
    view: &View,
    part: &PartCode,
    case: Option<&CaseNumber>,
    today: Date,
) -> Result<Vec<StockLine>, ViewError> {
    let lines = view.stock_of(part)?;
    // Most parts that are asked about are not in the house at all.
    if lines.is_empty() {
        return Ok(lines);
    }
    Ok(free_for(lines, &view.claims_of(part)?, case, today))
}
