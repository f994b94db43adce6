//! The frame on its seats where no table has a row: what must hold for every frame, and what is refused.

use fastrand::Rng;
use spareseat::fit::shut::{Effort, Frame, Hold, MOST_NODES, Node, Section, ShutError, efforts, shut};

use super::beams::frame;
use Hold::{Flush, Free, Pinned};

/// A frame of 2 to 9 nodes round an arch, with any holds, at least one of them held.
fn random(dice: &mut Rng) -> Frame {
    let n = dice.usize(2..10);
    let mut nodes: Vec<(f64, f64, f64, Hold)> = (0..n)
        .map(|k| {
            let turn = (k as f64 + 0.6 * dice.f64()) * 0.35;
            let hold = [Flush, Pinned, Pinned, Free][dice.usize(..4)];
            (25.0 * turn.cos(), 25.0 * turn.sin(), 300.0 * (dice.f64() - 0.5), hold)
        })
        .collect();
    nodes[0].3 = if dice.bool() { Flush } else { Pinned };
    frame(&nodes)
}

fn found(frame: &Frame) -> Vec<Effort> {
    efforts(frame).unwrap_or_else(|e| panic!("{e}: {frame:?}"))
}

/// Forces agree to 1e-6 of the largest, moments to 1e-6 of the largest force over 25 mm: what the kernel promises.
fn same(a: &[Effort], b: &[Effort], why: &str) {
    let largest = a.iter().map(|e| e.force_n.abs().max(e.moment_nmm() / 25.0)).fold(1e-3, f64::max);
    assert_eq!(a.len(), b.len());
    for (x, y) in a.iter().zip(b) {
        let off = (x.force_n - y.force_n).abs().max((x.moment_nmm() - y.moment_nmm()).abs() / 25.0);
        assert!(off <= 1e-6 * largest, "{why}: {a:?} {b:?}");
    }
}

fn moved(frame: &Frame, change: impl Fn(&Node) -> Node) -> Frame {
    Frame { nodes: frame.nodes.iter().map(change).collect(), ..frame.clone() }
}

#[test]
fn what_holds_for_every_frame() {
    let mut dice = Rng::with_seed(4);
    let mut carried = 0;
    for _ in 0..400 {
        let frame = random(&mut dice);
        let here = found(&frame);
        let largest = here.iter().map(|e| e.force_n.abs()).fold(0.0, f64::max);
        carried += usize::from(largest > 1.0);
        // In balance: forces, and moments about the origin.
        let sum = |f: &dyn Fn(&Node, &Effort) -> f64| {
            frame.nodes.iter().zip(&here).map(|(n, e)| f(n, e)).sum::<f64>()
        };
        assert!(sum(&|_, e| e.force_n).abs() <= 1e-7 * (1.0 + largest));
        assert!(sum(&|n, e| e.moment_x_nmm - n.y_mm * e.force_n).abs() <= 1e-5 * (1.0 + largest));
        assert!(sum(&|n, e| e.moment_y_nmm + n.x_mm * e.force_n).abs() <= 1e-5 * (1.0 + largest));
        // Turned and shifted: the same forces, moments of the same size.
        let (c, s) = (0.6, 0.8);
        let turned = moved(&frame, |n| Node {
            x_mm: c * n.x_mm - s * n.y_mm + 40.0,
            y_mm: s * n.x_mm + c * n.y_mm - 70.0,
            ..*n
        });
        same(&here, &found(&turned), "turned");
        // All seats raised alike: nothing.
        let raised = moved(&frame, |n| Node { rise_um: n.rise_um + 80.0, ..*n });
        same(&here, &found(&raised), "raised");
        // Twice the rise, twice the effort.
        let twice = moved(&frame, |n| Node { rise_um: 2.0 * n.rise_um, ..*n });
        let halved: Vec<Effort> = found(&twice)
            .iter()
            .map(|e| Effort {
                force_n: e.force_n / 2.0,
                moment_x_nmm: e.moment_x_nmm / 2.0,
                moment_y_nmm: e.moment_y_nmm / 2.0,
            })
            .collect();
        same(&here, &halved, "twice");
        // From the other end: the same.
        let mut back = frame.clone();
        back.nodes.reverse();
        let mut there = found(&back);
        there.reverse();
        same(&here, &there, "from the other end");
        // A point set into a beam changes nothing.
        let mut finer = frame.clone();
        let (p, q) = (finer.nodes[0], finer.nodes[1]);
        let between = Node {
            x_mm: 0.7 * p.x_mm + 0.3 * q.x_mm,
            y_mm: 0.7 * p.y_mm + 0.3 * q.y_mm,
            rise_um: 0.0,
            hold: Free,
        };
        finer.nodes.insert(1, between);
        let mut there = found(&finer);
        assert_eq!(there.remove(1), Effort::default());
        same(&here, &there, "a point more");
    }
    assert!(carried > 100, "{carried} frames of 400 carry anything");
}

