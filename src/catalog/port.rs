//! Ports: where a part meets another, and whether two ports mate.

use std::fmt;

use semver::{Version, VersionReq};
use serde::{Deserialize, Serialize};

use super::Value;
use crate::units::{Angle, InterfaceId, Length};

/// Which way a port looks: `below` stands on something, `above` carries something.
///
/// A male thread and a screw's head look below; a female thread and the shoulder a head rests on look above.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
#[allow(missing_docs)]
pub enum Side {
    Below,
    Above,
}

/// How the index of an angled part is laid: its lean over a flat or over a corner.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
#[allow(missing_docs)]
pub enum Variant {
    Flat,
    Corner,
}

/// A mating surface of an interface.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Seat {
    /// Which way it looks.
    pub side: Side,
    /// Which geometry.
    pub interface: InterfaceId,
    /// The revision this part is made to.
    pub offers: Value<Version>,
    /// The revisions of the other side it mates with.
    pub accepts: Value<VersionReq>,
    /// Outer diameter of the seating ring.
    pub outer: Value<Length>,
    /// Inner diameter of the seating ring.
    pub inner: Value<Length>,
    /// Whether it holds the other side against turning.
    pub engaging: Value<bool>,
    /// How many index positions there are.
    pub index: Value<u8>,
    /// How the index lies to the lean.
    pub variant: Value<Variant>,
}

/// A thread.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Thread {
    /// Below: male. Above: female.
    pub side: Side,
    /// Nominal diameter.
    pub diameter: Value<Length>,
    /// Travel in one turn.
    pub pitch: Value<Length>,
    /// Male: engaged length. Female: usable depth.
    pub length: Value<Length>,
}

/// The form of a seating surface: under a screw's head, or between two parts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum SeatForm {
    /// Bears on a plane.
    Flat,
    /// Bears on a cone of this half-angle to the screw axis.
    Cone(Angle),
}

impl fmt::Display for SeatForm {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Flat => f.pad("flat"),
            Self::Cone(half) => f.pad(&format!("cone, half-angle {half}")),
        }
    }
}

/// Where a screw's head bears.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HeadSeat {
    /// Below: the screw's head. Above: the shoulder it rests on.
    pub side: Side,
    /// Flat or cone.
    pub form: Value<SeatForm>,
    /// Mean diameter of the bearing.
    pub mean_diameter: Value<Length>,
    /// The hole the shank passes; does not apply to the screw itself.
    pub bore: Value<Length>,
}

/// Where a part meets another.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs)]
pub enum Port {
    Seat(Seat),
    Thread(Thread),
    HeadSeat(HeadSeat),
}

impl Port {
    /// Which way it looks.
    pub fn side(&self) -> Side {
        match self {
            Self::Seat(p) => p.side,
            Self::Thread(p) => p.side,
            Self::HeadSeat(p) => p.side,
        }
    }

    /// Its kind in words.
    pub fn words(&self) -> &'static str {
        match self {
            Self::Seat(_) => "seat",
            Self::Thread(_) => "thread",
            Self::HeadSeat(_) => "head seat",
        }
    }
}

/// Whether two ports mate, with the reason when they do not or nobody knows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Mating {
    /// Every number that decides is known and agrees.
    Mates,
    /// A number that decides is missing; the text says which, on which part.
    NotKnown(String),
    /// They do not mate.
    Not(String),
}

/// Whether `upper` (looking below) mates with `lower` (looking above).
///
/// Seat and platform diameters never decide: the interface does.
pub fn mating(lower: &Port, upper: &Port) -> Mating {
    match (lower, upper) {
        (Port::Seat(l), Port::Seat(u)) => seats(l, u),
        (Port::Thread(l), Port::Thread(u)) => threads(l, u),
        (Port::HeadSeat(l), Port::HeadSeat(u)) => heads(l, u),
        (l, u) => Mating::Not(format!("a {} does not meet a {}", u.words(), l.words())),
    }
}

fn seats(lower: &Seat, upper: &Seat) -> Mating {
    if lower.interface != upper.interface {
        return Mating::Not(format!("interface {} below, {} above", lower.interface, upper.interface));
    }
    for (asks, gives, who) in [(upper, lower, "upper"), (lower, upper, "lower")] {
        let (Some(accepts), Some(offers)) = (asks.accepts.known(), gives.offers.known()) else {
            return Mating::NotKnown(format!("the revision of interface {}", lower.interface));
        };
        if !accepts.matches(offers) {
            return Mating::Not(format!(
                "interface {}: the {who} part accepts revision {accepts}, the other is revision {offers}",
                lower.interface
            ));
        }
    }
    match (&upper.engaging, &lower.index, &upper.index) {
        (Value::Known(true), Value::Known(l), Value::Known(u)) if l != u => {
            Mating::Not(format!("interface {}: {u} index positions on {l}", lower.interface))
        }
        (Value::Known(true), Value::Known(_), Value::Known(_))
        | (Value::Known(false) | Value::NotApplicable, _, _) => Mating::Mates,
        (Value::Known(true), Value::NotApplicable, _) => {
            Mating::Not(format!("interface {}: the lower part has no index to engage", lower.interface))
        }
        (Value::Unknown, _, _) => {
            Mating::NotKnown(format!("whether the seat on interface {} engages", lower.interface))
        }
        _ => Mating::NotKnown(format!("the index positions on interface {}", lower.interface)),
    }
}

