//! Load sharing of rigid groups, against worked examples of bolts, piers and bridges.

use spareseat::mechanics::sharing::{Load, sideways, upright};

use super::{Mark, Row, hold};

fn pressing(at_mm: [f64; 2], force_n: f64) -> Load {
    Load { at_mm, force_n, side_n: [0.0; 2], height_mm: 0.0 }
}

fn forces(screws: &[[f64; 2]], at: [f64; 2], force: f64) -> Vec<f64> {
    upright(screws, &pressing(at, force), 0.0).unwrap().forces_n
}

fn lengths(screws: &[[f64; 2]], at: [f64; 2], force: [f64; 2]) -> Vec<f64> {
    sideways(screws, at, force).unwrap().forces_n.iter().map(|[x, y]| x.hypot(*y)).collect()
}

fn heaviest(all: &[f64]) -> f64 {
    all.iter().copied().fold(0.0, f64::max)
}

const LINE: [[f64; 2]; 3] = [[0.0, 0.0], [8.0, 0.0], [16.0, 0.0]];

#[test]
fn along_the_screws_by_hand() {
    for (what, screws, at, expected) in [
        ("three in line, load at 24", &LINE[..], [24.0, 0.0], vec![-66.67, 33.33, 133.33]),
        ("the middle one gone", &[LINE[0], LINE[2]][..], [24.0, 0.0], vec![-50.0, 150.0]),
        // Rangert 1989, from memory: near P(1 + a/b), far −P·a/b; cantilever and span alike.
        ("two, cantilever a = span b", &[[0.0, 0.0], [10.0, 0.0]][..], [20.0, 0.0], vec![-100.0, 200.0]),
        ("two, a = b/2", &[[0.0, 0.0], [10.0, 0.0]][..], [15.0, 0.0], vec![-50.0, 150.0]),
    ] {
        for (found, expected) in forces(screws, at, 100.0).iter().zip(expected) {
            assert!((found - expected).abs() < 0.005, "{what}: {found}, expected {expected}, to two places");
        }
    }
}

/// 100 t two feet and one foot off the middle of 6 by 4 feet, four piers at the corners, rigid.
#[test]
fn a_rigid_slab_on_four_piers() {
    let piers = [[3.0, 2.0], [3.0, -2.0], [-3.0, 2.0], [-3.0, -2.0]];
    let found = forces(&piers, [2.0, 1.0], 100.0);
    for (ours, published) in found.iter().zip([54.0, 29.0, 21.0, -4.0]) {
        hold(&[Row {
            what: "pier, t",
            published,
            ours: *ours,
            tolerance: 0.5 / published.abs(),
            reason: "printed to whole tons",
            source: "eng-tips.com thread 400254, eccentrically loaded area on 4 piers, second method",
            mark: Mark::R,
        }]);
    }
}

#[test]
fn across_the_screws_in_worked_examples() {
    let bhandari = lengths(&[[-75.0, 0.0], [0.0, 0.0], [75.0, 0.0]], [305.0, 0.0], [0.0, -5000.0]);
    let corners = [[75.0, 60.0], [75.0, -60.0], [-75.0, 60.0], [-75.0, -60.0]];
    let shigley = lengths(&corners, [425.0, 0.0], [0.0, -16.0]);
    let six = [[35.0, 140.0], [35.0, 0.0], [35.0, -140.0], [-35.0, 140.0], [-35.0, 0.0], [-35.0, -140.0]];
    let column = lengths(&six, [10_000.0 / 70.0, 0.0], [0.0, -70.0]);
    let pair = lengths(&[[-0.2, 0.0], [0.2, 0.0]], [2.0, 0.0], [0.0, -4.0]);
    let row = |what, published, ours, source| Row {
        what,
        published,
        ours,
        tolerance: 3e-3,
        reason: "read off a drawing or rounded on the way to three figures",
        source,
        mark: Mark::R,
    };
    let shigley_source =
        "Shigley's Mechanical Engineering Design, 9th edition, example 8-7, pages 457 and 458";
    hold(&[
        Row {
            what: "three in line, pitch 75, 5 kN at 305 mm: heaviest, N",
            published: 11_833.0,
            ours: heaviest(&bhandari),
            tolerance: 5e-5,
            reason: "printed to a whole newton",
            source: "Bhandari, Design of Machine Elements, example 7.4 (read in part)",
            mark: Mark::R,
        },
        row("four at 75, 60, 16 kN at 425 mm: near ones, kN", 21.0, shigley[0], shigley_source),
        row("far ones, kN", 14.8, shigley[2], shigley_source),
        row(
            "six at 35, 140, 70 kN with 10 kN·m: heaviest, kN",
            22.67,
            heaviest(&column),
            "examination question at cdquestions.com, built-up column, bolt value",
        ),
        row(
            "two 0.4 m apart, 4 kN 2 m away: the lighter, kN",
            18.0,
            pair[0],
            "examination question at interviewmania.com, resultant load on bolt P",
        ),
    ]);
    // 5000/3 and 5000·305·75/(2·75²), by hand.
    assert!((heaviest(&bhandari) - 11_833.333).abs() < 1e-3);
}

/// With a radius nothing jumps between a line and an arch: a screw that leaves the line by a hair changes nothing much.
#[test]
fn a_radius_takes_the_jump_out() {
    let bent = |y: f64| {
        let screws = [[0.0, 0.0], [8.0, y], [16.0, 0.0]];
        let load = Load { at_mm: [8.0, 0.0], force_n: 200.0, side_n: [0.0, 50.0], height_mm: 8.0 };
        (upright(&screws, &load, 0.0).unwrap(), upright(&screws, &load, 4.0).unwrap())
    };
    let ((line, smooth_line), (arch, smooth_arch)) = (bent(0.0), bent(0.01));
    assert!(line.uncarried_nmm > 399.0 && arch.uncarried_nmm == 0.0, "ρ of 0 jumps");
    assert!((arch.forces_n[1] - line.forces_n[1]).abs() > 1000.0, "and pulls without measure");
    for (a, b) in smooth_line.forces_n.iter().zip(&smooth_arch.forces_n) {
        assert!((a - b).abs() < 0.2, "{a} {b}");
    }
}
