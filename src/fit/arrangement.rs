//! Whether measured sites lie the way teeth do: their size, their side and their order held against the default arch.
//!
//! A mouth differs from the mean arch by millimetres, a wrong unit or a swapped side by much more. The limits here are our
//! own judgement: over mean arches stretched by 7 % across and 10 % backwards, with each site shifted by 1.5 mm, right
//! ones are called wrong twice in a thousand at most, and of swapped sides four in a hundred are missed with three sites,
//! none with eight (600 random mouths a number of sites, tried once by a script).
//! What looks wrong is a question to whoever measured, never more.
//!
//! Patterns in a plane are complex numbers: the best turned, shifted and scaled copy of one on another has a closed form,
//! and the mirror is the conjugate.

use super::arch::on_default_arch;
use super::space::{across, distance, dot, sum, unit};
use crate::units::Tooth;

/// A measured site.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Located {
    /// Which.
    pub site: Tooth,
    /// Where, mm.
    pub at: [f64; 3],
    /// From the implant outwards, of any length above zero; none where it was not measured.
    pub axis: Option<[f64; 3]>,
}

/// Something that does not look like a jaw.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Oddity {
    /// Everything is so many times as large as on the default arch.
    Size {
        /// Above 1: too large.
        times: f64,
    },
    /// The sites lie as in a mirror.
    Mirrored {
        /// Root mean square distance from the best copy of the arch, mm.
        as_is_mm: f64,
        /// The same from its mirror image.
        mirrored_mm: f64,
    },
    /// With the coordinates of these two exchanged they would lie like teeth.
    Exchanged {
        /// The two.
        sites: [Tooth; 2],
        /// Root mean square distance from the best copy of the arch, mm.
        as_is_mm: f64,
        /// The same with the two exchanged.
        exchanged_mm: f64,
    },
    /// These two lie much nearer or farther than on any arch.
    Distance {
        /// The two.
        sites: [Tooth; 2],
        /// How far they lie apart, mm.
        apart_mm: f64,
        /// How far on the default arch, mm.
        expected_mm: f64,
    },
    /// An axis that points another way than the others.
    Axis {
        /// Whose.
        site: Tooth,
        /// The site whose axis agrees best with all.
        other: Tooth,
        /// By how much, degrees.
        degrees: f64,
    },
}

/// Something that cannot be told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Untold {
    /// One site of a jaw that the default arch has: no size, no side, no order.
    Alone,
    /// Two: a distance, and no side.
    Pair,
    /// Nearly in line: a mirror changes next to nothing.
    InLine,
}

/// What was found in one jaw.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Looked {
    /// What looks wrong.
    pub odd: Vec<Oddity>,
    /// What cannot be told.
    pub untold: Option<Untold>,
    /// Sites that the default arch does not have: only their axes were looked at.
    pub off_the_arch: Vec<Tooth>,
}

/// Half and double: no two adult jaws differ by so much in size (our judgement).
const SIZES: [f64; 2] = [0.5, 2.0];
/// A pattern nearer to its own line than this, root mean square in mm, has no side: any five teeth of a jaw have more.
const ARCH_FLAT_MM: f64 = 0.85;
/// The same for what was measured.
const MEASURED_FLAT_MM: f64 = 0.5;
/// Another reading must halve the distance from the arch, and gain so many mm: a mirror, two exchanged.
const GAINS_MM: [f64; 2] = [1.0, 2.0];
/// A distance is odd when it is off by so much, mm, and so many times.
const OFF: (f64, f64) = (8.0, 1.6);
/// Implants lean by up to 45° to either side (common practice, no source): farther apart one axis was read backwards.
const MOST_APART_DEGREES: f64 = 100.0;

