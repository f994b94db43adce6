//! What is called keeping the fit: shown, and set with a reason.

use thiserror::Error;

use crate::case::{Bands, BandsError};
use crate::desk::Failing;
use crate::desk::lookup::NotFound;
use crate::record::{BandsSet, Entry, RecordError, View, ViewError};

/// Why nothing was booked.
#[derive(Debug, Error)]
pub enum SetBandsError {
    /// Something could not be read.
    #[error(transparent)]
    NotFound(#[from] NotFound),
    /// No bands.
    #[error("{0}. Nothing was booked")]
    Bands(#[from] BandsError),
    /// The same as before.
    #[error("these are the bands already, with that reason: nothing was booked")]
    Same,
    /// The record.
    #[error(transparent)]
    Record(#[from] RecordError),
}

impl From<ViewError> for SetBandsError {
    fn from(e: ViewError) -> Self {
        Self::NotFound(e.into())
    }
}

impl Failing for SetBandsError {
    fn is_view(&self) -> bool {
        matches!(self, Self::NotFound(NotFound::View(_)))
    }
}

/// The bands in force, and whether somebody here set them.
pub fn in_force(view: &View) -> Result<(Bands, bool), SetBandsError> {
    let set = view.bands()?;
    let was_set = set.is_some();
    Ok((set.unwrap_or_else(Bands::usual), was_set))
}

/// The entry that sets them.
pub fn set(view: &View, bands: Result<Bands, BandsError>) -> Result<Entry, SetBandsError> {
    let bands = bands?;
    if view.bands()?.as_ref() == Some(&bands) {
        return Err(SetBandsError::Same);
    }
    Ok(Entry::BandsSet(BandsSet { bands }))
}
