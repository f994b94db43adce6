//! The default arch: where the sites of a jaw lie until somebody measures them, always marked as assumed.
//!
//! `Y = A·X⁶ + B·X²` (Noroozi, Angle Orthod 2001;71:386), fitted to published intercanine and intermolar widths (upper
//! 35.41 and 53.82 mm, lower 26.85 and 51.71 mm); tooth centres by arc length over mean crown widths (from memory;
//! consistent with Bolton's ratios). X to the patient's left, Y backwards, Z up: right-handed.

use std::sync::OnceLock;

use crate::units::Tooth;

/// The curve of a jaw.
struct Curve {
    a: f64,
    b: f64,
    /// Crown widths from the middle outwards to the second molar, mm.
    widths: [f64; 7],
    /// How far to the side the middle of each crown lies, mm: an answer asks for the same few again and again.
    at: [OnceLock<f64>; 7],
}

static UPPER: Curve = Curve::of(4.5239e-8, 0.011_30, [8.5, 6.5, 7.5, 7.0, 7.0, 10.0, 9.0]);
static LOWER: Curve = Curve::of(3.3967e-8, 0.017_82, [5.0, 5.5, 7.0, 7.0, 7.0, 11.0, 10.5]);

/// Where the middle of a tooth lies on the default arch of its jaw, mm. The curve and the widths end at the second
/// molar; nothing is said about third molars and first teeth.
pub fn on_default_arch(tooth: Tooth) -> Option<[f64; 2]> {
    let number = tooth.iso();
    let (quadrant, place) = (number / 10, usize::from(number % 10));
    let curve = match quadrant {
        1 | 2 => &UPPER,
        3 | 4 => &LOWER,
        _ => return None,
    };
    let place = place.checked_sub(1)?;
    let x = *curve.at.get(place)?.get_or_init(|| curve.tooth(place));
    // Quadrants 2 and 3 are the patient's left.
    let side = if matches!(quadrant, 2 | 3) { 1.0 } else { -1.0 };
    Some([side * x, curve.back(x)])
}

impl Curve {
    const fn of(a: f64, b: f64, widths: [f64; 7]) -> Self {
        Self { a, b, widths, at: [const { OnceLock::new() }; 7] }
    }

    /// The x of a crown's middle, from 0 at the middle of the jaw.
    fn tooth(&self, place: usize) -> f64 {
        self.at_length(self.widths[..place].iter().sum::<f64>() + self.widths[place] / 2.0)
    }

    fn back(&self, x: f64) -> f64 {
        self.a * x.powi(6) + self.b * x * x
    }

    /// How much the curve is longer than its width, at x.
    fn stretch(&self, x: f64) -> f64 {
        (6.0 * self.a * x.powi(5) + 2.0 * self.b * x).hypot(1.0)
    }

    /// The x at which the curve from the middle is `along` long: midpoint steps of a hundredth of it, which leaves less
    /// than 0.01 mm.
    fn at_length(&self, along: f64) -> f64 {
        let step = along / 400.0;
        (0..400).fold(0.0, |x, _| {
            let half = x + step / 2.0 / self.stretch(x);
            x + step / self.stretch(half)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Computed from the stated curve and widths by another route [X]; 0.01 mm is how they are given.
    #[test]
    fn tooth_centres() {
        for (iso, x, y) in [
            (23, 17.71, 4.94),
            (26, 26.91, 25.36),
            (13, -17.71, 4.94),
            (33, 13.43, 3.41),
            (36, 25.86, 22.06),
            (46, -25.86, 22.06),
        ] {
            let found = on_default_arch(Tooth::from_iso(iso).unwrap()).unwrap();
            assert!((found[0] - x).abs() < 0.01 && (found[1] - y).abs() < 0.01, "{iso}: {found:?}");
        }
        for iso in [18, 28, 38, 48, 55, 61, 75, 84] {
            assert_eq!(on_default_arch(Tooth::from_iso(iso).unwrap()), None, "{iso}");
        }
    }
}
