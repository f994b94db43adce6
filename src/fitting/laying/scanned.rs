//! The packs of a tray, scanned as they are opened: each must be of a part and a lot that the tray has.

use jiff::civil::Date;

use super::{LayingError, Line};
use crate::desk::Refused;
use crate::desk::lookup;
use crate::lots::pack::{Said, pack};
use crate::record::{UseLine, View};
use crate::scan::read;
use crate::units::RawLabel;

/// Keeps every label with the lines of its lot; one that belongs to none of them is somebody's wrong pack.
pub(super) fn keep(
    view: &View,
    labels: &[(Option<Line>, RawLabel)],
    lines: &mut [UseLine],
    today: Date,
) -> Result<(), Refused<LayingError>> {
    for (said, label) in labels {
        let pack = pack(view, Said { label: Some(label.as_raw()), ..Said::default() }, today)
            .map_err(Refused::lift)?;
        let (part, lot) = (&pack.part, pack.lot().map_err(LayingError::from)?);
        if let Some(expiry) = pack.expiry.filter(|e| e.is_over(today)) {
            return Err(LayingError::Over { part: part.clone(), lot: lot.clone(), expiry }.into());
        }
        let meant = |l: &UseLine| said.is_none_or(|said| said.names(l.site, l.position));
        let is_its = |l: &UseLine| l.part.code == *part && l.lot == *lot && meant(l);
        // A serial number is that of one unit; a label without one is that of the pack, whatever comes out of it.
        let units = if read(label.as_raw(), today.year()).serial().is_some() { 1 } else { usize::MAX };
        let bare = lines.iter_mut().filter(|l| is_its(l) && (l.label.is_none() || units > 1));
        let mut kept = 0;
        for line in bare.take(units) {
            line.label.get_or_insert_with(|| label.clone());
            kept += 1;
        }
        if kept == 0 && lines.iter().any(is_its) {
            let (part, lot) = (part.clone(), lot.clone());
            return Err(LayingError::TooMany { part, lot }.into());
        }
        if kept == 0 {
            let tray =
                lookup::list(lines.iter().map(|l| format!("{} at {}, lot {}", l.part.code, l.site, l.lot)));
            return Err(LayingError::NotOfTray { part: part.clone(), lot: lot.clone(), tray }.into());
        }
    }
    Ok(())
}
