//! How a rigid bridge shares a load out to the screws it stands on.
//!
//! **Upright** (the bolt-group analogy; Skalak 1983, the equation from memory): about the middle of the screws,
//! `F_i = P/N + a·x_i + b·y_i` with `[Sxx Sxy; Sxy Syy]·[a b]ᵀ = [Mx My]ᵀ`, `Mx = P·xP + Hx·h` and the same in y. A part
//! of the load across, H at height h, adds its moment. Pressing is +: it goes into the seat, not into the screw; − pulls.
//! **In one line** the moment about the line is carried by no pull at all: what is left over is said, never divided by
//! nothing. With a radius ρ over 0, `N·ρ²` is added to both second moments: each joint then bends by its part, and there
//! is no jump between a line and an arch. ρ of 0 gives the published values.
//! **Sideways**, in the plane of the screws: `V/N` plus `(M/Σr²)` across the arm of each.
//!
//! Left out: that bridge, screws and bone give. A rigid frame on equal supports is an upper bound of the leverage.
//! Checked against worked examples in tests/numeric/sharing.rs.

mod out;

pub use out::{LoadShare, Sideways};

use thiserror::Error;

use super::size::{SizeError, finite, held, not_negative, positive};

/// The most screws of a bridge: more than twice the teeth there are.
pub const MOST_SCREWS: usize = 80;

/// Screws nearer to one line than this part of their spread stand in it: across so short an arm only rounding would pull.
const IN_LINE: f64 = 1e-4;

/// A load further from the middle than this many times the furthest screw is far outside the bridge.
const FAR: f64 = 2.0;

/// Why nothing is shared out.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum SharingError {
    /// A coordinate or load that is none.
    #[error(transparent)]
    Size(#[from] SizeError),
    /// No screw at all, or more than any bridge has.
    #[error("{0} screws: expected 1 to {MOST_SCREWS}")]
    Count(usize),
    /// Screws that stand in each other.
    #[error("all {0} screws are in one place: expected each at its own x and y in mm, or a single screw")]
    OnePlace(usize),
}

/// A load on a bridge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Load {
    /// Where, mm.
    pub at_mm: [f64; 2],
    /// Along the screws, N, + pressing.
    pub force_n: f64,
    /// Across them, N.
    pub side_n: [f64; 2],
    /// How high above the seats the part across acts, mm.
    pub height_mm: f64,
}

/// What each screw gets of a load along the screws.
#[derive(Debug, Clone, PartialEq)]
pub struct Shares {
    /// Along each screw in the order given, N, + pressing, − pulling.
    pub forces_n: Vec<f64>,
    /// What each joint bends besides, N·mm about x and y as the load's own arm counts them; only with ρ over 0.
    pub joint_moment_nmm: [f64; 2],
    /// The moment that no pull of a screw carries, N·mm: about the line, where all stand in one.
    pub uncarried_nmm: f64,
    /// Whether the load acts far outside the bridge: over twice as far from the middle as the furthest screw.
    pub far_outside: bool,
}

/// Screws about their middle.
struct Group {
    middle: [f64; 2],
    arms: Vec<[f64; 2]>,
    /// Sxx, Sxy, Syy.
    second: [f64; 3],
}

impl Group {
    fn of(screws_mm: &[[f64; 2]]) -> Result<Self, SharingError> {
        if screws_mm.is_empty() || screws_mm.len() > MOST_SCREWS {
            return Err(SharingError::Count(screws_mm.len()));
        }
        for c in screws_mm.iter().flatten() {
            finite("a screw's coordinate in mm", *c, 8.0)?;
        }
        let count = screws_mm.len() as f64;
        let mean = |axis: usize| screws_mm.iter().map(|s| s[axis] / count).sum::<f64>();
        let middle = [mean(0), mean(1)];
        let arms: Vec<[f64; 2]> = screws_mm.iter().map(|s| [s[0] - middle[0], s[1] - middle[1]]).collect();
        let mut second = [0.0; 3];
        for [x, y] in &arms {
            second[0] += x * x;
            second[1] += x * y;
            second[2] += y * y;
        }
        held(second[0] + second[2])?;
        let group = Self { middle, arms, second };
        // Rounding of the mean leaves an arm of its own, however small.
        let away = screws_mm.iter().flatten().fold(0.0_f64, |m, c| m.max(c.abs()));
        if group.arms.len() > 1 && group.reach_mm() <= 1e-12 * away.max(f64::MIN_POSITIVE) {
            return Err(SharingError::OnePlace(group.arms.len()));
        }
        Ok(group)
    }

