//! The way to the broken part: what to undo with which driver, the fragment, the next step up.

use super::scene::{Need, Scene};
use super::tools::{ToolRow, lies_in};
use super::words;
use super::{Asked, UndoRow};
use crate::case::{Broken, Call, Left};
use crate::catalog::{Drive, Kind, Position, Value};
use crate::record::ViewError;
use crate::units::{PartCode, Tooth};

/// What comes out before the broken part can be reached, in order; with the parts a driver turns on the way.
///
/// A screw that is broken or stuck is not in it: how to get at what is left of it is said under the fragment.
pub(super) fn undo<'s>(
    scene: &'s Scene<'_>,
    calls: &[&Call],
    asked: &Asked,
) -> Result<(Vec<UndoRow>, Vec<Need<'s>>), ViewError> {
    let wanted: Vec<_> = calls.iter().flat_map(|c| c.undo.iter().copied()).collect();
    let mut needs = scene.resolve(&wanted);
    let mut rows = Vec::new();
    if scene.is_cemented() && !needs.is_empty() {
        rows.push(words::open_cemented(scene.restoration.as_ref(), scene.order.clone()));
    }
    let stuck = (asked.left != Left::Nothing).then_some(asked.position).flatten();
    let is_stuck = |n: &Need<'_>| n.site == scene.site && Some(n.fitted.position) == stuck;
    let stuck_is_on_the_way = needs.iter().any(is_stuck);
    needs.retain(|n| !is_stuck(n));
    // What holds the bridge comes out before what holds an abutment under it.
    needs.sort_by_key(|n| std::cmp::Reverse(n.fitted.position));
    rows.extend(unscrew(scene, &needs)?);
    if let Some(position) = stuck.filter(|_| stuck_is_on_the_way) {
        let what = match asked.left {
            Left::WholeScrew => format!("the {} that no driver turns: see 'The fragment'", position.words()),
            _ => format!("the broken {}: see 'The fragment'", position.words()),
        };
        rows.push(UndoRow { sites: vec![scene.site], what, driver: String::new() });
    }
    Ok((rows, needs))
}

/// What one step unscrews: the drive, the noted driver, the kind of part, and at which sites.
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
            Ok(UndoRow { sites, what, driver: driver(scene, drive, noted)? })
        })
        .collect()
}

/// The driver in words: the noted one, or every one of that drive that lies in the house.
fn driver(scene: &Scene<'_>, drive: Value<Drive>, noted: Option<PartCode>) -> Result<String, ViewError> {
    let Value::Known(drive) = drive else {
        return Ok("drive not known: look at the head before any driver goes in".to_owned());
    };
    let codes = match &noted {
        Some(code) => vec![code.clone()],
        None => scene.view.drivers(&drive)?,
    };
    let (mut here, mut away) = (Vec::new(), Vec::new());
    for code in codes {
        let Some(part) = scene.view.part(&code)? else { continue };
        let reach = part.driver_length.known().map_or(String::new(), |l| format!(" reaching {l}"));
        match lies_in(scene, &part)? {
            Some(pick) => here.push(format!("{code}{reach}, in {}", pick.place)),
            None => away.push(format!("{code}{reach}, not in the house")),
        }
    }
    let only = if noted.is_some() { " (noted: this one reaches)" } else { "" };
    let named = if here.is_empty() { away } else { here };
    if named.is_empty() {
        return Ok(format!("driver {drive}: none in the catalogue"));
    }
    Ok(format!("driver {drive}{only}: {}", named.join("; or ")))
}

/// How to get at what stayed behind.
pub(super) fn fragment(
    asked: &Asked,
    calls: &[&Call],
    holder: Option<Position>,
    tools: &[ToolRow],
) -> Vec<String> {
    let leaving: Vec<&&Call> = calls.iter().filter(|c| c.leaves_something()).collect();
    if leaving.is_empty() {
        return Vec::new();
    }
    if asked.left == Left::Nothing {
        return vec![
            "Nothing stayed behind, as reported: look into the thread before the new screw goes in."
                .to_owned(),
        ];
    }
    let mut lines: Vec<String> = Vec::new();
    for call in leaving {
        let text = match asked.left {
            Left::WholeScrew if !call.fragment_whole.is_empty() => &call.fragment_whole,
            _ => &call.fragment,
        };
        for line in text {
            let line = line.replace("{holder}", holder.map_or("abutment", Position::words));
            let line = match asked.broken {
                Broken::NotKnown => format!("If it is '{}': {line}", call.report),
                _ => line,
            };
            if !lines.contains(&line) {
                lines.push(line);
            }
        }
    }
    // Published: used dry, an ultrasonic tip reached 78 °C (doi 10.1186/s12903-022-02653-w).
    lines.push(
        "Ultrasonic: with water, low power, in pulses; used dry it reached 78 °C in one study.".to_owned(),
    );
    for tool in tools {
        let code = tool.part.as_ref().map_or(String::new(), |p| format!(" {}", p.code));
        let place = tool.pick.as_ref().map_or("not in the house".to_owned(), |p| format!("in {}", p.place));
        let name = if code.is_empty() { &tool.description } else { tool.kind.words() };
        lines.push(format!("{name}{code}, {place}."));
    }
    lines
}

/// What it takes when the fragment stays in, with the drivers for it.
pub(super) fn next_step(
    scene: &Scene<'_>,
    next: &[Need<'_>],
    asked: &Asked,
) -> Result<Vec<String>, ViewError> {
    let mut lines = words::next_step(next, asked.left);
    for need in next.iter().filter(|n| n.fitted.part.drive.known().is_some()) {
        let fitted = need.fitted;
        let driver = driver(scene, fitted.part.drive, fitted.driver.clone())?;
        lines.push(format!("To unscrew the {} at {}: {driver}.", fitted.position.words(), need.site));
    }
    Ok(lines)
}
