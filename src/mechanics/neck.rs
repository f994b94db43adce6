//! The neck of an implant, a hollow section in bending: what a pulsating load may be before it breaks in the end.
//!
//! On the pulled side `σ = M/Z − P/A`, P pressing +. The load comes and goes, so mean and alternating stress are both
//! σ/2, and by the line of Goodman the largest σ that may come and go is `σ_lim = 2/(Kf/σ_e + 1/R_m)`.
//!
//! Left out: the stress concentration's own shape (Kf is an assumption), the thread outside, bone that gives, and that
//! an implant of several walls bends as one piece.
//! Checked against worked examples in tests/numeric/necks.rs.

use thiserror::Error;

use super::ring::Ring;
use super::size::{SizeError, finite, held, not_negative, positive};

/// How far below the platform the neck is looked at as well: bone that was lost, as on the bench of ISO 14801.
pub const BONE_LOST_MM: f64 = super::bench::BONE_LOST_MM;

/// Notch factor of an implant's neck. An assumption.
pub const NOTCH_FACTOR: f64 = 2.3;

/// Smooth fatigue strength of unalloyed titanium grade 4, fully reversed, MPa. From memory.
pub const GRADE_4_ENDURANCE_MPA: f64 = 425.0;

/// Least tensile strength of unalloyed titanium grade 4, MPa (ASTM F67).
pub const GRADE_4_TENSILE_MPA: f64 = 550.0;

/// Why there is no stress, or no limit.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum NeckError {
    /// A load or strength that is none.
    #[error(transparent)]
    Size(#[from] SizeError),
    /// A notch that would strengthen.
    #[error("a notch factor of {0}: expected 1 or more, such as 2.3")]
    Notch(f64),
    /// No place to look at.
    #[error("no bending moment: expected at least one, such as that at the platform")]
    NoMoment,
}

/// Stress on the pulled side, `σ = M/Z − P/A`, MPa, from a moment in N·mm, whichever way it turns, and an axial load in N,
/// + pressing. Under zero where the whole section is pressed.
///
/// # Errors
/// A moment or load that is not finite, or a stress no number holds.
pub fn pulled_side_mpa(neck: &Ring, moment_nmm: f64, axial_n: f64) -> Result<f64, SizeError> {
    finite("a moment in N·mm", moment_nmm, 300.0)?;
    finite("an axial load in N", axial_n, -100.0)?;
    held(moment_nmm.abs() / neck.section_modulus_mm3() - axial_n / neck.area_mm2())
}

/// Factor on a load that comes and goes by the line of Goodman, `1/n = Kf·σ_a/σ_e + σ_m/R_m`, from alternating and mean
/// stress, endurance limit and tensile strength, MPa. Domain: 0 or more of both stresses, one of them over 0; Kf from 1.
/// Source: Goodman's line as in any book of machine elements (Shigley, section 6-12; Brown, section 7).
///
/// # Errors
/// Values outside of that.
pub fn goodman_factor(
    notch: f64,
    alternating_mpa: f64,
    mean_mpa: f64,
    endurance_mpa: f64,
    tensile_mpa: f64,
) -> Result<f64, NeckError> {
    if !(notch >= 1.0 && notch.is_finite()) {
        return Err(NeckError::Notch(notch));
    }
    positive("a fatigue strength in MPa", endurance_mpa, GRADE_4_ENDURANCE_MPA)?;
    positive("a tensile strength in MPa", tensile_mpa, GRADE_4_TENSILE_MPA)?;
    not_negative("an alternating stress in MPa", alternating_mpa, 100.0)?;
    not_negative("a mean stress in MPa", mean_mpa, 100.0)?;
    positive("alternating and mean stress in MPa", alternating_mpa + mean_mpa, 100.0)?;
    Ok(held(1.0 / (notch * alternating_mpa / endurance_mpa + mean_mpa / tensile_mpa))?)
}