fn threads(female: &Thread, male: &Thread) -> Mating {
    for (what, f, m) in
        [("diameter", &female.diameter, &male.diameter), ("pitch", &female.pitch, &male.pitch)]
    {
        match f.same(m) {
            Some(true) => {}
            Some(false) => return Mating::Not(format!("thread {what} {m} into {f}")),
            None => return Mating::NotKnown(format!("the thread's {what}")),
        }
    }
    Mating::Mates
}

fn heads(shoulder: &HeadSeat, head: &HeadSeat) -> Mating {
    match shoulder.form.same(&head.form) {
        Some(true) => {}
        Some(false) => return Mating::Not(format!("head seat {} on {}", head.form, shoulder.form)),
        None => return Mating::NotKnown("the form of the head seat".to_owned()),
    }
    match (head.mean_diameter.known(), shoulder.bore.known()) {
        (Some(mean), Some(bore)) if mean <= bore => {
            Mating::Not(format!("a head that bears on {mean} falls through a bore of {bore}"))
        }
        (Some(_), Some(_)) => Mating::Mates,
        (None, _) => Mating::NotKnown("the mean diameter of the head seat".to_owned()),
        (_, None) => Mating::NotKnown("the bore under the head".to_owned()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seat(offers: &str, accepts: &str, side: Side) -> Seat {
        Seat {
            side,
            interface: InterfaceId::new("top-4.8").unwrap(),
            offers: Value::Known(offers.parse().unwrap()),
            accepts: Value::Known(accepts.parse().unwrap()),
            outer: Value::Unknown,
            inner: Value::Unknown,
            engaging: Value::Known(false),
            index: Value::NotApplicable,
            variant: Value::NotApplicable,
        }
    }

    #[test]
    fn each_side_must_accept_the_other() {
        let cases = [
            ("1.0.0", "^1", "1.0.0", "^1", true),
            ("1.1.0", "^1", "1.0.0", "^1.1", true),
            ("1.0.0", "^1", "1.1.0", "^1.1", false), // needs what a minor step added
            ("2.0.0", "^2", "1.0.0", "^1", false),   // major: another seat wall
            ("2.0.1", "^2", "2.0.0", "^2", true),    // patch: paper only
            ("2.0.0", "^2", "1.0.0", "^2", false),   // one side accepts, the other does not
        ];
        for (l_offers, l_accepts, u_offers, u_accepts, mates) in cases {
            let lower = Port::Seat(seat(l_offers, l_accepts, Side::Above));
            let upper = Port::Seat(seat(u_offers, u_accepts, Side::Below));
            assert_eq!(
                mating(&lower, &upper) == Mating::Mates,
                mates,
                "{l_offers} {l_accepts} / {u_offers} {u_accepts}"
            );
        }
    }

    #[test]
    fn an_unknown_revision_is_not_known_and_another_id_is_no() {
        let lower = seat("1.0.0", "^1", Side::Above);
        let mut upper = seat("1.0.0", "^1", Side::Below);
        upper.accepts = Value::Unknown;
        assert_eq!(
            mating(&Port::Seat(lower.clone()), &Port::Seat(upper.clone())),
            Mating::NotKnown("the revision of interface top-4.8".to_owned())
        );
        upper.interface = InterfaceId::new("top-5.0").unwrap();
        assert_eq!(
            mating(&Port::Seat(lower), &Port::Seat(upper)),
            Mating::Not("interface top-4.8 below, top-5.0 above".to_owned())
        );
    }

    #[test]
    fn a_thread_mates_by_diameter_and_pitch() {
        let thread = |d: i32, p: Value<i32>, side| {
            let pitch = match p {
                Value::Known(p) => Value::Known(Length::from_base(p)),
                _ => Value::Unknown,
            };
            Port::Thread(Thread {
                side,
                diameter: Value::Known(Length::from_base(d)),
                pitch,
                length: Value::Unknown,
            })
        };
        let female = thread(1400, Value::Known(300), Side::Above);
        assert_eq!(mating(&female, &thread(1400, Value::Known(300), Side::Below)), Mating::Mates);
        assert_eq!(
            mating(&female, &thread(1600, Value::Known(350), Side::Below)),
            Mating::Not("thread diameter 1.6 mm into 1.4 mm".to_owned())
        );
        assert_eq!(
            mating(&female, &thread(1400, Value::Unknown, Side::Below)),
            Mating::NotKnown("the thread's pitch".to_owned())
        );
    }
}
