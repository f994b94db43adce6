//! What of an assembly can open or break, as the kernels take it; what is missing is named, never guessed.

use crate::case::Fitted;
use crate::catalog::{
    Disagree, Kind, Part, Position, SeatForm, Side, Thread as ThreadPort, TorqueAsked, TorqueSpec,
};
use crate::mechanics::cone::{Cone, Screw, Wall};
use crate::mechanics::joint::FlatJoint;
use crate::mechanics::margin::{FRICTIONS, Member};
use crate::mechanics::materials::{Material, Materials};
use crate::mechanics::neck::BONE_LOST_MM;
use crate::mechanics::preload::FRICTION;
use crate::mechanics::preload::{Band, Head, Tightened};
use crate::mechanics::ring::Ring;
use crate::mechanics::thread::Thread;
use crate::mechanics::tightening::{Form, share_of_yield_at_torque};
use crate::record::{View, ViewError};
use crate::units::{Length, PartCode, Torque};

/// Friction that a ranking is worked out at: a screw as its maker ships it, low, middle and high.
pub const RANKED_AT: [f64; FRICTIONS] = [0.15, 0.30, 0.45];
/// What settling leaves of a preload: the low end of 2 to 10 % lost (doi 10.1186/s40729-018-0154-2).
pub const SETTLED: f64 = 0.9;
/// The least share that a cone's screw takes of a pull, 0.05 to 0.2 for a joint (from memory): the least is on the safe side.
const CONE_SHARE: f64 = 0.05;

/// What can give way at a site.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Class {
    /// Over an abutment: the reachable one.
    ProstheticScrew,
    /// Into the implant, through an abutment or a base.
    AbutmentScrew,
    /// The thread of a one-piece abutment, into the implant.
    OnePiece,
    /// The wall of an abutment at the mouth of a cone.
    ConeWall,
    /// The implant's neck.
    Neck,
}

impl Class {
    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::ProstheticScrew => "prosthetic screw",
            Self::AbutmentScrew => "abutment screw",
            Self::OnePiece => "one-piece abutment",
            Self::ConeWall => "abutment in the cone",
            Self::Neck => "implant neck",
        }
    }

    /// Whether what it costs is more than a screw over an abutment.
    pub const fn is_deep(self) -> bool {
        !matches!(self, Self::ProstheticScrew)
    }
}

/// The screw of a joint, tightened.
#[derive(Debug, Clone, PartialEq)]
pub struct ScrewJoint {
    /// Which part carries the thread.
    pub code: PartCode,
    /// What it is tightened with.
    pub torque: Torque,
    /// What it and its partner ask for, where they disagree.
    pub disagree: Option<Disagree>,
    /// Thread and head.
    pub screw: Tightened,
    /// Its material, where it is on file.
    pub material: Option<&'static Material>,
}

impl ScrewJoint {
    fn torque_nmm(&self) -> f64 {
        self.torque.number() * 10.0
    }

    /// What is left of its preload, N.
    fn clamp_n(&self, friction: f64) -> Result<f64, String> {
        let preload = self.screw.preload_n(self.torque_nmm(), friction);
        preload.map(|n| n * SETTLED).map_err(|e| e.to_string())
    }

    /// What it clamps with over the friction that was measured; none where no number holds it.
    pub fn preload(&self) -> Option<Band> {
        self.screw.band(self.torque_nmm(), FRICTION[0], FRICTION[1]).ok()
    }

    /// What of the yield strength tightening takes up at both ends of the friction that was measured.
    pub fn shares_of_yield(&self) -> [Option<f64>; 2] {
        FRICTION.map(|f| self.share_of_yield(f))
    }

    /// The same in words.
    pub fn yield_words(&self) -> String {
        match self.shares_of_yield() {
            [Some(low), Some(high)] => {
                format!("{:.0} to {:.0} %", low.min(high) * 100.0, low.max(high) * 100.0)
            }
            _ => "strength not on file".to_owned(),
        }
    }

    /// What of the yield strength tightening takes up, at a friction; none where the strength is not on file.
    pub fn share_of_yield(&self, friction: f64) -> Option<f64> {
        let strength = self.material?.yield_mpa?;
        share_of_yield_at_torque(&self.screw, self.torque_nmm(), friction, strength, Form::Vdi2001).ok()
    }
}

