//! Figures of the rigid seating, with a general-purpose conic solver on the same cases in the same run. Never a timed
//! test.
//!
//! ```sh
//! cargo bench --bench fit
//! ```
//!
//! Bridges on an arch, all invented: flat seats of 1.8 to 3.0 mm, each up to 100 µm higher or lower than as built.
//! Everything on one thread. The fastest of all runs tells what the machine can do, the median what it did while others
//! were at work on it: the load stands above and below the table.

use std::hint::black_box;
use std::time::{Duration, Instant};

use clarabel::algebra::CscMatrix;
use clarabel::solver::{
    DefaultSettings, DefaultSolver, IPSolver as _, NonnegativeConeT, SecondOrderConeT, SupportedConeT,
};
use spareseat::fit::scatter::{DRAWS, Loose, scatter};
use spareseat::fit::seating::{Seat, middle, one_screw, rest};

const CASES: usize = 1000;
const RUNS: usize = 25;

fn main() {
    println!("load {}", load());
    println!("| what | sites | fastest run | median | |\n|---|---|---|---|---|");
    let mut rng = fastrand::Rng::with_seed(20_261_125);
    let mut sixes = (Duration::ZERO, Duration::ZERO);
    for sites in [6, 10, 14] {
        let cases: Vec<Vec<Seat>> = (0..CASES).map(|_| bridge(&mut rng, sites)).collect();
        let middles =
            timed(RUNS, 20, || cases.iter().map(|s| rest(s, middle(s)).expect("it rests").lift).sum());
        row("rest seat, pressed at the middle", sites, middles, 20 * CASES);
        let ends = timed(RUNS, 20, || cases.iter().map(|s| one_screw(s, 0).expect("it rests").lift).sum());
        row("one-screw test at an end", sites, ends, 20 * CASES);
        if sites == 6 {
            sixes = middles;
        } else {
            let (fastest, median) = (ratio(middles.0, sixes.0), ratio(middles.1, sixes.1));
            println!("| time over that at 6 sites | {sites} | {fastest:.2} × | {median:.2} × | |");
        }
        conic(&cases, sites, middles);
    }
    tolerance(&mut rng);
    println!("load {}", load());
}

/// How busy the machine was, as it says itself.
fn load() -> String {
    std::fs::read_to_string("/proc/loadavg").unwrap_or_else(|_| "not known".to_owned()).trim().to_owned()
}

fn bridge(rng: &mut fastrand::Rng, sites: usize) -> Vec<Seat> {
    let (wide, deep) = (22.0 + 6.0 * rng.f64(), 30.0 + 15.0 * rng.f64());
    (0..sites)
        .map(|n| {
            let even = -1.3 + 2.6 * n as f64 / (sites - 1) as f64;
            let turn = even + 0.06 * (rng.f64() - 0.5);
            Seat {
                at: [wide * turn.sin(), deep * turn.cos()],
                rise: 0.2 * (rng.f64() - 0.5),
                radius: 1.8 + 1.2 * rng.f64(),
            }
        })
        .collect()
}

/// Fastest and median time of `runs` runs of `rounds` rounds each.
fn timed(runs: usize, rounds: usize, mut round: impl FnMut() -> f64) -> (Duration, Duration) {
    black_box(round());
    let mut times: Vec<Duration> = (0..runs)
        .map(|_| {
            let begun = Instant::now();
            for _ in 0..rounds {
                black_box(round());
            }
            begun.elapsed()
        })
        .collect();
    times.sort();
    (times[0], times[runs / 2])
}

fn row(what: &str, sites: usize, (fastest, median): (Duration, Duration), count: usize) {
    let million = |time: Duration| count as f64 / time.as_secs_f64() / 1e6;
    let nanos = median.as_secs_f64() * 1e9 / count as f64;
    println!(
        "| {what} | {sites} | {:.3} million/s | {:.3} million/s | {nanos:.0} ns each |",
        million(fastest),
        million(median)
    );
}

fn ratio(a: Duration, b: Duration) -> f64 {
    a.as_secs_f64() / b.as_secs_f64()
}

