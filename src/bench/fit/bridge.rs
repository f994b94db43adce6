//! A restoration on its seats, as the record has it.

use super::change::{Change, Turned, change};
use crate::case::{CaseHead, Fitted, Restoration, Sites, places};
use crate::catalog::{Position, SeatForm, Side};
use crate::desk::lookup;
use crate::matching::StandsOn;
use crate::mechanics::preload::{Band, FRICTION, Head, Tightened};
use crate::mechanics::thread::Thread;
use crate::record::{View, ViewError};
use crate::units::Tooth;

/// A restoration and the sites that carry it.
#[derive(Debug, Clone)]
pub struct Bridge {
    pub(super) case: CaseHead,
    pub(super) restoration: Restoration,
    pub(super) carriers: Vec<Carrier>,
}

/// A site that carries the restoration.
#[derive(Debug, Clone)]
pub struct Carrier {
    /// Which.
    pub site: Tooth,
    /// What the restoration was built on.
    pub built_on: Vec<Fitted>,
    /// What stands there now.
    pub now: Vec<Fitted>,
    /// How its seat moves; none when nothing changes there.
    pub change: Option<Change>,
}

impl Bridge {
    /// As the view has it.
    pub fn of_record(view: &View, case: &CaseHead, restoration: &Restoration) -> Result<Self, ViewError> {
        let (mut now, mut built_on) = (Sites::new(), Sites::new());
        for site in &restoration.sites {
            let assembly = view.assembly(&case.number, *site)?;
            built_on.insert(*site, lookup::built_on(view, &case.number, *site, &assembly)?);
            now.insert(*site, assembly);
        }
        Ok(Self::of(case, restoration, &now, &built_on))
    }

    /// Of assemblies that were read already.
    pub fn of(case: &CaseHead, restoration: &Restoration, now: &Sites, built_on: &Sites) -> Self {
        let mut sites = restoration.sites.clone();
        sites.sort_by_key(|t| t.along_arch());
        let at = |all: &Sites, site: &Tooth| all.get(site).cloned().unwrap_or_default();
        let carrier = |site: Tooth| {
            let (now, built_on) = (at(now, &site), at(built_on, &site));
            // What somebody has put in since counts as well: the bridge was made on what stood there before.
            let change = match (abutment(&built_on), abutment(&now)) {
                (Some(built), Some(there)) if !built.part.is_same_as(&there.part) => {
                    let turned = Turned { steps: None, lean: there.lean.known().copied() };
                    Some(change(site, built, &there.part, turned))
                }
                _ => None,
            };
            Carrier { site, built_on, now, change }
        };
        Self {
            case: case.clone(),
            restoration: restoration.clone(),
            carriers: sites.into_iter().map(carrier).collect(),
        }
    }

    /// What a part under it has to live with.
    pub fn stands_on(&self) -> StandsOn {
        self.restoration.stands_on()
    }

    /// The assembly at a site as the restoration was built on it.
    pub fn built_on(&self, site: Tooth) -> &[Fitted] {
        self.carriers.iter().find(|c| c.site == site).map_or(&[], |c| &c.built_on)
    }

    /// What the restoration was built on in a position.
    pub fn fitted(&self, site: Tooth, position: Position) -> Option<&Fitted> {
        Fitted::at(self.built_on(site), position)
    }

    /// What stands at a site now.
    pub(super) fn now(&self, site: Tooth) -> &[Fitted] {
        self.carriers.iter().find(|c| c.site == site).map_or(&[], |c| &c.now)
    }

    /// Which way the implants of these sites stand, of length one; none unless all of the bridge was measured.
    pub(super) fn axes(&self, sites: &[Tooth]) -> Option<Vec<[f64; 3]>> {
        let all: Vec<Tooth> = self.carriers.iter().map(|c| c.site).collect();
        let places = places(&self.case, &all).ok()?.sites;
        sites.iter().map(|site| places.iter().find(|p| p.site == *site)?.axis).collect()
    }

    /// The seat of a site moves.
    pub fn changes(&mut self, site: Tooth, change: Change) {
        if let Some(carrier) = self.carriers.iter_mut().find(|c| c.site == site) {
            carrier.change = Some(change);
        }
    }

    /// What the record holds that the restoration was not built on.
    pub fn careful(&self) -> Vec<String> {
        self.careful_beside(&[])
    }

    /// The same without these sites.
    pub(super) fn careful_beside(&self, sites: &[Tooth]) -> Vec<String> {
        let differs = |c: &Carrier| {
            let (built, there) = (abutment(&c.built_on)?, abutment(&c.now)?);
            (!built.part.is_same_as(&there.part)).then(|| {
                format!(
                    "on record at {} there now stands {}; the restoration was built on {}, and every gap here is held against that",
                    c.site, there.part.code, built.part.code
                )
            })
        };
        self.carriers.iter().filter(|c| !sites.contains(&c.site)).filter_map(differs).collect()
    }
}

fn abutment(assembly: &[Fitted]) -> Option<&Fitted> {
    Fitted::at(assembly, Position::Abutment)
}

impl Carrier {
    /// Radius of the seat that the restoration sits on, mm: the ring where both sides are there.
    pub fn radius(&self) -> Result<f64, String> {
        let below = abutment(&self.built_on).or_else(|| Fitted::at(&self.built_on, Position::Implant));
        let above = [Position::Cylinder, Position::Base, Position::Framework];
        let above = above.iter().find_map(|p| Fitted::at(&self.built_on, *p));
        let outer = |f: Option<&Fitted>, side| {
            f.and_then(|f| f.part.seat(side)).and_then(|s| s.outer.known()).map(|l| l.number() / 2.0)
        };
        let rings = [outer(below, Side::Above), outer(above, Side::Below)];
        rings.into_iter().flatten().reduce(f64::min).ok_or_else(|| {
            let of = below.map_or("nothing on record there".to_owned(), |f| f.part.code.to_string());
            format!("the outer diameter of the seat at {} ({of})", self.site)
        })
    }

    /// The screw that holds the restoration here.
    pub fn screw(&self) -> Option<&Fitted> {
        let prosthetic = Fitted::at(&self.built_on, Position::ProstheticScrew);
        prosthetic.or_else(|| Fitted::at(&self.built_on, Position::AbutmentScrew))
    }

    /// What that screw clamps with at the torque its maker states, over [`FRICTION`]; none when a number is missing.
    pub fn preload(&self) -> Option<Band> {
        let screw = &self.screw()?.part;
        let thread = screw.thread(Side::Below)?;
        let thread = Thread::new(thread.diameter.known()?.number(), thread.pitch.known()?.number()).ok()?;
        let seat = screw.head_seat(Side::Below)?;
        let mean = seat.mean_diameter.known()?.number();
        let head = match seat.form.known()? {
            SeatForm::Flat => Head::flat(mean).ok()?,
            SeatForm::Cone(half) => Head::cone(mean, half.number().to_radians()).ok()?,
        };
        let torque_nmm = screw.torque.stated()?.number() * 10.0;
        Tightened { thread, head }.band(torque_nmm, FRICTION[0], FRICTION[1]).ok()
    }
}
