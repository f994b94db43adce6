//! Preload: worked examples of books, the vectors of the formula, and what was measured.

use std::f64::consts::PI;

use spareseat::mechanics::preload::{Head, Tightened, short_form_torque};
use spareseat::mechanics::thread::Thread;

use super::{Mark, Row, hold};

fn m16(head: Head) -> Tightened {
    Tightened { thread: Thread::parse("M1.6").unwrap(), head }
}

fn flat() -> Head {
    Head::flat(2.0).unwrap()
}

fn cone() -> Head {
    Head::cone(2.0, 30.0_f64.to_radians()).unwrap()
}

#[test]
fn the_vectors_of_a_screw_m1_6_at_25_ncm() {
    let mut rows = Vec::new();
    for (friction, on_flat, on_cone) in [(0.10, 1064.0, 746.4), (0.20, 603.6, 407.0), (0.40, 323.5, 213.2)] {
        for (what, head, published) in [("flat", flat(), on_flat), ("cone of 60°", cone(), on_cone)] {
            rows.push(Row {
                what,
                published,
                ours: m16(head).preload_n(250.0, friction).unwrap(),
                tolerance: 2.5e-4,
                reason: "worked out to four figures",
                source: "T = F·[P/2π + μ·d2/(2·cos 30°) + μ·r_h] (Motosh; ISO 16047), M1.6x0.35, 250 N·mm, mean bearing diameter 2.0 mm",
                mark: Mark::X,
            });
        }
    }
    hold(&rows);
}

#[test]
fn the_lever_of_a_cone_in_worked_examples() {
    // A conical pivot under uniform pressure: the radius at which friction acts is that of an annulus.
    let (force, pressure, friction, beta) = (20_000.0_f64, 0.3, 0.1, 60.0_f64.to_radians());
    let inner = (force / (pressure * PI * 3.0)).sqrt();
    let outer = 2.0 * inner;
    let radius = 2.0 / 3.0 * (outer.powi(3) - inner.powi(3)) / (outer.powi(2) - inner.powi(2));
    let pivot = Head::cone(2.0 * radius, beta).unwrap();
    let torque_nmm = pivot.friction_torque_nmm(friction, force);
    let clutch = Head::cone(75.0, 15.0_f64.to_radians()).unwrap();
    let khurmi = "Khurmi & Gupta, Theory of Machines";
    hold(&[
        Row {
            what: "conical pivot, 20 kN, cone 120°, μ 0.1, outer radius twice the inner, 200 rpm: kW",
            published: 6.328,
            ours: torque_nmm * 1e-6 * 2.0 * PI * 200.0 / 60.0,
            tolerance: 5e-4,
            reason: "the book rounds the radii to whole mm",
            source: khurmi,
            mark: Mark::R,
        },
        Row {
            what: "cone clutch, 180 N, mean radius 37.5 mm, half-angle 15°, μ 0.3: N·m",
            published: 7.8,
            ours: clutch.friction_torque_nmm(0.3, 180.0) / 1000.0,
            tolerance: 0.05 / 7.8,
            reason: "printed to one place",
            source: khurmi,
            mark: Mark::R,
        },
    ]);
}

#[test]
fn the_short_form_in_worked_examples() {
    hold(&[
        Row {
            what: "0.75·650·115 N, d 14 mm, K 0.2: N·m",
            published: 156.97,
            ours: short_form_torque(0.2, 56_063.0, 14.0) / 1000.0,
            tolerance: 5e-5,
            reason: "printed to two places",
            source: "Jindal, Machine Design, example 9.5",
            mark: Mark::R,
        },
        Row {
            what: "120 kN, d 20 mm, K 0.18: N·m",
            published: 432.0,
            ours: short_form_torque(0.18, 120_000.0, 20.0) / 1000.0,
            tolerance: 1e-12,
            reason: "exact",
            source: "Jindal, Machine Design, example 9.6",
            mark: Mark::R,
        },
        Row {
            what: "0.85·0.334·85 000 lb, d 0.75 in, K 0.2: lb·in",
            published: 3619.73,
            ours: short_form_torque(0.2, 0.85 * 0.334 * 85_000.0, 0.75),
            tolerance: 2e-6,
            reason: "printed to two places",
            source: "Wentzell, worked example 6.1",
            mark: Mark::R,
        },
    ]);
    // The short form and the long one say the same when K is the one of this screw.
    let screw = m16(flat());
    let k = screw.short_form_k(0.2).unwrap();
    let torque = short_form_torque(k, screw.preload_n(250.0, 0.2).unwrap(), 1.6);
    assert!((torque - 250.0).abs() < 1e-9, "{torque}");
}

/// With tan(φ + ρ') in place of the linear term; ours is the linear one, and says so.
#[test]
fn the_linear_term_costs_what_is_said_of_it() {
    let screw = m16(flat());
    let exact = |friction: f64| {
        let d2 = screw.thread.pitch_diameter_mm();
        let lead = (screw.thread.pitch_mm() / (PI * d2)).atan();
        let flank = (friction / 30.0_f64.to_radians().cos()).atan();
        250.0 / (d2 / 2.0 * (lead + flank).tan() + friction * screw.head.friction_radius_mm())
    };
    let more = |friction: f64| screw.preload_n(250.0, friction).unwrap() / exact(friction) - 1.0;
    for (friction, published) in [(0.1, 0.005), (0.4, 0.019)] {
        let found = more(friction);
        assert!(
            (found - published).abs() < 6e-4,
            "μ {friction}: {found}, said {published}: printed to 0.1 %"
        );
    }
}

/// Plausibility only: the heads of that study are not given.
#[test]
fn a_tapered_head_leaves_less_pull_as_was_measured() {
    let (measured_flat, measured_tapered) = (373.0, 228.0);
    for friction in [0.1, 0.2, 0.4] {
        let ratio =
            m16(flat()).preload_n(250.0, friction).unwrap() / m16(cone()).preload_n(250.0, friction).unwrap();
        hold(&[Row {
            what: "M1.6, 25 Ncm, mean of 139 screws: pull on a flat seat over that on a tapered one",
            published: measured_flat / measured_tapered,
            ours: ratio,
            tolerance: 0.15,
            reason: "plausibility: neither the cone nor the bearing diameter of the study is known",
            source: "Caselli, MSc thesis, Tufts 2017, abstract",
            mark: Mark::R,
        }]);
    }
}
