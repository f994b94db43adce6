//! A pack in the hand: what somebody says of it, by code and lot, by its label, or by both, which then must agree.

use jiff::civil::Date;
use thiserror::Error;

use super::label::{LabelError, Read, identify, number, of_lot, over};
use crate::catalog::Part;
use crate::desk::{ExitClass, Refusal, Refused};
use crate::record::View;
use crate::scan::{Label, Verdict, is_gtin, read};
use crate::units::{Expiry, LIMITS, Lot, PartCode, RawLabel};

/// What somebody says of a pack.
#[derive(Debug, Clone, Copy, Default)]
#[allow(missing_docs)]
pub struct Said<'a> {
    pub part: Option<&'a PartCode>,
    pub lot: Option<&'a Lot>,
    /// As scanned.
    pub label: Option<&'a str>,
}

/// Why nobody knows which part or lot it is.
#[derive(Debug, Error)]
pub enum PackError {
    /// The label by itself.
    #[error(transparent)]
    Label(#[from] LabelError),
    /// Neither a part nor a label.
    #[error("which part? Say its code, or scan its label. Nothing was booked")]
    Which,
    /// On no record.
    #[error(
        "no part of the catalogue has item number {0}: 'spareseat find LABEL' shows what the label says. Nothing was booked"
    )]
    NoPart(String),
    /// Which of them?
    #[error("item number {number} is that of {}: say which part it is, by its code. Nothing was booked", .parts.join(" and "))]
    #[allow(missing_docs)]
    Several { number: String, parts: Vec<String> },
    /// No lot was said.
    #[error(
        "which lot of part {0}? Say --lot as printed on the pack, or scan its label in place of the part. Nothing was booked"
    )]
    WhichLot(PartCode),
    /// Neither lot nor serial number.
    #[error("this label says no lot and no serial number: say --lot as printed. Nothing was booked")]
    NoLot,
    /// Somebody reads another pack than the scanner.
    #[error("{part} was said, and the label is that of {label}: read the pack again. Nothing was booked")]
    OtherPart {
        /// What was said.
        part: PartCode,
        /// Whose label it is.
        label: String,
    },
    /// The same with the lot.
    #[error("lot {lot} was said, the label says {label}: read the pack again. Nothing was booked")]
    OtherLot {
        /// What was said.
        lot: Lot,
        /// What the label says.
        label: Lot,
    },
}

impl Refusal for PackError {
    fn class(&self) -> ExitClass {
        match self {
            Self::Label(e) => e.class(),
            Self::NoPart(_) | Self::OtherPart { .. } | Self::OtherLot { .. } => ExitClass::Facts,
            Self::Which | Self::Several { .. } | Self::WhichLot(_) | Self::NoLot => ExitClass::Typed,
        }
    }
}

/// What is known of a pack.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Pack {
    pub part: PartCode,
    /// As said, else as the label says: its serial number where it has no lot.
    pub lot: Option<Lot>,
    /// As the label says; another symbol on the pack may say more.
    pub expiry: Option<Expiry>,
    /// As the label says, as many as the part's pack holds where it says nothing; none without a label, or where it says
    /// more than anybody may book at once.
    pub quantity: Option<u32>,
    pub label: Option<RawLabel>,
    /// What must be known before anybody takes it.
    pub careful: Vec<String>,
}

impl Pack {
    /// Its lot, for what cannot be done without one.
    pub fn lot(&self) -> Result<&Lot, PackError> {
        self.lot.as_ref().ok_or_else(|| match self.label {
            Some(_) => PackError::NoLot,
            None => PackError::WhichLot(self.part.clone()),
        })
    }
}