#[test]
fn pins_let_a_frame_tilt() {
    let mut dice = Rng::with_seed(41);
    for _ in 0..100 {
        let frame = random(&mut dice);
        let (a, b, c) = (3.0 * dice.f64(), 4.0 * dice.f64() - 2.0, dice.f64());
        let tilted = moved(&frame, |n| Node { rise_um: n.rise_um + a + b * n.x_mm + c * n.y_mm, ..*n });
        same(&shut(&frame).unwrap().pinned, &shut(&tilted).unwrap().pinned, "tilted");
    }
    let three = frame(&[(0.0, 0.0, 0.0, Flush), (8.0, 1.0, 100.0, Flush), (16.0, 0.0, 0.0, Flush)]);
    let range = shut(&three).unwrap();
    assert!(
        range.pinned.iter().all(|e| e.force_n.abs() < 1e-9),
        "three pins off a line carry nothing: {range:?}"
    );
    let in_line = frame(&[(0.0, 0.0, 0.0, Flush), (8.0, 0.0, 100.0, Flush), (16.0, 0.0, 0.0, Flush)]);
    assert!(shut(&in_line).unwrap().pinned[1].force_n < -100.0, "three pins in line bend it");
}

#[test]
fn a_frame_that_can_still_move_has_defined_forces() {
    for nodes in [
        &[(0.0, 0.0, 500.0, Flush)][..],
        &[(0.0, 0.0, 500.0, Free)],
        &[(0.0, 0.0, 500.0, Free), (9.0, 0.0, 0.0, Free), (9.0, 4.0, 0.0, Free)],
        &[(0.0, 0.0, 500.0, Pinned), (9.0, 0.0, 0.0, Free), (9.0, 4.0, 0.0, Free)],
        &[(0.0, 0.0, 500.0, Flush), (9.0, 0.0, 0.0, Free), (9.0, 4.0, 0.0, Free)],
        &[(0.0, 0.0, 500.0, Pinned), (9.0, 0.0, 0.0, Free), (9.0, 4.0, -70.0, Pinned)],
        &[(0.0, 0.0, 0.0, Flush), (9.0, 0.0, 0.0, Flush)],
    ] {
        for effort in found(&frame(nodes)) {
            assert!(effort.force_n.abs() < 1e-9 && effort.moment_nmm() < 1e-9, "{nodes:?}: {effort:?}");
        }
    }
    // A free node may carry any rise, even none.
    let nodes = [(0.0, 0.0, 0.0, Flush), (9.0, 0.0, f64::NAN, Free), (18.0, 0.0, 100.0, Flush)];
    assert!(found(&frame(&nodes))[0].force_n > 1.0);
}

#[test]
fn pins_almost_in_line_are_one_or_the_other() {
    for off in [1e-1, 1e-3, 1e-5, 1e-6, 1e-7, 1e-8, 1e-9, 1e-12] {
        let nodes = [(0.0, 0.0, 0.0, Pinned), (8.0, off, 100.0, Pinned), (16.0, 0.0, 0.0, Pinned)];
        let force = found(&frame(&nodes))[1].force_n;
        // 48EIδ/L³ of a simple span, or nothing: never anything between.
        let bent = -48.0 * 110_000.0 * 256.0 / 12.0 * 0.1 / 4096.0;
        assert!(
            force.abs() < 1e-2 || (force / bent - 1.0).abs() < 1e-6,
            "off by {off} mm: {force}, bent {bent}"
        );
    }
}

