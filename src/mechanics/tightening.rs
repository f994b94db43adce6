//! Stress in a screw while it is tightened: pulled by its preload and twisted by its thread's torque.
//!
//! `σ = F/As`, `M_t = F·[P/2π + μ·d2/(2·cos 30°)]`, `τ = M_t/W`, `σ_e = √(σ² + 3τ²)` (von Mises).
//! VDI 2230 changed W: since 2001 the whole section is taken as yielding in torsion, before only its edge. The two differ
//! by 8 % of preload at μ 0.10 and 24 % at 0.40 for M1.4 to M2, so every answer names its form.
//!
//! Left out: bending of the screw, notches, and that twist relaxes after tightening. The thread's friction alone counts;
//! the head's takes torque but does not reach the shank.
//! Checked against published tables in tests/numeric/tightening.rs.

use std::f64::consts::PI;

use thiserror::Error;

use super::preload::{PreloadError, Tightened};
use super::size::{SizeError, held, positive, share};
use super::thread::Thread;

/// Why there is no stress, or no preload for one.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum TighteningError {
    /// A force, friction, strength or share that is none.
    #[error(transparent)]
    Size(#[from] SizeError),
    /// No preload from that torque.
    #[error(transparent)]
    Preload(#[from] PreloadError),
}

/// What the section is taken to resist in torsion.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// Yielding all over, W = π/12·d0³: VDI 2230 since 2001. The one to use.
    Vdi2001,
    /// Yielding at its edge, W = π/16·d0³: VDI 2230 of 1986.
    Vdi1986,
}

impl Form {
    /// Both of them.
    pub const ALL: [Self; 2] = [Self::Vdi2001, Self::Vdi1986];

    /// As it is typed and printed.
    pub fn word(self) -> &'static str {
        match self {
            Self::Vdi2001 => "2001",
            Self::Vdi1986 => "1986",
        }
    }

    fn divisor(self) -> f64 {
        match self {
            Self::Vdi2001 => 12.0,
            Self::Vdi1986 => 16.0,
        }
    }
}

/// Stress in the screw while it is tightened.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stress {
    /// σ, MPa.
    pub tension_mpa: f64,
    /// τ, MPa.
    pub shear_mpa: f64,
    /// σ_e = √(σ² + 3τ²), MPa.
    pub equivalent_mpa: f64,
}

/// Torque that reaches the shank, M_t = F·[P/2π + μ·d2/(2·cos 30°)], N·mm, from a preload in N and the thread's friction.
///
/// # Errors
/// A preload or friction that is not a finite number over zero.
pub fn thread_torque_nmm(thread: &Thread, preload_n: f64, friction: f64) -> Result<f64, SizeError> {
    positive("a preload in N", preload_n, 300.0)?;
    positive("a friction", friction, 0.2)?;
    let lead = thread.pitch_mm() / (2.0 * PI);
    let flanks = friction * thread.pitch_diameter_mm() / (2.0 * (PI / 6.0).cos());
    held(preload_n * (lead + flanks))
}

/// Stress at a preload in N, with the friction in the thread. Source: VDI 2230, in the form named.
///
/// ```
/// use spareseat::mechanics::thread::Thread;
/// use spareseat::mechanics::tightening::{Form, stress};
///
/// let screw = Thread::parse("M8x1")?;
/// let found = stress(&screw, 20_700.0, 0.10, Form::Vdi2001)?;
/// assert!((found.equivalent_mpa / 640.0 - 0.9).abs() < 0.004);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// A preload or friction that is not a finite number over zero, or stresses no number holds.
pub fn stress(thread: &Thread, preload_n: f64, friction: f64, form: Form) -> Result<Stress, TighteningError> {
    let torque_nmm = thread_torque_nmm(thread, preload_n, friction)?;
    let tension_mpa = preload_n / thread.stress_area_mm2();
    let shear_mpa = torque_nmm * form.divisor() / (PI * thread.stress_diameter_mm().powi(3));
    let equivalent_mpa = held(tension_mpa.hypot(3.0_f64.sqrt() * shear_mpa))?;
    Ok(Stress { tension_mpa, shear_mpa, equivalent_mpa })
}

/// Share of the yield strength (MPa) that a preload (N) takes up while tightening: σ_e/Rp0.2; over 1 the screw yields.
///
/// # Errors
/// As [`stress`], and a yield strength that is not a finite number over zero.
pub fn share_of_yield(
    thread: &Thread,
    preload_n: f64,
    friction: f64,
    yield_mpa: f64,
    form: Form,
) -> Result<f64, TighteningError> {
    positive("a yield strength in MPa", yield_mpa, 795.0)?;
    let taken = stress(thread, preload_n, friction, form)?;
    Ok(held(taken.equivalent_mpa / yield_mpa)?)
}

/// Share of the yield strength (MPa) that a torque (N·mm) takes up, at the same friction in thread and head.
///
/// # Errors
/// As [`share_of_yield`], and whatever [`Tightened::preload_n`] refuses.
pub fn share_of_yield_at_torque(
    screw: &Tightened,
    torque_nmm: f64,
    friction: f64,
    yield_mpa: f64,
    form: Form,
) -> Result<f64, TighteningError> {
    let preload_n = screw.preload_n(torque_nmm, friction)?;
    share_of_yield(&screw.thread, preload_n, friction, yield_mpa, form)
}

