//! The hollow circular section: a flat seat, an implant's neck, the wall of a cone.

use std::f64::consts::PI;

use thiserror::Error;

use super::size::{SizeError, held, positive};

/// Why two diameters make no ring.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum RingError {
    /// An outer diameter that is no size, or areas no number holds.
    #[error(transparent)]
    Size(#[from] SizeError),
    /// A hole that is as wide as the whole, or less than none.
    #[error(
        "an inner diameter of {inner_mm} mm in an outer one of {outer_mm} mm: expected 0 or more and less than the outer one, such as {} in {outer_mm}",
        .outer_mm * 0.75
    )]
    Inner {
        /// The outer diameter, mm.
        outer_mm: f64,
        /// The inner diameter, mm.
        inner_mm: f64,
    },
}

/// A hollow circular section; with an inner diameter of zero a solid one.
///
/// ```
/// use spareseat::mechanics::ring::Ring;
///
/// let seat = Ring::new(25.0, 15.0)?;
/// assert_eq!(seat.kern_mm(), 4.25);
/// # Ok::<(), spareseat::mechanics::ring::RingError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ring {
    outer_mm: f64,
    inner_mm: f64,
}

impl Ring {
    /// A section of outer diameter D over zero and inner diameter d from zero to less than D, mm.
    ///
    /// # Errors
    /// Diameters outside of that, or so large or small that no number holds their areas.
    pub fn new(outer_mm: f64, inner_mm: f64) -> Result<Self, RingError> {
        positive("an outer diameter in mm", outer_mm, 4.8)?;
        if !(inner_mm >= 0.0 && inner_mm < outer_mm) {
            return Err(RingError::Inner { outer_mm, inner_mm });
        }
        let ring = Self { outer_mm, inner_mm };
        held(ring.second_moment_mm4())?;
        // A wall that vanishes in the last place, or a section too small to be told from none.
        if ring.area_mm2() > 0.0 && ring.second_moment_mm4() > 0.0 {
            Ok(ring)
        } else {
            Err(SizeError::TooFarApart.into())
        }
    }

    /// Outer diameter D, mm.
    pub fn outer_mm(&self) -> f64 {
        self.outer_mm
    }

    /// Inner diameter d, mm.
    pub fn inner_mm(&self) -> f64 {
        self.inner_mm
    }

    /// Area A = π/4·(D² − d²), mm².
    pub fn area_mm2(&self) -> f64 {
        PI / 4.0 * (self.outer_mm - self.inner_mm) * (self.outer_mm + self.inner_mm)
    }

    /// Second moment of area I = π/64·(D⁴ − d⁴), mm⁴ (any handbook's table of sections).
    pub fn second_moment_mm4(&self) -> f64 {
        self.area_mm2() * (self.outer_mm.powi(2) + self.inner_mm.powi(2)) / 16.0
    }

    /// Section modulus Z = π/32·(D⁴ − d⁴)/D, mm³ (any handbook's table of sections).
    pub fn section_modulus_mm3(&self) -> f64 {
        2.0 * self.second_moment_mm4() / self.outer_mm
    }

    /// Kern k = Z/A = (D² + d²)/(8·D), mm: a pressing force further from the middle than that leaves a part of the
    /// section unpressed.
    pub fn kern_mm(&self) -> f64 {
        (self.outer_mm.powi(2) + self.inner_mm.powi(2)) / (8.0 * self.outer_mm)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_ring_is_refused_with_what_was_expected() {
        let made = |outer, inner| Ring::new(outer, inner).map(|_| ()).map_err(|e| e.to_string());
        for (outer, inner, says) in [
            (0.0, 0.0, "an outer diameter in mm of 0: expected a number over 0, such as 4.8"),
            (-4.8, 1.0, "an outer diameter in mm of -4.8: expected a number over 0, such as 4.8"),
            (f64::NAN, 1.0, "an outer diameter in mm of NaN: expected a number over 0, such as 4.8"),
            (
                4.0,
                4.0,
                "an inner diameter of 4 mm in an outer one of 4 mm: expected 0 or more and less than the outer one, such as 3 in 4",
            ),
            (
                4.0,
                -1.0,
                "an inner diameter of -1 mm in an outer one of 4 mm: expected 0 or more and less than the outer one, such as 3 in 4",
            ),
            (
                4.0,
                f64::NAN,
                "an inner diameter of NaN mm in an outer one of 4 mm: expected 0 or more and less than the outer one, such as 3 in 4",
            ),
            (
                1e200,
                1.0,
                "these sizes are too far apart to be worked with: expected mm, N, N·mm and MPa as in a screw joint",
            ),
            (
                1e-200,
                0.0,
                "these sizes are too far apart to be worked with: expected mm, N, N·mm and MPa as in a screw joint",
            ),
        ] {
            assert_eq!(made(outer, inner), Err(says.to_owned()));
        }
    }

    #[test]
    fn the_kern_is_what_is_left_of_modulus_and_area() {
        for (outer, inner) in [(4.8, 3.6), (4.1, 2.7), (10.0, 0.0), (1.0, 0.99)] {
            let ring = Ring::new(outer, inner).unwrap();
            let quotient = ring.section_modulus_mm3() / ring.area_mm2();
            assert!((quotient / ring.kern_mm() - 1.0).abs() < 1e-14, "{outer} {inner}");
        }
    }
}
