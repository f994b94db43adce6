//! A part: one catalogue item with its ports and properties.

use std::fmt;

use semver::Version;
use serde::ser::SerializeStruct as _;
use serde::{Deserialize, Serialize, Serializer};

use super::{HeadSeat, Kind, Port, Seat, Side, Thread, Value};
use crate::units::{Angle, Length, Name, PartCode, SystemId, Torque};

/// The socket or key a driver turns.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs)]
pub enum DriveForm {
    Hexagon,
    Square,
    SixLobe,
    Slot,
}

impl DriveForm {
    /// Every form.
    pub const ALL: [(Self, &'static str); 4] = [
        (Self::Hexagon, "hexagon"),
        (Self::Square, "square"),
        (Self::SixLobe, "six-lobe"),
        (Self::Slot, "slot"),
    ];

    /// In words.
    pub fn words(self) -> &'static str {
        Self::ALL.iter().find(|(form, _)| *form == self).map_or("", |(_, words)| words)
    }
}

/// A drive: form and size. A 1.22 driver turns loosely in a 1.27 socket and strips it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Drive {
    /// Its form.
    pub form: DriveForm,
    /// Across flats, or the width of the slot.
    pub size: Length,
}

impl fmt::Display for Drive {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{} {}", self.form.words(), self.size))
    }
}

/// The torque a source states.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum TorqueSpec {
    /// A number.
    Stated(Torque),
    /// By hand: the maker says so.
    ByHand,
    /// Nobody has stated it; never filled in.
    NotKnown,
    /// Nothing to tighten.
    NotApplicable,
}

impl TorqueSpec {
    /// The number, if one is stated.
    pub fn stated(&self) -> Option<Torque> {
        match self {
            Self::Stated(t) => Some(*t),
            _ => None,
        }
    }
}

impl fmt::Display for TorqueSpec {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Stated(t) => t.fmt(f),
            Self::ByHand => f.pad("by hand (the maker says so)"),
            Self::NotKnown => f.pad("torque not known, read the maker's instructions"),
            Self::NotApplicable => f.pad("no torque of its own"),
        }
    }
}

/// How it comes out of its pack.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs)]
pub enum Sterile {
    Sterile,
    ToBeSterilised,
    NotStated,
}

impl Sterile {
    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Sterile => "sterile in its pack",
            Self::ToBeSterilised => "to be sterilised first",
            Self::NotStated => "sterile or not: not stated, read the pack",
        }
    }
}

/// Whether it may serve twice.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs)]
pub enum Reuse {
    SingleUse,
    Reusable,
    NotStated,
}

/// What it is made of, and what it is coated with.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Material {
    /// The alloy or ceramic.
    pub of: Name,
    /// The coating; 'none' is a known value.
    pub coating: Value<Name>,
}

impl fmt::Display for Material {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.coating {
            Value::Known(c) if c.as_str() == "none" => f.pad(&format!("{}, not coated", self.of)),
            Value::Known(c) => f.pad(&format!("{}, coating: {c}", self.of)),
            _ => f.pad(&format!("{}, coating not known", self.of)),
        }
    }
}

/// What a made part has instead of a drawer.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Made {
    /// Who made it.
    pub laboratory: Name,
    /// Under which job number.
    pub job: Name,
    /// From which file.
    pub file: Value<Name>,
    /// How long a new one takes.
    pub days: Value<u16>,
}

/// One catalogue item, or one part made for one patient.
///
/// `==` compares records, paper included; whether two are the same part for a judgement is [`Part::is_same_as`].
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Part {
    /// Its slug: what orders and labels call the REF.
    pub code: PartCode,
    /// What it is for.
    pub kind: Kind,
    /// Its family.
    pub system: SystemId,
    /// In words.
    pub description: Name,
    /// Where it meets others.
    pub ports: Vec<Port>,
    /// Lower seat to upper seat along the implant axis.
    pub seat_height: Value<Length>,
    /// Collar (gingival) height at the short side.
    pub collar_short: Value<Length>,
    /// Collar (gingival) height at the long side.
    pub collar_long: Value<Length>,
    /// Angle between lower and upper axis.
    pub angle: Value<Angle>,
    /// How far the upper seat's centre stands beside the lower axis.
    pub offset: Value<Length>,
    /// Widest diameter.
    pub widest: Value<Length>,
    /// Diameter of the neck.
    pub neck: Value<Length>,
    /// Screw: length under the head.
    pub under_head: Value<Length>,
    /// Screw: unthreaded shank diameter.
    pub shank: Value<Length>,
    /// Screw: head diameter.
    pub head_diameter: Value<Length>,
    /// Screw: head height.
    pub head_height: Value<Length>,
    /// Screw, cylinder, base: made for a channel that leaves at an angle.
    pub angled_channel: Value<bool>,
    /// Its drive.
    pub drive: Value<Drive>,
    /// Driver: how far it reaches.
    pub driver_length: Value<Length>,
    /// What it is made of.
    pub material: Value<Material>,
    /// What it is tightened with.
    pub torque: TorqueSpec,
    /// How far a length of this part may lie from its drawing.
    pub length_tolerance: Value<Length>,
    /// How it comes out of its pack.
    pub sterile: Sterile,
    /// Whether it may serve twice.
    pub reuse: Reuse,
    /// How many come in a pack.
    pub pack: Value<u16>,
    /// Its GTIN.
    pub gtin: Value<Name>,
    /// Its HIBC primary code.
    pub hibc: Value<Name>,
    /// The maker's declared successor.
    pub replaced_by: Option<PartCode>,
    /// Parts the maker says it belongs to.
    pub belongs_to: Vec<PartCode>,
    /// Made for one patient.
    pub made: Option<Made>,
    /// Who states these numbers.
    pub source: Name,
    /// Who makes it: a fact of its own, since a practice may measure what others make. Not known in catalogues of form 1
    /// and in entries of before.
    #[serde(default = "not_stated")]
    pub maker: Value<Name>,
}

