//! A label read: which parts have its item number, and what must be known of the pack.

use jiff::civil::Date;
use thiserror::Error;

use super::called_back::called_back;
use crate::catalog::Part;
use crate::desk::{ExitClass, Refusal, Refused};
use crate::record::{View, ViewError};
use crate::scan::{Content, Item, Label, NotRead, Verdict, read};
use crate::units::{Expiry, Lot, PartCode};

/// Why a label leads to nothing.
#[derive(Debug, Error)]
pub enum LabelError {
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
}

impl Refusal for LabelError {
    fn class(&self) -> ExitClass {
        match self {
            Self::Refused(_) | Self::NoItem | Self::TwoItems => ExitClass::Facts,
        }
    }
}

/// The item number as the catalogue keeps it: a GTIN of 14 digits, or labeler, number and unit of HIBC in one.
pub fn number(item: &Item<'_>) -> String {
    match item {
        Item::Gtin(gtin) => (*gtin).to_owned(),
        Item::Hibc { lic, pcn, unit } => format!("{lic}{pcn}{unit}"),
    }
}

/// A label read, with the parts that have its item number and what must be known of the pack.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Read {
    pub label: Label,
    pub parts: Vec<Part>,
    pub careful: Vec<String>,
}

/// Reads a label; two digits of a year are near to that of `today`.
pub fn identify(view: &View, text: &str, today: Date) -> Result<Read, Refused<LabelError>> {
    let mut label = read(text, today.year());
    // Typed by somebody who reads the digits off the pack: the item and nothing else.
    if let Content::NotRead(NotRead::ItemAlone(digits)) = label.content() {
        label = read(&format!("(01){digits:0>14}"), today.year());
    }
    if matches!(label.verdict(), Verdict::Error | Verdict::NotGs1) {
        return Err(LabelError::Refused(label.reasons().join("; ")).into());
    }
    if ["01", "02"].iter().all(|ai| label.elements().iter().any(|e| e.ai() == *ai)) {
        return Err(LabelError::TwoItems.into());
    }
    let parts = view.parts_by_item_number(&number(&label.item().ok_or(LabelError::NoItem)?))?;
    let mut careful = label.reasons();
    careful.extend(over(&label, today));
    let lot = label.lot().or(label.serial()).and_then(|l| Lot::new(l).ok());
    for part in &parts {
        careful.extend(of_lot(view, &part.code, lot.as_ref(), label.expiry())?);
    }
    Ok(Read { label, parts, careful })
}

/// A pack that is over.
pub fn over(label: &Label, today: Date) -> Option<String> {
    label.expiry().filter(|e| e.is_over(today)).map(|e| format!("this pack is EXPIRED, {e}"))
}

/// What must be known of a lot: that the record has another expiry than the label, that it was called back.
pub fn of_lot(
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
