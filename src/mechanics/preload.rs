//! What a torque is worth: the pull a screw is left with when it has been tightened.
//!
//! The form with the linear thread term (Motosh 1976, as given in ISO 16047 and VDI 2230):
//! `T = F·[P/2π + μ_t·d2/(2·cos 30°) + μ_h·r_h]`.
//! The exact form with tan(φ + ρ') gives 0.5 % less preload at μ 0.1 and 1.9 % less at 0.4, far inside the scatter of a
//! friction that nobody knows: measured preload at the same torque differs about threefold from screw to screw. So an
//! answer for a person is a band over friction, and says which friction it assumed.
//! Checked against published rows in tests/numeric/preload.rs.

use std::f64::consts::{FRAC_PI_2, PI};

use thiserror::Error;

use super::thread::Thread;

/// Half the flank angle of the metric thread, ISO 68-1: 30°.
const FLANK_RAD: f64 = PI / 6.0;

/// Friction of new or coated screws, and of bare dry titanium, as measured preloads imply it: Haack 1995, Lee 1998,
/// Tan & Nicholls 2002, Wentaschek 2017 (doi 10.11607/ijp.5286), doi 10.1186/s40729-023-00473-3; the ends computed.
pub const FRICTION: [f64; 2] = [0.10, 0.65];

/// Why there is no preload.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum PreloadError {
    /// Not a finite size over zero.
    #[error("{what} of {value}: expected a number over 0, such as {example}")]
    NotPositive {
        /// Which number.
        what: &'static str,
        /// What it was.
        value: f64,
        /// One that would do.
        example: f64,
    },
    /// A head that leans over itself.
    #[error("a head cone with a half-angle of {}°: expected over 0 up to 90°, which is a flat head, such as 30", .0.to_degrees())]
    HalfAngle(f64),
    /// A band upside down.
    #[error("friction from {low} to {high}: expected the lower one first, such as 0.1..0.4")]
    UpsideDown {
        /// The one named first.
        low: f64,
        /// The one named second.
        high: f64,
    },
    /// Sizes whose quotient no number holds.
    #[error("these sizes are too far apart to be worked with: expected mm, N·mm and friction as in a screw")]
    TooFarApart,
}

/// A number over zero, or which one is not.
fn positive(what: &'static str, value: f64, example: f64) -> Result<f64, PreloadError> {
    if value.is_finite() && value > 0.0 {
        Ok(value)
    } else {
        Err(PreloadError::NotPositive { what, value, example })
    }
}

/// Where the screw's head bears.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Head {
    mean_diameter_mm: f64,
    half_angle_rad: f64,
}

impl Head {
    /// A flat head; its mean bearing diameter is half of outer plus inner, mm.
    ///
    /// # Errors
    /// A diameter that is not a finite number over zero.
    pub fn flat(mean_diameter_mm: f64) -> Result<Self, PreloadError> {
        Self::cone(mean_diameter_mm, FRAC_PI_2)
    }

    /// A conical head: mean bearing diameter in mm, half-angle to the screw's axis in radians, over 0 up to π/2.
    ///
    /// # Errors
    /// A diameter that is not a finite number over zero, or an angle outside of that.
    pub fn cone(mean_diameter_mm: f64, half_angle_rad: f64) -> Result<Self, PreloadError> {
        positive("a bearing diameter", mean_diameter_mm, 2.0)?;
        if !(half_angle_rad > 0.0 && half_angle_rad <= FRAC_PI_2) {
            return Err(PreloadError::HalfAngle(half_angle_rad));
        }
        Ok(Self { mean_diameter_mm, half_angle_rad })
    }

    /// Lever of the head's friction, r_h = r_mean/sin β, mm; a flat head has β = 90°.
    pub fn friction_radius_mm(&self) -> f64 {
        self.mean_diameter_mm / 2.0 / self.half_angle_rad.sin()
    }

    /// Mean bearing diameter, mm.
    pub fn mean_diameter_mm(&self) -> f64 {
        self.mean_diameter_mm
    }

