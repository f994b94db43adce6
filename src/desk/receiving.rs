//! Receive: a delivery goes into a drawer.

use thiserror::Error;

use super::Failing;
use super::apart::called_back;
use super::lookup::{self, NotFound};
use crate::record::{Entry, ReceiveLine, Received, RecordError, View, ViewError};
use crate::units::{Expiry, Lot, PartCode, PlaceId, RawLabel};

/// What came.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Receive {
    pub part: PartCode,
    pub lot: Lot,
    pub quantity: u32,
    pub place: PlaceId,
    pub new_place: bool,
    pub expiry: Option<Expiry>,
    pub label: Option<RawLabel>,
}

/// Why it was not received.
#[derive(Debug, Error)]
pub enum ReceiveError {
    /// Something named is not on record.
    #[error(transparent)]
    NotFound(#[from] NotFound),
    /// The lot is known with another expiry.
    #[error(
        "lot {lot} of part {part} is on record with another expiry: {recorded}; now said: {said}. Read the label again; nothing was booked"
    )]
    OtherExpiry {
        /// Which part.
        part: PartCode,
        /// Which lot.
        lot: Lot,
        /// What is on record.
        recorded: Expiry,
        /// What was said.
        said: Expiry,
    },
    /// Nobody is to be given it.
    #[error(
        "lot {lot} of part {part} was called back by its maker (entry {entry}): it does not go into a drawer. Send it back; nothing was booked"
    )]
    CalledBack {
        /// Which part.
        part: PartCode,
        /// Which lot.
        lot: Lot,
        /// By which entry.
        entry: u64,
    },
    /// The record.
    #[error(transparent)]
    Record(#[from] RecordError),
}

impl From<ViewError> for ReceiveError {
    fn from(e: ViewError) -> Self {
        Self::NotFound(e.into())
    }
}

impl Failing for ReceiveError {
    fn is_view(&self) -> bool {
        matches!(self, Self::NotFound(NotFound::View(_)))
    }
}

/// The entry for a delivery.
pub fn decide(view: &View, ask: &Receive) -> Result<Entry, ReceiveError> {
    lookup::part(view, &ask.part)?;
    lookup::place_to_fill(view, &ask.place, ask.new_place)?;
    let lines = view.stock_of(&ask.part)?;
    lookup::room_for(&lines, &ask.lot, &ask.place)?;
    let known = lines.into_iter().find(|l| l.lot == ask.lot);
    if let (Some(known), Some(said)) = (known, ask.expiry)
        && known.expiry != said
        && known.expiry != Expiry::NotRecorded
    {
        let (part, lot) = (ask.part.clone(), ask.lot.clone());
        return Err(ReceiveError::OtherExpiry { part, lot, recorded: known.expiry, said });
    }
    if let Some(entry) = called_back(view, &ask.part, &ask.lot)? {
        return Err(ReceiveError::CalledBack { part: ask.part.clone(), lot: ask.lot.clone(), entry });
    }
    let line = ReceiveLine {
        part: ask.part.clone(),
        lot: ask.lot.clone(),
        quantity: ask.quantity,
        place: ask.place.clone(),
        expiry: ask.expiry,
        label: ask.label.clone(),
    };
    Ok(Entry::Received(Received { lines: vec![line] }))
}
