//! Random acts: most of them sensible, some of them not.

use super::Dice;
use super::apart::ApartAct;
use super::counting::CountAct;
use super::holding::HoldAct;
use super::plain::{Place, Plain};
use super::visits::VisitAct;

/// A part of the tiny catalogue: its code, where it may stand, whether it is angled.
pub struct Known {
    pub code: &'static str,
    pub position: Option<&'static str>,
    pub angled: bool,
}

const fn part(code: &'static str, position: Option<&'static str>, angled: bool) -> Known {
    Known { code, position, angled }
}

pub const PARTS: [Known; 6] = [
    part("heron-implant", Some("implant"), false),
    part("heron-mua-3.0", Some("abutment"), false),
    part("heron-mua-17", Some("abutment"), true),
    part("knot-mua-3.0", Some("abutment"), false),
    part("heron-screw", Some("prosthetic-screw"), false),
    part("heron-driver", None, false),
];

/// Whether a part of that code is angled; `None` when there is no such part.
pub fn part_of(code: &str) -> Option<bool> {
    PARTS.iter().find(|p| p.code == code).map(|p| p.angled)
}

const UNKNOWN_PART: &str = "heron-mua-9";
pub const LOTS: [&str; 6] = ["L1", "L2", "007", "B-4", "c5", "L6"];
const DRAWERS: [Place; 4] = ["a", "b", "c", "d"];
pub const CASES: [&str; 4] = ["1", "2", "3", "4"];
const POSITIONS: [&str; 3] = ["implant", "abutment", "prosthetic-screw"];
/// Every case has some of these.
pub const SITES: [u8; 4] = [14, 11, 24, 46];
const EXPIRIES: [&str; 5] = ["2026-11-20", "2026-12-05", "2026-12", "2029-01", "none"];

/// What came of asking.
#[derive(Debug, PartialEq, Eq)]
pub enum Asked {
    Booked { entry: u64, before: bool },
    Refused(String),
}

#[derive(Debug)]
pub struct ReceiveAct {
    pub part: &'static str,
    pub lot: &'static str,
    pub quantity: u32,
    pub place: Place,
    pub new_place: bool,
    pub expiry: Option<&'static str>,
}

#[derive(Debug)]
pub struct MoveAct {
    pub part: &'static str,
    pub lot: &'static str,
    pub quantity: u32,
    pub from: Option<Place>,
    pub to: Place,
    pub new_place: bool,
}

#[derive(Debug)]
pub struct UseAct {
    pub case: &'static str,
    pub site: u8,
    pub position: &'static str,
    pub part: &'static str,
    pub lot: &'static str,
    pub place: Option<Place>,
    pub lean: bool,
    pub found: bool,
    pub expired: bool,
    /// Another case's hold is overridden.
    pub held: bool,
    pub kept: bool,
}

#[derive(Debug)]
pub struct ImportAct {
    pub case: &'static str,
    pub sites: Vec<u8>,
    /// Those of them that carry one bridge.
    pub bridge: Vec<u8>,
    pub fitted: Vec<(&'static str, &'static str, Option<&'static str>)>,
    pub replace: bool,
    /// The file has a mistake in it.
    pub wrong: bool,
}

#[derive(Debug)]
pub enum Act {
    Receive(ReceiveAct),
    /// Several lines in one entry.
    Deliver(Vec<ReceiveAct>),
    Move(MoveAct),
    Use(UseAct),
    Import(ImportAct),
    Fit {
        case: &'static str,
        site: u8,
        position: &'static str,
        part: &'static str,
        ahead: bool,
    },
    Note {
        case: &'static str,
        site: Option<u8>,
        ahead: bool,
    },
    Verify {
        fitted: &'static str,
        candidate: &'static str,
    },
    Catalogue {
        torque: u32,
        wrong: bool,
    },
    Counter {
        entry: u64,
        mouth: bool,
    },
    Visit(VisitAct),
    Hold(HoldAct),
    Apart(ApartAct),
    Count(CountAct),
}

impl Act {
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Receive(_) => "receive",
            Self::Deliver(_) => "receive --lines",
            Self::Move(_) => "move",
            Self::Use(_) => "use",
            Self::Import(_) => "case import",
            Self::Fit { .. } => "case found",
            Self::Note { .. } => "case note",
            Self::Verify { .. } => "part verify",
            Self::Catalogue { .. } => "part import",
            Self::Counter { .. } => "counter",
            Self::Visit(a) => a.kind(),
            Self::Hold(a) => a.kind(),
            Self::Apart(a) => a.kind(),
            Self::Count(a) => a.kind(),
        }
    }

    /// The next act; what lies where is looked up so that enough of them can be done.
    pub fn random(dice: &mut Dice, plain: &Plain) -> Self {
        match dice.below(213) {
            205.. => Self::Deliver((0..2 + dice.below(4)).map(|_| likely(dice, plain)).collect()),
            185.. => Self::Count(CountAct::random(dice, plain)),
            155.. => Self::Apart(ApartAct::random(dice, plain)),
            135.. => Self::Hold(HoldAct::random(dice, plain)),
            100.. => Self::Visit(VisitAct::random(dice, plain)),
            0..=24 => Self::Receive(receive(dice)),
            25..=44 => Self::Move(shift(dice, plain)),
            45..=68 => Self::Use(put_in(dice, plain)),
            // Mostly one of the last entries: of any kind, of today or of yesterday, taken back before or not.
            69..=74 => Self::Counter {
                entry: (plain.entries() + 1).saturating_sub(dice.below(8) as u64),
                mouth: dice.chance(20),
            },
            75..=82 => Self::Import(import(dice)),
            83..=87 => {
                let part = any_part(dice);
                let position = place_for(dice, part);
                Self::Fit {
                    case: dice.pick(&CASES),
                    site: dice.pick(&SITES),
                    position,
                    part,
                    ahead: dice.chance(10),
                }
            }
            88..=91 => {
                let site = dice.chance(60).then(|| dice.pick(&SITES));
                Self::Note { case: dice.pick(&CASES), site, ahead: dice.chance(20) }
            }
            92..=95 => Self::Verify { fitted: any_part(dice), candidate: any_part(dice) },
            _ => Self::Catalogue { torque: 20 + dice.below(20) as u32, wrong: dice.chance(50) },
        }
    }
}

