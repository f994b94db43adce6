//! A flat annular seat held shut by a screw: when it opens, when it tips, and what of a pull the screw gets.
//!
//! While the seat is shut its pressure is `N/A ± M/Z`, so it begins to open at `M = N·k`, `k = Z/A` the kern of the ring.
//! Of an axial load the seat takes its share by area, `1 − C`, and the screw `C = A_s/(A_s + A)`: both of one material and
//! one length. `by_stiffness` has the general form.
//!
//! Left out: that a seat gives, that preload sits unevenly, and friction in the seat.
//! Checked against worked examples in tests/numeric/joints.rs.

use std::f64::consts::PI;

use thiserror::Error;

use super::ring::{Ring, RingError};
use super::size::{SizeError, finite, held, part, positive};

/// Why a joint is none.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum JointError {
    /// A force, moment or size that is none.
    #[error(transparent)]
    Size(#[from] SizeError),
    /// A seat that is none.
    #[error(transparent)]
    Ring(#[from] RingError),
    /// A screw that fills the seat's hole.
    #[error(
        "a screw core of {core_mm} mm in a seat with an inner diameter of {inner_mm} mm: expected a core over 0 and thinner than the hole"
    )]
    Core {
        /// The core's diameter, mm.
        core_mm: f64,
        /// The hole's, mm.
        inner_mm: f64,
    },
}

/// Moment at which a seat begins to open, `N·k`, N·mm, from the clamp N on it, N.
///
/// # Errors
/// A clamp that is not a finite number over zero.
pub fn opening_nmm(seat: &Ring, clamp_n: f64) -> Result<f64, SizeError> {
    positive("a clamp in N", clamp_n, 300.0)?;
    held(clamp_n * seat.kern_mm())
}

/// Moment at which a seat that gives nowhere stands on its edge, `N·ro`, N·mm, from the clamp N on it, N. Beyond it the
/// screw alone pulls `M/ro − P`; it bends well before.
///
/// # Errors
/// A clamp that is not a finite number over zero.
pub fn tipping_nmm(seat: &Ring, clamp_n: f64) -> Result<f64, SizeError> {
    positive("a clamp in N", clamp_n, 300.0)?;
    held(clamp_n * seat.outer_mm() / 2.0)
}

/// Refuses a screw that does not go through the hole of its seat.
fn core_in(seat: &Ring, core_mm: f64) -> Result<(), JointError> {
    if core_mm > 0.0 && core_mm < seat.inner_mm() {
        Ok(())
    } else {
        Err(JointError::Core { core_mm, inner_mm: seat.inner_mm() })
    }
}

/// The screw's share of an axial load by area, `C = A_s/(A_s + A)`, from the diameter of its core d0, mm.
///
/// # Errors
/// A core that is not over zero and thinner than the seat's hole.
pub fn screw_share(seat: &Ring, core_mm: f64) -> Result<f64, JointError> {
    core_in(seat, core_mm)?;
    Ok(share_by_area(seat, core_mm))
}

fn share_by_area(seat: &Ring, core_mm: f64) -> f64 {
    let screw_mm2 = PI / 4.0 * core_mm.powi(2);
    screw_mm2 / (screw_mm2 + seat.area_mm2())
}

/// A screwed joint with a flat seat, as it stands before it is loaded.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FlatJoint {
    seat: Ring,
    core_mm: f64,
    clamp_n: f64,
}

impl FlatJoint {
    /// Seat, diameter d0 of the screw's core in mm, and F_V, the preload that is left after settling, N.
    ///
    /// # Errors
    /// A core that is not over zero and thinner than the seat's hole; a clamp that is not a finite number over zero.
    pub fn new(seat: Ring, core_mm: f64, clamp_n: f64) -> Result<Self, JointError> {
        core_in(&seat, core_mm)?;
        positive("a clamp in N", clamp_n, 300.0)?;
        Ok(Self { seat, core_mm, clamp_n })
    }

    /// The seat.
    pub fn seat(&self) -> &Ring {
        &self.seat
    }

    /// Diameter of the screw's core d0, mm.
    pub fn core_mm(&self) -> f64 {
        self.core_mm
    }

    /// The preload that is left after settling F_V, N.
    pub fn clamp_n(&self) -> f64 {
        self.clamp_n
    }

    /// The screw's share of an axial load by area, as [`screw_share`].
    pub fn screw_share(&self) -> f64 {
        share_by_area(&self.seat, self.core_mm)
    }