/// Preload in N at which tightening takes up that share of the yield strength (MPa), share over 0 up to 1:
/// `F = share·Rp0.2·As/√(1 + 3·[w·(d2/d0)·(P/(π·d2) + 1.155·μ)]²)`, w = 1.5 in the form of 2001 and 2 in that of 1986.
/// VDI 2230 works with a share of 0.9.
///
/// # Errors
/// A strength, share or friction outside of that.
pub fn allowable_preload_n(
    thread: &Thread,
    yield_mpa: f64,
    share_of_yield: f64,
    friction: f64,
    form: Form,
) -> Result<f64, TighteningError> {
    positive("a yield strength in MPa", yield_mpa, 795.0)?;
    share("a share of yield", share_of_yield, 0.9)?;
    // Stress goes with the preload, so that of one newton is enough.
    let of_one = stress(thread, 1.0, friction, form)?;
    Ok(held(share_of_yield * yield_mpa / of_one.equivalent_mpa)?)
}

/// A screw while it is tightened, with all that went into it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tightening {
    /// The screw's thread.
    pub thread: Thread,
    /// Its yield strength, MPa.
    pub yield_mpa: f64,
    /// The friction in its thread.
    pub friction: f64,
    /// The form.
    pub form: Form,
    /// Its preload, N.
    pub preload_n: f64,
    /// What of the yield strength that takes up.
    pub share_of_yield: f64,
    /// The stresses.
    pub stress: Stress,
}

impl Tightening {
    /// At a preload in N.
    ///
    /// # Errors
    /// As [`share_of_yield`].
    pub fn at_preload(
        thread: Thread,
        yield_mpa: f64,
        preload_n: f64,
        friction: f64,
        form: Form,
    ) -> Result<Self, TighteningError> {
        let share_of_yield = share_of_yield(&thread, preload_n, friction, yield_mpa, form)?;
        let stress = stress(&thread, preload_n, friction, form)?;
        Ok(Self { thread, yield_mpa, friction, form, preload_n, share_of_yield, stress })
    }

    /// At the preload that takes up a share of the yield strength.
    ///
    /// # Errors
    /// As [`allowable_preload_n`].
    pub fn to_share(
        thread: Thread,
        yield_mpa: f64,
        share_of_yield: f64,
        friction: f64,
        form: Form,
    ) -> Result<Self, TighteningError> {
        let preload_n = allowable_preload_n(&thread, yield_mpa, share_of_yield, friction, form)?;
        let stress = stress(&thread, preload_n, friction, form)?;
        Ok(Self { thread, yield_mpa, friction, form, preload_n, share_of_yield, stress })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_strength_share_or_friction_is_refused_with_what_was_expected() {
        let m2 = Thread::coarse(2.0).unwrap();
        let allowed =
            |y, s, f| allowable_preload_n(&m2, y, s, f, Form::Vdi2001).map(|_| ()).map_err(|e| e.to_string());
        for (y, s, f, says) in [
            (0.0, 0.9, 0.1, "a yield strength in MPa of 0: expected a number over 0, such as 795"),
            (f64::NAN, 0.9, 0.1, "a yield strength in MPa of NaN: expected a number over 0, such as 795"),
            (795.0, 0.0, 0.1, "a share of yield of 0: expected a share over 0 up to 1, such as 0.9"),
            (795.0, 1.1, 0.1, "a share of yield of 1.1: expected a share over 0 up to 1, such as 0.9"),
            (795.0, f64::NAN, 0.1, "a share of yield of NaN: expected a share over 0 up to 1, such as 0.9"),
            (795.0, 0.9, 0.0, "a friction of 0: expected a number over 0, such as 0.2"),
            (795.0, 0.9, -0.1, "a friction of -0.1: expected a number over 0, such as 0.2"),
        ] {
            assert_eq!(allowed(y, s, f), Err(says.to_owned()));
        }
        assert_eq!(
            stress(&m2, 0.0, 0.1, Form::Vdi2001).map_err(|e| e.to_string()),
            Err("a preload in N of 0: expected a number over 0, such as 300".to_owned())
        );
        assert_eq!(
            stress(&m2, f64::MAX, f64::MAX, Form::Vdi1986),
            Err(TighteningError::Size(SizeError::TooFarApart))
        );
        assert!(allowable_preload_n(&m2, f64::MAX, 1.0, 1e-9, Form::Vdi2001).is_err());
    }

    #[test]
    fn the_allowable_preload_takes_up_the_share_it_was_asked_for() {
        for form in Form::ALL {
            for (d, friction) in [(1.4, 0.1), (2.0, 0.4), (8.0, 1.0)] {
                let thread = Thread::coarse(d).unwrap();
                let preload = allowable_preload_n(&thread, 795.0, 0.75, friction, form).unwrap();
                let taken = share_of_yield(&thread, preload, friction, 795.0, form).unwrap();
                assert!((taken - 0.75).abs() < 1e-14, "{thread} {taken}");
            }
        }
    }
}
