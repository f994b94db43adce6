//! Lots that their maker called back.

use crate::record::{View, ViewError};
use crate::stock::Claim;
use crate::units::{Lot, PartCode};

/// By which entry a lot was called back, if it was.
pub fn called_back(view: &View, part: &PartCode, lot: &Lot) -> Result<Option<u64>, ViewError> {
    Ok(view.claims_of(part)?.iter().find_map(|c| match c {
        Claim::CalledBack { entry, lot: called, .. } if called == lot => Some(*entry),
        _ => None,
    }))
}