    fn reach_mm(&self) -> f64 {
        self.arms.iter().map(|[x, y]| x.hypot(*y)).fold(0.0, f64::max)
    }

    /// Larger and smaller second moment about the middle, and the direction of the larger.
    fn principal(&self) -> (f64, f64, [f64; 2]) {
        let [sxx, sxy, syy] = self.second;
        let (mean, half) = (f64::midpoint(sxx, syy), (sxx - syy) / 2.0);
        let radius = half.hypot(sxy);
        let angle = sxy.atan2(half) / 2.0;
        (mean + radius, (mean - radius).max(0.0), [angle.cos(), angle.sin()])
    }
}

/// Shares a load along the screws out, at most [`MOST_SCREWS`] at x, y in mm, ρ in mm from 0.
///
/// ```
/// use spareseat::mechanics::sharing::{Load, upright};
///
/// let load = Load { at_mm: [24.0, 0.0], force_n: 100.0, side_n: [0.0; 2], height_mm: 0.0 };
/// let shares = upright(&[[0.0, 0.0], [8.0, 0.0], [16.0, 0.0]], &load, 0.0)?;
/// assert!((shares.forces_n[2] - 133.33).abs() < 0.01);
/// # Ok::<(), spareseat::mechanics::sharing::SharingError>(())
/// ```
///
/// # Errors
/// No screw or too many, several that are all in one place, a number that is not finite, or sizes no number holds.
pub fn upright(screws_mm: &[[f64; 2]], load: &Load, rho_mm: f64) -> Result<Shares, SharingError> {
    let group = Group::of(screws_mm)?;
    for value in [load.at_mm[0], load.at_mm[1], load.side_n[0], load.side_n[1], load.height_mm, load.force_n]
    {
        finite("a part of a load", value, 100.0)?;
    }
    not_negative("a radius in mm", rho_mm, 4.0)?;
    let count = group.arms.len() as f64;
    let away = [load.at_mm[0] - group.middle[0], load.at_mm[1] - group.middle[1]];
    let moment: [f64; 2] =
        std::array::from_fn(|axis| load.force_n * away[axis] + load.side_n[axis] * load.height_mm);
    let (slope, uncarried_nmm) = slope(&group, moment, count * rho_mm.powi(2));
    let even = load.force_n / count;
    let forces_n: Result<Vec<f64>, SizeError> =
        group.arms.iter().map(|arm| held(even + slope[0] * arm[0] + slope[1] * arm[1])).collect();
    let reach = group.reach_mm();
    Ok(Shares {
        forces_n: forces_n?,
        joint_moment_nmm: slope.map(|s| s * rho_mm.powi(2)),
        uncarried_nmm: held(uncarried_nmm)?,
        // A hair more than twice is rounding: the load at 24 of screws from 0 to 16 is not far outside.
        far_outside: reach > 0.0 && away[0].hypot(away[1]) > FAR * reach * (1.0 + 1e-9),
    })
}

/// a and b of the plane, and the moment it leaves uncarried; `more` is added to both second moments.
fn slope(group: &Group, moment: [f64; 2], more: f64) -> ([f64; 2], f64) {
    let (large, small, [ux, uy]) = group.principal();
    let along = moment[0] * ux + moment[1] * uy;
    let across = moment[1] * ux - moment[0] * uy;
    let all = moment[0].hypot(moment[1]);
    let mut left = 0.0_f64;
    let mut turn = |part: f64, second: f64, carried: bool| {
        if carried {
            return part / (second + more);
        }
        // What rounding of a direction leaves over is no moment.
        if part.abs() > 1e-9 * all {
            left = left.hypot(part);
        }
        0.0
    };
    let spread = more > 0.0;
    let first = turn(along, large, spread || large > 0.0);
    let second = turn(across, small, spread || small > IN_LINE.powi(2) * large);
    ([first * ux - second * uy, first * uy + second * ux], left)
}