    /// Half-angle β to the screw's axis, radians.
    pub fn half_angle_rad(&self) -> f64 {
        self.half_angle_rad
    }

    /// Whether the head is flat.
    pub fn is_flat(&self) -> bool {
        self.half_angle_rad == FRAC_PI_2
    }

    /// Friction torque of the head alone at that axial force: μ·F·r_h. N·mm from N.
    pub fn friction_torque_nmm(&self, friction: f64, force_n: f64) -> f64 {
        friction * force_n * self.friction_radius_mm()
    }
}

/// A screw joint that is tightened: its thread and its head.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tightened {
    /// The thread.
    pub thread: Thread,
    /// Where the head bears.
    pub head: Head,
}

/// Preload over a range of friction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// At the high friction, N.
    pub low_n: f64,
    /// At the low friction, N.
    pub high_n: f64,
}

impl Tightened {
    /// Torque in N·mm for each N of preload: the bracket of the formula, mm.
    /// `thread_friction` and `head_friction` are coefficients over zero.
    ///
    /// # Errors
    /// A friction that is not a finite number over zero, or sizes no number holds.
    pub fn torque_per_newton_mm(
        &self,
        thread_friction: f64,
        head_friction: f64,
    ) -> Result<f64, PreloadError> {
        positive("a friction", thread_friction, 0.2)?;
        positive("a friction", head_friction, 0.2)?;
        let lead = self.thread.pitch_mm() / (2.0 * PI);
        let flanks = thread_friction * self.thread.pitch_diameter_mm() / (2.0 * FLANK_RAD.cos());
        let sum = lead + flanks + head_friction * self.head.friction_radius_mm();
        if sum.is_finite() { Ok(sum) } else { Err(PreloadError::TooFarApart) }
    }

    /// Preload in N from a torque in N·mm at the same friction in thread and under the head.
    ///
    /// ```
    /// use spareseat::mechanics::preload::{Head, Tightened};
    /// use spareseat::mechanics::thread::Thread;
    ///
    /// let screw = Tightened { thread: Thread::parse("M1.6")?, head: Head::flat(2.0)? };
    /// assert_eq!(screw.preload_n(250.0, 0.2)?.round(), 604.0);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// A torque or friction that is not a finite number over zero, or sizes no number holds.
    pub fn preload_n(&self, torque_nmm: f64, friction: f64) -> Result<f64, PreloadError> {
        positive("a torque in N·mm", torque_nmm, 250.0)?;
        let force = torque_nmm / self.torque_per_newton_mm(friction, friction)?;
        if force.is_finite() && force > 0.0 { Ok(force) } else { Err(PreloadError::TooFarApart) }
    }

    /// Preload over a range of friction, from a torque in N·mm.
    ///
    /// # Errors
    /// As [`Tightened::preload_n`], and a range with the higher friction first.
    pub fn band(&self, torque_nmm: f64, low_friction: f64, high_friction: f64) -> Result<Band, PreloadError> {
        let high_n = self.preload_n(torque_nmm, low_friction)?;
        let low_n = self.preload_n(torque_nmm, high_friction)?;
        if low_friction > high_friction {
            return Err(PreloadError::UpsideDown { low: low_friction, high: high_friction });
        }
        Ok(Band { low_n, high_n })
    }

    /// The K of the short form T = K·F·d at that friction: the bracket over the nominal diameter.
    ///
    /// # Errors
    /// A friction that is not a finite number over zero, or sizes no number holds.
    pub fn short_form_k(&self, friction: f64) -> Result<f64, PreloadError> {
        Ok(self.torque_per_newton_mm(friction, friction)? / self.thread.diameter_mm())
    }
}

/// Preload at one friction or over a range, with all that went into it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Preloads {
    /// The joint.
    pub screw: Tightened,
    /// The torque, N·mm.
    pub torque_nmm: f64,
    /// The lower end of the friction.
    pub low_friction: f64,
    /// The upper end of the friction.
    pub high_friction: f64,
    /// What it comes to.
    pub band: Band,
    range: bool,
}

