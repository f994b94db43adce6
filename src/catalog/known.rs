//! What must be known of a part before another may take its place: one table by kind.
//!
//! Read by the check on import, which says each hole as a part comes in, and by the rules of `matching`, which never let
//! another code in on a number that nobody has stated. Whether two stated numbers agree is the rules' matter.

mod table;

use std::fmt;

use table::{Pieces, Row, TABLE};

use super::{HeadSeat, Part, Port, Seat, Side, Thread, TorqueSpec, Value};
use Number as N;
use Side::{Above, Below};

/// A kind of port, without its numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum PortKind {
    Seat,
    Thread,
    HeadSeat,
}

impl PortKind {
    /// The kind of `port`.
    pub fn of(port: &Port) -> Self {
        match port {
            Port::Seat(_) => Self::Seat,
            Port::Thread(_) => Self::Thread,
            Port::HeadSeat(_) => Self::HeadSeat,
        }
    }

    /// In words, with the side it looks to.
    pub fn words(self, side: Side) -> &'static str {
        match (self, side) {
            (Self::Seat, Below) => "lower seat",
            (Self::Seat, Above) => "upper seat",
            (Self::Thread, Below) => "lower thread",
            (Self::Thread, Above) => "upper thread",
            (Self::HeadSeat, Below) => "head seat",
            (Self::HeadSeat, Above) => "shoulder for a screw's head",
        }
    }
}

macro_rules! numbers {
    ($($variant:ident $words:literal,)*) => {
        /// A number of a part or of one of its ports.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        #[allow(missing_docs)]
        pub enum Number { $($variant,)* }

        impl Number {
            /// As a person says it.
            pub const fn words(self) -> &'static str {
                match self { $(Self::$variant => $words,)* }
            }
        }
    };
}

numbers! {
    Offers "revision offered",
    Accepts "revision accepted",
    Outer "outer diameter",
    Inner "inner diameter",
    Engaging "engaging or not",
    Index "index positions",
    Variant "index variant (flat or corner)",
    Diameter "diameter",
    Pitch "pitch",
    Length "length",
    Form "form (flat or cone)",
    MeanDiameter "mean diameter",
    Bore "bore",
    SeatHeight "seat height",
    Angle "angle",
    Offset "sideways offset",
    UnderHead "length under the head",
    Shank "shank diameter",
    AngledChannel "straight or angled channel",
    HeadDiameter "head diameter",
    HeadHeight "head height",
    CollarShort "collar, short side",
    CollarLong "collar, long side",
    Widest "widest diameter",
    Neck "neck",
    Drive "drive",
    Tolerance "length tolerance",
    Material "material and coating",
    Torque "torque",
}

/// What a missing number does to the verdict on another code.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weight {
    /// Missing on either side: not confirmed.
    Must,
    /// Missing or other: somebody will notice.
    Change,
}

/// Something a part must have and the record does not: a number, or a whole port.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Hole {
    /// Of which port; none for a number of the part itself.
    pub port: Option<(PortKind, Side)>,
    /// Which number; none when the whole port is missing.
    pub number: Option<Number>,
    /// What it does to a verdict.
    pub weight: Weight,
    /// It is 'n/a' where that cannot be.
    pub not_applicable: bool,
}

impl fmt::Display for Hole {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (self.port, self.number) {
            (Some((kind, side)), Some(number)) => {
                write!(f, "{} of the {}", number.words(), kind.words(side))
            }
            (Some((kind, side)), None) => f.write_str(kind.words(side)),
            (None, Some(number)) => f.write_str(number.words()),
            (None, None) => Ok(()),
        }
    }
}

/// How a number stands on the record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Stands {
    Known,
    Missing,
    NotApplicable,
}

fn stands<T>(value: &Value<T>) -> Stands {
    match value {
        Value::Known(_) => Stands::Known,
        Value::Unknown => Stands::Missing,
        Value::NotApplicable => Stands::NotApplicable,
    }
}

fn of_part(part: &Part, number: Number) -> Stands {
    match number {
        N::SeatHeight => stands(&part.seat_height),
        N::Angle => stands(&part.angle),
        N::Offset => stands(&part.offset),
        N::UnderHead => stands(&part.under_head),
        N::Shank => stands(&part.shank),
        N::AngledChannel => stands(&part.angled_channel),
        N::HeadDiameter => stands(&part.head_diameter),
        N::HeadHeight => stands(&part.head_height),
        N::CollarShort => stands(&part.collar_short),
        N::CollarLong => stands(&part.collar_long),
        N::Widest => stands(&part.widest),
        N::Neck => stands(&part.neck),
        N::Drive => stands(&part.drive),
        N::Tolerance => stands(&part.length_tolerance),
        N::Material => match &part.material {
            Value::Known(m) => stands(&m.coating),
            other => stands(other),
        },
        N::Torque => match part.torque {
            TorqueSpec::NotKnown => Stands::Missing,
            TorqueSpec::NotApplicable => Stands::NotApplicable,
            TorqueSpec::Stated(_) | TorqueSpec::ByHand => Stands::Known,
        },
        // Numbers of a port.
        N::Offers
        | N::Accepts
        | N::Outer
        | N::Inner
        | N::Engaging
        | N::Index
        | N::Variant
        | N::Diameter
        | N::Pitch
        | N::Length
        | N::Form
        | N::MeanDiameter
        | N::Bore => Stands::Known,
    }
}

