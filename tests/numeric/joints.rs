//! Flat joints: kern, opening, and screw and joint by stiffness, against worked examples.

use std::f64::consts::PI;

use spareseat::mechanics::joint::{
    cone_stiffness_n_per_mm, opening_nmm, pulled, share_by_stiffness, tipping_nmm,
};
use spareseat::mechanics::preload::short_form_torque;
use spareseat::mechanics::ring::Ring;

use super::{Mark, Row, hold};

fn row(what: &'static str, published: f64, ours: f64, tolerance: f64, source: &'static str) -> Row {
    Row { what, published, ours, tolerance, reason: "as many figures as are printed", source, mark: Mark::R }
}

#[test]
fn the_kern_of_rings_and_discs() {
    let kern = |outer, inner| Ring::new(outer, inner).unwrap().kern_mm();
    let manual = "GGU-FOOTING manual, theoretical principles for circle and annulus: 1st core dimension";
    hold(&[
        row(
            "ring of 25 and 15: k",
            4.25,
            kern(25.0, 15.0),
            1e-12,
            "published worked example of the core of a hollow circular section",
        ),
        row(
            "disc of 8: D/8",
            1.0,
            kern(8.0, 0.0),
            1e-12,
            "strength of materials, core of a solid circle (expertsmind, direct and bending stresses)",
        ),
        row(
            "ring of 4.8 and 3.6: [1 + (d/D)²]·D/8",
            (1.0 + (3.6_f64 / 4.8).powi(2)) * 4.8 / 8.0,
            kern(4.8, 3.6),
            1e-12,
            manual,
        ),
    ]);
    let seat = Ring::new(25.0, 15.0).unwrap();
    assert_eq!(opening_nmm(&seat, 300.0).unwrap(), 1275.0);
    assert_eq!(tipping_nmm(&seat, 300.0).unwrap(), 3750.0);
}

/// d 20 mm, bolt of 205 GPa and 84 mm, parts of 105 GPa and 80 mm, stress area 245 mm², 105 MPa at first, then 20 kN.
#[test]
fn a_bolt_and_its_joint_after_jindal() {
    let parts = cone_stiffness_n_per_mm(105_000.0, 20.0, 80.0).unwrap();
    // The whole shank, not its stress area, bears the stiffness: found by trying; the excerpt does not say.
    let bolt = PI / 4.0 * 20.0_f64.powi(2) * 205_000.0 / 84.0;
    let share = share_by_stiffness(bolt, parts).unwrap();
    let found = pulled(share, 105.0 * 245.0, 20_000.0).unwrap();
    hold(&[row(
        "final stress, MPa",
        123.28,
        found.screw_n / 245.0,
        5e-5,
        "Jindal, Machine Design, example 9.4",
    )]);
}

#[test]
fn screw_and_joint_in_worked_examples() {
    let shigley = "Shigley's Mechanical Engineering Design, 9th edition, page 449, example 8-5";
    let brown = "Brown, Marks' Calculations for Machine Design, page 335";
    let drill = "Machine Design Important Topics, problem M1a (review sheet after Juvinall & Marshek)";
    let share = |screw, joint| share_by_stiffness(screw, joint).unwrap();
    // kip and 0.226 in² at a proof strength of 85 kpsi.
    let kip = pulled(0.280, 14.4, 5.0).unwrap();
    let lb = pulled(share(2.0, 1.0), 2250.0, 6075.0).unwrap();
    let newton = pulled(0.2, 30_000.0 / short_form_torque(0.15, 1.0, 10.0), 10_000.0).unwrap();
    hold(&[
        row(
            "separation factor n0, Fi 14.4 kip, C 0.280, P 5 kip",
            4.00,
            kip.parts_at_n / 5.0,
            1.3e-3,
            shigley,
        ),
        row("yielding factor of the same", 1.22, 85.0 * 0.226 / kip.screw_n, 4.1e-3, shigley),
        row("joint constant, 3.03e6 and 9.04e6 lb/in", 0.25, share(3.03e6, 9.04e6), 0.02, brown),
        row("joint constant, 4.66e8 and 1.47e9 N/m", 0.24, share(4.66e5, 1.47e6), 0.02, brown),
        row(
            "2250 lb, bolt twice as stiff as the parts, 225 lb of clamp left: bolt, lb",
            6300.0,
            lb.screw_n,
            1e-12,
            drill,
        ),
        row("the same: clamp, lb", 225.0, lb.clamp_n, 1e-12, drill),
        row(
            "30 N·m, 10 mm, K 0.15, C 0.2, then 10 kN: bolt, N",
            22_000.0,
            newton.screw_n,
            1e-12,
            "adda247, bolt of two flanges",
        ),
    ]);
}
