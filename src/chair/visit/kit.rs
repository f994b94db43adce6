//! Every tool of the first choice, put together.

use super::scene::{Need, Scene};
use super::tools::{self, ToolRow};
use super::tray::TrayRow;
use super::{Asked, walk_in};
use crate::case::{Call, Ends, Left};
use crate::catalog::{Drive, Kind, TorqueSpec, Value};
use crate::record::ViewError;
use crate::units::Tooth;

pub(super) fn drives(row: &TrayRow) -> Vec<(Tooth, Value<Drive>)> {
    row.sites.iter().map(|site| (*site, row.part.drive)).collect()
}

pub(super) fn fragment_tools(tools: &[ToolRow]) -> Vec<ToolRow> {
    let for_it = |t: &&ToolRow| matches!(t.kind, Kind::RemovalTool | Kind::RetrievalSet | Kind::Bur);
    tools.iter().filter(for_it).cloned().collect()
}

/// Every tool of the first choice.
pub(super) fn tools_for(
    scene: &Scene<'_>,
    calls: &[&Call],
    asked: &Asked,
    undone: &[Need<'_>],
    tray: &[TrayRow],
    nothing_is_known: bool,
) -> Result<Vec<ToolRow>, ViewError> {
    if calls.iter().all(|c| c.ends == Ends::Refer) {
        return Ok(Vec::new());
    }
    if nothing_is_known {
        return walk_in::drivers(scene);
    }
    let turned: Vec<&Need<'_>> = undone.iter().collect();
    let again: Vec<_> = calls.iter().flat_map(|c| c.again.iter().copied()).collect();
    let mut tightened_by: Vec<_> = tray.iter().flat_map(drives).collect();
    tightened_by.extend(scene.resolve(&again).iter().map(|n| (n.site, n.fitted.part.drive)));
    let mut rows = tools::drivers(scene, &turned, &tightened_by)?;
    let mut tightened: Vec<Tooth> = Vec::new();
    let stated = tray.iter().filter(|r| matches!(r.torque.rules, TorqueSpec::Stated(_)));
    for site in stated.flat_map(|r| r.sites.iter().copied()) {
        // Two screws at one site are one site to tighten at.
        if !tightened.contains(&site) {
            tightened.push(site);
        }
    }
    if !tightened.is_empty() {
        rows.push(tools::wrench(scene, &tightened)?);
    }
    if asked.left != Left::Nothing {
        let mut kinds: Vec<Kind> = Vec::new();
        for kind in calls.iter().flat_map(|c| c.tools.iter().copied()) {
            if !kinds.contains(&kind) {
                kinds.push(kind);
            }
        }
        let stuck = calls.iter().filter(|c| c.leaves_something()).find_map(|c| scene.about(c));
        rows.extend(tools::for_fragment(scene, &kinds, stuck.and_then(|f| tools::thread_of(&f.part)))?);
    }
    let mut channels: Vec<Tooth> = undone.iter().map(|n| n.site).collect();
    if calls.iter().any(|c| c.leaves_something()) {
        channels.push(scene.site);
    }
    channels.sort();
    channels.dedup();
    if !channels.is_empty() {
        rows.extend(tools::for_channels(scene, &channels)?);
    }
    Ok(rows)
}