/// Looks at the sites of one jaw; sites of two jaws are asked about one jaw at a time.
///
/// The outward direction is the mean of the axes that were measured. Without any, the coordinates are taken as x to the
/// patient's left, y backwards, z up: lower sites open upwards, upper sites downwards.
pub fn look(all: &[Located]) -> Looked {
    let mut looked = Looked { odd: odd_axes(all), ..Looked::default() };
    let mut known = Vec::new();
    for located in all {
        match on_default_arch(located.site) {
            Some(arch) => known.push((located, arch)),
            None => looked.off_the_arch.push(located.site),
        }
    }
    let [measured, arch] = patterns(&known);
    looked.untold = untold(&measured, &arch);
    if known.len() < 2 {
        return looked;
    }
    if let Some(times) = size(&known) {
        looked.odd.push(Oddity::Size { times });
        return looked;
    }
    let other = exchanged(&known, &measured, &arch);
    let mirror = mirrored(&measured, &arch).filter(|_| looked.untold.is_none());
    // Of two readings of one pattern the one that lies nearer to an arch.
    let odd = match (mirror, other) {
        (Some((mirror, at)), Some((_, apart))) if at <= apart => Some(mirror),
        (_, Some((other, _))) => Some(other),
        (Some((mirror, _)), None) => Some(mirror),
        (None, None) => odd_distance(&known),
    };
    looked.odd.extend(odd);
    looked
}

type Known<'a> = (&'a Located, [f64; 2]);

fn untold(measured: &[Complex], arch: &[Complex]) -> Option<Untold> {
    match measured.len() {
        0 | 1 => Some(Untold::Alone),
        2 => Some(Untold::Pair),
        _ if flatness(arch) < ARCH_FLAT_MM || flatness(measured) < MEASURED_FLAT_MM => Some(Untold::InLine),
        _ => None,
    }
}

/// Axes against the one that agrees best with all: a mean of two that oppose each other is no direction.
fn odd_axes(all: &[Located]) -> Vec<Oddity> {
    let axes: Vec<(Tooth, [f64; 3])> = all.iter().filter_map(|l| Some((l.site, unit(l.axis?)?))).collect();
    let agrees = |a: &[f64; 3]| axes.iter().map(|(_, b)| dot(*a, *b)).sum::<f64>();
    let best = axes.iter().rev().max_by(|(_, a), (_, b)| agrees(a).total_cmp(&agrees(b)));
    let Some((other, most)) = best.copied() else { return Vec::new() };
    let one = |(site, axis): &(Tooth, [f64; 3])| {
        let degrees = dot(*axis, most).clamp(-1.0, 1.0).acos().to_degrees();
        (degrees > MOST_APART_DEGREES).then_some(Oddity::Axis { site: *site, other, degrees })
    };
    axes.iter().filter_map(one).collect()
}

