//! The bridge on its changed seats: where it rests, how it is tested, what it would take to shut what gapes.

use std::cell::RefCell;

use super::bridge::{Bridge, Carrier};
use crate::case::{Bands, Places, places};
use crate::catalog::Value;
use crate::fit::moving::{Moved, along_axes};
use crate::fit::scatter::{DRAWS, Loose, Scatter, heights, scatter};
use crate::fit::seating::{Gap, Rest, Seat, clamped, middle, one_screw, rest};
use crate::fit::shut::{Frame, Hold, Node, Section, shut};
use crate::fit::stack::Stack;
use crate::mechanics::materials::Materials;
use crate::mechanics::preload::Band;
use crate::units::{Length, Tooth};

/// A bridge on its seats.
#[derive(Debug, Clone)]
pub struct Seated {
    /// Where the sites are, and how that is known.
    pub places: Places,
    /// Site by site, along the arch.
    pub sites: Vec<SiteSeated>,
    /// Pressed in the middle.
    pub rest: Rest,
    /// The one-screw tests, from the first site and from the last.
    pub tests: [Rest; 2],
    /// What two parts of one drawing do to the worst gap; none where it was not drawn, or where nothing is new.
    pub scatter: Option<Scatter>,
    /// Parts whose length tolerance nobody states.
    pub no_tolerance: Vec<String>,
    /// Why nothing is said about shutting a gap.
    pub no_strain: Option<String>,
}

/// One site of it.
#[derive(Debug, Clone)]
pub struct SiteSeated {
    /// Which.
    pub site: Tooth,
    /// The seat as the kernels take it.
    pub seat: Seat,
    /// How it moved.
    pub moved: Moved,
    /// Its height against the one before; none where nothing changes.
    pub height: Option<Stack>,
    /// At rest.
    pub rest: Gap,
    /// In the one-screw tests.
    pub tests: [Gap; 2],
    /// As clamped at the first and at the last site, mm.
    pub clamped: [f64; 2],
    /// What would have to pull it shut.
    pub strain: Option<Strain>,
}

/// What it takes at one site to shut all gaps of the bridge: where the seats let the frame turn, and where they hold it
/// flat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strain {
    /// Pull, N: the frame is to be pulled down here by so much; 0 where it presses on its seat.
    pub pull: [f64; 2],
    /// Moment, N·mm.
    pub moment: [f64; 2],
    /// What the screw here clamps with; none when a number of it is not known.
    pub preload: Option<Band>,
    /// Radius of its seat, mm.
    pub radius: f64,
}

impl Strain {
    /// The greater of pull against preload and moment against preload times radius, for seats that turn and for seats
    /// held flat, by the least the screw gives; over one it stays open.
    pub fn share(&self) -> Option<[f64; 2]> {
        self.preload.map(|band| self.shares(band.low_n))
    }

    fn shares(&self, preload: f64) -> [f64; 2] {
        [0, 1].map(|end| (self.pull[end] / preload).max(self.moment[end] / (preload * self.radius)))
    }
}

/// Whether the screws could shut the gaps of a bridge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shutting {
    /// Not even with low friction; the hardest asked needs so many times what it has.
    No(f64),
    /// It hangs on friction.
    MayBe,
    /// Even with high friction; the hardest asked gives this share of its clamp.
    Yes(f64),
}

impl SiteSeated {
    /// The widest edge in the worse of the one-screw tests, mm.
    pub fn worst(&self) -> f64 {
        self.tests[0].widest.max(self.tests[1].widest)
    }

    /// The middle gap when the bridge is pressed at one end and at the other, mm, the lesser first.
    pub fn rocked(&self) -> [f64; 2] {
        let [a, b] = self.tests.map(|t| t.centre);
        [a.min(b), a.max(b)]
    }
}

impl Seated {
    /// The site with the widest edge gap, and the end whose screw is tightened then.
    pub fn worst(&self) -> (&SiteSeated, usize) {
        let worst = self.sites.iter().max_by(|a, b| a.worst().total_cmp(&b.worst()));
        let worst = worst.expect("a restoration has a site");
        (worst, usize::from(worst.tests[1].widest > worst.tests[0].widest))
    }