/// What is known of the pack that somebody names.
pub fn pack(view: &View, said: Said<'_>, today: Date) -> Result<Pack, Refused<PackError>> {
    let (part, lot) = (said.part, said.lot.cloned());
    match (part, said.label) {
        (None, None) => Err(PackError::Which.into()),
        // An item number, read off the pack and typed.
        (Some(digits), None) if is_gtin(digits.as_str()) && view.part(digits)?.is_none() => {
            let pack = by_label(view, digits.as_str(), lot, today)?;
            Ok(Pack { label: None, quantity: None, ..pack })
        }
        (Some(part), None) => {
            let (part, careful) = (part.clone(), Vec::new());
            Ok(Pack { part, lot, expiry: None, quantity: None, label: None, careful })
        }
        (None, Some(text)) => by_label(view, text, lot, today),
        (Some(part), Some(text)) => beside_label(view, part, text, lot, today),
    }
}

/// The label alone says which part it is.
fn by_label(view: &View, text: &str, said: Option<Lot>, today: Date) -> Result<Pack, Refused<PackError>> {
    let Read { label, mut parts, careful } = identify(view, text, today).map_err(Refused::lift)?;
    let number = label.item().map_or(String::new(), |i| number(&i));
    let part = match parts.len() {
        0 => return Err(PackError::NoPart(number).into()),
        1 => parts.remove(0),
        _ => {
            let parts = parts.iter().map(|p| p.code.to_string()).collect();
            return Err(PackError::Several { number, parts }.into());
        }
    };
    // A label that says how many is believed or nobody is: a full pack is only taken where it says nothing.
    let full = part.pack.known().map(|n| u32::from(*n)).filter(|_| label.quantity().is_none());
    let quantity = quantity(&label).or(full);
    let lot = agreed(&label, said)?;
    let (expiry, label) = (label.expiry(), label.raw().cloned());
    Ok(Pack { part: part.code, lot, expiry, quantity, label, careful })
}

/// Somebody says the part, and the label is kept with it: whatever cannot be read in it is kept as it is.
fn beside_label(
    view: &View,
    part: &PartCode,
    text: &str,
    said: Option<Lot>,
    today: Date,
) -> Result<Pack, Refused<PackError>> {
    let label = read(text, today.year());
    let raw = label.raw().cloned();
    if matches!(label.verdict(), Verdict::Error | Verdict::NotGs1) {
        let careful =
            vec![format!("the label cannot be read and is kept as it is: {}", label.reasons().join("; "))];
        return Ok(Pack { part: part.clone(), lot: said, expiry: None, quantity: None, label: raw, careful });
    }
    let mut careful = label.reasons();
    if let Some(number) = label.item().map(|i| number(&i)) {
        let parts: Vec<Part> = view.parts_by_item_number(&number)?;
        if parts.is_empty() {
            careful.push(format!("item number {number} of the label is on record of no part"));
        } else if !parts.iter().any(|p| p.code == *part) {
            let label = parts.iter().map(|p| p.code.to_string()).collect::<Vec<_>>().join(" and ");
            return Err(PackError::OtherPart { part: part.clone(), label }.into());
        }
    }
    let (lot, expiry, quantity) = (agreed(&label, said)?, label.expiry(), quantity(&label));
    careful.extend(over(&label, today));
    careful.extend(of_lot(view, part, lot.as_ref(), expiry)?);
    Ok(Pack { part: part.clone(), lot, expiry, quantity, label: raw, careful })
}

/// How many the label says, as far as anybody may book so many at once.
fn quantity(label: &Label) -> Option<u32> {
    label.quantity().filter(|n| LIMITS.quantity.check(i64::from(*n), "").is_ok())
}

/// The lot that was said, and the label's, which must be one; a serial number stands for a lot nobody has said.
fn agreed(label: &Label, said: Option<Lot>) -> Result<Option<Lot>, PackError> {
    let read = |text: &str| Lot::new(text).map_err(|e| LabelError::Refused(e.to_string()));
    let printed = label.lot().map(read).transpose()?;
    match (said, printed) {
        (Some(lot), Some(label)) if lot != label => Err(PackError::OtherLot { lot, label }),
        (None, None) => Ok(label.serial().map(read).transpose()?),
        (said, printed) => Ok(said.or(printed)),
    }
}
