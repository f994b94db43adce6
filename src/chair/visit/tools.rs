//! The tools of a tray: drivers for taking off and for putting back, torque wrench, what a fragment needs, and what
//! closes the screw channel.

use std::fmt;

use super::scene::{Need, Scene};
use super::tray::TrayUse;
use crate::catalog::{Drive, Kind, Part, Side, Sterile, Thread, TorqueSpec, Value};
use crate::lots::editions;
use crate::lots::in_house;
use crate::matching::Judgement;
use crate::record::ViewError;
use crate::stock::{Pick, StockLine, pick};
use crate::units::{Length, PartCode, Tooth, teeth};

/// A tool, or something else that is laid out without taking the place of a fitted part.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct ToolRow {
    pub usage: TrayUse,
    pub kind: Kind,
    pub what_for: WhatFor,
    pub sites: Vec<Tooth>,
    /// None: the catalogue knows none.
    pub part: Option<Part>,
    /// What goes into a mouth is judged; a tool is not.
    pub judgement: Option<Judgement>,
    pub description: String,
    pub quantity: u32,
    /// Where it lies; none: not in the house, or kept outside this record.
    pub pick: Option<Pick>,
}

/// What a tool is for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum WhatFor {
    /// A driver: what it does, and at which sites it was noted that this one reaches.
    #[allow(missing_docs)]
    Turn { loosen: bool, tighten: bool, noted: Vec<Tooth> },
    /// A wrench that shows the torque.
    Torque,
    /// To get out what stayed behind.
    Fragment,
    /// To slot or drill a head.
    Head,
    /// To close a screw channel.
    Channel,
    /// A cap over what stands open.
    Cover,
    /// Nobody knows the head: which one holds?
    Try,
}

impl fmt::Display for WhatFor {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Turn { loosen: true, tighten: true, .. } => "to unscrew and to tighten",
            Self::Turn { loosen: true, .. } => "to unscrew",
            Self::Turn { .. } => "to tighten",
            Self::Torque => "to tighten to the torque",
            Self::Fragment => "for what stayed behind",
            Self::Head => "to slot or drill the head",
            Self::Channel => "to close the screw channel",
            Self::Cover => "covers what stands open",
            Self::Try => "to try in the head",
        })?;
        match self {
            Self::Turn { noted, .. } if !noted.is_empty() => {
                write!(f, " (noted: this one reaches at {})", teeth(noted))
            }
            _ => Ok(()),
        }
    }
}

impl WhatFor {
    /// One driver does for both.
    fn join(&mut self, other: &Self) {
        if let (
            Self::Turn { loosen, tighten, noted },
            Self::Turn { loosen: other_loosens, tighten: other_tightens, noted: others },
        ) = (self, other)
        {
            *loosen |= other_loosens;
            *tighten |= other_tightens;
            for site in others.iter().filter(|s| !noted.contains(s)).copied().collect::<Vec<_>>() {
                noted.push(site);
            }
        }
    }
}

impl ToolRow {
    /// How it comes to the chair.
    pub fn sterile(&self) -> Sterile {
        self.part.as_ref().map_or(Sterile::NotStated, |p| p.sterile)
    }

    /// What it is tightened with, where it is tightened at all.
    pub fn torque(&self) -> Option<&TorqueSpec> {
        self.part.as_ref().filter(|p| p.kind.is_fitted()).map(|p| &p.torque)
    }

    /// Without it nothing can be opened; a wrench or a filling may be kept outside this record.
    fn is_needed(&self) -> bool {
        self.kind == Kind::Driver
    }
}

/// A screw, or an abutment with a drive, that a driver must turn.
struct Turn {
    drive: Drive,
    noted: Option<PartCode>,
    sites: Vec<Tooth>,
    off: bool,
    on: bool,
}

