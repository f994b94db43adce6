//! Where the sites of a restoration lie: measured, or on the default arch, which is marked as assumed.

use thiserror::Error;

use super::{CaseHead, Measured};
use crate::fit::arch::on_default_arch;
use crate::fit::space::{across, dot, sum, unit};
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

/// Measured sites in the plane across the mean of their axes; across z when no axis was measured. The plane lies as near
/// to x and y as it goes, so that a scan in the patient's own directions keeps them.
fn in_plane(all: &[&Measured]) -> Vec<Place> {
    let axis = |m: &Measured| m.axis.and_then(|a| unit(a.map(f64::from)));
    let path = unit(sum(all.iter().filter_map(|m| axis(m)))).unwrap_or([0.0, 0.0, 1.0]);
    let [first, second] = across(path);
    let one = |m: &&Measured| {
        let at = m.position.map(|l| l.number());
        Place { site: m.site, plane: [dot(at, first), dot(at, second)], axis: axis(m) }
    };
    all.iter().map(one).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::{Grinding, LoadSigns, Splint};
    use crate::units::{CaseNumber, Length};

    fn tooth(iso: u8) -> Tooth {
        Tooth::from_iso(iso).unwrap()
    }

    /// Site, position, axis.
    type Row = (u8, [i32; 3], Option<[i32; 3]>);

    fn case(measured: &[Row]) -> CaseHead {
        let load =
            LoadSigns { grinding: Grinding::NotAsked, signs: None, splint: Splint::NotAsked, against: None };
        let one = |(iso, at, axis): &Row| Measured {
            site: tooth(*iso),
            position: at.map(Length::from_base),
            axis: *axis,
        };
        let (number, measured) = (CaseNumber::new("7").unwrap(), measured.iter().map(one).collect());
        CaseHead { number, made_up: true, load, sites: vec![], measured }
    }

    /// Tooth centres on the default arch [X]; 0.01 mm is how they are given.
    #[test]
    fn one_site_that_nobody_measured_puts_all_on_the_default_arch() {
        let case = case(&[(33, [1000, 2000, 0], None)]);
        let found = places(&case, &[tooth(33), tooth(36)]).unwrap();
        assert_eq!((found.is_assumed(), &found.lacking[..]), (true, &[tooth(36)][..]));
        for (place, [x, y]) in found.sites.iter().zip([[13.43, 3.41], [25.86, 22.06]]) {
            assert!((place.plane[0] - x).abs() < 0.01 && (place.plane[1] - y).abs() < 0.01, "{place:?}");
            assert_eq!(place.axis, None);
        }
    }

    #[test]
    fn measured_sites_lie_across_the_mean_of_their_axes() {
        let flat = case(&[(33, [1000, 2000, 9000], None), (36, [-500, 0, -9000], None)]);
        let found = places(&flat, &[tooth(36), tooth(33)]).unwrap();
        assert!(!found.is_assumed());
        assert_eq!(found.sites.iter().map(|p| p.plane).collect::<Vec<_>>(), [[-0.5, 0.0], [1.0, 2.0]]);
        // Mean axis along y: what lies apart along y does not lie apart across it. Rounding only.
        let along_y = case(&[
            (33, [0, 0, 0], Some([100_000, 1_000_000, 0])),
            (36, [0, 9000, 4000], Some([-100_000, 1_000_000, 0])),
        ]);
        let [a, b] = places(&along_y, &[tooth(33), tooth(36)]).unwrap().sites[..] else { panic!() };
        assert!((f64::hypot(a.plane[0] - b.plane[0], a.plane[1] - b.plane[1]) - 4.0).abs() < 1e-12);
        assert!(a.axis.is_some_and(|x| (dot(x, x) - 1.0).abs() < 1e-12));
    }

    #[test]
    fn what_lies_nowhere_is_said() {
        assert_eq!(
            places(&case(&[]), &[tooth(36), tooth(38)]).unwrap_err().to_string(),
            "where tooth 38 (lower left third molar) lies: it was not measured, and the default arch ends at the second molars"
        );
        let measured = case(&[(38, [0, 0, 0], None)]);
        assert!(places(&measured, &[tooth(38)]).is_ok(), "a third molar that was measured has its place");
    }
}
