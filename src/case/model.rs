//! The shape of a case.

use std::collections::BTreeMap;
use std::fmt;

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::catalog::{Lean, Part, Placed, Position, TorqueAsked, Value};
use crate::matching::StandsOn;
use crate::units::{CaseNumber, Length, Lot, Name, Note, PartCode, RawLabel, Tooth, Torque};

macro_rules! words {
    ($(#[$doc:meta])* $name:ident { $($variant:ident $word:literal,)* }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
        #[serde(rename_all = "kebab-case")]
        #[allow(missing_docs)]
        pub enum $name { $($variant,)* }

        impl $name {
            /// Every value with its word, as files and commands write it.
            pub const ALL: &'static [(Self, &'static str)] = &[$((Self::$variant, $word),)*];

            /// Its word.
            pub const fn word(self) -> &'static str {
                match self { $(Self::$variant => $word,)* }
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.pad(self.word())
            }
        }
    };
}

pub(super) use words;

words! {
    /// Grinding, graded after the 2018 consensus (doi 10.1111/joor.12663): possible is told, probable is seen,
    /// definite is recorded.
    Grinding {
        NotAsked "not asked",
        NoneNoticed "none noticed",
        Possible "possible",
        Probable "probable",
        Definite "definite",
    }
}
words! {
    /// The splint.
    Splint { NotAsked "not asked", None "none", Has "has", Wears "wears", }
}
words! {
    /// How sure an entry about a fitted part is.
    Sure { Label "label", Passport "passport", Radiograph "radiograph", Guess "guess", }
}
words! {
    /// What happened to a part.
    Happening { Loosened "loosened", Broken "broken", Worn "worn", Replaced "replaced", Checked "checked", Noted "noted", }
}

/// Grinding, splint, and what bites against the restoration.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LoadSigns {
    /// Grinding.
    pub grinding: Grinding,
    /// What was told, seen or recorded.
    pub signs: Option<Note>,
    /// The splint.
    pub splint: Splint,
    /// What bites against it.
    pub against: Option<Note>,
}

/// The torque a part was tightened with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum TorqueRecord {
    /// With a wrench.
    Measured(Torque),
    /// Tightened, not measured.
    NotMeasured,
    /// Nobody wrote it down.
    NotRecorded,
}

impl fmt::Display for TorqueRecord {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Measured(t) => t.fmt(f),
            Self::NotMeasured => f.pad("torque not measured"),
            Self::NotRecorded => f.pad("torque not recorded"),
        }
    }
}

/// A part in its position at a site, with the numbers it had when it was entered.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fitted {
    /// Where it stands.
    pub position: Position,
    /// Its numbers; no catalogue edition is needed to read an old case.
    pub part: Part,
    /// Its lot.
    pub lot: Option<Lot>,
    /// Its label as scanned.
    pub label: Option<RawLabel>,
    /// When it was fitted.
    pub on: Option<Date>,
    /// How it was tightened.
    pub torque: TorqueRecord,
    /// Which way an angled part leans.
    pub lean: Value<Lean>,
    /// The driver that reaches it, where somebody noted one.
    pub driver: Option<PartCode>,
    /// How sure this entry is.
    pub sure: Sure,
}

/// How a restoration is held.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Retention {
    /// Prosthetic screws into abutments.
    ScrewedToAbutments,
    /// Abutment screws straight into the implants.
    ScrewedToImplants,
    /// Cemented on abutments.
    #[serde(rename_all = "kebab-case")]
    Cemented {
        /// Which cement.
        cement: Value<Name>,
        /// Where the screw axis meets the crown.
        screw_axis: Value<Name>,
    },
}

impl fmt::Display for Retention {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::ScrewedToAbutments => f.pad("screwed to abutments"),
            Self::ScrewedToImplants => f.pad("screwed to implants"),
            Self::Cemented { cement: Value::Known(c), .. } => f.pad(&format!("cemented ({c})")),
            Self::Cemented { .. } => f.pad("cemented (cement not known)"),
        }
    }
}