    /// Whether the screws could shut it all round; none where that is not known for one of them.
    ///
    /// A seat that lets the frame turn is shut in its middle and open at its edge, so shut means held flat.
    pub fn shutting(&self) -> Option<Shutting> {
        let (mut least, mut most) = (0.0_f64, 0.0_f64);
        for site in &self.sites {
            let strain = site.strain?;
            let band = strain.preload?;
            least = least.max(strain.shares(band.high_n)[1]);
            most = most.max(strain.shares(band.low_n)[1]);
        }
        Some(match (least > 1.0, most <= 1.0) {
            (true, _) => Shutting::No(least),
            (_, true) => Shutting::Yes(most),
            _ => Shutting::MayBe,
        })
    }

    /// The two ends.
    pub fn ends(&self) -> [Tooth; 2] {
        [0, self.sites.len() - 1].map(|n| self.sites[n].site)
    }
}

/// Seats a bridge; what is not known for it, one sentence each.
pub fn seat(bridge: &Bridge) -> Result<Seated, Vec<String>> {
    let mut missing = Vec::new();
    let mut radii = Vec::new();
    let mut changes = Vec::new();
    for carrier in &bridge.carriers {
        carrier.radius().map_or_else(|what| missing.push(what), |r| radii.push(r));
        match &carrier.change {
            Some(Err(what)) => missing.extend(what.iter().cloned()),
            Some(Ok(change)) => changes.push(Some(change.clone())),
            None => changes.push(None),
        }
    }
    let sites: Vec<Tooth> = bridge.carriers.iter().map(|c| c.site).collect();
    let places = places(&bridge.case, &sites).map_err(|e| missing.push(e.to_string())).ok();
    let (Some(places), true) = (places, missing.is_empty()) else { return Err(missing) };
    let moved = changes.iter().map(|c| c.as_ref().map_or(Moved::NOT, |c| c.moved)).collect();
    let moved = along_the_path(bridge, &places, moved);
    let seats: Vec<Seat> = places
        .sites
        .iter()
        .zip(&radii)
        .zip(&moved)
        .map(|((place, radius), moved)| Seat { at: place.plane, rise: moved.rise, radius: *radius })
        .collect();
    let last = seats.len() - 1;
    let seated = (|| Ok([rest(&seats, middle(&seats))?, one_screw(&seats, 0)?, one_screw(&seats, last)?]))();
    let [at_rest, first, second] = seated.map_err(|e: crate::fit::seating::NoRest| vec![e.to_string()])?;
    let strains = strains(bridge, &places, &seats);
    let (ends, tests) = ([clamped(&seats, 0), clamped(&seats, last)], [first, second]);
    let one = |n: usize| SiteSeated {
        site: sites[n],
        seat: seats[n],
        moved: moved[n],
        height: changes[n].as_ref().map(|c| c.height),
        rest: at_rest.gap(&seats[n]),
        tests: tests.map(|t| t.gap(&seats[n])),
        clamped: [ends[0][n], ends[1][n]],
        strain: strains.as_ref().ok().map(|s| s[n]),
    };
    Ok(Seated {
        places,
        sites: (0..seats.len()).map(one).collect(),
        rest: at_rest,
        tests,
        scatter: None,
        no_tolerance: Vec::new(),
        no_strain: strains.err(),
    })
}

/// What was drawn for one answer: candidates with one seat and one tolerance are drawn once.
#[derive(Debug, Default)]
pub struct Drawn(RefCell<Vec<(Vec<Loose>, Option<Scatter>)>>);

impl Seated {
    /// With what two pieces of one drawing do; where several seats move these are a hundred thousand bridges.
    pub fn drawn(self, bridge: &Bridge, bands: &Bands, before: &Drawn) -> Self {
        let seats: Vec<Seat> = self.sites.iter().map(|s| s.seat).collect();
        let (loose, no_tolerance) = loose(bridge, &seats);
        let changes = bridge.carriers.iter().any(|c| c.change.is_some());
        let scatter = if changes && no_tolerance.is_empty() { before.scatter(loose, bands) } else { None };
        Self { scatter, no_tolerance, ..self }
    }
}