/// The same bridges by the conic solver, at the tolerances it comes with.
fn conic(cases: &[Vec<Seat>], sites: usize, ours: (Duration, Duration)) {
    let few = &cases[..200];
    let programs: Vec<Program> = few.iter().map(|s| Program::new(s, middle(s))).collect();
    let whole = timed(RUNS, 1, || programs.iter().map(|p| lift(&mut p.solver())).sum());
    row("conic solver, set up and solved", sites, whole, few.len());
    let mut alone = Vec::new();
    for _ in 0..RUNS {
        let mut solvers: Vec<_> = programs.iter().map(Program::solver).collect();
        let begun = Instant::now();
        black_box(solvers.iter_mut().map(lift).sum::<f64>());
        alone.push(begun.elapsed());
    }
    alone.sort();
    let alone = (alone[0], alone[RUNS / 2]);
    row("conic solver, solved only", sites, alone, few.len());
    let per = (20 * CASES) as f64 / few.len() as f64;
    for (what, theirs) in [("set up and solved", whole), ("solved only", alone)] {
        let (fastest, median) = (per * ratio(theirs.0, ours.0), per * ratio(theirs.1, ours.1));
        println!("| ours over the conic solver, {what} | {sites} | {fastest:.0} × | {median:.0} × | |");
    }
    let off = few.iter().zip(&programs).map(|(seats, program)| {
        (rest(seats, middle(seats)).expect("it rests").lift - lift(&mut program.solver())).abs()
    });
    println!("| lifts differ by at most | {sites} | | {:.1e} µm | |", off.fold(0.0, f64::max) * 1000.0);
}

fn lift(solver: &mut DefaultSolver<f64>) -> f64 {
    solver.solve();
    solver.solution.x[0]
}

/// min t over t ≥ δ − g·(p − q) + r·s and |g| ≤ s.
struct Program {
    rows: CscMatrix<f64>,
    rhs: Vec<f64>,
    cones: [SupportedConeT<f64>; 2],
    settings: DefaultSettings<f64>,
}

impl Program {
    fn new(seats: &[Seat], press: [f64; 2]) -> Self {
        let mut rows: Vec<[f64; 4]> =
            seats.iter().map(|s| [-1.0, press[0] - s.at[0], press[1] - s.at[1], s.radius]).collect();
        rows.extend([[0.0, 0.0, 0.0, -1.0], [0.0, -1.0, 0.0, 0.0], [0.0, 0.0, -1.0, 0.0]]);
        let rhs = seats.iter().map(|s| -s.rise).chain([0.0; 3]).collect();
        Self {
            rows: CscMatrix::from(&rows),
            rhs,
            cones: [NonnegativeConeT(seats.len()), SecondOrderConeT(3)],
            settings: DefaultSettings { verbose: false, ..DefaultSettings::default() },
        }
    }

    fn solver(&self) -> DefaultSolver<f64> {
        let nothing = CscMatrix::zeros((4, 4));
        let cost = [1.0, 0.0, 0.0, 0.0];
        DefaultSolver::new(&nothing, &cost, &self.rows, &self.rhs, &self.cones, self.settings.clone())
            .expect("a program that is whole")
    }
}

/// The whole tolerance run as `fit` asks for it: both one-screw tests for every draw.
fn tolerance(rng: &mut fastrand::Rng) {
    let seats = bridge(rng, 6);
    for (what, all) in [("every seat swapped", true), ("one seat swapped", false)] {
        let loose: Vec<Loose> = seats
            .iter()
            .enumerate()
            .map(|(n, s)| {
                let by = if all || n == 2 { 0.01 } else { 0.0 };
                Loose { seat: Seat { rise: 0.0, ..*s }, old: by, new: by }
            })
            .collect();
        let (fastest, median) =
            timed(9, 1, || scatter(&loose, [0, 5], &[0.03, 0.15], DRAWS).expect("it rests").most);
        println!(
            "| tolerance run, {DRAWS} draws, {what} | 6 | {:.4} s | {:.4} s | |",
            fastest.as_secs_f64(),
            median.as_secs_f64()
        );
    }
}