    /// The multiple of a load at which the seat begins to open, `λ_o = k·F_V/(M − k·(1 − C)·P)`: M in N·mm, P in N,
    /// + pressing, − pulling; the preload does not grow with the load. `None`: it does not open, however large the load.
    ///
    /// # Errors
    /// A moment or axial load that is not finite.
    pub fn opens(&self, moment_nmm: f64, axial_n: f64) -> Result<Option<f64>, JointError> {
        finite("a moment in N·mm", moment_nmm, 300.0)?;
        finite("an axial load in N", axial_n, -100.0)?;
        let kern = self.seat.kern_mm();
        let opening = moment_nmm.abs() - kern * (1.0 - self.screw_share()) * axial_n;
        // So small a load that its multiple is no number opens nothing.
        Ok((opening > 0.0).then(|| kern * self.clamp_n / opening).filter(|l| l.is_finite()))
    }
}

/// What opens and what tips a seat, with all that went into it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Opening {
    /// The seat.
    pub seat: Ring,
    /// What holds it shut, N.
    pub clamp_n: f64,
    /// [`opening_nmm`].
    pub opening_nmm: f64,
    /// [`tipping_nmm`].
    pub tipping_nmm: f64,
    /// What a load does to it.
    pub load: Option<OpensAt>,
}

/// At which multiple a load opens a seat, with all that went into it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OpensAt {
    /// Diameter of the screw's core, mm.
    pub core_mm: f64,
    /// The screw's share of an axial load.
    pub share: f64,
    /// The load's moment, N·mm.
    pub moment_nmm: f64,
    /// The load along the axis, N, + pressing.
    pub axial_n: f64,
    /// [`FlatJoint::opens`].
    pub multiple: Option<f64>,
}

impl Opening {
    /// Of a seat held shut by a force in N.
    ///
    /// # Errors
    /// A clamp that is not a finite number over zero.
    pub fn of(seat: Ring, clamp_n: f64) -> Result<Self, SizeError> {
        let (opening_nmm, tipping_nmm) = (opening_nmm(&seat, clamp_n)?, tipping_nmm(&seat, clamp_n)?);
        Ok(Self { seat, clamp_n, opening_nmm, tipping_nmm, load: None })
    }

    /// Of a joint under a load in N·mm and N, + pressing.
    ///
    /// # Errors
    /// As [`FlatJoint::opens`].
    pub fn under(joint: &FlatJoint, moment_nmm: f64, axial_n: f64) -> Result<Self, JointError> {
        let multiple = joint.opens(moment_nmm, axial_n)?;
        let load =
            OpensAt { core_mm: joint.core_mm, share: joint.screw_share(), moment_nmm, axial_n, multiple };
        Ok(Self { load: Some(load), ..Self::of(joint.seat, joint.clamp_n)? })
    }
}

/// The screw's share of a pull by stiffness, `C = k_b/(k_b + k_m)`, both in N/mm.
///
/// # Errors
/// A stiffness that is not a finite number over zero.
pub fn share_by_stiffness(screw_n_per_mm: f64, joint_n_per_mm: f64) -> Result<f64, SizeError> {
    positive("a screw's stiffness in N/mm", screw_n_per_mm, 50_000.0)?;
    positive("a joint's stiffness in N/mm", joint_n_per_mm, 200_000.0)?;
    held(screw_n_per_mm / (screw_n_per_mm + joint_n_per_mm))
}

/// Stiffness of the clamped parts under a head of 1.5·d with a pressure cone of 30°, one modulus throughout:
/// `k_m = π·E·d/(2·ln[5·(l + 0.5·d)/(l + 2.5·d)])`, N/mm, from E in MPa, nominal diameter d and grip l in mm.
/// Source: Jindal, Machine Design, section 9; Shigley, Mechanical Engineering Design, equation 8-22 with tan 30° rounded.
///
/// # Errors
/// A modulus, diameter or grip that is not a finite number over zero.
pub fn cone_stiffness_n_per_mm(modulus_mpa: f64, diameter_mm: f64, grip_mm: f64) -> Result<f64, SizeError> {
    positive("a modulus in MPa", modulus_mpa, 110_000.0)?;
    positive("a diameter in mm", diameter_mm, 2.0)?;
    positive("a grip in mm", grip_mm, 4.0)?;
    let ratio = 5.0 * (grip_mm + 0.5 * diameter_mm) / (grip_mm + 2.5 * diameter_mm);
    let stiffness = held(PI * modulus_mpa * diameter_mm / (2.0 * ratio.ln()))?;
    // A grip of no length is stiffer than any number.
    if stiffness > 0.0 { Ok(stiffness) } else { Err(SizeError::TooFarApart) }
}

