//! The packs of a tray, scanned as they are opened: each must be of a part and a lot that the tray has.

use jiff::civil::Date;

use super::super::lookup;
use super::super::packs::{Said, pack};
use super::LayingError;
use crate::record::{UseLine, View};
use crate::units::RawLabel;

/// Keeps every label with the lines of its lot; one that belongs to none of them is somebody's wrong pack.
pub(super) fn keep(
    view: &View,
    labels: &[RawLabel],
    lines: &mut [UseLine],
    today: Date,
) -> Result<(), LayingError> {
    for label in labels {
        let pack = pack(view, Said { label: Some(label.as_raw()), ..Said::default() }, today)?;
        let (part, lot) = (&pack.part, pack.lot()?);
        if let Some(expiry) = pack.expiry.filter(|e| e.is_over(today)) {
            return Err(LayingError::Over { part: part.clone(), lot: lot.clone(), expiry });
        }
        let its = |l: &&mut UseLine| l.part.code == *part && l.lot == *lot;
        let mut kept = 0;
        for line in lines.iter_mut().filter(its) {
            line.label = Some(label.clone());
            kept += 1;
        }
        if kept == 0 {
            let tray =
                lookup::list(lines.iter().map(|l| format!("{} at {}, lot {}", l.part.code, l.site, l.lot)));
            return Err(LayingError::NotOfTray { part: part.clone(), lot: lot.clone(), tray });
        }
    }
    Ok(())
}