/// One thing that can give way.
#[derive(Debug, Clone, PartialEq)]
pub struct SitePart {
    /// What it is.
    pub class: Class,
    /// Where it stands.
    pub position: Position,
    /// Which part.
    pub code: PartCode,
    /// How far below the bridge's seat, mm.
    pub below_mm: f64,
    /// L of its site, from the bridge's seat to 3 mm below the platform, mm.
    pub length_mm: f64,
    /// Its screw, where it has one.
    pub screw: Option<ScrewJoint>,
    /// As the kernels take it, or what is missing for that.
    pub member: Result<Member, String>,
}

/// What is not modelled, as a clause: a number that nobody has.
fn lacks(what: &str) -> String {
    format!("{what} is not on record")
}

/// The same: numbers that are there and cannot be.
fn odd(why: impl ToString) -> String {
    format!("its numbers cannot be worked with ({})", why.to_string())
}

fn mm(value: Option<&Length>, what: &str, of: &Part) -> Result<f64, String> {
    value.map(|l| l.number()).ok_or_else(|| lacks(&format!("the {what} of {}", of.code)))
}

fn material(part: &Part) -> Option<&'static Material> {
    Materials::shipped().find(part.material.known()?.of.as_str())
}

/// The ring where two parts bear on each other, as far as either is on record.
fn ring(lower: &Part, upper: &Part) -> Result<Ring, String> {
    let seats = [lower.seat(Side::Above), upper.seat(Side::Below)];
    let known = |of: fn(&crate::catalog::Seat) -> Option<&Length>| {
        seats.into_iter().flatten().filter_map(of).map(|l| l.number()).collect::<Vec<f64>>()
    };
    let outer = known(|s| s.outer.known()).into_iter().reduce(f64::min);
    let inner = known(|s| s.inner.known()).into_iter().reduce(f64::max);
    let missing = |what: &str| {
        lacks(&format!("the {what} diameter of the seat between {} and {}", lower.code, upper.code))
    };
    let (outer, inner) = (outer.ok_or_else(|| missing("outer"))?, inner.ok_or_else(|| missing("inner"))?);
    Ring::new(outer, inner).map_err(odd)
}

/// How two parts bear on each other, by the lower one's interface.
fn form(view: &View, lower: &Part) -> Result<Result<SeatForm, String>, ViewError> {
    let Some(seat) = lower.seat(Side::Above) else {
        return Ok(Err(lacks(&format!("the seat on {}", lower.code))));
    };
    let found = view.interface(&seat.interface)?;
    Ok(found
        .and_then(|i| i.form.known().copied())
        .ok_or_else(|| lacks(&format!("whether interface {} is flat or a cone", seat.interface))))
}

fn thread(port: Option<&ThreadPort>, of: &Part) -> Result<Thread, String> {
    let port = port.ok_or_else(|| lacks(&format!("the thread of {}", of.code)))?;
    let diameter = mm(port.diameter.known(), "thread diameter", of)?;
    Thread::new(diameter, mm(port.pitch.known(), "pitch", of)?).map_err(odd)
}

/// A torque as a number; by hand is none, and one that nobody states is never filled in.
fn stated(asked: &TorqueAsked, of: &Part) -> Result<Torque, String> {
    match &asked.rules {
        TorqueSpec::Stated(torque) => Ok(*torque),
        TorqueSpec::ByHand => {
            Err(lacks(&format!("a torque in Ncm for {}, which its maker has tightened by hand,", of.code)))
        }
        TorqueSpec::NotKnown | TorqueSpec::NotApplicable => Err(lacks(&format!("the torque of {}", of.code))),
    }
}

/// The screw that holds `upper` on `lower`: a part of its own, or the thread of `upper`, whose seat is then its head.
fn screw_joint(screw: Option<&Part>, upper: &Part, seat: (&Ring, SeatForm)) -> Result<ScrewJoint, String> {
    let of = screw.unwrap_or(upper);
    let asked = TorqueAsked::of(of, screw.map(|_| upper));
    let torque = stated(&asked, of)?;
    let head = match screw {
        Some(screw) => {
            let head = screw
                .head_seat(Side::Below)
                .ok_or_else(|| lacks(&format!("the head seat of {}", screw.code)))?;
            let mean = mm(head.mean_diameter.known(), "mean diameter of the head seat", screw)?;
            let form = head
                .form
                .known()
                .ok_or_else(|| lacks(&format!("the form of the head seat of {}", screw.code)))?;
            headed(mean, *form)
        }
        None => headed(f64::midpoint(seat.0.outer_mm(), seat.0.inner_mm()), seat.1),
    };
    let screw = Tightened { thread: thread(of.thread(Side::Below), of)?, head: head? };
    let (code, material) = (of.code.clone(), material(of));
    Ok(ScrewJoint { code, torque, disagree: asked.disagree, screw, material })
}

