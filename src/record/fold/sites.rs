//! What measured sites do to the view.

use super::Meta;
use crate::case::CaseHead;
use crate::record::entry::SitesMeasured;
use crate::record::key;
use crate::record::view::{MeasuringRow, View, ViewError};
use crate::units::CaseNumber;

/// The new coordinates stand in place of the old ones of the same sites; the others stay.
pub(super) fn measured(view: &mut View, seq: u64, meta: &Meta, e: SitesMeasured) -> Result<(), ViewError> {
    let sites: Vec<_> = e.measured.iter().map(|m| m.site).collect();
    if let Some(case) = view.open_list::<CaseHead>(key::case(&e.case))?.first_mut() {
        case.measured.retain(|m| !sites.contains(&m.site));
        case.measured.extend(e.measured);
        case.measured.sort_by_key(|m| (!m.site.is_upper(), m.site.along_arch()));
    }
    let mut rows = view.open_list::<MeasuringRow>(key::measurings(&e.case))?;
    for row in rows.iter_mut() {
        row.sites.retain(|t| !sites.contains(t));
    }
    rows.retain(|row| !row.sites.is_empty());
    rows.push(MeasuringRow { entry: seq, on: meta.on, sites, source: e.source, because: e.because });
    Ok(())
}

/// What comes whole from elsewhere brings its own coordinates.
pub(super) fn forget(view: &mut View, number: &CaseNumber) -> Result<(), ViewError> {
    view.open_list::<MeasuringRow>(key::measurings(number))?.clear();
    Ok(())
}
