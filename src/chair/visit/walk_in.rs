//! Nothing is on record at a site: what to look at, which drivers to try, which drawers hold candidates.

use std::cmp::Reverse;

use super::scene::Scene;
use super::tools::{ToolRow, WhatFor, in_house};
use super::tray::TrayUse;
use crate::case::Broken;
use crate::catalog::{Drive, Kind, Part};
use crate::record::ViewError;
use crate::stock::{Pick, pick};
use crate::units::PlaceId;

/// A part in a drawer that might be the one.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Possible {
    pub part: Part,
    pub pick: Pick,
}

/// What might be fitted there, by what the call is about.
fn kinds(broken: Broken) -> &'static [Kind] {
    match broken {
        Broken::ProstheticScrew => &[Kind::ProstheticScrew],
        Broken::AbutmentScrew => &[Kind::AbutmentScrew],
        Broken::Abutment | Broken::AbutmentLoose | Broken::WornThread => {
            &[Kind::MultiUnitAbutment, Kind::Abutment, Kind::AbutmentScrew]
        }
        Broken::UngluedBase => &[Kind::TitaniumBase, Kind::Cylinder],
        Broken::Facing | Broken::ImplantMoves | Broken::ImplantNeck => &[],
        Broken::NotKnown | Broken::Loose | Broken::StrippedHead => {
            &[Kind::ProstheticScrew, Kind::AbutmentScrew]
        }
    }
}

/// How many candidates are worth reading with a patient in the chair.
const SHOWN: usize = 24;

/// What lies in the house of the kinds it may be, and how many more there are.
pub(super) fn possible(scene: &Scene<'_>, broken: Broken) -> Result<(Vec<Possible>, usize), ViewError> {
    let mut found: Vec<Possible> = Vec::new();
    if kinds(broken).is_empty() {
        return Ok((found, 0));
    }
    for (code, lines) in scene.view.stock()? {
        if !lines.iter().any(|l| l.quantity > 0 && l.place.house().is_some()) {
            continue;
        }
        let Some(part) = scene.view.part(&code)?.filter(|p| kinds(broken).contains(&p.kind)) else {
            continue;
        };
        if let Some(pick) = pick(&in_house(scene, &part)?, 1, scene.today).into_iter().next() {
            found.push(Possible { part, pick });
        }
    }
    let at = |kind: Kind| kinds(broken).iter().position(|k| *k == kind);
    found.sort_by_key(|p| (at(p.part.kind), p.pick.place.clone(), p.part.code.clone()));
    let more = found.len().saturating_sub(SHOWN);
    found.truncate(SHOWN);
    Ok((found, more))
}

/// The drivers in the house, by form and from the largest: one of these may hold.
pub(super) fn drivers(scene: &Scene<'_>) -> Result<Vec<ToolRow>, ViewError> {
    let mut here: Vec<(Drive, Part, Pick)> = Vec::new();
    for (code, _) in scene.view.stock()? {
        let Some(part) = scene.view.part(&code)?.filter(|p| p.kind == Kind::Driver) else { continue };
        let Some(drive) = part.drive.known().copied() else { continue };
        if let Some(pick) = pick(&in_house(scene, &part)?, 1, scene.today).into_iter().next() {
            here.push((drive, part, pick));
        }
    }
    // The largest first: the driver that is too small turns and strips the head.
    here.sort_by_key(|(drive, part, _)| {
        (drive.form.words(), Reverse(drive.size), part.driver_length.known().copied())
    });
    let mut rows: Vec<ToolRow> = Vec::new();
    let mut before = None;
    for (drive, part, pick) in here {
        let reach = part.driver_length.known().map_or(String::new(), |l| format!(", reaching {l}"));
        rows.push(ToolRow {
            usage: if before == Some(drive) { TrayUse::Instead } else { TrayUse::Take },
            kind: Kind::Driver,
            what_for: WhatFor::Try,
            sites: vec![scene.site],
            description: format!("driver {drive}{reach}"),
            part: Some(part),
            judgement: None,
            quantity: 1,
            pick: Some(pick),
        });
        before = Some(drive);
    }
    Ok(rows)
}

/// What to look at, so that the parts can be named.
pub(super) fn look_at() -> Vec<String> {
    [
        "Ask for the implant passport, the former practice, the laboratory: REF and LOT of implant, abutment and screws.",
        "Radiograph: the form of the connection (conical, hexagon inside or outside), one or two screws above each other, a gap anywhere.",
        "Is there a screw channel under a filling? Then it is screw-retained; where it comes out tells which screw is below.",
        "What moves: the restoration alone, the abutment with it, or the implant with it?",
        "The head of the screw: hexagon, square, six-lobe or slot. Clean it first. Try the largest driver that goes in fully; one that turns idly strips the head.",
        "What came out: measure thread diameter, length under the head and head diameter with a calliper; photograph it beside a scale.",
    ]
    .map(str::to_owned)
    .to_vec()
}

/// The drawers, each once.
pub fn drawers(possible: &[Possible]) -> Vec<PlaceId> {
    let mut places: Vec<PlaceId> = possible.iter().map(|p| p.pick.place.clone()).collect();
    places.sort();
    places.dedup();
    places
}
