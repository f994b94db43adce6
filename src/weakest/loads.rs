//! The bites a restoration is held against: steep at each of its ends, oblique at each site, to both sides.

use crate::case::{CaseHead, Grinding, NoPlace, Places, Restoration, places};
use crate::fit::arch::on_default_arch;
use crate::mechanics::bite::{Bites, Grinds};
use crate::mechanics::sharing::Load;
use crate::units::Tooth;

/// The angle of the oblique bites to the axis where nobody says another, degrees; a steep one stands at half of it.
///
/// 30° is that of the bench (ISO 14801).
pub const ANGLE_DEG: f64 = 30.0;

/// One bite.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadCase {
    /// On which tooth.
    pub tooth: Tooth,
    /// How hard, N.
    pub force_n: f64,
    /// How far off the axis, degrees.
    pub angle_deg: f64,
    /// To which side it pushes, in words.
    pub side: &'static str,
    /// As the kernels take it.
    pub load: Load,
}

impl LoadCase {
    /// In words.
    pub fn words(&self) -> String {
        format!("{:.0} N at {}° on {}, {}", self.force_n, self.angle_deg, self.tooth, self.side)
    }
}

/// All bites on a restoration.
#[derive(Debug, Clone, PartialEq)]
pub struct Biting {
    /// Where its sites lie.
    pub places: Places,
    /// Steep ones first.
    pub bites: Vec<LoadCase>,
    /// How high above the bridge's seats they act, mm.
    pub height_mm: f64,
    /// Where the force comes from, in words.
    pub source: String,
}

/// What is said instead of the defaults.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct LoadSaid {
    /// The force of every bite, N.
    pub force_n: Option<f64>,
    /// The angle of the oblique ones, degrees.
    pub angle_deg: Option<f64>,
}

fn grinds(grinding: Grinding) -> Grinds {
    match grinding {
        Grinding::NotAsked | Grinding::NoneNoticed => Grinds::Usual,
        Grinding::Possible | Grinding::Probable => Grinds::Possible,
        Grinding::Definite => Grinds::Definite,
    }
}

impl Biting {
    /// On a restoration whose crowns stand so high above its seats.
    pub fn of(
        case: &CaseHead,
        restoration: &Restoration,
        height_mm: f64,
        said: LoadSaid,
    ) -> Result<Self, NoPlace> {
        let mut sites = restoration.sites.clone();
        sites.sort_by_key(|t| t.along_arch());
        let places = places(case, &sites)?;
        let row = Bites::shipped().of(grinds(case.load.grinding));
        let force = |t: Tooth| said.force_n.unwrap_or_else(|| row.at_n(t.place()));
        let oblique = said.angle_deg.unwrap_or(ANGLE_DEG);
        let arch = Arch { places: &places };
        let mut bites = Vec::new();
        for end in ends(restoration, &sites) {
            let (at, out) = arch.at(end)?;
            bites.extend(arch.both_ways(end, at, out, force(end), oblique / 2.0, height_mm));
        }
        for (n, site) in sites.iter().enumerate() {
            let at = places.sites[n].plane;
            bites.extend(arch.both_ways(*site, at, arch.outward(n), force(*site), oblique, height_mm));
        }
        let source = match said.force_n {
            Some(force_n) => format!("the bite: {force_n} N everywhere, as said"),
            None => {
                format!("the bite by the place of the tooth, grinding {}: {}", case.load.grinding, row.source)
            }
        };
        Ok(Self { places, bites, height_mm, source })
    }
}

/// The outermost teeth of a restoration, hanging ones included; one where both are the same.
fn ends(restoration: &Restoration, sites: &[Tooth]) -> Vec<Tooth> {
    let mut all: Vec<Tooth> = sites.iter().chain(&restoration.pontics).copied().collect();
    all.sort_by_key(|t| t.along_arch());
    let (Some(first), Some(last)) = (all.first(), all.last()) else { return Vec::new() };
    let right = beyond(*first, -(restoration.cantilever_right as i8));
    let left = beyond(*last, restoration.cantilever_left as i8);
    if right == left { vec![right] } else { vec![right, left] }
}