fn headed(mean_mm: f64, form: SeatForm) -> Result<Head, String> {
    match form {
        SeatForm::Flat => Head::flat(mean_mm),
        SeatForm::Cone(half) => Head::cone(mean_mm, half.number().to_radians()),
    }
    .map_err(odd)
}

/// A value for each friction.
fn each<T: Copy>(one: impl Fn(f64) -> Result<T, String>) -> Result<[T; FRICTIONS], String> {
    let all: Vec<T> = RANKED_AT.into_iter().map(one).collect::<Result<_, _>>()?;
    all.try_into().map_err(|_| odd("a friction is missing"))
}

/// A joint as the kernels take it: flat, or a cone with the wall of what goes in.
fn joint(upper: &Part, ring: &Ring, form: SeatForm, screw: &ScrewJoint) -> Result<Member, String> {
    match form {
        SeatForm::Flat => Ok(Member::Flat(each(|friction| {
            let core = screw.screw.thread.stress_diameter_mm();
            FlatJoint::new(*ring, core, screw.clamp_n(friction)?).map_err(odd)
        })?)),
        SeatForm::Cone(_) => {
            let male = wall(upper, ring.outer_mm());
            Ok(Member::Cone(each(|friction| {
                let screw = Screw { clamp_n: screw.clamp_n(friction)?, share: CONE_SHARE };
                Ok(Cone { male, female: None, screw: Some(screw) })
            })?))
        }
    }
}

/// The wall of a part at the mouth of a cone, where its bore and its material are on record.
fn wall(part: &Part, mouth_mm: f64) -> Option<Wall> {
    let bore = part.head_seat(Side::Above)?.bore.known()?.number();
    Some(Wall { section: Ring::new(mouth_mm, bore).ok()?, limit_mpa: material(part)?.pulsating_limit_mpa()? })
}

/// What stands on what at a site, and how deep.
struct Tier<'a> {
    class: Class,
    lower: &'a Part,
    upper: &'a Part,
    screw: Option<&'a Fitted>,
    position: Position,
    below_mm: f64,
    length_mm: f64,
}

/// The parts of a site, from the top down; an error says what is missing to model anything there.
pub fn site_parts(view: &View, assembly: &[Fitted]) -> Result<Result<Vec<SitePart>, String>, ViewError> {
    let at = |position| Fitted::at(assembly, position);
    let Some(implant) = at(Position::Implant) else {
        return Ok(Err(lacks("which implant it is")));
    };
    let inside = [Position::Cylinder, Position::Base, Position::Framework];
    let bridge = inside.into_iter().find_map(at);
    let abutment = at(Position::Abutment);
    let collar = match abutment {
        Some(a) => mm(a.part.seat_height.known(), "seat height", &a.part),
        None => Ok(0.0),
    };
    let platform_mm = match collar {
        Ok(mm) => mm,
        Err(missing) => return Ok(Err(missing)),
    };
    let length_mm = platform_mm + BONE_LOST_MM;
    let unknown = |class, position, of: &Fitted, below_mm, missing: String| SitePart {
        class,
        position,
        code: of.part.code.clone(),
        below_mm,
        length_mm,
        screw: None,
        member: Err(missing),
    };
    let mut parts = Vec::new();
    let screw = at(Position::ProstheticScrew);
    // Over a multi-unit abutment there is one, whether or not somebody entered it.
    let over = abutment.filter(|a| screw.is_some() || a.part.kind == Kind::MultiUnitAbutment);
    match (over, bridge) {
        (Some(abutment), Some(bridge)) => {
            let (class, position) = (Class::ProstheticScrew, Position::ProstheticScrew);
            let (lower, upper) = (&abutment.part, &bridge.part);
            let tier = Tier { class, lower, upper, screw, position, below_mm: 0.0, length_mm };
            parts.extend(tier.parts(form(view, lower)?));
        }
        (Some(abutment), None) => {
            let missing = lacks("what is screwed onto the abutment");
            parts.push(unknown(Class::ProstheticScrew, Position::ProstheticScrew, abutment, 0.0, missing));
        }
        (None, _) => {}
    }
    let form = form(view, &implant.part)?;
    if let Some(upper) = abutment.or(bridge) {
        let one_piece = upper.part.is_one_piece();
        let (class, position, screw) = if one_piece {
            (Class::OnePiece, upper.position, None)
        } else {
            (Class::AbutmentScrew, Position::AbutmentScrew, at(Position::AbutmentScrew))
        };
        let (lower, upper) = (&implant.part, &upper.part);
        let tier = Tier { class, lower, upper, screw, position, below_mm: platform_mm, length_mm };
        parts.extend(tier.parts(form.clone()));
    } else {
        let missing = lacks("what stands on the implant");
        parts.push(unknown(Class::AbutmentScrew, Position::AbutmentScrew, implant, platform_mm, missing));
    }
    parts.push(neck(&implant.part, platform_mm, form));
    Ok(Ok(parts))
}

