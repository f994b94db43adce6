//! Find: which part a label belongs to, what the label says, and where that part lies.

use jiff::civil::Date;
use thiserror::Error;

use super::apart::called_back;
use super::holding::Standing;
use super::shelves::{self, Apart, Row, StockError, Which, list};
use crate::catalog::Part;
use crate::desk::Failing;
use crate::desk::lookup::NotFound;
use crate::record::{RecordError, View, ViewError};
use crate::scan::{Content, Item, Label, NotRead, Verdict, read};
use crate::units::{Expiry, Lot, PartCode};

/// Why nothing was looked up.
#[derive(Debug, Error)]
pub enum FindError {
    /// Something named is not on record.
    #[error(transparent)]
    NotFound(#[from] NotFound),
    /// The label cannot be taken.
    #[error("this label is not taken: {0}")]
    Refused(String),
    /// The label names no item.
    #[error("this label names no item: scan the other one on the pack, the one with the item number")]
    NoItem,
    /// Of which of them is the pack?
    #[error(
        "this label names two items, the pack and what is in it: say the part by its code and the lot as printed. Nothing was booked"
    )]
    TwoItems,
    /// The stock.
    #[error(transparent)]
    Stock(#[from] StockError),
    /// The record.
    #[error(transparent)]
    Record(#[from] RecordError),
}

impl From<ViewError> for FindError {
    fn from(e: ViewError) -> Self {
        Self::NotFound(e.into())
    }
}

impl Failing for FindError {
    fn is_view(&self) -> bool {
        match self {
            Self::NotFound(NotFound::View(_)) => true,
            Self::Stock(e) => e.is_view(),
            _ => false,
        }
    }
}

/// What a label leads to.
#[derive(Debug, Clone)]
pub struct Found {
    /// What was read.
    pub label: Label,
    /// The parts of the catalogue with its item number; none: offered as a new one, never invented.
    pub parts: Vec<Part>,
    /// What of them lies in the house; the label's own lot first.
    pub rows: Vec<Row>,
    /// What of them is set aside, and for whom.
    pub held: Vec<Standing>,
    /// What of them is kept apart.
    pub apart: Vec<Apart>,
    /// What must be known before anybody takes this pack: the lot called back, expired, doubts of the label itself.
    pub careful: Vec<String>,
}

/// The item number as the catalogue keeps it: a GTIN of 14 digits, or labeler, number and unit of HIBC in one.
pub fn number(item: &Item<'_>) -> String {
    match item {
        Item::Gtin(gtin) => (*gtin).to_owned(),
        Item::Hibc { lic, pcn, unit } => format!("{lic}{pcn}{unit}"),
    }
}

/// A label read, with the parts that have its item number and what must be known of the pack.
pub(super) struct Read {
    pub label: Label,
    pub parts: Vec<Part>,
    pub careful: Vec<String>,
}

/// Reads a label; two digits of a year are near to that of `today`.
pub(super) fn identify(view: &View, text: &str, today: Date) -> Result<Read, FindError> {
    let mut label = read(text, today.year());
    // Typed by somebody who reads the digits off the pack: the item and nothing else.
    if let Content::NotRead(NotRead::ItemAlone(digits)) = label.content() {
        label = read(&format!("(01){digits:0>14}"), today.year());
    }
    if matches!(label.verdict(), Verdict::Error | Verdict::NotGs1) {
        return Err(FindError::Refused(label.reasons().join("; ")));
    }
    if ["01", "02"].iter().all(|ai| label.elements().iter().any(|e| e.ai() == *ai)) {
        return Err(FindError::TwoItems);
    }
    let parts = view.parts_by_item_number(&number(&label.item().ok_or(FindError::NoItem)?))?;
    let mut careful = label.reasons();
    careful.extend(over(&label, today));
    let lot = label.lot().or(label.serial()).and_then(|l| Lot::new(l).ok());
    for part in &parts {
        careful.extend(of_lot(view, &part.code, lot.as_ref(), label.expiry())?);
    }
    Ok(Read { label, parts, careful })
}

/// A pack that is over.
pub(super) fn over(label: &Label, today: Date) -> Option<String> {
    label.expiry().filter(|e| e.is_over(today)).map(|e| format!("this pack is EXPIRED, {e}"))
}

/// What must be known of a lot: that the record has another expiry than the label, that it was called back.
pub(super) fn of_lot(
    view: &View,
    part: &PartCode,
    lot: Option<&Lot>,
    printed: Option<Expiry>,
) -> Result<Vec<String>, ViewError> {
    let Some(lot) = lot else { return Ok(Vec::new()) };
    let line = view.stock_of(part)?.into_iter().find(|l| l.lot == *lot);
    let recorded = line.map_or(Expiry::NotRecorded, |l| l.expiry);
    let mut lines = Vec::new();
    if let Some(entry) = called_back(view, part, lot)? {
        lines.push(format!("lot {lot} was CALLED BACK BY ITS MAKER (entry {entry}): it goes into nobody"));
    }
    if let Some(printed) = printed.filter(|p| recorded != Expiry::NotRecorded && !recorded.agrees(*p)) {
        lines.push(format!(
            "the label says usable until {printed}, the record has {recorded} for lot {lot}: look at the pack again"
        ));
    }
    Ok(lines)
}

/// Looks a label up, with all that lies in the house of its part.
pub fn find(view: &View, text: &str, today: Date) -> Result<Found, FindError> {
    let Read { label, parts, careful } = identify(view, text, today)?;
    let (mut rows, mut held, mut kept) = (Vec::new(), Vec::new(), Vec::new());
    for part in &parts {
        let which = Which { part: Some(part.code.clone()), ..Which::default() };
        rows.extend(list(view, &which, today)?);
        held.extend(shelves::held(view, &which, today)?);
        kept.extend(shelves::apart(view, &which)?);
    }
    rows.sort_by_key(|r| Some(r.lot.as_str()) != label.lot());
    Ok(Found { label, parts, rows, held, apart: kept, careful })
}
