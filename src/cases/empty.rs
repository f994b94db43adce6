//! Which positions of a restoration must be filled, and which of them are empty on record.
//!
//! What a screw or an abutment is for is said by how the restoration is held. A bridge with an empty screw position is
//! not whole, whatever the other sites have.

use crate::case::{CaseHead, Fitted, Restoration, Retention, Sites};
use crate::catalog::{Position, Side};
use crate::desk::lookup::{self, restoration_at};
use crate::matching::{Finding, Judgement, Level};
use crate::record::{View, ViewError};
use crate::units::Tooth;

/// The positions that can be filled at the chair.
const FILLED: [Position; 3] = [Position::Abutment, Position::AbutmentScrew, Position::ProstheticScrew];

/// A position of a restoration that must be filled and is empty on record.
#[derive(Debug, Clone)]
pub struct Empty {
    /// Where.
    pub site: Tooth,
    /// Which.
    pub position: Position,
    /// What is known of the part that belongs there.
    pub known: Known,
}

/// What is known of the part that belongs into an empty position.
#[derive(Debug, Clone)]
#[allow(clippy::large_enum_variant, reason = "a handful at a time")]
pub enum Known {
    /// This one stood there before.
    StoodBefore(Fitted),
    /// What stood there is not on record; this one stands at a neighbour.
    Neighbour(Fitted, Tooth),
    /// Neither is on record.
    Nothing,
}

impl Known {
    /// The part that candidates are held against.
    pub fn fitted(&self) -> Option<&Fitted> {
        match self {
            Self::StoodBefore(f) | Self::Neighbour(f, _) => Some(f),
            Self::Nothing => None,
        }
    }
}

impl Empty {
    /// In a sentence without its end mark.
    pub fn words(&self) -> String {
        let (what, site) = (self.position.words(), self.site);
        let known = match &self.known {
            Known::StoodBefore(f) => format!("before it was {}", f.part.code),
            Known::Neighbour(f, at) => format!(
                "which one belongs there is not on record; {at} has {}: a candidate, not confirmed",
                f.part.code
            ),
            Known::Nothing => "which one belongs there is not on record".to_owned(),
        };
        format!("no {what} is on record at {site}, and the restoration needs one there; {known}")
    }

    /// Lowers what was found of a candidate: it was held against a neighbour's part.
    pub fn lower(&self, judgement: &mut Judgement) {
        if let Known::Neighbour(f, at) = &self.known {
            judgement.add(Finding {
                rule: "empty-position",
                level: Level::Unknown,
                fitted: format!("{} at {at}", f.part.code),
                candidate: String::new(),
                effect: format!(
                    "what stood at {} before is not on record: this is what its neighbour has",
                    self.site
                ),
                source: "common practice, no source",
                steps: 0,
            });
        }
    }
}

/// The positions at a site that a restoration held so must have filled.
fn needed(retention: &Retention, measure: &[Fitted]) -> Vec<Position> {
    // Whether an abutment has a screw of its own is only known where its shoulder is on record.
    let abutment = Fitted::at(measure, Position::Abutment).map(|f| &f.part);
    let own_screw = abutment.is_some_and(|a| !a.is_one_piece() && a.head_seat(Side::Above).is_some());
    let by_retention = |position: Position| match (retention, position) {
        (Retention::ScrewedToAbutments, Position::Abutment | Position::ProstheticScrew) => true,
        (Retention::Cemented { .. }, Position::Abutment) => true,
        (Retention::ScrewedToImplants, Position::AbutmentScrew) => true,
        (Retention::ScrewedToAbutments | Retention::Cemented { .. }, Position::AbutmentScrew) => own_screw,
        _ => false,
    };
    // A one-piece abutment that was put in since has no screw of its own, whatever stood there before.
    let stood = |position: Position| {
        Fitted::at(measure, position).is_some() && (position != Position::AbutmentScrew || own_screw)
    };
    FILLED.into_iter().filter(|p| by_retention(*p) || stood(*p)).collect()
}

/// The empty positions of a restoration, along the arch; `measures` are its sites as it was built on them.
pub fn empties(restoration: &Restoration, sites: &Sites, measures: &Sites) -> Vec<Empty> {
    let at = |all: &'_ Sites, tooth: &Tooth| all.get(tooth).cloned().unwrap_or_default();
    let mut order = restoration.sites.clone();
    order.sort_by_key(|t| t.along_arch());
    let mut out = Vec::new();
    for site in &order {
        let (there, measure) = (at(sites, site), at(measures, site));
        for position in needed(&restoration.retention, &measure) {
            if Fitted::at(&there, position).is_some() {
                continue;
            }
            let known = match Fitted::at(&measure, position) {
                Some(before) => Known::StoodBefore(before.clone()),
                None => neighbour(&order, *site, sites, position),
            };
            out.push(Empty { site: *site, position, known });
        }
    }
    out
}

/// What the nearest site of the same restoration has in that position.
fn neighbour(order: &[Tooth], site: Tooth, sites: &Sites, position: Position) -> Known {
    let mut others: Vec<&Tooth> = order.iter().filter(|t| **t != site).collect();
    others.sort_by_key(|t| (t.along_arch().abs_diff(site.along_arch()), t.along_arch()));
    let found = others.into_iter().find_map(|t| Some((Fitted::at(sites.get(t)?, position)?, *t)));
    found.map_or(Known::Nothing, |(f, t)| Known::Neighbour(f.clone(), t))
}

/// The empty positions of the restoration at a site, as the view has it; none where none is on record.
pub fn empties_at(view: &View, case: &CaseHead, site: Tooth) -> Result<Vec<Empty>, ViewError> {
    let restorations = view.restorations(&case.number)?;
    let Some(restoration) = restoration_at(&restorations, site) else { return Ok(Vec::new()) };
    let (mut sites, mut measures) = (Sites::new(), Sites::new());
    for tooth in &restoration.sites {
        let assembly = view.assembly(&case.number, *tooth)?;
        measures.insert(*tooth, lookup::built_on(view, &case.number, *tooth, &assembly)?);
        sites.insert(*tooth, assembly);
    }
    Ok(empties(restoration, &sites, &measures))
}

/// What is empty, said where something is booked.
pub fn remarks(view: &View, case: &CaseHead, site: Tooth) -> Result<Vec<String>, ViewError> {
    let all = empties_at(view, case, site)?;
    Ok(all.iter().map(|e| format!("EMPTY, {}: {}", e.site, e.words())).collect())
}