/// The largest stress that may come and go, `σ_lim = 2/(Kf/σ_e + 1/R_m)`, MPa, from the notch factor, the smooth fatigue
/// strength and the tensile strength in MPa.
///
/// ```
/// use spareseat::mechanics::neck::pulsating_limit_mpa;
///
/// assert_eq!(pulsating_limit_mpa(2.3, 425.0, 550.0)?.round(), 277.0);
/// # Ok::<(), spareseat::mechanics::neck::NeckError>(())
/// ```
///
/// # Errors
/// As [`goodman_factor`].
pub fn pulsating_limit_mpa(notch: f64, endurance_mpa: f64, tensile_mpa: f64) -> Result<f64, NeckError> {
    // Half of one MPa alternating about half of one MPa.
    goodman_factor(notch, 0.5, 0.5, endurance_mpa, tensile_mpa)
}

/// The multiple of a load at which a neck breaks, `λ_n = σ_lim/σ`, at the worse of the places looked at: a moment in N·mm
/// for each, at the platform and [`BONE_LOST_MM`] below it, one axial load in N, + pressing. `None`: pressed all over.
///
/// # Errors
/// No moment at all, a moment or load that is not finite, a limit that is not a finite number over zero.
pub fn breaks(
    neck: &Ring,
    moments_nmm: &[f64],
    axial_n: f64,
    limit_mpa: f64,
) -> Result<Option<f64>, NeckError> {
    positive("a limit in MPa", limit_mpa, 277.0)?;
    let mut worst: Option<f64> = None;
    for moment_nmm in moments_nmm {
        let stress = pulled_side_mpa(neck, *moment_nmm, axial_n)?;
        worst = Some(worst.map_or(stress, |w| w.max(stress)));
    }
    let worst = worst.ok_or(NeckError::NoMoment)?;
    Ok((worst > 0.0).then(|| limit_mpa / worst).filter(|l| l.is_finite()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn neck() -> Ring {
        Ring::new(4.1, 2.7).unwrap()
    }

    #[test]
    fn what_is_no_strength_is_refused_with_what_was_expected() {
        let said = |k, a, m, e, t| goodman_factor(k, a, m, e, t).map_err(|e| e.to_string());
        for (k, a, m, e, t, says) in [
            (0.9, 1.0, 1.0, 425.0, 550.0, "a notch factor of 0.9: expected 1 or more, such as 2.3"),
            (f64::NAN, 1.0, 1.0, 425.0, 550.0, "a notch factor of NaN: expected 1 or more, such as 2.3"),
            (
                2.3,
                1.0,
                1.0,
                0.0,
                550.0,
                "a fatigue strength in MPa of 0: expected a number over 0, such as 425",
            ),
            (
                2.3,
                1.0,
                1.0,
                425.0,
                -1.0,
                "a tensile strength in MPa of -1: expected a number over 0, such as 550",
            ),
            (
                2.3,
                0.0,
                0.0,
                425.0,
                550.0,
                "alternating and mean stress in MPa of 0: expected a number over 0, such as 100",
            ),
            (2.3, 2.0, -1.0, 425.0, 550.0, "a mean stress in MPa of -1: expected 0 or more, such as 100"),
        ] {
            assert_eq!(said(k, a, m, e, t), Err(says.to_owned()));
        }
        assert!(goodman_factor(2.3, f64::NAN, 1.0, 425.0, 550.0).is_err());
        assert!(goodman_factor(2.3, 1.0, f64::NAN, 425.0, 550.0).is_err());
        assert_eq!(
            breaks(&neck(), &[], 0.0, 277.0).map_err(|e| e.to_string()),
            Err("no bending moment: expected at least one, such as that at the platform".to_owned())
        );
        assert_eq!(
            breaks(&neck(), &[1.0], 0.0, 0.0).map_err(|e| e.to_string()),
            Err("a limit in MPa of 0: expected a number over 0, such as 277".to_owned())
        );
        assert!(breaks(&neck(), &[1.0, f64::NAN], 0.0, 277.0).is_err());
    }

    #[test]
    fn the_worse_place_rules_and_pressing_alone_breaks_nothing() {
        let at = |moments: &[f64], axial| breaks(&neck(), moments, axial, 277.0).unwrap();
        assert_eq!(at(&[100.0, -400.0], 0.0), at(&[400.0], 0.0));
        assert_eq!(at(&[0.0], 100.0), None);
        assert_eq!(at(&[0.0], 0.0), None);
        assert!(at(&[0.0], -100.0).is_some());
        assert!(at(&[300.0], 100.0) > at(&[300.0], 0.0));
    }
}
