//! Positions at a site, and which position a port of each kind of part really meets.
//!
//! An assembly is no chain: a prosthetic screw has its head in the bridge and its thread in the abutment below it.

use std::fmt;

use serde::{Deserialize, Serialize};

use super::{Kind, Part, Port, Side};
use crate::units::Angle;

/// Where a part stands in the assembly of a site, from the implant up.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs)]
pub enum Position {
    Implant,
    Abutment,
    Base,
    AbutmentScrew,
    Cylinder,
    Framework,
    ProstheticScrew,
    HealingCap,
    CoverScrew,
}

impl Position {
    /// Every position, from the implant up.
    pub const ALL: [Self; 9] = [
        Self::Implant,
        Self::Abutment,
        Self::Base,
        Self::AbutmentScrew,
        Self::Cylinder,
        Self::Framework,
        Self::ProstheticScrew,
        Self::HealingCap,
        Self::CoverScrew,
    ];

    /// As files and commands write it.
    pub const fn slug(self) -> &'static str {
        match self {
            Self::Implant => "implant",
            Self::Abutment => "abutment",
            Self::Base => "base",
            Self::AbutmentScrew => "abutment-screw",
            Self::Cylinder => "cylinder",
            Self::Framework => "framework",
            Self::ProstheticScrew => "prosthetic-screw",
            Self::HealingCap => "healing-cap",
            Self::CoverScrew => "cover-screw",
        }
    }

    /// As a person says it; the two screws always with their joint.
    pub const fn words(self) -> &'static str {
        match self {
            Self::AbutmentScrew => "abutment screw (abutment to implant)",
            Self::ProstheticScrew => "prosthetic screw (bridge to abutment)",
            Self::HealingCap => "healing cap (on abutment)",
            Self::CoverScrew => "cover screw",
            Self::Base => "titanium base",
            other => other.slug(),
        }
    }

    /// The position of this slug.
    pub fn from_slug(text: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|p| p.slug() == text)
    }

    /// What a screw here holds down, the first that stands there; nothing for what is no screw.
    pub const fn holds_down(self) -> &'static [Self] {
        match self {
            Self::ProstheticScrew => &[Self::Cylinder, Self::Base, Self::Framework],
            Self::AbutmentScrew => &[Self::Abutment, Self::Base, Self::Cylinder, Self::Framework],
            _ => &[],
        }
    }

    /// The kinds of part that may stand here.
    pub const fn kinds(self) -> &'static [Kind] {
        match self {
            Self::Implant => &[Kind::Implant],
            Self::Abutment => &[Kind::MultiUnitAbutment, Kind::Abutment],
            Self::Base => &[Kind::TitaniumBase],
            Self::AbutmentScrew => &[Kind::AbutmentScrew],
            Self::Cylinder => &[Kind::Cylinder, Kind::TitaniumBase],
            Self::Framework => &[Kind::Framework],
            Self::ProstheticScrew => &[Kind::ProstheticScrew],
            Self::HealingCap => &[Kind::HealingCap, Kind::HealingAbutment],
            Self::CoverScrew => &[Kind::CoverScrew],
        }
    }

    /// Inside the bridge: bonded or milled in, never changed at the chair.
    pub const fn is_inside_bridge(self) -> bool {
        matches!(self, Self::Base | Self::Cylinder | Self::Framework)
    }

    /// Where a lower port of a part standing here finds its mate: the first of these that carries such a port.
    pub const fn mates_below(self, port: &Port) -> &'static [Self] {
        match (self, port) {
            (Self::Abutment | Self::Base | Self::CoverScrew, _) => &[Self::Implant],
            (Self::AbutmentScrew, Port::Thread(_)) => &[Self::Implant],
            (Self::AbutmentScrew, _) => &[Self::Abutment, Self::Base, Self::Framework],
            (Self::Cylinder, _) => &[Self::Abutment, Self::Implant],
            (Self::Framework, _) => &[Self::Cylinder, Self::Base, Self::Abutment, Self::Implant],
            (Self::ProstheticScrew, Port::Thread(_)) => &[Self::Abutment, Self::AbutmentScrew],
            (Self::ProstheticScrew, _) => &[Self::Cylinder, Self::Framework],
            // A cap is its own screw: no head of it rests on a shoulder.
            (Self::HealingCap, Port::HeadSeat(_)) => &[],
            (Self::HealingCap, Port::Thread(_)) => &[Self::Abutment, Self::AbutmentScrew, Self::Implant],
            (Self::HealingCap, _) => &[Self::Abutment, Self::Implant],
            (Self::Implant, _) => &[],
        }
    }
}

impl fmt::Display for Position {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.words())
    }
}

/// Where an angled part leans, seen from above.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs)]
pub enum Lean {
    Buccal,
    Mesial,
    Oral,
    Distal,
    /// Measured from buccal by way of mesial.
    At(Angle),
}

impl Lean {
    /// The four named directions.
    pub const NAMED: [(Self, &'static str); 4] =
        [(Self::Buccal, "buccal"), (Self::Mesial, "mesial"), (Self::Oral, "oral"), (Self::Distal, "distal")];
}

impl fmt::Display for Lean {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::At(angle) => f.pad(&format!("{angle} from buccal by way of mesial")),
            named => f.pad(Self::NAMED.iter().find(|(l, _)| l == named).map_or("", |(_, w)| w)),
        }
    }
}

/// A part in its position.
pub type Placed<'a> = (Position, &'a Part);

/// The part and port that the lower `port` of a part at `position` really meets among `others`.
pub fn mate_below<'a>(
    position: Position,
    port: &Port,
    others: &[Placed<'a>],
) -> Option<(Position, &'a Part, &'a Port)> {
    position.mates_below(port).iter().find_map(|at| {
        let (_, part) = others.iter().find(|(p, _)| p == at)?;
        let found = part.ports.iter().find(|p| {
            p.side() == Side::Above && std::mem::discriminant(*p) == std::mem::discriminant(port)
        })?;
        Some((*at, *part, found))
    })
}