fn not_stated() -> Value<Name> {
    Value::Unknown
}

impl Serialize for Part {
    /// What was written before `maker` was asked for is written as it was read; a row of the view has every field.
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        let leave_out = s.is_human_readable() && self.maker.is_unknown();
        let mut fields = s.serialize_struct("Part", if leave_out { 32 } else { 33 })?;
        macro_rules! each {
            ($($field:ident)*) => { $(fields.serialize_field(stringify!($field), &self.$field)?;)* };
        }
        each!(code kind system description ports seat_height collar_short collar_long angle offset widest neck);
        each!(under_head shank head_diameter head_height angled_channel drive driver_length material torque);
        each!(length_tolerance sterile reuse pack gtin hibc replaced_by belongs_to made source);
        if leave_out {
            fields.skip_field("maker")?;
        } else {
            each!(maker);
        }
        fields.end()
    }
}

impl Part {
    /// Whether it is one and the same part: the same code, and the same in everything but paper.
    ///
    /// Paper is what is printed about a part and changes nothing in a mouth: words, item numbers, pack, how it is packed,
    /// who states the numbers, what replaces it or belongs to it. A maker that nobody has stated is no other maker.
    pub fn is_same_as(&self, other: &Self) -> bool {
        macro_rules! alike {
            ($($decides:ident)*; paper $($paper:ident)*) => {{
                // Names every field: a new one has to be put on one side.
                let Self { $($decides: _,)* $($paper: _,)* } = self;
                $(self.$decides == other.$decides)&&*
            }};
        }
        self.maker.same(&other.maker) != Some(false)
            && alike!(
                code kind system ports seat_height collar_short collar_long angle offset widest neck under_head shank
                head_diameter head_height angled_channel drive driver_length material torque length_tolerance made;
                paper description sterile reuse pack gtin hibc replaced_by belongs_to source maker
            )
    }

    /// Its seat looking this way.
    pub fn seat(&self, side: Side) -> Option<&Seat> {
        self.ports.iter().find_map(|p| match p {
            Port::Seat(s) if s.side == side => Some(s),
            _ => None,
        })
    }

    /// Its thread looking this way.
    pub fn thread(&self, side: Side) -> Option<&Thread> {
        self.ports.iter().find_map(|p| match p {
            Port::Thread(t) if t.side == side => Some(t),
            _ => None,
        })
    }

    /// Its head seat looking this way.
    pub fn head_seat(&self, side: Side) -> Option<&HeadSeat> {
        self.ports.iter().find_map(|p| match p {
            Port::HeadSeat(h) if h.side == side => Some(h),
            _ => None,
        })
    }

    /// What a label calls it: the GTIN in 14 digits, and the HIBC primary code without its plus sign and check character.
    pub fn item_numbers(&self) -> impl Iterator<Item = String> {
        let gtin = self.gtin.known().map(|g| format!("{:0>14}", g.as_str()));
        let hibc = self.hibc.known().map(|h| h.as_str().trim_start_matches('+').to_owned());
        gtin.into_iter().chain(hibc)
    }

    /// Seat and thread in one piece: no screw of its own.
    pub fn is_one_piece(&self) -> bool {
        self.kind.has_body() && self.thread(Side::Below).is_some()
    }

    /// Whether it leans.
    pub fn is_angled(&self) -> bool {
        self.angle.known().is_some_and(|a| a.base() > 0)
    }

    /// The revision its seat offers on that side, for the screen.
    pub fn revision(&self, side: Side) -> Option<&Version> {
        self.seat(side).and_then(|s| s.offers.known())
    }
}