/// W, the part of a moment that bends the joints: `N·ρ²·(S + N·ρ²)⁻¹`, S the second moments of N screws about their middle;
/// 1 where all stand in one line or one place across which the moment acts, towards 0 in a wide arch. ρ in mm, over 0.
///
/// # Errors
/// As [`upright`]; ρ that is not over zero.
pub fn bent_part(screws_mm: &[[f64; 2]], rho_mm: f64) -> Result<[[f64; 2]; 2], SharingError> {
    let group = Group::of(screws_mm)?;
    let more = group.arms.len() as f64 * positive("a radius in mm", rho_mm, 4.0)?.powi(2);
    let [sxx, sxy, syy] = group.second;
    let [a, d] = [sxx + more, syy + more];
    let whole = held(a * d - sxy * sxy)?;
    Ok([[more * d / whole, -more * sxy / whole], [-more * sxy / whole, more * a / whole]])
}

/// What each screw gets of a load across the screws.
#[derive(Debug, Clone, PartialEq)]
pub struct SideShares {
    /// Across each screw, in x and y, in the order given, N.
    pub forces_n: Vec<[f64; 2]>,
    /// The moment that nothing carries, N·mm: a single screw turns under it.
    pub uncarried_nmm: f64,
}

/// Shares a load across the screws out, in their plane: `V/N` plus `(M/Σr²)` across the arm of each, M the moment about
/// their middle. Load at x, y in mm, in x and y in N.
///
/// # Errors
/// As [`upright`].
pub fn sideways(
    screws_mm: &[[f64; 2]],
    at_mm: [f64; 2],
    force_n: [f64; 2],
) -> Result<SideShares, SharingError> {
    let group = Group::of(screws_mm)?;
    for value in [at_mm[0], at_mm[1], force_n[0], force_n[1]] {
        finite("a part of a load", value, 100.0)?;
    }
    let count = group.arms.len() as f64;
    let away = [at_mm[0] - group.middle[0], at_mm[1] - group.middle[1]];
    let moment = held(away[0] * force_n[1] - away[1] * force_n[0])?;
    let polar = group.second[0] + group.second[2];
    let (turn, uncarried_nmm) =
        if group.arms.len() > 1 { (moment / polar, 0.0) } else { (0.0, moment.abs()) };
    let one = |arm: &[f64; 2]| -> Result<[f64; 2], SizeError> {
        Ok([held(force_n[0] / count - turn * arm[1])?, held(force_n[1] / count + turn * arm[0])?])
    };
    Ok(SideShares { forces_n: group.arms.iter().map(one).collect::<Result<_, _>>()?, uncarried_nmm })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pressing(at_mm: [f64; 2]) -> Load {
        Load { at_mm, force_n: 100.0, side_n: [0.0; 2], height_mm: 0.0 }
    }

    fn near(found: f64, expected: f64) {
        assert!((found - expected).abs() < 1e-9, "{found}, expected {expected}");
    }

    #[test]
    fn what_is_no_group_is_refused_with_what_was_expected() {
        let said = |screws: &[[f64; 2]]| upright(screws, &pressing([0.0; 2]), 0.0).map_err(|e| e.to_string());
        for (screws, says) in [
            (vec![], "0 screws: expected 1 to 80"),
            (vec![[0.0; 2]; 81], "81 screws: expected 1 to 80"),
            (
                vec![[8.0, 1.0]; 3],
                "all 3 screws are in one place: expected each at its own x and y in mm, or a single screw",
            ),
            (
                vec![[0.0, f64::NAN], [1.0, 0.0]],
                "a screw's coordinate in mm of NaN: expected a finite number, such as 8",
            ),
            (
                vec![[0.0, 0.0], [1e200, 0.0]],
                "these sizes are too far apart to be worked with: expected mm, N, N·mm and MPa as in a screw joint",
            ),
        ] {
            assert_eq!(said(&screws), Err(says.to_owned()));
            assert!(sideways(&screws, [0.0; 2], [1.0, 0.0]).is_err());
        }
        let two = [[0.0, 0.0], [8.0, 0.0]];
        assert_eq!(
            upright(&two, &pressing([f64::INFINITY, 0.0]), 0.0).map_err(|e| e.to_string()),
            Err("a part of a load of inf: expected a finite number, such as 100".to_owned())
        );
        assert_eq!(
            upright(&two, &pressing([0.0; 2]), -1.0).map_err(|e| e.to_string()),
            Err("a radius in mm of -1: expected 0 or more, such as 4".to_owned())
        );
    }

    #[test]
    fn forces_and_moments_balance_whatever_the_arch() {
        let arch = [[0.0, 0.0], [8.0, 3.0], [20.0, 2.0], [31.0, -9.0], [5.0, -14.0]];
        let load = Load { at_mm: [40.0, -3.0], force_n: 150.0, side_n: [12.0, -30.0], height_mm: 9.0 };
        for rho in [0.0, 4.0] {
            let shares = upright(&arch, &load, rho).unwrap();
            near(shares.forces_n.iter().sum(), 150.0);
            for axis in 0..2 {
                let moment: f64 = shares.forces_n.iter().zip(&arch).map(|(f, s)| f * s[axis]).sum::<f64>()
                    + 5.0 * shares.joint_moment_nmm[axis];
                near(moment, 150.0 * load.at_mm[axis] + load.side_n[axis] * 9.0);
            }
            assert_eq!(shares.uncarried_nmm, 0.0);
        }
        let across = sideways(&arch, [40.0, -3.0], [12.0, -30.0]).unwrap();
        near(across.forces_n.iter().map(|f| f[0]).sum(), 12.0);
        near(across.forces_n.iter().map(|f| f[1]).sum(), -30.0);
        let turn = |at: [f64; 2], f: [f64; 2]| at[0] * f[1] - at[1] * f[0];
        let moment: f64 = across.forces_n.iter().zip(&arch).map(|(f, s)| turn(*s, *f)).sum();
        near(moment, turn([40.0, -3.0], [12.0, -30.0]));
    }

    #[test]
    fn what_no_pull_carries_is_said() {
        // In a line that runs askew; the load stands 5 mm off it.
        let line = [[0.0, 0.0], [6.0, 8.0], [12.0, 16.0]];
        let off = upright(&line, &pressing([6.0 - 4.0, 8.0 + 3.0]), 0.0).unwrap();
        near(off.uncarried_nmm, 500.0);
        for force in &off.forces_n {
            near(*force, 100.0 / 3.0);
        }
        let on = upright(&line, &pressing([18.0, 24.0]), 0.0).unwrap();
        assert_eq!(on.uncarried_nmm, 0.0);
        let one = upright(&[[3.0, 4.0]], &pressing([3.0, 7.0]), 0.0).unwrap();
        assert_eq!((one.forces_n, one.uncarried_nmm, one.far_outside), (vec![100.0], 300.0, false));
        let turned = sideways(&[[0.0; 2]], [2.0, 0.0], [0.0, 50.0]).unwrap();
        assert_eq!((turned.forces_n, turned.uncarried_nmm), (vec![[0.0, 50.0]], 100.0));
        // With a radius each joint bends by its part, and nothing is left over.
        let bent = upright(&line, &pressing([2.0, 11.0]), 4.0).unwrap();
        assert_eq!(bent.uncarried_nmm, 0.0);
        near(bent.joint_moment_nmm[0].hypot(bent.joint_moment_nmm[1]), 500.0 / 3.0);
    }

    #[test]
    fn far_outside_is_over_twice_as_far_as_the_furthest_screw() {
        let three = [[0.0, 0.0], [8.0, 0.0], [16.0, 0.0]];
        assert!(!upright(&three, &pressing([24.0, 0.0]), 0.0).unwrap().far_outside);
        assert!(upright(&three, &pressing([24.1, 0.0]), 0.0).unwrap().far_outside);
        assert!(upright(&three, &pressing([8.0, -300.0]), 0.0).unwrap().far_outside);
    }

    #[test]
    fn screws_that_stand_in_line_but_for_rounding_pull_no_harder() {
        let shaken = [[0.1, 0.3], [0.2, 0.6 + 1e-15], [0.7, 2.1], [1e-6, 3e-6 + 1e-9]];
        let shares = upright(&shaken, &pressing([5.0, -5.0]), 0.0).unwrap();
        assert!(shares.uncarried_nmm > 100.0);
        assert!(shares.forces_n.iter().all(|f| f.abs() < 1000.0), "{shares:?}");
    }
}