impl Tier<'_> {
    /// Its joint; over a cone the wall of what goes in as well.
    fn parts(&self, form: Result<SeatForm, String>) -> Vec<SitePart> {
        let made = self.made(form.clone());
        let (screw, member) = match made {
            Ok((screw, member)) => (Some(screw), member),
            Err(missing) => (None, Err(missing)),
        };
        let code = self.screw.map_or(&self.upper.code, |s| &s.part.code).clone();
        let (below_mm, length_mm) = (self.below_mm, self.length_mm);
        let part = |class, position, code, screw, member| SitePart {
            class,
            position,
            code,
            below_mm,
            length_mm,
            screw,
            member,
        };
        let mut all = vec![part(self.class, self.position, code, screw, member.clone())];
        // Of a cone the walls break, not the screw: the screw is pulled slack.
        if let (Ok(SeatForm::Cone(_)), Ok(Member::Cone(cones))) = (&form, &member) {
            let wall = cones.map(|c| Cone { screw: None, ..c });
            let member = match cones[0].male {
                Some(_) => Ok(Member::Cone(wall)),
                None => Err(lacks(&format!("the bore of {} or what it is made of", self.upper.code))),
            };
            all[0].member = Ok(Member::Cone(cones.map(|c| Cone { male: None, ..c })));
            let position = if self.class == Class::OnePiece { self.position } else { Position::Abutment };
            all.push(part(Class::ConeWall, position, self.upper.code.clone(), None, member));
        }
        all
    }

    fn made(&self, form: Result<SeatForm, String>) -> Result<(ScrewJoint, Result<Member, String>), String> {
        let ring = ring(self.lower, self.upper)?;
        let form = form?;
        if self.screw.is_none() && self.class != Class::OnePiece {
            return Err(lacks(&format!("which screw holds {}", self.upper.code)));
        }
        let screw = screw_joint(self.screw.map(|s| &s.part), self.upper, (&ring, form))?;
        let member = joint(self.upper, &ring, form, &screw);
        Ok((screw, member))
    }
}

/// The implant's neck: bored out to the inside of a flat ring, or to the mouth of a cone.
fn neck(implant: &Part, platform_mm: f64, form: Result<SeatForm, String>) -> SitePart {
    let member = || {
        let outer = mm(implant.neck.known(), "neck diameter", implant)?;
        let seat =
            implant.seat(Side::Above).ok_or_else(|| lacks(&format!("the seat of {}", implant.code)))?;
        let inner = match form? {
            SeatForm::Flat => mm(seat.inner.known(), "inner seat diameter", implant)?,
            SeatForm::Cone(_) => mm(seat.outer.known(), "diameter of the cone's mouth", implant)?,
        };
        let limit = material(implant).and_then(Material::pulsating_limit_mpa);
        let limit = limit
            .ok_or_else(|| lacks(&format!("the fatigue strength of what {} is made of", implant.code)))?;
        let ring = Ring::new(outer, inner).map_err(odd)?;
        Ok(Member::Neck(ring, limit))
    };
    SitePart {
        class: Class::Neck,
        position: Position::Implant,
        code: implant.code.clone(),
        below_mm: platform_mm,
        length_mm: platform_mm + BONE_LOST_MM,
        screw: None,
        member: member(),
    }
}