/// The numbers of a seat: how each stands, what it weighs, whether it may be 'n/a'.
fn of_seat(seat: &Seat, angled: bool) -> Vec<(Number, Stands, Weight, bool)> {
    let mut all = vec![
        (N::Offers, stands(&seat.offers), Weight::Must, false),
        (N::Accepts, stands(&seat.accepts), Weight::Must, false),
        (N::Outer, stands(&seat.outer), Weight::Must, false),
        (N::Inner, stands(&seat.inner), Weight::Change, false),
        (N::Engaging, stands(&seat.engaging), Weight::Must, false),
    ];
    if seat.engaging == Value::Known(true) {
        all.push((N::Index, stands(&seat.index), Weight::Must, false));
    }
    if angled && seat.side == Below {
        all.push((N::Variant, stands(&seat.variant), Weight::Must, false));
    }
    all
}

fn of_thread(thread: &Thread) -> Vec<(Number, Stands, Weight, bool)> {
    vec![
        (N::Diameter, stands(&thread.diameter), Weight::Must, false),
        (N::Pitch, stands(&thread.pitch), Weight::Must, false),
        (N::Length, stands(&thread.length), Weight::Must, false),
    ]
}

fn of_head_seat(head: &HeadSeat) -> Vec<(Number, Stands, Weight, bool)> {
    vec![
        (N::Form, stands(&head.form), Weight::Must, false),
        (N::MeanDiameter, stands(&head.mean_diameter), Weight::Must, false),
        // The hole is in what the head rests on, not in the screw.
        (N::Bore, stands(&head.bore), Weight::Must, head.side == Below),
    ]
}

/// The holes in one port; `angled` when the part it belongs to leans.
pub fn holes_in_port(port: &Port, angled: bool) -> Vec<Hole> {
    let numbers = match port {
        Port::Seat(seat) => of_seat(seat, angled),
        Port::Thread(thread) => of_thread(thread),
        Port::HeadSeat(head) => of_head_seat(head),
    };
    let place = Some((PortKind::of(port), port.side()));
    let hole = |(number, stands, weight, may_lack)| match stands {
        Stands::Known => None,
        Stands::NotApplicable if may_lack => None,
        Stands::NotApplicable | Stands::Missing => Some(Hole {
            port: place,
            number: Some(number),
            weight,
            not_applicable: stands == Stands::NotApplicable,
        }),
    };
    numbers.into_iter().filter_map(hole).collect()
}

fn has(part: &Part, (kind, side): (PortKind, Side)) -> bool {
    part.ports.iter().any(|p| PortKind::of(p) == kind && p.side() == side)
}

fn row(part: &Part) -> Option<&'static Row> {
    let pieces = if part.is_one_piece() { Pieces::One } else { Pieces::Two };
    TABLE.iter().find(|r| r.kind == part.kind && (r.pieces == Pieces::Any || r.pieces == pieces))
}

/// Everything that must be known of this part and is not, heaviest first.
///
/// A body with neither a thread nor a shoulder is taken for one in two pieces: the shoulder is what is missing.
pub fn holes(part: &Part) -> Vec<Hole> {
    let Some(row) = row(part) else { return Vec::new() };
    let missing_port =
        |place| Hole { port: Some(place), number: None, weight: Weight::Must, not_applicable: false };
    let mut out: Vec<Hole> = row.ports.iter().filter(|p| !has(part, **p)).map(|p| missing_port(*p)).collect();
    out.extend(part.ports.iter().flat_map(|port| holes_in_port(port, part.is_angled())));
    let everywhere = [N::Material, N::Torque];
    let must = row.must.iter().map(|n| (*n, Weight::Must));
    let change = row.change.iter().chain(&everywhere).map(|n| (*n, Weight::Change));
    for (number, weight) in must.chain(change) {
        let stands = of_part(part, number);
        let allowed = stands == Stands::NotApplicable && row.may_lack.contains(&number);
        if stands != Stands::Known && !allowed {
            let not_applicable = stands == Stands::NotApplicable;
            out.push(Hole { port: None, number: Some(number), weight, not_applicable });
        }
    }
    out.sort_by_key(|h| h.weight);
    out
}

/// A port that stands twice: which of the two meets its mate is not told.
pub fn port_twice(part: &Part) -> Option<(PortKind, Side)> {
    let place = |p: &Port| (PortKind::of(p), p.side());
    let twice = |(n, p): &(usize, &Port)| part.ports[..*n].iter().any(|before| place(before) == place(p));
    part.ports.iter().enumerate().find(twice).map(|(_, p)| place(p))
}
