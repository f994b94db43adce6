//! The metric thread by its name: diameters and stress area.
//!
//! Profile: ISO 68-1; coarse pitches: ISO 261; diameters: ISO 724; stress area: the formula of ISO 898-1, whose own
//! tables begin at M3; below that the same formula is used. The formulas are checked against published rows in
//! tests/numeric/threads.rs; the list of coarse pitches is from memory.

use std::f64::consts::PI;
use std::fmt;

use thiserror::Error;

/// Smallest and largest nominal diameter read, in mm.
const DIAMETERS: (f64, f64) = (1.0, 20.0);

/// Nominal diameter and pitch of the coarse series, mm (ISO 261, from memory).
const COARSE: [(f64, f64); 25] = [
    (1.0, 0.25),
    (1.1, 0.25),
    (1.2, 0.25),
    (1.4, 0.3),
    (1.6, 0.35),
    (1.8, 0.35),
    (2.0, 0.4),
    (2.2, 0.45),
    (2.5, 0.45),
    (3.0, 0.5),
    (3.5, 0.6),
    (4.0, 0.7),
    (4.5, 0.75),
    (5.0, 0.8),
    (6.0, 1.0),
    (7.0, 1.0),
    (8.0, 1.25),
    (9.0, 1.25),
    (10.0, 1.5),
    (11.0, 1.5),
    (12.0, 1.75),
    (14.0, 2.0),
    (16.0, 2.0),
    (18.0, 2.5),
    (20.0, 2.5),
];

/// Why a text or two numbers are no metric thread.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ThreadError {
    /// Not M and one or two numbers.
    #[error(
        "'{0}' is no metric thread: expected M, the diameter and, where it is not the coarse one, x and the pitch in mm, such as M1.6 or M1.6x0.2"
    )]
    NotAThread(String),
    /// A diameter beyond those read.
    #[error("a thread diameter of {0} mm: expected {least} to {most} mm, such as M1.6", least = DIAMETERS.0, most = DIAMETERS.1)]
    Diameter(f64),
    /// A pitch that leaves no core, or none at all.
    #[error(
        "a pitch of {pitch_mm} mm on a thread of {diameter_mm} mm: expected over 0 and under half the diameter, such as M1.6x0.35"
    )]
    Pitch {
        /// The nominal diameter, mm.
        diameter_mm: f64,
        /// The pitch asked for, mm.
        pitch_mm: f64,
    },
    /// A diameter for which ISO 261 lists no coarse pitch.
    #[error("M{0} has no coarse pitch in ISO 261: expected the pitch with it, such as M{0}x0.2")]
    NoCoarsePitch(f64),
}

/// A metric thread of the basic profile.
///
/// ```
/// use spareseat::mechanics::thread::Thread;
///
/// let m2 = Thread::parse("M2")?;
/// assert_eq!(m2.pitch_mm(), 0.4);
/// assert!((m2.stress_area_mm2() - 2.0732).abs() < 5e-5);
/// # Ok::<(), spareseat::mechanics::thread::ThreadError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thread {
    diameter_mm: f64,
    pitch_mm: f64,
}

impl Thread {
    /// A thread of nominal diameter 1 to 20 mm and a pitch over 0 and under half of it.
    ///
    /// # Errors
    /// A diameter or pitch outside of that, or no number.
    pub fn new(diameter_mm: f64, pitch_mm: f64) -> Result<Self, ThreadError> {
        if !(DIAMETERS.0..=DIAMETERS.1).contains(&diameter_mm) {
            return Err(ThreadError::Diameter(diameter_mm));
        }
        if !(pitch_mm > 0.0 && pitch_mm < diameter_mm / 2.0) {
            return Err(ThreadError::Pitch { diameter_mm, pitch_mm });
        }
        Ok(Self { diameter_mm, pitch_mm })
    }

    /// The thread of the coarse series with this nominal diameter, mm.
    ///
    /// # Errors
    /// A diameter outside 1 to 20 mm, or one for which ISO 261 lists no coarse pitch.
    pub fn coarse(diameter_mm: f64) -> Result<Self, ThreadError> {
        let listed = COARSE.iter().find(|(d, _)| *d == diameter_mm);
        match listed {
            Some((_, pitch_mm)) => Self::new(diameter_mm, *pitch_mm),
            None if (DIAMETERS.0..=DIAMETERS.1).contains(&diameter_mm) => {
                Err(ThreadError::NoCoarsePitch(diameter_mm))
            }
            None => Err(ThreadError::Diameter(diameter_mm)),
        }
    }

    /// Reads `M1.6`, the coarse one, or `M1.6x0.2`; `×` and small letters are understood.
    ///
    /// # Errors
    /// A text that is no thread, and whatever [`Thread::new`] and [`Thread::coarse`] refuse.
    pub fn parse(text: &str) -> Result<Self, ThreadError> {
        let not_one = || ThreadError::NotAThread(crate::units::printable(text));
        let number = |part: &str| {
            let plain = part.bytes().all(|b| b.is_ascii_digit() || b == b'.');
            let ends = part.ends_with('.') || part.starts_with('.');
            if plain && !ends { part.parse::<f64>().map_err(|_| not_one()) } else { Err(not_one()) }
        };
        let rest = text.strip_prefix(['M', 'm']).ok_or_else(not_one)?;
        match rest.split_once(['x', 'X', '×']) {
            Some((diameter, pitch)) => Self::new(number(diameter)?, number(pitch)?),
            None => Self::coarse(number(rest)?),
        }
    }

