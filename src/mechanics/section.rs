//! A screw joint that opens in part: a ring that cannot pull, round a bar that was preloaded; plane sections, one modulus.
//!
//! Find the change of stress in the middle e (MPa) and across it κ (MPa per mm) with
//! `F_V + A_s·e + ∫min(0, e + κx − F_V/A) dA = −P` and `I_s·κ + ∫min(0, e + κx − F_V/A)·x dA = M`, over the ring A,
//! `A_s`, `I_s` of the bar. M bends, P presses (+) or pulls (−); both are added after tightening.
//! While the seat is shut that is `e = −P/(A + A_s)`, `κ = M/(I + I_s)`; as it opens the bar takes over.
//!
//! Left out: the length over which a screw really bends (plane sections through bar and ring are an upper bound of its
//! bending), a bar that touches the hole, yielding, and a head that lifts off when pressed hard.
//! Derived here from equilibrium; held against an integration in strips in tests/numeric/sections.rs.

mod find;
mod solve;

use thiserror::Error;

use super::joint::{FlatJoint, JointError};
use super::size::{SizeError, finite, positive};

/// The alternating stress at which a titanium screw's thread is taken to break, MPa: about 500 over a notch factor of 3.0
/// to 3.8, less for the mean stress. An assumption; show 80 to 130 beside it.
pub const ALTERNATING_LIMIT_MPA: f64 = 100.0;

/// Why a section has no answer.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum SectionError {
    /// A moment, load or limit that is none.
    #[error(transparent)]
    Size(#[from] SizeError),
    /// No joint.
    #[error(transparent)]
    Joint(#[from] JointError),
}

/// What a load adds to the bar of a section.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bent {
    /// e, the stress added in its middle, MPa; + pulls.
    pub mean_mpa: f64,
    /// κ, what is added for each mm from the middle, MPa per mm.
    pub bending_mpa_per_mm: f64,
    /// Half of what the worst edge of the bar sees come and go, `½·(max(e, 0) + κ·d0/2)`, MPa.
    pub alternating_mpa: f64,
    /// Whether a part of the seat is no longer pressed.
    pub open: bool,
}

impl FlatJoint {
    /// The bar and its ring under a moment in N·mm, whichever way it turns, and an axial load in N, + pressing, − pulling.
    ///
    /// ```
    /// use spareseat::mechanics::joint::FlatJoint;
    /// use spareseat::mechanics::ring::Ring;
    ///
    /// let joint = FlatJoint::new(Ring::new(4.8, 3.6)?, 1.1185, 250.0)?;
    /// let bent = joint.bent(300.0, -100.0)?;
    /// assert!((bent.mean_mpa - 29.870).abs() < 1e-3);
    /// assert!((bent.bending_mpa_per_mm - 32.383).abs() < 1e-3);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// A moment or load that is not finite, or sizes at the end of what numbers hold.
    pub fn bent(&self, moment_nmm: f64, axial_n: f64) -> Result<Bent, SectionError> {
        finite("a moment in N·mm", moment_nmm, 300.0)?;
        finite("an axial load in N", axial_n, -100.0)?;
        let shape = solve::Shape::of(self);
        let found = shape.bent(self.clamp_n(), moment_nmm.abs(), axial_n);
        found.ok_or(SizeError::TooFarApart.into())
    }

    /// The multiple of a load at which the alternating stress of the bar reaches a limit (MPa,
    /// [`ALTERNATING_LIMIT_MPA`]); the preload does not grow with the load. `None`: it never does, a load that only
    /// presses. The alternating stress grows with the load throughout: e and κ are the slopes of a convex energy.
    ///
    /// # Errors
    /// A moment or load that is not finite, a limit that is not a finite number over zero, or sizes at the end of what
    /// numbers hold.
    pub fn breaks(&self, moment_nmm: f64, axial_n: f64, limit_mpa: f64) -> Result<Option<f64>, SectionError> {
        finite("a moment in N·mm", moment_nmm, 300.0)?;
        finite("an axial load in N", axial_n, -100.0)?;
        positive("an alternating stress in MPa", limit_mpa, ALTERNATING_LIMIT_MPA)?;
        if moment_nmm == 0.0 && axial_n >= 0.0 {
            return Ok(None);
        }
        let shape = solve::Shape::of(self);
        let alternating = |multiple: f64| {
            let bent = shape.bent(self.clamp_n(), multiple * moment_nmm.abs(), multiple * axial_n);
            Some(bent?.alternating_mpa - limit_mpa)
        };
        let shut = shape.shut(moment_nmm.abs(), axial_n).alternating_mpa;
        let found = find::rising(alternating, limit_mpa / shut);
        found.map(Some).ok_or(SizeError::TooFarApart.into())
    }
}