#[test]
fn what_no_frame_can_be_is_refused() {
    let pair = frame(&[(0.0, 0.0, 0.0, Flush), (14.0, 0.0, 100.0, Flush)]);
    let said = |frame: &Frame| shut(frame).map_err(|e| e.to_string()).err().unwrap_or_default();
    let with = |change: &dyn Fn(&mut Frame)| {
        let mut frame = pair.clone();
        change(&mut frame);
        said(&frame)
    };
    assert_eq!(said(&frame(&[])), "a frame without nodes: expected at least one");
    let many: Vec<_> = (0..=MOST_NODES).map(|k| (k as f64, 0.0, 0.0, Flush)).collect();
    assert_eq!(said(&frame(&many)), "81 nodes: expected at most 80");
    let twice = frame(&[(0.0, 0.0, 0.0, Flush), (14.0, 0.0, 0.0, Flush), (0.0, 1e-9, 5.0, Flush)]);
    assert_eq!(
        said(&twice),
        "nodes 1 and 3 stand at one point, or nearer than a ten-thousandth of the frame's length: expected a beam between any two"
    );
    assert_eq!(with(&|f| f.nodes[1].x_mm = f64::NAN), "node 2: an x of NaN: expected a finite number");
    assert_eq!(
        with(&|f| f.nodes[0].rise_um = f64::INFINITY),
        "node 1: a rise of inf: expected a finite number"
    );
    assert_eq!(
        with(&|f| f.section.width_mm = 0.0),
        "a section width of 0: expected a number over 0, such as 4"
    );
    assert_eq!(
        with(&|f| f.section.height_mm = -4.0),
        "a section height of -4: expected a number over 0, such as 4"
    );
    assert_eq!(
        with(&|f| f.modulus_gpa = f64::NAN),
        "a modulus of NaN: expected a number over 0, such as 110"
    );
    assert_eq!(with(&|f| f.poisson = 0.6), "a Poisson's ratio of 0.6: expected 0 to 0.5, such as 0.3");
    let far = "these sizes are too far apart to be worked with: expected mm, µm and GPa as in a bridge";
    assert_eq!(with(&|f| f.section.height_mm = 1e200), far);
    assert_eq!(with(&|f| f.nodes[1].x_mm = f64::MAX), far);
    assert_eq!(with(&|f| (f.nodes[0].x_mm, f.nodes[1].x_mm) = (-f64::MAX, f64::MAX)), far);
}

#[test]
fn any_size_gives_a_number_or_a_refusal() {
    let mut dice = Rng::with_seed(42);
    let (mut answered, mut refused) = (0, 0);
    for _ in 0..2_000 {
        let mut wide = |least: i32, most: i32| 10.0_f64.powi(dice.i32(least..most)) * (0.5 + dice.f64());
        let mut nodes = vec![(0.0, 0.0, 0.0, Flush)];
        for hold in [Pinned, Free, Flush, Pinned] {
            nodes.push((wide(-3, 4), wide(-3, 4), wide(-9, 9), hold));
        }
        let section = Section { height_mm: wide(-60, 60), width_mm: wide(-60, 60) };
        let frame = Frame { section, modulus_gpa: wide(-60, 60), ..frame(&nodes) };
        match shut(&frame) {
            Ok(range) => {
                answered += 1;
                let all = range.pinned.iter().chain(&range.flush);
                assert!(
                    all.clone().count() == 10
                        && all.into_iter().all(|e| e.force_n.is_finite() && e.moment_nmm().is_finite())
                );
            }
            Err(ShutError::OnePoint { .. } | ShutError::TooFarApart) => refused += 1,
            Err(other) => panic!("{other}: {frame:?}"),
        }
    }
    assert!(answered > 200 && refused > 200, "{answered} answered, {refused} refused");
}