pub fn any_part(dice: &mut Dice) -> &'static str {
    if dice.chance(3) { UNKNOWN_PART } else { PARTS[dice.below(PARTS.len())].code }
}

/// Mostly where the part belongs.
fn place_for(dice: &mut Dice, part: &str) -> &'static str {
    let own = PARTS.iter().find(|p| p.code == part).and_then(|p| p.position);
    own.filter(|_| !dice.chance(6)).unwrap_or_else(|| dice.pick(&POSITIONS))
}

/// A lot that lies in a drawer, with the drawer; now and then any lot and any drawer.
pub fn something_in_the_house(dice: &mut Dice, plain: &Plain) -> (&'static str, &'static str, Place) {
    let there: Vec<_> =
        plain.balance.iter().filter(|((_, p), n)| plain.drawers.contains(p) && **n > 0).collect();
    if there.is_empty() || dice.chance(15) {
        return (any_part(dice), dice.pick(&LOTS), dice.pick(&DRAWERS));
    }
    let (((part, lot), place), _) = dice.pick(&there);
    (part, lot, place)
}

fn receive(dice: &mut Dice) -> ReceiveAct {
    ReceiveAct {
        part: any_part(dice),
        lot: dice.pick(&LOTS),
        quantity: 1 + dice.below(4) as u32,
        place: dice.pick(&DRAWERS),
        new_place: dice.chance(70),
        expiry: dice.chance(40).then(|| dice.pick(&EXPIRIES)),
    }
}

/// A line that mostly may be booked: one that may not spoils the delivery.
fn likely(dice: &mut Dice, plain: &Plain) -> ReceiveAct {
    let line = receive(dice);
    let lot = (line.part, line.lot);
    let known = plain.drawers.contains(line.place);
    if plain.is_called_back(lot) || !known && !line.new_place || dice.chance(5) {
        return ReceiveAct { new_place: true, lot: dice.pick(&LOTS), ..line };
    }
    ReceiveAct { expiry: line.expiry.filter(|_| !plain.expiry.contains_key(&lot)), ..line }
}

fn shift(dice: &mut Dice, plain: &Plain) -> MoveAct {
    let (part, lot, place) = something_in_the_house(dice, plain);
    MoveAct {
        part,
        lot,
        quantity: 1 + dice.below(3) as u32,
        from: dice.chance(70).then_some(place),
        to: dice.pick(&DRAWERS),
        new_place: dice.chance(50),
    }
}

fn put_in(dice: &mut Dice, plain: &Plain) -> UseAct {
    let case = dice.pick(&CASES);
    let (mut part, mut lot, mut place) = something_in_the_house(dice, plain);
    let held = plain.all_held(case);
    if !held.is_empty() && dice.chance(25) {
        (part, lot) = dice.pick(&held);
        place = plain.drawers.iter().copied().find(|d| plain.at((part, lot), d) > 0).unwrap_or(place);
    }
    UseAct {
        case,
        site: dice.pick(&SITES),
        position: place_for(dice, part),
        part,
        lot,
        place: dice.chance(80).then_some(place),
        lean: part_of(part) == Some(true) && dice.chance(70) || dice.chance(2),
        found: dice.chance(12),
        expired: dice.chance(50),
        held: dice.chance(50),
        kept: dice.chance(30),
    }
}

fn import(dice: &mut Dice) -> ImportAct {
    let mut sites: Vec<u8> = SITES.iter().copied().filter(|_| dice.chance(70)).collect();
    sites.dedup();
    let abutment = if dice.chance(50) { "heron-mua-3.0" } else { "heron-mua-17" };
    let mut fitted = vec![("implant", "heron-implant", Some("IM-1")), ("abutment", abutment, None)];
    if dice.chance(60) {
        fitted.push(("prosthetic-screw", "heron-screw", Some(dice.pick(&LOTS))));
    }
    // A bridge lies in one jaw.
    let upper = sites.iter().copied().filter(|s| *s < 30);
    let bridge = if dice.chance(70) { upper.collect() } else { Vec::new() };
    ImportAct {
        case: dice.pick(&CASES),
        sites,
        bridge,
        fitted,
        replace: dice.chance(40),
        wrong: dice.chance(15),
    }
}
