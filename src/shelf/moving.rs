//! Move: stock goes from drawer to drawer.

use thiserror::Error;

use crate::desk::lookup::{self, NotFound};
use crate::desk::{ExitClass, Refusal, Refused};
use crate::lots::take::{TakeError, take_from};
use crate::record::{Entry, MoveLine, Moved, View};
use crate::units::{Lot, PartCode, PlaceId};

/// What is to be moved.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Move {
    pub part: PartCode,
    pub lot: Lot,
    pub quantity: u32,
    pub from: Option<PlaceId>,
    pub to: PlaceId,
    pub new_place: bool,
}

/// Why it was not moved.
#[derive(Debug, Error)]
pub enum MoveError {
    /// Something named is not on record.
    #[error(transparent)]
    NotFound(#[from] NotFound),
    /// Not there to be taken.
    #[error(transparent)]
    Take(#[from] TakeError),
    /// From a place to itself.
    #[error("part {part} already lies in {place}: nothing was booked")]
    SamePlace {
        /// Which part.
        part: PartCode,
        /// Where.
        place: PlaceId,
    },
}

impl Refusal for MoveError {
    fn class(&self) -> ExitClass {
        match self {
            Self::NotFound(e) => e.class(),
            Self::Take(e) => e.class(),
            Self::SamePlace { .. } => ExitClass::Facts,
        }
    }
}

/// The entry for a move.
pub fn decide(view: &View, ask: &Move) -> Result<Entry, Refused<MoveError>> {
    lookup::part(view, &ask.part)?;
    if let Some(from) = &ask.from {
        lookup::place(view, from)?;
    }
    lookup::place_to_fill(view, &ask.to, ask.new_place)?;
    let lines = view.stock_of(&ask.part)?;
    lookup::room_for(&lines, &ask.lot, &ask.to)?;
    let from =
        take_from(&lines, &ask.part, &ask.lot, ask.from.as_ref(), ask.quantity).map_err(MoveError::from)?;
    if from == ask.to {
        return Err(MoveError::SamePlace { part: ask.part.clone(), place: from }.into());
    }
    let line = MoveLine {
        part: ask.part.clone(),
        lot: ask.lot.clone(),
        quantity: ask.quantity,
        from,
        to: ask.to.clone(),
    };
    Ok(Entry::Moved(Moved { lines: vec![line] }))
}