/// The measured pattern seen along the outward direction, and the arch seen the same way.
fn patterns(known: &[Known<'_>]) -> [Vec<Complex>; 2] {
    let upper = known.first().is_some_and(|(l, _)| l.site.is_upper());
    let assumed = [0.0, 0.0, if upper { -1.0 } else { 1.0 }];
    let out = unit(sum(known.iter().filter_map(|(l, _)| unit(l.axis?)))).unwrap_or(assumed);
    let [first, second] = across(out);
    let measured = known.iter().map(|(l, _)| Complex(dot(l.at, first), dot(l.at, second)));
    // Looked at from outside, an upper jaw shows its left on the other hand.
    let arch = known.iter().map(|(_, [x, y])| Complex(*x, if upper { -y } else { *y }));
    [centred(measured), centred(arch)]
}

/// How many times the distances are those of the arch, when that is out of all proportion.
fn size(known: &[Known<'_>]) -> Option<f64> {
    let (mut measured, mut arch) = (0.0, 0.0);
    for (n, (a, at)) in known.iter().enumerate() {
        for (b, bt) in &known[..n] {
            measured += distance(a.at, b.at);
            arch += f64::hypot(at[0] - bt[0], at[1] - bt[1]);
        }
    }
    let times = measured / arch;
    (!(SIZES[0]..=SIZES[1]).contains(&times)).then_some(times)
}

fn mirrored(measured: &[Complex], arch: &[Complex]) -> Option<(Oddity, f64)> {
    let as_is_mm = apart(measured, arch);
    let mirror: Vec<Complex> = arch.iter().map(|a| a.mirrored()).collect();
    let mirrored_mm = apart(measured, &mirror);
    gains(as_is_mm, mirrored_mm, GAINS_MM[0])
        .then_some((Oddity::Mirrored { as_is_mm, mirrored_mm }, mirrored_mm))
}

fn exchanged(known: &[Known<'_>], measured: &[Complex], arch: &[Complex]) -> Option<(Oddity, f64)> {
    if known.len() < 3 {
        return None;
    }
    let as_is_mm = apart(measured, arch);
    let mut best: Option<([usize; 2], f64)> = None;
    let mut pattern = measured.to_vec();
    for a in 1..known.len() {
        for b in 0..a {
            pattern.swap(a, b);
            let here = apart(&pattern, arch);
            pattern.swap(a, b);
            if best.is_none_or(|(_, least)| here < least) {
                best = Some(([b, a], here));
            }
        }
    }
    let (pair, exchanged_mm) = best?;
    let sites = pair.map(|n| known[n].0.site);
    gains(as_is_mm, exchanged_mm, GAINS_MM[1])
        .then_some((Oddity::Exchanged { sites, as_is_mm, exchanged_mm }, exchanged_mm))
}

fn gains(as_is: f64, otherwise: f64, least: f64) -> bool {
    otherwise < 0.5 * as_is && as_is - otherwise > least
}

/// The pair whose distance is farthest from the arch's, when it is far from it.
fn odd_distance(known: &[Known<'_>]) -> Option<Oddity> {
    let mut worst: Option<(f64, Oddity)> = None;
    for (n, (a, at)) in known.iter().enumerate() {
        for (b, bt) in &known[..n] {
            let apart_mm = distance(a.at, b.at);
            let expected_mm = f64::hypot(at[0] - bt[0], at[1] - bt[1]);
            let off = (apart_mm - expected_mm).abs();
            let times = (apart_mm / expected_mm).max(expected_mm / apart_mm);
            let touching = apart_mm < expected_mm / 3.0;
            if (touching || off > OFF.0 && times > OFF.1) && worst.is_none_or(|(most, _)| off > most) {
                let sites = [b.site, a.site];
                worst = Some((off, Oddity::Distance { sites, apart_mm, expected_mm }));
            }
        }
    }
    worst.map(|(_, odd)| odd)
}

#[derive(Debug, Clone, Copy)]
struct Complex(f64, f64);

impl Complex {
    fn square(self) -> f64 {
        self.0 * self.0 + self.1 * self.1
    }

    fn mirrored(self) -> Self {
        Self(self.0, -self.1)
    }
}

fn centred(points: impl Iterator<Item = Complex>) -> Vec<Complex> {
    let points: Vec<Complex> = points.collect();
    let n = points.len().max(1) as f64;
    let (x, y) = points.iter().fold((0.0, 0.0), |(x, y), p| (x + p.0, y + p.1));
    points.iter().map(|p| Complex(p.0 - x / n, p.1 - y / n)).collect()
}

/// Root mean square distance of `points` from the best turned and scaled copy of `pattern`; both centred.
fn apart(points: &[Complex], pattern: &[Complex]) -> f64 {
    let whole: f64 = points.iter().map(|p| p.square()).sum();
    let own: f64 = pattern.iter().map(|p| p.square()).sum();
    let (mut x, mut y) = (0.0, 0.0);
    for (p, q) in points.iter().zip(pattern) {
        x += p.0 * q.0 + p.1 * q.1;
        y += p.1 * q.0 - p.0 * q.1;
    }
    let left = whole - (x * x + y * y) / own.max(f64::MIN_POSITIVE);
    (left.max(0.0) / points.len().max(1) as f64).sqrt()
}

/// Root mean square distance from the best line through the middle of a centred pattern.
fn flatness(points: &[Complex]) -> f64 {
    let (mut whole, mut x, mut y) = (0.0, 0.0, 0.0);
    for p in points {
        whole += p.square();
        x += p.0 * p.0 - p.1 * p.1;
        y += 2.0 * p.0 * p.1;
    }
    ((whole - f64::hypot(x, y)).max(0.0) / 2.0 / points.len().max(1) as f64).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tooth(iso: u8) -> Tooth {
        Tooth::from_iso(iso).unwrap()
    }

    /// Sites on the default arch, in the patient's own directions.
    fn on_arch(sites: &[u8]) -> Vec<Located> {
        let one = |iso: &u8| {
            let [x, y] = on_default_arch(tooth(*iso)).unwrap();
            Located { site: tooth(*iso), at: [x, y, 1.0], axis: None }
        };
        sites.iter().map(one).collect()
    }

    fn swap(all: &mut [Located], a: usize, b: usize) {
        (all[a].at, all[b].at) = (all[b].at, all[a].at);
    }

    #[test]
    fn teeth_on_the_arch_are_right_in_both_jaws_with_axes_and_without() {
        for sites in [&[16, 14, 12, 22, 25][..], &[36, 34, 32, 42, 46], &[24, 25, 27], &[17, 27], &[43]] {
            let mut all = on_arch(sites);
            assert_eq!(look(&all).odd, [], "{sites:?}");
            let out = if sites[0] < 30 { -2.0 } else { 0.5 };
            all.iter_mut().for_each(|l| l.axis = Some([0.0, 0.0, out]));
            assert_eq!(look(&all).odd, [], "{sites:?}, with axes");
        }
    }

    #[test]
    fn a_mirror_two_exchanged_and_a_wrong_unit_are_told_apart() {
        let sites = [16, 14, 12, 22, 25];
        let mut mirrored = on_arch(&sites);
        mirrored.iter_mut().for_each(|l| l.at[0] *= -1.0);
        let looked = look(&mirrored);
        assert!(
            matches!(looked.odd[..], [Oddity::Mirrored { as_is_mm, mirrored_mm }] if as_is_mm > 5.0 && mirrored_mm < 1e-6),
            "{looked:?}"
        );
        let mut exchanged = on_arch(&sites);
        swap(&mut exchanged, 1, 3);
        let looked = look(&exchanged);
        assert!(
            matches!(looked.odd[..], [Oddity::Exchanged { sites, .. }] if sites == [tooth(14), tooth(22)]),
            "{looked:?}"
        );
        for times in [1000.0, 25.4, 0.1, 1.0 / 25.4] {
            let mut large = on_arch(&sites);
            large.iter_mut().for_each(|l| l.at = l.at.map(|x| x * times));
            let looked = look(&large);
            assert!(
                matches!(looked.odd[..], [Oddity::Size { times: t }] if (t / times - 1.0).abs() < 1e-9),
                "{looked:?}"
            );
        }
        let mut far = on_arch(&[24, 25]);
        far[1].at = [far[0].at[0] + 12.0, far[0].at[1] + 5.0, 9.0];
        assert!(matches!(look(&far).odd[..], [Oddity::Size { times }] if times > 2.0), "{:?}", look(&far));
        // A height far off leaves the pattern seen from outside as it is.
        let mut far = on_arch(&[13, 11, 22, 25]);
        far[2].at[2] = 21.0;
        assert!(
            matches!(look(&far).odd[..], [Oddity::Distance { sites, .. }] if sites.contains(&tooth(22))),
            "{:?}",
            look(&far)
        );
    }

    /// The same scan with its axes pointing into the implants shows the other side of the jaw.
    #[test]
    fn axes_say_which_side_is_outside() {
        let mut all = on_arch(&[36, 34, 32, 42, 46]);
        all.iter_mut().for_each(|l| l.axis = Some([0.0, 0.0, -1.0]));
        assert!(matches!(look(&all).odd[..], [Oddity::Mirrored { .. }]), "{:?}", look(&all));
        all.iter_mut().for_each(|l| l.axis = Some([0.0, 0.1, 1.0]));
        all[2].axis = Some([0.0, 0.0, -1.0]);
        let looked = look(&all);
        assert!(
            matches!(looked.odd[..], [Oddity::Axis { site, degrees, .. }] if site == tooth(32) && degrees > 170.0),
            "{looked:?}"
        );
        // Of two that oppose each other neither is the right one.
        let mut all = on_arch(&[36, 46]);
        all[0].axis = Some([0.0, 0.0, 1.0]);
        all[1].axis = Some([0.0, 0.0, -1.0]);
        let odd = [Oddity::Axis { site: tooth(46), other: tooth(36), degrees: 180.0 }];
        assert_eq!(look(&all).odd, odd);
    }

    #[test]
    fn what_cannot_be_told_is_said() {
        for (sites, untold) in [
            (&[24][..], Some(Untold::Alone)),
            (&[24, 27], Some(Untold::Pair)),
            (&[24, 25, 27], Some(Untold::InLine)),
            (&[13, 11, 22, 25], None),
        ] {
            assert_eq!(look(&on_arch(sites)).untold, untold, "{sites:?}");
        }
        let mut all = on_arch(&[13, 11, 22, 25]);
        all.push(Located { site: tooth(28), at: [900.0, 0.0, 0.0], axis: None });
        let looked = look(&all);
        assert_eq!((looked.off_the_arch, looked.odd), (vec![tooth(28)], vec![]));
        assert_eq!(look(&[]).untold, Some(Untold::Alone));
    }
}
