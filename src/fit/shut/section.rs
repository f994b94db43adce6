//! A rectangular section: how it bends and how it twists.

use std::f64::consts::PI;

/// A rectangle, its height along the path of insertion.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Section {
    /// Along the path of insertion, mm.
    pub height_mm: f64,
    /// Across it, mm.
    pub width_mm: f64,
}

impl Section {
    /// Second moment for bending up and down, I = b·h³/12, mm⁴ (any handbook).
    pub fn second_moment_mm4(&self) -> f64 {
        self.width_mm * self.height_mm.powi(3) / 12.0
    }

    /// Torsion constant of a solid rectangle with the long side a and the short side b, mm⁴:
    /// J = a·b³·[1/3 − (64/π⁵)·(b/a)·Σ tanh(nπa/2b)/n⁵], n odd.
    ///
    /// Saint-Venant's exact series, as in Timoshenko & Goodier, *Theory of Elasticity*, art. 109 (from memory). The
    /// terms fall with n⁵: after n = 99 less than 1e-9 of the whole is left.
    pub fn torsion_constant_mm4(&self) -> f64 {
        let (a, b) = (self.height_mm.max(self.width_mm), self.height_mm.min(self.width_mm));
        let term = |n: i32| (f64::from(n) * PI * a / (2.0 * b)).tanh() / f64::from(n).powi(5);
        let series: f64 = (1..100).step_by(2).rev().map(term).sum();
        a * b.powi(3) * (1.0 / 3.0 - 64.0 / PI.powi(5) * (b / a) * series)
    }
}