/// The tooth so many places further along the arch, or the last there is.
fn beyond(tooth: Tooth, steps: i8) -> Tooth {
    let upper = tooth.is_upper();
    let next = |at: i8| if at + steps.signum() == 0 { steps.signum() } else { at + steps.signum() };
    let numbered = |at: i8| {
        let quadrant = match (upper, at > 0) {
            (true, false) => 10,
            (true, true) => 20,
            (false, true) => 30,
            (false, false) => 40,
        };
        Tooth::from_iso(quadrant + at.unsigned_abs())
    };
    let mut found = tooth;
    for _ in 0..steps.unsigned_abs() {
        found = numbered(next(found.along_arch())).unwrap_or(found);
    }
    found
}

/// The sites of a restoration as a line along the arch.
struct Arch<'a> {
    places: &'a Places,
}

impl Arch<'_> {
    fn plane(&self, n: usize) -> [f64; 2] {
        self.places.sites[n].plane
    }

    /// Across the line of the sites at one of them; outwards on the default arch, on a measured one to either side.
    fn outward(&self, n: usize) -> [f64; 2] {
        let last = self.places.sites.len() - 1;
        let (from, to) = (self.plane(n.saturating_sub(1)), self.plane((n + 1).min(last)));
        across([to[0] - from[0], to[1] - from[1]])
            .or_else(|| {
                let tooth = self.places.sites[n].site;
                let [a, b] = [-1, 1].map(|step| on_default_arch(beyond(tooth, step)));
                let (a, b) = (a?, b?);
                across([b[0] - a[0], b[1] - a[1]])
            })
            .unwrap_or([0.0, -1.0])
    }

    /// Where a tooth of the restoration lies, and which way is outwards there.
    fn at(&self, tooth: Tooth) -> Result<([f64; 2], [f64; 2]), NoPlace> {
        let sites = &self.places.sites;
        if let Some(n) = sites.iter().position(|p| p.site == tooth) {
            return Ok((self.plane(n), self.outward(n)));
        }
        // Beyond the end nearest to it: on in the direction of the last two sites, as far as the default arch has it.
        let nearest = if tooth.along_arch() < sites[0].site.along_arch() { 0 } else { sites.len() - 1 };
        let own = on_default_arch(tooth).ok_or(NoPlace(tooth))?;
        let end = on_default_arch(sites[nearest].site).ok_or(NoPlace(sites[nearest].site))?;
        let (away, from) = ([own[0] - end[0], own[1] - end[1]], self.plane(nearest));
        if self.places.is_assumed() || sites.len() == 1 {
            return Ok(([from[0] + away[0], from[1] + away[1]], self.outward(nearest)));
        }
        let before = self.plane(if nearest == 0 { 1 } else { nearest - 1 });
        let along = [from[0] - before[0], from[1] - before[1]];
        let (length, far) = (along[0].hypot(along[1]), away[0].hypot(away[1]));
        if length <= 0.0 {
            return Err(NoPlace(tooth));
        }
        Ok((std::array::from_fn(|i| from[i] + along[i] / length * far), self.outward(nearest)))
    }

    fn both_ways(
        &self,
        tooth: Tooth,
        at_mm: [f64; 2],
        out: [f64; 2],
        force_n: f64,
        angle_deg: f64,
        height_mm: f64,
    ) -> [LoadCase; 2] {
        let (sin, cos) = angle_deg.to_radians().sin_cos();
        let names = if self.places.is_assumed() {
            ["outwards", "inwards"]
        } else {
            ["across to one side", "across to the other side"]
        };
        [(1.0, names[0]), (-1.0, names[1])].map(|(sign, side)| LoadCase {
            tooth,
            force_n,
            angle_deg,
            side,
            load: Load {
                at_mm,
                force_n: force_n * cos,
                side_n: out.map(|o| o * sign * force_n * sin),
                height_mm,
            },
        })
    }
}

/// The direction to the outside of a step along the arch from the patient's right to the left.
fn across(step: [f64; 2]) -> Option<[f64; 2]> {
    let length = step[0].hypot(step[1]);
    (length > 0.0).then(|| [step[1] / length, -step[0] / length])
}
