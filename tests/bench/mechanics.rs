//! Figures of the cracked section, beside brute force in the same run. Never a timed test.
//!
//! ```sh
//! cargo bench --bench mechanics
//! ```
//!
//! The peer is an integration in strips with the same method on the same joints; it gets as few strips as agree with the
//! closed integrals within 1e-4 on every joint of the run.

use std::hint::black_box;
use std::time::{Duration, Instant};

use spareseat::mechanics::joint::FlatJoint;
use spareseat::mechanics::ring::Ring;

#[path = "../numeric/strips.rs"]
mod strips;

use strips::Strips;

const CASES: usize = 500;
const RUNS: usize = 21;

/// A joint and a load, of proportions as in screw joints.
struct Case {
    outer: f64,
    inner: f64,
    core: f64,
    clamp: f64,
    moment: f64,
    axial: f64,
}

impl Case {
    fn joint(&self) -> FlatJoint {
        FlatJoint::new(Ring::new(self.outer, self.inner).expect("a ring"), self.core, self.clamp)
            .expect("a joint")
    }
}

/// From shut to standing on its edge, the same every time.
fn cases() -> Vec<Case> {
    let mut rng = fastrand::Rng::with_seed(5);
    let mut between = |low: f64, high: f64| low + (high - low) * rng.f64();
    let mut one = || {
        let outer = between(2.5, 8.0);
        let inner = outer * between(0.35, 0.9);
        let clamp = between(50.0, 1000.0);
        Case {
            outer,
            inner,
            core: inner * between(0.2, 0.95),
            clamp,
            moment: clamp * outer * between(0.0, 1.2),
            axial: clamp * between(-1.5, 1.5),
        }
    };
    (0..CASES).map(|_| one()).collect()
}

/// The largest difference of so many strips, as part of the largest stress.
fn off(cases: &[Case], count: usize) -> f64 {
    cases.iter().fold(0.0, |worst: f64, c| {
        let found = c.joint().bent(c.moment, c.axial).expect("a balance");
        let (e, kappa) = Strips::new(c.outer, c.inner, c.core, c.clamp, count).bent(c.moment, c.axial);
        let edge = c.outer / 2.0;
        let scale = (e.abs() + kappa.abs() * edge).max(c.clamp / c.joint().seat().area_mm2());
        let mean = (found.mean_mpa - e).abs();
        worst.max(mean.max((found.bending_mpa_per_mm - kappa).abs() * edge) / scale)
    })
}

/// Median time of one case.
fn median(mut run: impl FnMut()) -> Duration {
    let mut times: Vec<Duration> = (0..RUNS)
        .map(|_| {
            let begun = Instant::now();
            run();
            begun.elapsed() / u32::try_from(CASES).expect("few")
        })
        .collect();
    times.sort();
    times[RUNS / 2]
}

fn main() {
    let cases = cases();
    let enough = (4..20).map(|p| 1_usize << p).find(|n| off(&cases, *n) < 1e-4).expect("strips do agree");
    let joints: Vec<FlatJoint> = cases.iter().map(Case::joint).collect();
    // Cut beforehand: the peer is timed on its balance alone.
    let cut: Vec<Strips> =
        cases.iter().map(|c| Strips::new(c.outer, c.inner, c.core, c.clamp, enough)).collect();
    let closed = median(|| {
        for (joint, c) in joints.iter().zip(&cases) {
            let _ = black_box(joint.bent(black_box(c.moment), c.axial));
        }
    });
    let brute = median(|| {
        for (strips, c) in cut.iter().zip(&cases) {
            black_box(strips.bent(black_box(c.moment), c.axial));
        }
    });
    let breaks = median(|| {
        for (joint, c) in joints.iter().zip(&cases) {
            let _ = black_box(joint.breaks(black_box(c.moment), c.axial, 100.0));
        }
    });
    println!("| what, {CASES} joints | median of one |\n|---|---|");
    println!("| section, closed integrals | {closed:?} |");
    println!("| section, {enough} strips (as few as agree within 1e-4) | {brute:?} |");
    println!("| the same, times as long | {:.0} |", brute.as_secs_f64() / closed.as_secs_f64());
    println!("| multiple at which the bar breaks | {breaks:?} |");
}
