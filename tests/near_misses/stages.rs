//! Every part of the demo's catalogue in its place among its mates, and every part of the demo's cases where it stands.

use std::sync::LazyLock;

use spareseat::case::{Fitted, Restoration};
use spareseat::catalog::{Edition, Lean, Position, Value, shipped};
use spareseat::desk::lookup::restoration_at;
use spareseat::matching::{StandsOn, Verdict};

use super::expected::Ask;
use super::joints;
use super::sheet::{Cell, Sheet};
use super::table::Shape;
use super::vary::PORTS;
use crate::practice::Builder;

/// Where a part stands, with the part itself as fitted and as candidate.
#[derive(Debug, Clone)]
pub struct Stage {
    /// 'plover-mua-4.1-c2.0', 'case 1047, tooth 25: …'.
    pub name: String,
    pub ask: Ask,
}

/// The shipped catalogue.
pub static CATALOGUE: LazyLock<Vec<Sheet>> = LazyLock::new(|| {
    let edition = Edition::from_files(shipped()).unwrap_or_else(|e| panic!("{e}"));
    edition.parts.iter().map(Sheet::of).collect()
});

/// Every part of the catalogue that goes into a mouth, among mates from the catalogue.
pub static OF_CATALOGUE: LazyLock<Vec<Stage>> = LazyLock::new(|| {
    let parts = CATALOGUE.iter().filter_map(|part| Some((Shape::of(part)?, part)));
    parts
        .map(|(shape, part)| Stage { name: part.text("code").to_owned(), ask: staged(shape, part) })
        .collect()
});

/// Every part of the demo's cases that can be changed, as the cases have it.
pub static OF_CASES: LazyLock<Vec<Stage>> = LazyLock::new(|| {
    let practice = Builder::shipped().all_cases().in_memory();
    let view = practice.view();
    let mut stages = Vec::new();
    for case in view.cases().expect("cases") {
        let restorations = view.restorations(&case.number).expect("restorations");
        for tooth in &case.sites {
            let stands_on =
                restoration_at(&restorations, *tooth).map_or(StandsOn::Nothing, Restoration::stands_on);
            let assembly = view.assembly(&case.number, *tooth).expect("an assembly");
            for fitted in &assembly {
                let name = format!("case {}, {tooth}: {}", case.number, fitted.part.code);
                stages.extend(of_case(&assembly, fitted, stands_on).map(|ask| Stage { name, ask }));
            }
        }
    }
    stages
});

/// Both.
pub fn all() -> impl Iterator<Item = &'static Stage> {
    OF_CATALOGUE.iter().chain(OF_CASES.iter())
}

fn of_case(assembly: &[Fitted], fitted: &Fitted, stands_on: StandsOn) -> Option<Ask> {
    let part = Sheet::of(&fitted.part);
    let shape = Shape::of(&part)?;
    let others = assembly.iter().filter(|f| f.position != fitted.position);
    Some(Ask {
        position: fitted.position,
        shape,
        other_shape: shape,
        candidate: part.clone(),
        fitted: part,
        others: others.map(|f| (f.position, Sheet::of(&f.part))).collect(),
        lean: fitted.lean,
        stands_on,
    })
}

/// Where a part of this shape stands.
pub fn position_of(shape: Shape) -> Position {
    match shape {
        Shape::ProstheticScrew => Position::ProstheticScrew,
        Shape::AbutmentScrew => Position::AbutmentScrew,
        Shape::Base => Position::Base,
        Shape::Cylinder => Position::Cylinder,
        Shape::HealingCap | Shape::HealingAbutment => Position::HealingCap,
        Shape::CoverScrew => Position::CoverScrew,
        _ => Position::Abutment,
    }
}

/// Under what such a part is changed at the chair; what is bonded in is chosen only while nothing is made.
fn usual_load(shape: Shape) -> StandsOn {
    match shape {
        Shape::AbutmentTwoPieces | Shape::AbutmentAngled => StandsOn::OneCrown,
        Shape::Base | Shape::Cylinder => StandsOn::Nothing,
        shape if shape.is_cover() => StandsOn::Nothing,
        _ => StandsOn::Bridge,
    }
}

