//! The way to the broken part: what to undo with which driver, the fragment, the next step up.

use super::tray::{Need, TrayRow};
use super::words::{self, Left};
use super::{Broken, Scene, UndoRow, VisitQuestion};
use crate::case::{Fitted, Retention};
use crate::catalog::{Drive, Kind, Part, Position, Side, Value};
use crate::record::{View, ViewError};
use crate::units::{PartCode, Tooth};

/// What comes out before the broken part can be reached, in order.
///
/// A screw that is broken or stuck is not in it: how to get at what is left of it is said under the fragment.
pub(super) fn undo(scene: &Scene<'_>, broken: Broken, left: Left) -> Result<Vec<UndoRow>, ViewError> {
    let mut rows = Vec::new();
    if scene.is_cemented() {
        rows.push(words::open_cemented(scene.restoration.as_ref(), scene.order.clone()));
    }
    let comes_out = |n: &Need<'_>| {
        left == Left::Nothing || n.site != scene.site || n.fitted.position != broken.position()
    };
    let mut prosthetic = scene.all(Position::ProstheticScrew);
    prosthetic.retain(comes_out);
    rows.extend(unscrew(scene, &prosthetic)?);
    let own = |position| scene.need(scene.site, position);
    let on_implants = scene.restoration.as_ref().is_some_and(|r| r.retention == Retention::ScrewedToImplants);
    let mut next: Vec<Need<'_>> = match broken {
        Broken::ProstheticScrew => Vec::new(),
        Broken::AbutmentScrew if on_implants => scene.all(Position::AbutmentScrew),
        Broken::AbutmentScrew => own(Position::AbutmentScrew).into_iter().collect(),
        Broken::Abutment => {
            let one_piece = own(Position::Abutment).filter(|n| n.fitted.part.is_one_piece());
            one_piece.into_iter().chain(own(Position::AbutmentScrew)).collect()
        }
    };
    next.retain(comes_out);
    rows.extend(unscrew(scene, &next)?);
    if left != Left::Nothing {
        let what = format!("the broken {}: see 'The fragment'", broken.position().words());
        rows.push(UndoRow { sites: vec![scene.site], what, driver: String::new(), in_house: true });
    }
    Ok(rows)
}

/// What one step unscrews: the drive, the noted driver, the kind of screw, and at which sites.
type Step = (Value<Drive>, Option<PartCode>, Kind, Vec<Tooth>);

/// One step for every drive and noted driver, the sites together.
fn unscrew(scene: &Scene<'_>, needs: &[Need<'_>]) -> Result<Vec<UndoRow>, ViewError> {
    let mut groups: Vec<Step> = Vec::new();
    for need in needs {
        let (drive, driver, kind) =
            (need.fitted.part.drive, need.fitted.driver.clone(), need.fitted.part.kind);
        match groups.iter_mut().find(|(d, n, k, _)| (*d, n, *k) == (drive, &driver, kind)) {
            Some((.., sites)) => sites.push(need.site),
            None => groups.push((drive, driver, kind, vec![need.site])),
        }
    }
    groups
        .into_iter()
        .map(|(drive, noted, kind, sites)| {
            let what = format!("unscrew the {}", kind.words());
            let (driver, in_house) = driver(scene.view, drive, noted)?;
            Ok(UndoRow { sites, what, driver, in_house })
        })
        .collect()
}

/// The driver in words: the noted one, or every one of that drive that lies in the house.
fn driver(view: &View, drive: Value<Drive>, noted: Option<PartCode>) -> Result<(String, bool), ViewError> {
    let Value::Known(drive) = drive else {
        return Ok(("drive not known: look at the head before any driver goes in".to_owned(), true));
    };
    let codes = match &noted {
        Some(code) => vec![code.clone()],
        None => view.drivers(&drive)?,
    };
    let (mut here, mut away) = (Vec::new(), Vec::new());
    for code in codes {
        let Some(part) = view.part(&code)? else { continue };
        let reach = part.driver_length.known().map_or(String::new(), |l| format!(" reaching {l}"));
        match lies_in(view, &part)? {
            Some(place) => here.push(format!("{code}{reach}, in {place}")),
            None => away.push(format!("{code}{reach}, not in the house")),
        }
    }
    let in_house = !here.is_empty();
    let only = if noted.is_some() { " (noted: this one reaches)" } else { "" };
    let named = if here.is_empty() { away } else { here };
    if named.is_empty() {
        return Ok((format!("driver {drive}: none in the catalogue"), false));
    }
    Ok((format!("driver {drive}{only}: {}", named.join("; or ")), in_house))
}

/// Drivers without which nothing can be opened or tightened, and none of which lies in the house.
pub(super) fn tools_missing(
    view: &View,
    undo: &[UndoRow],
    tray: &[TrayRow],
) -> Result<Vec<String>, ViewError> {
    let mut missing: Vec<String> = undo.iter().filter(|u| !u.in_house).map(|u| u.driver.clone()).collect();
    for row in tray.iter().filter(|r| r.part.drive.known().is_some()) {
        let (words, in_house) = driver(view, row.part.drive, None)?;
        if !in_house {
            missing.push(words);
        }
    }
    missing.sort();
    missing.dedup();
    Ok(missing)
}

fn lies_in(view: &View, part: &Part) -> Result<Option<String>, ViewError> {
    let lines = view.stock_of(&part.code)?;
    let places: Vec<String> = lines
        .iter()
        .filter(|l| l.quantity > 0)
        .filter_map(|l| l.place.house())
        .map(|p| p.to_string())
        .collect();
    Ok((!places.is_empty()).then(|| places.join(" and ")))
}

/// How to get at what stayed behind, and the tools for its thread.
pub(super) fn fragment(
    scene: &Scene<'_>,
    ask: &VisitQuestion,
    broken: &Fitted,
    holder: Option<&Need<'_>>,
) -> Result<Vec<String>, ViewError> {
    if ask.left == Left::Nothing {
        let line = "Nothing stayed behind, as reported: look into the thread before the new screw goes in.";
        return Ok(vec![line.to_owned()]);
    }
    let mut lines = words::fragment(ask.broken, ask.left, holder.map(|n| n.fitted.position));
    if let Some(thread) = broken.part.thread(Side::Below) {
        for kind in [Kind::RemovalTool, Kind::RetrievalSet] {
            for code in scene.view.tools_for(kind, thread)? {
                if let Some(part) = scene.view.part(&code)? {
                    let place = lies_in(scene.view, &part)?
                        .map_or("not in the house".to_owned(), |p| format!("in {p}"));
                    lines.push(format!("{} {code}, {place}.", kind.words()));
                }
            }
        }
    }
    Ok(lines)
}

/// What it takes when the fragment stays in, with the drivers for it.
pub(super) fn next_step(scene: &Scene<'_>, next: &[Need<'_>], left: Left) -> Result<Vec<String>, ViewError> {
    let mut lines = words::next_step(next, left);
    for need in next.iter().filter(|n| n.fitted.part.drive.known().is_some()) {
        let fitted = need.fitted;
        let (driver, _) = driver(scene.view, fitted.part.drive, fitted.driver.clone())?;
        lines.push(format!("To unscrew the {} at {}: {driver}.", fitted.position.words(), need.site));
    }
    Ok(lines)
}
