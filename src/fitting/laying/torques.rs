//! One torque for a whole tray: only where its parts ask for one.

use super::{LayingError, Line, Told, Unit};
use crate::case::TorqueRecord;
use crate::catalog::TorqueSpec;
use crate::desk::Refused;
use crate::desk::lookup;

/// Refuses one torque for parts that ask for several: a screw set to another's comes loose or breaks.
///
/// A part that is named with a torque of its own does not count among them; 'not measured' may be said of any.
pub(super) fn one_for_all(used: &[Unit<'_>], told: &Told) -> Result<(), Refused<LayingError>> {
    let Some(said @ TorqueRecord::Measured(_)) = told.torque else { return Ok(()) };
    let named = |u: &Unit<'_>| told.torques.iter().any(|(line, _)| line.names(u.site, u.position()));
    let mut groups: Vec<(&TorqueSpec, Vec<&Unit<'_>>)> = Vec::new();
    for unit in used.iter().filter(|u| u.row.part.torque != TorqueSpec::NotApplicable && !named(u)) {
        match groups.iter_mut().find(|(asks, _)| *asks == &unit.row.torque.rules) {
            Some((_, units)) => units.push(unit),
            None => groups.push((&unit.row.torque.rules, vec![unit])),
        }
    }
    if groups.len() < 2 {
        return Ok(());
    }
    // Whoever said it meant those that ask for it.
    let meant = |asks: &TorqueSpec| asks.stated().map(TorqueRecord::Measured) == Some(said);
    let other = groups.iter().find(|(asks, _)| !meant(asks)).unwrap_or(&groups[0]);
    let line = |u: &Unit<'_>| Line { site: u.site, position: Some(u.position()) };
    let value = other.0.stated().map_or("NCM".to_owned(), |t| t.number().to_string());
    let example = format!("{}={value}", line(other.1[0]).typed());
    let groups = groups.iter().map(|(asks, units)| {
        let lines = lookup::list(units.iter().map(|u| line(u).to_string()));
        match asks {
            TorqueSpec::Stated(torque) => format!("{torque}: {lines}"),
            other => format!("{other}: {lines}"),
        }
    });
    let groups = groups.collect::<Vec<_>>().join("; ");
    Err(LayingError::Torques { said, groups, example }.into())
}