    /// Nominal diameter d, mm.
    pub fn diameter_mm(&self) -> f64 {
        self.diameter_mm
    }

    /// Pitch P, mm: how far the screw travels in a turn.
    pub fn pitch_mm(&self) -> f64 {
        self.pitch_mm
    }

    /// Height of the fundamental triangle, H = P·√3/2 (ISO 68-1), mm.
    fn triangle_mm(&self) -> f64 {
        self.pitch_mm * 3.0_f64.sqrt() / 2.0
    }

    /// Pitch diameter d2 = d − ¾·H = d − 0.649519·P (ISO 724), mm.
    pub fn pitch_diameter_mm(&self) -> f64 {
        self.diameter_mm - 0.75 * self.triangle_mm()
    }

    /// Minor diameter of the nut thread d1 = d − 1¼·H = d − 1.082532·P (ISO 724), mm.
    pub fn minor_diameter_mm(&self) -> f64 {
        self.diameter_mm - 1.25 * self.triangle_mm()
    }

    /// Root diameter of the screw d3 = d − 17/12·H = d − 1.226869·P (ISO 68-1, rounded root), mm.
    pub fn root_diameter_mm(&self) -> f64 {
        self.diameter_mm - 17.0 / 12.0 * self.triangle_mm()
    }

    /// Diameter of the stressed section d0 = (d2 + d3)/2 (ISO 898-1), mm.
    pub fn stress_diameter_mm(&self) -> f64 {
        f64::midpoint(self.pitch_diameter_mm(), self.root_diameter_mm())
    }

    /// Tensile stress area As = π/4·d0² (ISO 898-1), mm².
    pub fn stress_area_mm2(&self) -> f64 {
        PI / 4.0 * self.stress_diameter_mm().powi(2)
    }
}

/// The whole name: `M1.6x0.35`.
impl fmt::Display for Thread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "M{}x{}", self.diameter_mm, self.pitch_mm)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_read_with_and_without_its_pitch() {
        for (typed, whole) in [
            ("M1.6", "M1.6x0.35"),
            ("M1.6x0.2", "M1.6x0.2"),
            ("M8x1", "M8x1"),
            ("m1.4×0.3", "M1.4x0.3"),
            ("M2X0.25", "M2x0.25"),
            ("M20", "M20x2.5"),
            ("M1", "M1x0.25"),
            ("M1.35x0.3", "M1.35x0.3"),
        ] {
            assert_eq!(Thread::parse(typed).map(|t| t.to_string()), Ok(whole.to_owned()), "{typed}");
        }
    }

    #[test]
    fn what_is_no_thread_is_refused_with_what_was_expected() {
        for (typed, says) in [
            (
                "1.6",
                "'1.6' is no metric thread: expected M, the diameter and, where it is not the coarse one, x and the pitch in mm, such as M1.6 or M1.6x0.2",
            ),
            (
                "M1.6x",
                "'M1.6x' is no metric thread: expected M, the diameter and, where it is not the coarse one, x and the pitch in mm, such as M1.6 or M1.6x0.2",
            ),
            (
                "MNaN",
                "'MNaN' is no metric thread: expected M, the diameter and, where it is not the coarse one, x and the pitch in mm, such as M1.6 or M1.6x0.2",
            ),
            (
                "M1.6x-0.2",
                "'M1.6x-0.2' is no metric thread: expected M, the diameter and, where it is not the coarse one, x and the pitch in mm, such as M1.6 or M1.6x0.2",
            ),
            ("M1.7", "M1.7 has no coarse pitch in ISO 261: expected the pitch with it, such as M1.7x0.2"),
            ("M24", "a thread diameter of 24 mm: expected 1 to 20 mm, such as M1.6"),
            ("M0.5x0.1", "a thread diameter of 0.5 mm: expected 1 to 20 mm, such as M1.6"),
            (
                "M1.6x0.8",
                "a pitch of 0.8 mm on a thread of 1.6 mm: expected over 0 and under half the diameter, such as M1.6x0.35",
            ),
            (
                "M1.6x0",
                "a pitch of 0 mm on a thread of 1.6 mm: expected over 0 and under half the diameter, such as M1.6x0.35",
            ),
        ] {
            assert_eq!(Thread::parse(typed).map_err(|e| e.to_string()), Err(says.to_owned()));
        }
        assert!(Thread::new(f64::NAN, 0.3).is_err());
        assert!(Thread::new(2.0, f64::NAN).is_err());
        assert!(Thread::new(f64::INFINITY, 0.3).is_err());
    }

    #[test]
    fn every_coarse_pitch_stands_in_order_and_leaves_a_core() {
        assert!(COARSE.windows(2).all(|w| w[0].0 < w[1].0 && w[0].1 <= w[1].1));
        for (diameter, pitch) in COARSE {
            let thread = Thread::coarse(diameter).unwrap();
            assert_eq!(thread.pitch_mm(), pitch);
            assert!(thread.root_diameter_mm() > 0.6 * diameter, "{thread}");
        }
    }
}