/// A crown or a bridge.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Restoration {
    /// The sites that carry it.
    pub sites: Vec<Tooth>,
    /// The teeth it replaces between them.
    pub pontics: Vec<Tooth>,
    /// How it is held.
    pub retention: Retention,
    /// Its frame.
    pub material: Value<Name>,
    /// What faces it.
    pub facing: Value<Name>,
    /// Connector height.
    pub connector_height: Value<Length>,
    /// Connector width.
    pub connector_width: Value<Length>,
    /// Teeth hanging beyond the last site, right end of the arch.
    pub cantilever_right: u8,
    /// Teeth hanging beyond the last site, left end of the arch.
    pub cantilever_left: u8,
    /// Crown height above the seats.
    pub crown_height: Value<Length>,
    /// Shade.
    pub shade: Value<Name>,
    /// Tooth mould.
    pub mould: Value<Name>,
    /// Who made it.
    pub laboratory: Value<Name>,
    /// Under which job number.
    pub job: Value<Name>,
}

impl Restoration {
    /// What a part under it has to live with.
    pub fn stands_on(&self) -> StandsOn {
        if self.sites.len() > 1 { StandsOn::Bridge } else { StandsOn::OneCrown }
    }

    /// 'bridge 24-25-(26)-27', 'crown 11'.
    pub fn words(&self) -> String {
        format!("{} {}", if self.sites.len() > 1 { "bridge" } else { "crown" }, self.span())
    }

    /// As it is written on a job sheet: 24-25-(26)-27, pontics in brackets.
    pub fn span(&self) -> String {
        let mut teeth: Vec<(Tooth, bool)> = self.sites.iter().map(|t| (*t, true)).collect();
        teeth.extend(self.pontics.iter().map(|t| (*t, false)));
        teeth.sort_by_key(|(t, _)| t.along_arch());
        let one =
            |(t, site): &(Tooth, bool)| if *site { t.iso().to_string() } else { format!("({})", t.iso()) };
        teeth.iter().map(one).collect::<Vec<_>>().join("-")
    }
}

/// Something that happened.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Event {
    /// When.
    pub on: Date,
    /// Where.
    pub tooth: Option<Tooth>,
    /// To which part.
    pub position: Option<Position>,
    /// What.
    pub what: Happening,
    /// In words.
    pub note: Option<Note>,
    /// What was kept of the piece.
    pub kept: Option<Note>,
}

/// Where the seat of a site's implant lies and which way its axis points, where somebody measured it.
///
/// Right-handed coordinates of the measuring: the same for all sites of a case, of no meaning beyond it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Measured {
    /// Which site.
    pub site: Tooth,
    /// x, y, z.
    pub position: [Length; 3],
    /// Direction from the implant outwards, in millionths of its length; its length is of no meaning.
    pub axis: Option<[i32; 3]>,
}

/// A case without its sites.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CaseHead {
    /// Its number.
    pub number: CaseNumber,
    /// Made up, for trying things out.
    pub made_up: bool,
    /// Grinding, splint, what bites against it.
    pub load: LoadSigns,
    /// Which sites there are, along the arch.
    pub sites: Vec<Tooth>,
    /// Where they lie, as far as somebody measured it.
    pub measured: Vec<Measured>,
}

/// The assemblies of a case by site.
pub type Sites = BTreeMap<Tooth, Vec<Fitted>>;

impl Fitted {
    /// An assembly as matching takes it, without the position asked about.
    pub fn others(assembly: &[Self], position: Position) -> Vec<Placed<'_>> {
        assembly.iter().filter(|f| f.position != position).map(|f| (f.position, &f.part)).collect()
    }

    /// What a screw at this position is tightened with among these parts.
    pub fn torque_asked(assembly: &[Self], position: Position, screw: &Part) -> TorqueAsked {
        let partner = position.holds_down().iter().find_map(|p| Self::at(assembly, *p));
        TorqueAsked::of(screw, partner.map(|f| &f.part))
    }

    /// The part standing at a position.
    pub fn at(assembly: &[Self], position: Position) -> Option<&Self> {
        assembly.iter().find(|f| f.position == position)
    }
}