/// A joint under a load, with all that went into it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Loaded {
    /// The joint.
    pub joint: FlatJoint,
    /// The moment, N·mm.
    pub moment_nmm: f64,
    /// The load along the axis, N, + pressing.
    pub axial_n: f64,
    /// What it adds to the bar.
    pub bent: Bent,
    /// The limit that was asked about, MPa, and [`FlatJoint::breaks`].
    pub breaks: Option<(f64, Option<f64>)>,
}

impl Loaded {
    /// Under a moment in N·mm and a load in N, + pressing; with an alternating stress in MPa to look for, or without.
    ///
    /// # Errors
    /// As [`FlatJoint::bent`] and [`FlatJoint::breaks`].
    pub fn of(
        joint: FlatJoint,
        moment_nmm: f64,
        axial_n: f64,
        limit_mpa: Option<f64>,
    ) -> Result<Self, SectionError> {
        let bent = joint.bent(moment_nmm, axial_n)?;
        let breaks = match limit_mpa {
            None => None,
            Some(limit) => Some((limit, joint.breaks(moment_nmm, axial_n, limit)?)),
        };
        Ok(Self { joint, moment_nmm, axial_n, bent, breaks })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mechanics::ring::Ring;

    fn joint() -> FlatJoint {
        FlatJoint::new(Ring::new(4.8, 3.6).unwrap(), 1.1185, 250.0).unwrap()
    }

    #[test]
    fn what_is_no_load_is_refused_with_what_was_expected() {
        let said = |m, p| joint().bent(m, p).map(|_| ()).map_err(|e| e.to_string());
        for (m, p, says) in [
            (f64::NAN, 0.0, "a moment in N·mm of NaN: expected a finite number, such as 300"),
            (1.0, f64::INFINITY, "an axial load in N of inf: expected a finite number, such as -100"),
        ] {
            assert_eq!(said(m, p), Err(says.to_owned()));
        }
        for limit in [0.0, -1.0, f64::NAN] {
            assert_eq!(
                joint().breaks(1.0, 0.0, limit).map_err(|e| e.to_string()),
                Err(format!(
                    "an alternating stress in MPa of {limit}: expected a number over 0, such as 100"
                ))
            );
        }
        // Even the largest number has its balance; two of them have no sum.
        assert!(joint().bent(f64::MAX, 0.0).is_ok());
        for (m, p) in [(f64::MAX, f64::MAX), (0.0, f64::MIN)] {
            let said = joint().bent(m, p);
            assert!(said == Err(SizeError::TooFarApart.into()) || said.is_ok_and(|b| b.mean_mpa.is_finite()));
        }
        assert_eq!(joint().breaks(5e-324, 0.0, f64::MAX), Err(SizeError::TooFarApart.into()));
    }

    #[test]
    fn shut_it_is_one_bar_and_open_the_screw_takes_over() {
        let seat = Ring::new(4.8, 3.6).unwrap();
        let bar = Ring::new(1.1185, 0.0).unwrap();
        let shut = joint().bent(10.0, -20.0).unwrap();
        assert!(!shut.open);
        let (area, second) =
            (seat.area_mm2() + bar.area_mm2(), seat.second_moment_mm4() + bar.second_moment_mm4());
        assert!((shut.mean_mpa * area / 20.0 - 1.0).abs() < 1e-12, "{shut:?}");
        assert!((shut.bending_mpa_per_mm * second / 10.0 - 1.0).abs() < 1e-12, "{shut:?}");
        // Pulled clean off: the bar has all of it, less the preload that it had before.
        let off = joint().bent(0.0, -10_000.0).unwrap();
        assert!((off.mean_mpa * bar.area_mm2() - 9750.0).abs() < 1e-6, "{off:?}");
        assert!(off.open);
    }

    #[test]
    fn the_way_a_moment_turns_does_not_matter() {
        assert_eq!(joint().bent(300.0, -100.0), joint().bent(-300.0, -100.0));
        assert_eq!(joint().breaks(300.0, -100.0, 100.0), joint().breaks(-300.0, -100.0, 100.0));
    }

    #[test]
    fn it_breaks_where_its_stress_reaches_the_limit_and_never_by_pressing_alone() {
        assert_eq!(joint().breaks(0.0, 100.0, 100.0), Ok(None));
        assert_eq!(joint().breaks(0.0, 0.0, 100.0), Ok(None));
        for (moment, axial) in [(300.0, -100.0), (300.0, 100.0), (0.0, -100.0), (1e-3, 50.0), (40.0, 500.0)] {
            let multiple = joint().breaks(moment, axial, 100.0).unwrap().unwrap();
            let there = joint().bent(multiple * moment, multiple * axial).unwrap();
            assert!((there.alternating_mpa - 100.0).abs() < 1e-6, "{moment} {axial}: {multiple} {there:?}");
        }
    }
}