/// Forces in a joint of which the screw has the share C, while an axial pull is on it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pulled {
    /// In the screw, `F_b = C·P + F_i`, N; all of the pull once the joint has parted.
    pub screw_n: f64,
    /// What still holds the joint shut, `F_i − (1 − C)·P`, N; 0 once it has parted.
    pub clamp_n: f64,
    /// The pull at which the joint parts, `F_i/(1 − C)`, N.
    pub parts_at_n: f64,
}

/// Screw and joint under a pull P (N) after a preload F_i (N), C the screw's share. Source: any book of machine elements
/// (Shigley, section 8-7; Jindal, section 9).
///
/// # Errors
/// A share that is not from 0 to under 1, a preload that is not over zero, a pull that is not finite.
pub fn pulled(share: f64, preload_n: f64, pull_n: f64) -> Result<Pulled, SizeError> {
    part("a screw's share", share, 0.2)?;
    positive("a preload in N", preload_n, 300.0)?;
    finite("a pull in N", pull_n, 100.0)?;
    let parts_at_n = held(preload_n / (1.0 - share))?;
    let (screw_n, clamp_n) = if pull_n < parts_at_n {
        (preload_n + share * pull_n, preload_n - (1.0 - share) * pull_n)
    } else {
        (pull_n, 0.0)
    };
    Ok(Pulled { screw_n: held(screw_n)?, clamp_n: held(clamp_n)?, parts_at_n })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seat() -> Ring {
        Ring::new(4.8, 3.6).unwrap()
    }

    #[test]
    fn what_is_no_joint_is_refused_with_what_was_expected() {
        let said = |core, clamp| FlatJoint::new(seat(), core, clamp).map(|_| ()).map_err(|e| e.to_string());
        for (core, clamp, says) in [
            (
                3.6,
                300.0,
                "a screw core of 3.6 mm in a seat with an inner diameter of 3.6 mm: expected a core over 0 and thinner than the hole",
            ),
            (
                f64::NAN,
                300.0,
                "a screw core of NaN mm in a seat with an inner diameter of 3.6 mm: expected a core over 0 and thinner than the hole",
            ),
            (1.1, 0.0, "a clamp in N of 0: expected a number over 0, such as 300"),
            (1.1, f64::INFINITY, "a clamp in N of inf: expected a number over 0, such as 300"),
        ] {
            assert_eq!(said(core, clamp), Err(says.to_owned()));
        }
        let joint = FlatJoint::new(seat(), 1.1, 300.0).unwrap();
        assert_eq!(
            joint.opens(f64::NAN, 0.0).map_err(|e| e.to_string()),
            Err("a moment in N·mm of NaN: expected a finite number, such as 300".to_owned())
        );
        assert_eq!(
            joint.opens(1.0, f64::NEG_INFINITY).map_err(|e| e.to_string()),
            Err("an axial load in N of -inf: expected a finite number, such as -100".to_owned())
        );
        assert_eq!(
            pulled(1.0, 300.0, 1.0).map_err(|e| e.to_string()),
            Err("a screw's share of 1: expected a part from 0 to under 1, such as 0.2".to_owned())
        );
        assert_eq!(cone_stiffness_n_per_mm(1e5, 2.0, 1e-300), Err(SizeError::TooFarApart));
    }

    #[test]
    fn pressing_inside_the_kern_never_opens_and_pulling_alone_does() {
        let joint = FlatJoint::new(seat(), 1.1, 300.0).unwrap();
        assert_eq!(joint.opens(0.0, 100.0).unwrap(), None);
        assert_eq!(joint.opens(0.0, 0.0).unwrap(), None);
        assert_eq!(joint.opens(1e-310, 0.0).unwrap(), None, "no multiple of next to nothing");
        let share = screw_share(&seat(), 1.1).unwrap();
        let pulling = joint.opens(0.0, -100.0).unwrap().unwrap();
        assert!((pulling * 100.0 * (1.0 - share) - 300.0).abs() < 1e-9);
        let mut last = f64::INFINITY;
        for axial in [150.0, 100.0, 0.0, -100.0] {
            let opens = joint.opens(400.0, axial).unwrap().unwrap();
            assert!(opens < last, "the more it pulls the sooner it opens");
            last = opens;
        }
    }

    #[test]
    fn a_joint_that_has_parted_leaves_all_of_the_pull_to_the_screw() {
        let shut = pulled(0.25, 300.0, 399.0).unwrap();
        assert!(shut.clamp_n > 0.0 && shut.screw_n > 399.0);
        let parted = pulled(0.25, 300.0, 500.0).unwrap();
        assert_eq!((parted.screw_n, parted.clamp_n, parted.parts_at_n), (500.0, 0.0, 400.0));
    }
}