/// A part among the first mates of the catalogue that geometry has nothing against.
fn staged(shape: Shape, part: &Sheet) -> Ask {
    let position = position_of(shape);
    let mut ask = Ask {
        position,
        shape,
        other_shape: shape,
        fitted: part.clone(),
        candidate: part.clone(),
        others: Vec::new(),
        lean: if shape.is_angled() { Value::Known(Lean::Buccal) } else { Value::NotApplicable },
        stands_on: usual_load(shape),
    };
    if shape == Shape::AbutmentScrew {
        ask.put_body();
    }
    if shape.needs_abutment_below() {
        ask.put(Position::Abutment, "multi-unit-abutment");
    }
    ask.put(Position::Implant, "implant");
    if part.has_port("head-seat above") && shape != Shape::Cylinder {
        ask.put_own_screw(part.text("code"));
    }
    let carries_bridge = |part: &Sheet| part.has_port("seat above");
    if carries_bridge(part) || ask.on(Position::Abutment).is_some_and(carries_bridge) && !shape.is_cover() {
        if shape != Shape::Cylinder {
            ask.put(Position::Cylinder, "cylinder");
        }
        if shape != Shape::ProstheticScrew {
            ask.put(Position::ProstheticScrew, "prosthetic-screw");
        }
    }
    ask.others.sort_by_key(|(at, _)| *at);
    ask
}

impl Ask {
    /// The part on record at a position.
    pub fn on(&self, position: Position) -> Option<&Sheet> {
        self.others.iter().find(|(at, _)| *at == position).map(|(_, part)| part)
    }

    /// Of the parts of this kind the first that mates with all that stands there: its own family's before others.
    fn put(&mut self, position: Position, kind: &str) {
        let system = self.fitted.text("system").to_owned();
        let of_kind = || CATALOGUE.iter().filter(|p| p.text("kind") == kind);
        let own = of_kind().filter(|p| p.text("system") == system);
        let rest = of_kind().filter(|p| p.text("system") != system);
        for part in own.chain(rest) {
            let mut with = self.clone();
            with.others.push((position, part.clone()));
            if position == Position::Abutment && part.has_port("head-seat above") {
                with.put_own_screw(part.text("code"));
            }
            if with.is_whole(position, part) {
                *self = with;
                return;
            }
        }
    }

    /// Whether nothing is against any part at the site, and the new one meets something.
    fn is_whole(&self, position: Position, new: &Sheet) -> bool {
        let mut all = self.others.clone();
        all.push((self.position, self.fitted.clone()));
        let fits = |(at, part): &(Position, Sheet)| {
            let against = joints::against(*at, part, &all, false);
            against.iter().all(|((best, _), _)| *best < Verdict::NotConfirmed)
        };
        let has = |side: &'static str| {
            PORTS
                .iter()
                .map(|(port, ..)| *port)
                .filter(move |port| port.ends_with(side) && new.has_port(port))
        };
        let below = has("below").any(|port| joints::mate_below(position, port, &all).is_some());
        let above = has("above").any(|port| !joints::mates_above(position, port, &all).is_empty());
        all.iter().all(fits) && (below || above)
    }

    /// The abutment, base or multi-unit abutment that an abutment screw belongs to.
    fn put_body(&mut self) {
        let Cell::Known(list) = self.fitted.cell("belongs_to") else { return };
        let first = list.as_array().and_then(|l| l.first()).and_then(|c| c.as_str()).unwrap_or_default();
        let Some(body) = CATALOGUE.iter().find(|p| p.text("code") == first) else { return };
        let shape = Shape::of(body).expect("a body");
        self.others.push((position_of(shape), body.clone()));
        if shape.has_post() {
            self.stands_on = StandsOn::OneCrown;
        }
    }

    /// The screw that says it belongs to the body.
    fn put_own_screw(&mut self, body: &str) {
        let is_its = |part: &&Sheet| match part.cell("belongs_to") {
            Cell::Known(list) => list.as_array().is_some_and(|l| l.iter().any(|c| c == body)),
            _ => false,
        };
        if let Some(screw) = CATALOGUE.iter().find(is_its) {
            self.others.push((Position::AbutmentScrew, screw.clone()));
        }
    }
}