impl Drawn {
    /// `bands` are those of the practice, the same through one answer.
    fn scatter(&self, loose: Vec<Loose>, bands: &Bands) -> Option<Scatter> {
        let mut all = self.0.borrow_mut();
        if let Some((_, scatter)) = all.iter().find(|(seats, _)| *seats == loose) {
            return scatter.clone();
        }
        let limits = [bands.keeps, bands.doubtful, bands.check].map(Length::number);
        let scatter = match &loose[..] {
            [alone] => Some(heights(alone, &limits, DRAWS)),
            all => scatter(all, [0, all.len() - 1], &limits, DRAWS).ok(),
        };
        all.push((loose, scatter.clone()));
        scatter
    }
}

/// The changes as the path of insertion of the whole bridge sees them.
///
/// A seat's own axis is the path where nothing else is known. Where every implant's axis was measured and no part is
/// angled, the path is their mean.
fn along_the_path(bridge: &Bridge, places: &Places, moved: Vec<Moved>) -> Vec<Moved> {
    let axes: Option<Vec<[f64; 3]>> = places.sites.iter().map(|p| p.axis).collect();
    let angled = |c: &Carrier| [&c.built_on, &c.now].into_iter().flatten().any(|f| f.part.is_angled());
    let plain = moved.iter().all(|m| m.sideways == 0.0 && m.tilt == 0.0);
    let (Some(axes), true) = (axes, plain && !bridge.carriers.iter().any(angled)) else { return moved };
    let rises: Vec<f64> = moved.iter().map(|m| m.rise).collect();
    along_axes(&axes, &rises, bridge.carriers.iter().all(|c| c.change.is_some()))
}

/// The seats with the tolerances of their parts, and whose tolerance is not known.
fn loose(bridge: &Bridge, seats: &[Seat]) -> (Vec<Loose>, Vec<String>) {
    let mut no_tolerance = Vec::new();
    let mut loose = Vec::new();
    for (carrier, seat) in bridge.carriers.iter().zip(seats) {
        let (mut old, mut new) = (0.0, 0.0);
        if let Some(Ok(change)) = &carrier.change {
            [old, new] = change.tolerances.clone().map(|t| {
                t.unwrap_or_else(|part| {
                    let line = format!("{part} at {}", carrier.site);
                    if !no_tolerance.contains(&line) {
                        no_tolerance.push(line);
                    }
                    0.0
                })
            });
        }
        loose.push(Loose { seat: *seat, old, new });
    }
    (loose, no_tolerance)
}

/// What it takes to shut the gaps; or why that is not said.
fn strains(bridge: &Bridge, places: &Places, seats: &[Seat]) -> Result<Vec<Strain>, String> {
    if seats.len() < 2 {
        return Err("one site: nothing is bent".to_owned());
    }
    let r = &bridge.restoration;
    let size = |v: &Value<Length>| v.known().map(|l| l.number());
    let (Some(height_mm), Some(width_mm)) = (size(&r.connector_height), size(&r.connector_width)) else {
        return Err("the height and width of the connectors are not on record".to_owned());
    };
    let Some(name) = r.material.known() else {
        return Err("the frame's material is not on record".to_owned());
    };
    let material = Materials::shipped()
        .find(name.as_str())
        .ok_or_else(|| format!("no elastic modulus is on file for '{name}'"))?;
    let node = |(place, seat): (&crate::case::Place, &Seat)| Node {
        x_mm: place.plane[0],
        y_mm: place.plane[1],
        rise_um: seat.rise * 1000.0,
        hold: Hold::Flush,
    };
    let frame = Frame {
        nodes: places.sites.iter().zip(seats).map(node).collect(),
        section: Section { height_mm, width_mm },
        modulus_gpa: material.modulus_gpa,
        poisson: material.poisson,
    };
    let range = shut(&frame).map_err(|e| e.to_string())?;
    let one = |(n, carrier): (usize, &Carrier)| {
        let (pinned, flush) = (range.pinned[n], range.flush[n]);
        Strain {
            pull: [pinned.force_n.max(0.0), flush.force_n.max(0.0)],
            moment: [pinned.moment_nmm(), flush.moment_nmm()],
            preload: carrier.preload(),
            radius: seats[n].radius,
        }
    };
    Ok(bridge.carriers.iter().enumerate().map(one).collect())
}
