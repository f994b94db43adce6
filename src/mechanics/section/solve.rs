//! The two unknowns of a section, by damped Newton on a convex energy whose integrals are closed.
//!
//! Everything is measured in the seat's outer radius and in the sum of all forces, so that tolerances mean the same for
//! every size.

use std::f64::consts::{FRAC_PI_2, PI};

use super::super::joint::FlatJoint;
use super::Bent;

/// What is left of the balance, as part of all forces, when an answer is one.
const AT_REST: f64 = 1e-13;

/// What must be left at most, should rounding hinder the last steps.
const NEARLY: f64 = 1e-10;

/// More steps than any of the random cases of the tests took, by far.
const MOST_STEPS: usize = 100;

/// ∫dA, ∫x dA and ∫x² dA over the part of a disc of radius r with x under `to`.
/// Source: the circular segment of any handbook's table of sections.
fn segment(r: f64, to: f64) -> [f64; 3] {
    let h = to.clamp(-r, r);
    let half_chord = ((r - h) * (r + h)).sqrt();
    let angle = (h / r).asin() + FRAC_PI_2;
    let r2 = r * r;
    [
        r2 * angle + h * half_chord,
        -2.0 / 3.0 * half_chord.powi(3),
        (r2 * r2 * angle + h * half_chord * (2.0 * h * h - r2)) / 4.0,
    ]
}

/// A section measured in its outer radius.
pub(super) struct Shape {
    outer_mm: f64,
    core: f64,
    inner: f64,
    /// Area and second moment, of ring and bar.
    ring: [f64; 2],
    bar: [f64; 2],
}

/// The loads measured in the sum of all forces.
struct Loads {
    clamp: f64,
    pressing: f64,
    moment: f64,
}

/// The balance at a state: what is left of force and moment, the energy, and the stiffness.
struct Balance {
    force: f64,
    moment: f64,
    energy: f64,
    stiffness: [f64; 3],
}

impl Balance {
    fn left(&self) -> f64 {
        self.force.abs().max(self.moment.abs())
    }
}

impl Shape {
    pub(super) fn of(joint: &FlatJoint) -> Self {
        let radius = joint.seat().outer_mm() / 2.0;
        let inner = joint.seat().inner_mm() / 2.0 / radius;
        let core = joint.core_mm() / 2.0 / radius;
        let disc = |r: f64| [PI * r.powi(2), PI / 4.0 * r.powi(4)];
        let (whole, hole) = (disc(1.0), disc(inner));
        let ring = [whole[0] - hole[0], whole[1] - hole[1]];
        Self { outer_mm: radius, core, inner, ring, bar: disc(core) }
    }

    /// Integrals over the pressed part of the ring, where `c + κx` is under zero.
    fn pressed(&self, c: f64, kappa: f64) -> [f64; 3] {
        let edge = -c / kappa.abs();
        if kappa == 0.0 || !edge.is_finite() {
            return if c < 0.0 { [self.ring[0], 0.0, self.ring[1]] } else { [0.0; 3] };
        }
        // Most states on the way are shut or all but parted: no arcs are needed there.
        if edge >= 1.0 {
            return [self.ring[0], 0.0, self.ring[1]];
        }
        if edge <= -1.0 {
            return [0.0; 3];
        }
        let (outer, hole) = (segment(1.0, edge), segment(self.inner, edge));
        let first = outer[1] - hole[1];
        [outer[0] - hole[0], if kappa < 0.0 { -first } else { first }, outer[2] - hole[2]]
    }

    fn balance(&self, loads: &Loads, e: f64, kappa: f64) -> Balance {
        let c = e - loads.clamp / self.ring[0];
        let [a0, a1, a2] = self.pressed(c, kappa);
        let (bar_area, bar_second) = (self.bar[0], self.bar[1]);
        Balance {
            force: loads.clamp + loads.pressing + bar_area * e + c * a0 + kappa * a1,
            moment: bar_second * kappa + c * a1 + kappa * a2 - loads.moment,
            energy: (loads.clamp + loads.pressing) * e - loads.moment * kappa
                + (bar_area * e * e + bar_second * kappa * kappa) / 2.0
                + (c * c * a0 + 2.0 * c * kappa * a1 + kappa * kappa * a2) / 2.0,
            stiffness: [bar_area + a0, a1, bar_second + a2],
        }
    }

    /// Newton's steps, each halved until the energy falls as it should. `None` where they do not come to rest.
    fn at_rest(&self, loads: &Loads) -> Option<(f64, f64)> {
        let mut e = -loads.pressing / (self.ring[0] + self.bar[0]);
        let mut kappa = loads.moment / (self.ring[1] + self.bar[1]);
        let mut now = self.balance(loads, e, kappa);
        for _ in 0..MOST_STEPS {
            if now.left() <= AT_REST {
                break;
            }
            let [k00, k01, k11] = now.stiffness;
            let det = k00 * k11 - k01 * k01;
            let step_e = (k01 * now.moment - k11 * now.force) / det;
            let step_kappa = (k01 * now.force - k00 * now.moment) / det;
            let slope = now.force * step_e + now.moment * step_kappa;
            let mut part = 1.0;
            let next = loop {
                let (to_e, to_kappa) = (e + part * step_e, kappa + part * step_kappa);
                let next = self.balance(loads, to_e, to_kappa);
                // Near the bottom the energy is flat to the last place, and what is left says more.
                let lower = next.energy <= now.energy + 1e-4 * part * slope;
                if lower || next.left() <= now.left() / 2.0 {
                    (e, kappa) = (to_e, to_kappa);
                    break Some(next);
                }
                part /= 2.0;
                if part < 1e-9 {
                    break None;
                }
            };
            match next {
                Some(next) => now = next,
                None => break,
            }
        }
        (now.left() <= NEARLY && e.is_finite() && kappa.is_finite()).then_some((e, kappa))
    }

    /// The answer for forces in N and a moment in N·mm of no sign.
    pub(super) fn bent(&self, clamp_n: f64, moment_nmm: f64, axial_n: f64) -> Option<Bent> {
        let all = clamp_n + axial_n.abs() + moment_nmm / self.outer_mm;
        let loads =
            Loads { clamp: clamp_n / all, pressing: axial_n / all, moment: moment_nmm / self.outer_mm / all };
        let (e, kappa) = self.at_rest(&loads)?;
        let open = e + kappa > loads.clamp / self.ring[0];
        self.in_mpa(e, kappa, all, open)
    }

    /// The answer of a seat that stays shut, for a load of its own.
    pub(super) fn shut(&self, moment_nmm: f64, axial_n: f64) -> Bent {
        let e = -axial_n / (self.ring[0] + self.bar[0]);
        let kappa = moment_nmm / self.outer_mm / (self.ring[1] + self.bar[1]);
        let none =
            Bent { mean_mpa: 0.0, bending_mpa_per_mm: 0.0, alternating_mpa: f64::INFINITY, open: false };
        self.in_mpa(e, kappa, 1.0, false).unwrap_or(none)
    }

    fn in_mpa(&self, e: f64, kappa: f64, all_n: f64, open: bool) -> Option<Bent> {
        let unit = all_n / self.outer_mm.powi(2);
        let mean_mpa = e * unit;
        let bending_mpa_per_mm = kappa * unit / self.outer_mm;
        let alternating_mpa = (e.max(0.0) + kappa * self.core) * unit / 2.0;
        let whole = mean_mpa.is_finite() && bending_mpa_per_mm.is_finite() && alternating_mpa.is_finite();
        whole.then_some(Bent { mean_mpa, bending_mpa_per_mm, alternating_mpa, open })
    }
}