fn turns(undo: &[&Need<'_>], new: &[(Tooth, Value<Drive>)]) -> Vec<Turn> {
    let mut turns: Vec<Turn> = Vec::new();
    let mut add = |drive: Drive, noted: Option<PartCode>, site: Tooth, off: bool| {
        // What is tightened where something was unscrewed is reached the same way.
        let there = (!off).then(|| turns.iter().position(|t| t.drive == drive && t.sites.contains(&site)));
        let at = there.flatten().or_else(|| turns.iter().position(|t| t.drive == drive && t.noted == noted));
        match at.and_then(|at| turns.get_mut(at)) {
            Some(turn) => {
                turn.off |= off;
                turn.on |= !off;
                if !turn.sites.contains(&site) {
                    turn.sites.push(site);
                }
            }
            None => turns.push(Turn { drive, noted, sites: vec![site], off, on: !off }),
        }
    };
    for need in undo {
        if let Value::Known(drive) = need.fitted.part.drive {
            add(drive, need.fitted.driver.clone(), need.site, true);
        }
    }
    for (site, drive) in new {
        if let Value::Known(drive) = drive {
            add(*drive, None, *site, false);
        }
    }
    turns
}

/// The drivers, one row each that lies in the house; a drive without one has a row without a place.
pub(super) fn drivers(
    scene: &Scene<'_>,
    undo: &[&Need<'_>],
    new: &[(Tooth, Value<Drive>)],
) -> Result<Vec<ToolRow>, ViewError> {
    let mut rows: Vec<ToolRow> = Vec::new();
    for turn in turns(undo, new) {
        let what_for = |noted| WhatFor::Turn { loosen: turn.off, tighten: turn.on, noted };
        let mut parts = Vec::new();
        for code in scene.view.drivers(&turn.drive)? {
            parts.extend(scene.view.part(&code)?);
        }
        // The noted one reaches; whether another does nobody knows.
        parts.sort_by_key(|p| (turn.noted.as_ref() != Some(&p.code), p.driver_length.known().copied()));
        let mut here = Vec::new();
        for part in &parts {
            if let Some(pick) = lies_in(scene, part)? {
                here.push((part, pick));
            }
        }
        let noted_is_here = here.iter().any(|(p, _)| turn.noted.as_ref() == Some(&p.code));
        for (n, (part, pick)) in here.iter().enumerate() {
            let noted = turn.noted.as_ref() == Some(&part.code);
            if noted_is_here && !noted {
                continue;
            }
            rows.push(ToolRow {
                usage: if n == 0 { TrayUse::Take } else { TrayUse::Instead },
                kind: Kind::Driver,
                what_for: what_for(if noted { turn.sites.clone() } else { Vec::new() }),
                sites: turn.sites.clone(),
                part: Some((*part).clone()),
                judgement: None,
                description: driver_words(&turn.drive, part.driver_length.known()),
                quantity: 1,
                pick: Some(pick.clone()),
            });
        }
        if here.is_empty() {
            rows.push(ToolRow {
                usage: TrayUse::Take,
                kind: Kind::Driver,
                what_for: what_for(Vec::new()),
                sites: turn.sites.clone(),
                part: parts.first().cloned(),
                judgement: None,
                description: driver_words(&turn.drive, None),
                quantity: 1,
                pick: None,
            });
        }
    }
    Ok(each_once(rows))
}

/// One driver does for all its screws: a row a driver, the sites together.
fn each_once(rows: Vec<ToolRow>) -> Vec<ToolRow> {
    let mut out: Vec<ToolRow> = Vec::new();
    for row in rows {
        let code = |r: &ToolRow| r.part.as_ref().map(|p| p.code.clone());
        let Some(same) = out.iter_mut().find(|r| code(r).is_some() && code(r) == code(&row)) else {
            out.push(row);
            continue;
        };
        if row.usage == TrayUse::Take {
            same.usage = TrayUse::Take;
        }
        let new: Vec<Tooth> = row.sites.iter().copied().filter(|t| !same.sites.contains(t)).collect();
        same.sites.extend(new);
        same.what_for.join(&row.what_for);
    }
    out
}

fn driver_words(drive: &Drive, reach: Option<&Length>) -> String {
    format!("driver {drive}{}", reach.map_or(String::new(), |l| format!(", reaching {l}")))
}

/// Where a unit of a part that can be used today lies.
pub(super) fn lies_in(scene: &Scene<'_>, part: &Part) -> Result<Option<Pick>, ViewError> {
    Ok(pick(&in_house(scene, part)?, 1, scene.today).into_iter().next())
}

/// One row for a kind of which any will do: the first that lies in the house.
fn any_of(
    scene: &Scene<'_>,
    codes: Vec<PartCode>,
    kind: Kind,
    what_for: WhatFor,
    sites: &[Tooth],
) -> Result<ToolRow, ViewError> {
    let mut row = ToolRow {
        usage: TrayUse::Take,
        kind,
        what_for,
        sites: sites.to_vec(),
        part: None,
        judgement: None,
        description: kind.words().to_owned(),
        quantity: 1,
        pick: None,
    };
    for code in codes {
        let Some(part) = scene.view.part(&code)? else { continue };
        row.pick = lies_in(scene, &part)?;
        row.description = part.description.to_string();
        row.part = Some(part);
        if row.pick.is_some() {
            break;
        }
    }
    Ok(row)
}

/// The torque wrench, where something is tightened to a number.
pub(super) fn wrench(scene: &Scene<'_>, sites: &[Tooth]) -> Result<ToolRow, ViewError> {
    let codes = scene.view.shared_tools(Kind::TorqueWrench)?;
    any_of(scene, codes, Kind::TorqueWrench, WhatFor::Torque, sites)
}

/// What a fragment is got out with.
pub(super) fn for_fragment(
    scene: &Scene<'_>,
    kinds: &[Kind],
    thread: Option<&Thread>,
) -> Result<Vec<ToolRow>, ViewError> {
    let mut rows = Vec::new();
    for kind in kinds {
        let codes = match (kind, thread) {
            (Kind::RemovalTool | Kind::RetrievalSet, Some(thread)) => scene.view.tools_for(*kind, thread)?,
            (Kind::RemovalTool | Kind::RetrievalSet, None) => Vec::new(),
            _ => scene.view.shared_tools(*kind)?,
        };
        let what_for = match kind {
            Kind::Bur => WhatFor::Head,
            _ => WhatFor::Fragment,
        };
        let mut row = any_of(scene, codes, *kind, what_for, &[scene.site])?;
        if let (None, Some(diameter)) = (&row.part, thread.and_then(|t| t.diameter.known())) {
            row.description = format!("{} for a thread of {diameter}", kind.words());
        }
        rows.push(row);
    }
    Ok(rows)
}

/// Tape and filling for the screw channels that were opened.
pub(super) fn for_channels(scene: &Scene<'_>, sites: &[Tooth]) -> Result<Vec<ToolRow>, ViewError> {
    [Kind::ChannelTape, Kind::ChannelFilling]
        .into_iter()
        .map(|kind| any_of(scene, scene.view.shared_tools(kind)?, kind, WhatFor::Channel, sites))
        .collect()
}

/// What cannot be done without and is not in the house.
pub(super) fn missing(rows: &[ToolRow]) -> Vec<String> {
    let mut missing: Vec<String> = rows
        .iter()
        .filter(|r| r.is_needed() && r.pick.is_none())
        .map(|r| {
            let code = match &r.part {
                Some(part) => format!("; the catalogue has {}", part.code),
                None => "; none in the catalogue".to_owned(),
            };
            format!("{}{code}", r.description)
        })
        .collect();
    missing.sort();
    missing.dedup();
    missing
}

/// The thread a part stands with.
pub(super) fn thread_of(part: &Part) -> Option<&Thread> {
    part.thread(Side::Below)
}

/// The stock lines of a part in the house, less what is set aside for other cases.
pub(super) fn in_house(scene: &Scene<'_>, part: &Part) -> Result<Vec<StockLine>, ViewError> {
    let free = in_house::free(scene.view, &part.code, Some(&scene.case.number), scene.today)?;
    editions::of_part(scene.view, part, free)
}