impl Preloads {
    /// At one friction.
    ///
    /// # Errors
    /// As [`Tightened::preload_n`].
    pub fn at(screw: Tightened, torque_nmm: f64, friction: f64) -> Result<Self, PreloadError> {
        Ok(Self { range: false, ..Self::over(screw, torque_nmm, friction, friction)? })
    }

    /// Over a range of friction.
    ///
    /// # Errors
    /// As [`Tightened::band`].
    pub fn over(screw: Tightened, torque_nmm: f64, low: f64, high: f64) -> Result<Self, PreloadError> {
        let band = screw.band(torque_nmm, low, high)?;
        Ok(Self { screw, torque_nmm, low_friction: low, high_friction: high, band, range: true })
    }

    /// Whether a range was asked for.
    pub fn is_range(&self) -> bool {
        self.range
    }
}

/// The short form: torque K·F·d, in the units of force times diameter.
pub fn short_form_torque(k: f64, force: f64, diameter: f64) -> f64 {
    k * force * diameter
}

#[cfg(test)]
mod tests {
    use super::*;

    fn screw() -> Tightened {
        Tightened { thread: Thread::coarse(1.6).unwrap(), head: Head::flat(2.0).unwrap() }
    }

    #[test]
    fn what_is_no_size_is_refused_with_what_was_expected() {
        let torque = |t: f64| screw().preload_n(t, 0.2).map_err(|e| e.to_string());
        assert_eq!(torque(0.0), Err("a torque in N·mm of 0: expected a number over 0, such as 250".into()));
        assert_eq!(
            torque(f64::NAN),
            Err("a torque in N·mm of NaN: expected a number over 0, such as 250".into())
        );
        assert_eq!(
            screw().preload_n(250.0, -0.2).map_err(|e| e.to_string()),
            Err("a friction of -0.2: expected a number over 0, such as 0.2".into())
        );
        assert_eq!(
            screw().band(250.0, 0.4, 0.1).map_err(|e| e.to_string()),
            Err("friction from 0.4 to 0.1: expected the lower one first, such as 0.1..0.4".into())
        );
        for angle in [0.0, -0.1, 1.6, f64::NAN] {
            assert!(matches!(Head::cone(2.0, angle), Err(PreloadError::HalfAngle(_))), "{angle}");
        }
        for diameter in [0.0, -2.0, f64::INFINITY, f64::NAN] {
            assert!(matches!(Head::flat(diameter), Err(PreloadError::NotPositive { .. })), "{diameter}");
        }
        let wide = Tightened { head: Head::cone(f64::MAX, 1e-300).unwrap(), ..screw() };
        assert_eq!(wide.preload_n(250.0, 0.2), Err(PreloadError::TooFarApart));
        let flat = Tightened { head: Head::flat(f64::MAX).unwrap(), ..screw() };
        assert_eq!(flat.preload_n(1e-300, 1.0), Err(PreloadError::TooFarApart), "no pull of zero");
    }

    #[test]
    fn more_friction_leaves_less_pull_and_the_band_holds_its_ends() {
        let band = screw().band(250.0, 0.1, 0.4).unwrap();
        assert!(band.low_n < band.high_n);
        assert_eq!(band.high_n, screw().preload_n(250.0, 0.1).unwrap());
        assert_eq!(band.low_n, screw().preload_n(250.0, 0.4).unwrap());
        let one = screw().band(250.0, 0.2, 0.2).unwrap();
        assert_eq!(one.low_n, one.high_n);
    }

    #[test]
    fn a_cone_of_ninety_degrees_is_a_flat_head() {
        let cone = Head::cone(2.0, FRAC_PI_2).unwrap();
        assert_eq!(cone.friction_radius_mm(), Head::flat(2.0).unwrap().friction_radius_mm());
        assert_eq!(cone.friction_radius_mm(), 1.0);
    }
}
