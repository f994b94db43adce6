//! What is called keeping the fit: shown, and set with a reason.

use thiserror::Error;

use crate::case::{Bands, BandsError};
use crate::desk::{ExitClass, Refusal, Refused};
use crate::record::{BandsSet, Entry, View};

/// Why nothing was booked.
#[derive(Debug, Error)]
pub enum SetBandsError {
    /// No bands.
    #[error("{0}. Nothing was booked")]
    Bands(#[from] BandsError),
    /// The same as before.
    #[error("these are the bands already, with that reason: nothing was booked")]
    Same,
}

impl Refusal for SetBandsError {
    fn class(&self) -> ExitClass {
        match self {
            Self::Bands(_) => ExitClass::Typed,
            Self::Same => ExitClass::Facts,
        }
    }
}

/// The bands in force, and whether somebody here set them.
pub fn in_force(view: &View) -> Result<(Bands, bool), Refused<SetBandsError>> {
    let set = view.bands()?;
    let was_set = set.is_some();
    Ok((set.unwrap_or_else(Bands::usual), was_set))
}

/// The entry that sets them.
pub fn set(view: &View, bands: Result<Bands, BandsError>) -> Result<Entry, Refused<SetBandsError>> {
    let bands = bands.map_err(SetBandsError::from)?;
    if view.bands()?.as_ref() == Some(&bands) {
        return Err(SetBandsError::Same.into());
    }
    Ok(Entry::BandsSet(BandsSet { bands }))
}
