//! The cracked section once more, by brute force: the ring cut into strips, Newton on sums. Slow, plain and independent
//! of the closed integrals; the numeric test and the bench hold them against each other.

use std::f64::consts::PI;

/// A seat cut into strips of equal width.
pub struct Strips {
    /// Middle of each strip and its area.
    strips: Vec<(f64, f64)>,
    clamp_n: f64,
    area: f64,
    bar: [f64; 2],
}

/// Half of a disc's chord at x.
fn half_chord(radius: f64, x: f64) -> f64 {
    (radius * radius - x * x).max(0.0).sqrt()
}

impl Strips {
    /// Outer and inner diameter of the seat, core of the screw, clamp; so many strips.
    pub fn new(outer: f64, inner: f64, core: f64, clamp_n: f64, count: usize) -> Self {
        let width = outer / count as f64;
        let strip = |n: usize| {
            let x = (n as f64 + 0.5) * width - outer / 2.0;
            (x, 2.0 * width * (half_chord(outer / 2.0, x) - half_chord(inner / 2.0, x)))
        };
        let strips: Vec<(f64, f64)> = (0..count).map(strip).collect();
        let area = strips.iter().map(|(_, a)| a).sum();
        Self { strips, clamp_n, area, bar: [PI / 4.0 * core.powi(2), PI / 64.0 * core.powi(4)] }
    }

    /// Force and moment left over at e and κ, the energy, and the stiffness.
    fn balance(&self, moment: f64, axial: f64, e: f64, kappa: f64) -> ([f64; 2], f64, [f64; 3]) {
        let (mut force, mut turn) = (self.clamp_n + self.bar[0] * e + axial, self.bar[1] * kappa - moment);
        let mut energy = (self.clamp_n + axial) * e - moment * kappa
            + (self.bar[0] * e * e + self.bar[1] * kappa * kappa) / 2.0;
        let mut stiffness = [self.bar[0], 0.0, self.bar[1]];
        for (x, area) in &self.strips {
            let stress = e + kappa * x - self.clamp_n / self.area;
            if stress < 0.0 {
                force += stress * area;
                turn += stress * area * x;
                energy += stress * stress * area / 2.0;
                stiffness[0] += area;
                stiffness[1] += area * x;
                stiffness[2] += area * x * x;
            }
        }
        ([force, turn], energy, stiffness)
    }

    /// e and κ.
    pub fn bent(&self, moment: f64, axial: f64) -> (f64, f64) {
        let second: f64 = self.strips.iter().map(|(x, a)| a * x * x).sum();
        let (mut e, mut kappa) = (-axial / (self.area + self.bar[0]), moment / (second + self.bar[1]));
        let scale = self.clamp_n + axial.abs() + moment.abs();
        for _ in 0..200 {
            let (left, energy, k) = self.balance(moment, axial, e, kappa);
            if left[0].abs().max(left[1].abs()) < 1e-11 * scale {
                break;
            }
            let det = k[0] * k[2] - k[1] * k[1];
            let step = [(k[1] * left[1] - k[2] * left[0]) / det, (k[1] * left[0] - k[0] * left[1]) / det];
            let mut part = 1.0;
            while part > 1e-6
                && self.balance(moment, axial, e + part * step[0], kappa + part * step[1]).1 > energy
            {
                part /= 2.0;
            }
            (e, kappa) = (e + part * step[0], kappa + part * step[1]);
        }
        (e, kappa)
    }
}
