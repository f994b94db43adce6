//! Stock that leaves the drawers otherwise than into a patient, and comes back: discarded, kept apart, reprocessed.

use thiserror::Error;

use crate::desk::lookup::{self, NotFound};
use crate::desk::{ExitClass, Refusal, Refused};
use crate::lots::called_back::called_back;
use crate::lots::take::{TakeError, left_of, take_apart, take_from};
use crate::record::{
    DiscardLine, Discarded, Entry, QuarantineLifted, Quarantined, Reprocessed, TakenFrom, View,
};
use crate::stock::{StockLine, Where};
use crate::units::{Lot, Note, PartCode, PlaceId};

/// From where something is taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Source {
    /// From that drawer, or from the only one that holds the lot.
    Drawer(Option<PlaceId>),
    /// From what is kept apart.
    Quarantine,
    /// From what is to be reprocessed.
    Reprocess,
}

/// What is meant.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Units {
    pub part: PartCode,
    pub lot: Lot,
    pub quantity: u32,
}

/// Why nothing was thrown away, kept apart or brought back.
#[derive(Debug, Error)]
pub enum ApartError {
    /// Something named is not on record.
    #[error(transparent)]
    NotFound(#[from] NotFound),
    /// Not there to be taken.
    #[error(transparent)]
    Take(#[from] TakeError),
    /// Nothing left to keep apart.
    #[error(
        "no unit of lot {lot} of part {part} lies in a drawer: nothing to keep apart, nothing was booked"
    )]
    NothingLeft {
        /// Which part.
        part: PartCode,
        /// Which lot.
        lot: Lot,
    },
    /// It stays apart.
    #[error(
        "lot {lot} of part {part} was called back by its maker (entry {entry}): it does not go back into a drawer. Nothing was booked"
    )]
    CalledBack {
        /// Which part.
        part: PartCode,
        /// Which lot.
        lot: Lot,
        /// By which entry.
        entry: u64,
    },
}

impl Refusal for ApartError {
    fn class(&self) -> ExitClass {
        match self {
            Self::NotFound(e) => e.class(),
            Self::Take(e) => e.class(),
            Self::NothingLeft { .. } | Self::CalledBack { .. } => ExitClass::Facts,
        }
    }
}

fn taken(lines: &[StockLine], units: &Units, source: &Source) -> Result<Where, Refused<ApartError>> {
    let Units { part, lot, quantity } = units;
    Ok(match source {
        Source::Drawer(place) => {
            Where::House(take_from(lines, part, lot, place.as_ref(), *quantity).map_err(ApartError::from)?)
        }
        Source::Quarantine => {
            take_apart(lines, part, lot, Where::Quarantine, *quantity).map_err(ApartError::from)?
        }
        Source::Reprocess => {
            take_apart(lines, part, lot, Where::Reprocess, *quantity).map_err(ApartError::from)?
        }
    })
}

/// The part is in the catalogue or has been in stock, and the drawer exists.
fn check_named(view: &View, part: &PartCode, source: &Source) -> Result<Vec<StockLine>, Refused<ApartError>> {
    let lines = view.stock_of(part)?;
    if lines.is_empty() {
        lookup::part(view, part)?;
    }
    if let Source::Drawer(Some(place)) = source {
        lookup::place(view, place)?;
    }
    Ok(lines)
}

/// The entry that throws units away.
pub fn discard(
    view: &View,
    units: &Units,
    source: &Source,
    because: &Note,
) -> Result<Entry, Refused<ApartError>> {
    let lines = check_named(view, &units.part, source)?;
    let from = taken(&lines, units, source)?;
    let Units { part, lot, quantity } = units.clone();
    let line = DiscardLine { part, lot, quantity, from };
    Ok(Entry::Discarded(Discarded { lines: vec![line], because: because.clone() }))
}

/// The entry that puts reprocessed units back into a drawer.
pub fn reprocess(
    view: &View,
    units: &Units,
    place: &PlaceId,
    new_place: bool,
) -> Result<Entry, Refused<ApartError>> {
    let lines = check_named(view, &units.part, &Source::Reprocess)?;
    lookup::place_to_fill(view, place, new_place)?;
    refuse_called_back(view, &units.part, &units.lot)?;
    lookup::room_for(&lines, &units.lot, place)?;
    taken(&lines, units, &Source::Reprocess)?;
    let Units { part, lot, quantity } = units.clone();
    Ok(Entry::Reprocessed(Reprocessed { part, lot, quantity, place: place.clone() }))
}

/// The entry that keeps units apart: so many of a lot, or all of it that lies in drawers.
pub fn quarantine(
    view: &View,
    part: &PartCode,
    lot: &Lot,
    quantity: Option<u32>,
    place: Option<&PlaceId>,
    because: &Note,
) -> Result<Entry, Refused<ApartError>> {
    let lines = check_named(view, part, &Source::Drawer(place.cloned()))?;
    let from = match quantity {
        Some(quantity) => {
            let from = Where::House(take_from(&lines, part, lot, place, quantity).map_err(ApartError::from)?);
            vec![TakenFrom { from, quantity }]
        }
        None => left_of(&lines, lot, |at| at.house().is_some_and(|p| place.is_none_or(|only| only == p))),
    };
    if from.is_empty() {
        return Err(ApartError::NothingLeft { part: part.clone(), lot: lot.clone() }.into());
    }
    let (part, lot, because) = (part.clone(), lot.clone(), because.clone());
    Ok(Entry::Quarantined(Quarantined { part, lot, lines: from, because }))
}

/// The entry that puts what was kept apart back into a drawer.
pub fn lift(
    view: &View,
    units: &Units,
    place: &PlaceId,
    new_place: bool,
    because: &Note,
) -> Result<Entry, Refused<ApartError>> {
    let lines = check_named(view, &units.part, &Source::Quarantine)?;
    lookup::place_to_fill(view, place, new_place)?;
    refuse_called_back(view, &units.part, &units.lot)?;
    lookup::room_for(&lines, &units.lot, place)?;
    taken(&lines, units, &Source::Quarantine)?;
    let (Units { part, lot, quantity }, because) = (units.clone(), because.clone());
    Ok(Entry::QuarantineLifted(QuarantineLifted { part, lot, quantity, place: place.clone(), because }))
}

fn refuse_called_back(view: &View, part: &PartCode, lot: &Lot) -> Result<(), Refused<ApartError>> {
    match called_back(view, part, lot)? {
        Some(entry) => Err(ApartError::CalledBack { part: part.clone(), lot: lot.clone(), entry }.into()),
        None => Ok(()),
    }
}
