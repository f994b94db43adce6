//! Where the sites of a restoration lie: measured, or on the default arch, which is marked as assumed.

use thiserror::Error;

use super::{CaseHead, Measured};
use crate::fit::arch::on_default_arch;
use crate::units::Tooth;

/// Where sites lie.
#[derive(Debug, Clone, PartialEq)]
pub struct Places {
    /// In the order they were asked for.
    pub sites: Vec<Place>,
    /// The sites that nobody measured; one of them is enough to take all from the default arch.
    pub lacking: Vec<Tooth>,
}

/// Where one site lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// Which.
    pub site: Tooth,
    /// In the plane across the path of insertion, mm.
    pub plane: [f64; 2],
    /// From the implant outwards, of length one; none where nobody measured it.
    pub axis: Option<[f64; 3]>,
}

/// Neither measured nor on the default arch.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("where {0} ({words}) lies: it was not measured, and the default arch ends at the second molars", words = .0.words())]
pub struct NoPlace(pub Tooth);

impl Places {
    /// Taken from the default arch.
    pub fn is_assumed(&self) -> bool {
        !self.lacking.is_empty()
    }
}

/// Where these sites of a case lie.
pub fn places(case: &CaseHead, sites: &[Tooth]) -> Result<Places, NoPlace> {
    let measured = |site: &Tooth| case.measured.iter().find(|m| m.site == *site);
    let lacking: Vec<Tooth> = sites.iter().copied().filter(|t| measured(t).is_none()).collect();
    if lacking.is_empty() {
        let all: Vec<&Measured> = sites.iter().filter_map(measured).collect();
        return Ok(Places { sites: in_plane(&all), lacking });
    }
    let one = |site: &Tooth| {
        let plane = on_default_arch(*site).ok_or(NoPlace(*site))?;
        Ok(Place { site: *site, plane, axis: None })
    };
    Ok(Places { sites: sites.iter().map(one).collect::<Result<_, _>>()?, lacking })
}

/// Measured sites in the plane across the mean of their axes; across z when no axis was measured.
fn in_plane(all: &[&Measured]) -> Vec<Place> {
    let axis = |m: &Measured| m.axis.and_then(|a| unit(a.map(f64::from)));
    let sum = all.iter().filter_map(|m| axis(m)).fold([0.0; 3], |s, a| std::array::from_fn(|i| s[i] + a[i]));
    let path = unit(sum).unwrap_or([0.0, 0.0, 1.0]);
    // Any two directions across the path; the one least along it makes the better start.
    let least = (0..3).min_by(|a, b| path[*a].abs().total_cmp(&path[*b].abs())).unwrap_or(0);
    let mut start = [0.0; 3];
    start[least] = 1.0;
    let first = unit(cross(path, start)).unwrap_or([1.0, 0.0, 0.0]);
    let second = cross(path, first);
    let one = |m: &&Measured| {
        let at = m.position.map(|l| l.number());
        Place { site: m.site, plane: [dot(at, first), dot(at, second)], axis: axis(m) }
    };
    all.iter().map(one).collect()
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

fn unit(a: [f64; 3]) -> Option<[f64; 3]> {
    let size = dot(a, a).sqrt();
    (size > 0.0).then(|| a.map(|x| x / size))
}
