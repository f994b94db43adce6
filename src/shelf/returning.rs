//! Return: a part comes back from a patient, and nothing takes its place.
//!
//! What was in a mouth never lies in a drawer again before it was reprocessed, and only where its source says that it
//! may be used again.

use thiserror::Error;

use crate::catalog::{Kind, Position, Reuse};
use crate::desk::lookup::{self, NotFound};
use crate::desk::{ExitClass, Refusal, Refused};
use crate::record::{Became, Entry, Returned, View};
use crate::stock::Where;
use crate::units::{CaseNumber, Note, PartCode, PlaceId, Tooth};

/// What becomes of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum To {
    /// It was in a mouth: it is reprocessed.
    Reprocess,
    /// It was in a mouth: it does not come back.
    Gone(Became),
    /// It was in no mouth, whatever was booked: it lies in a drawer.
    Drawer {
        /// Which.
        place: PlaceId,
        /// The drawer is new.
        new_place: bool,
    },
}

/// What comes back.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Return {
    pub case: CaseNumber,
    pub site: String,
    pub position: Position,
    pub to: To,
    pub because: Note,
}

/// Why it was not booked.
#[derive(Debug, Error)]
pub enum ReturnError {
    /// Something named is not on record.
    #[error(transparent)]
    NotFound(#[from] NotFound),
    /// Never back.
    #[error(
        "part {part} {why} and was in a mouth: it never goes back to a shelf. Book it as gone: 'spareseat return {case} --site {} --position {} --old discarded --because REASON', or '--old kept'. If it was in no mouth at all: --never-in-mouth --place DRAWER. Nothing was booked",
        .site.iso(), .position.slug()
    )]
    SingleUse {
        /// Which part.
        part: PartCode,
        /// What is said of its use.
        why: &'static str,
        /// Whose.
        case: CaseNumber,
        /// Where.
        site: Tooth,
        /// Where it stood.
        position: Position,
    },
    /// An implant is not taken out of its bone and cleaned.
    #[error(
        "part {0} is an implant: it never goes back to a shelf. Book it as gone with --old kept or --old discarded; nothing was booked"
    )]
    Implant(PartCode),
    /// Nobody knows what lies there then.
    #[error(
        "part {part} at {site} of case {case} has no lot on record: it cannot lie on a shelf by the record. Book it as gone with --old, and receive it with its lot; nothing was booked"
    )]
    NoLot {
        /// Which part.
        part: PartCode,
        /// Whose.
        case: CaseNumber,
        /// Where.
        site: Tooth,
    },
}

impl Refusal for ReturnError {
    fn class(&self) -> ExitClass {
        match self {
            Self::NotFound(e) => e.class(),
            Self::SingleUse { .. } | Self::Implant(_) | Self::NoLot { .. } => ExitClass::Facts,
        }
    }
}

/// The entry for a return.
pub fn decide(view: &View, ask: &Return) -> Result<Entry, Refused<ReturnError>> {
    let case = lookup::case(view, &ask.case)?;
    let site = lookup::site(&case, &ask.site)?;
    let assembly = view.assembly(&ask.case, site)?;
    let fitted = lookup::fitted(&ask.case, site, &assembly, ask.position)?;
    let part = &fitted.part;
    let to = match &ask.to {
        To::Gone(Became::Discarded) => Where::Waste,
        To::Gone(Became::Kept) => Where::KeptPieces,
        To::Reprocess => {
            if part.kind == Kind::Implant {
                return Err(ReturnError::Implant(part.code.clone()).into());
            }
            let why = match part.reuse {
                Reuse::Reusable => None,
                Reuse::SingleUse => Some("is for single use"),
                Reuse::NotStated => Some("is nowhere said to be used again"),
            };
            if let Some(why) = why {
                let (part, case, position) = (part.code.clone(), ask.case.clone(), ask.position);
                return Err(ReturnError::SingleUse { part, why, case, site, position }.into());
            }
            Where::Reprocess
        }
        To::Drawer { place, new_place } => {
            lookup::place_to_fill(view, place, *new_place)?;
            if let Some(lot) = &fitted.lot {
                lookup::room_for(&view.stock_of(&part.code)?, lot, place)?;
            }
            Where::House(place.clone())
        }
    };
    if to.is_under_roof() && fitted.lot.is_none() {
        let (part, case) = (part.code.clone(), ask.case.clone());
        return Err(ReturnError::NoLot { part, case, site }.into());
    }
    Ok(Entry::Returned(Returned {
        case: ask.case.clone(),
        site,
        position: ask.position,
        part: part.code.clone(),
        lot: fitted.lot.clone(),
        since: fitted.on,
        torque: fitted.torque,
        to,
        never_in_mouth: matches!(ask.to, To::Drawer { .. }),
        because: ask.because.clone(),
    }))
}
