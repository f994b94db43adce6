//! Preloads that were measured: each lies inside the band over friction that is printed for such a screw.
//!
//! None of these papers gives thread and head in numbers. They are assumed here, the same for all: abutment screws
//! M2x0.4 with a flat head of 2.2 mm mean diameter, prosthetic screws M1.4x0.3 with one of 1.6 mm. So this shows that the
//! bands are wide enough and in the right place; it proves no single row.

use spareseat::mechanics::preload::{Head, Tightened};
use spareseat::mechanics::thread::Thread;

fn abutment() -> Tightened {
    Tightened { thread: Thread::parse("M2").unwrap(), head: Head::flat(2.2).unwrap() }
}

fn prosthetic() -> Tightened {
    Tightened { thread: Thread::parse("M1.4").unwrap(), head: Head::flat(1.6).unwrap() }
}

/// New or coated.
const COATED: (f64, f64) = (0.10, 0.40);
/// Bare titanium, dry and new.
const BARE: (f64, f64) = (0.20, 0.65);
/// Bare titanium, dry, used again and again.
const WORN: (f64, f64) = (0.20, 1.0);
/// Coated and used ten times: a friction of 0.44 was read off the same paper.
const COATED_WORN: (f64, f64) = (0.10, 0.50);

#[test]
fn what_was_measured_lies_inside_the_band() {
    for (what, screw, torque_ncm, band, measured_n) in [
        (
            "gold alloy, 32 Ncm, Haack 1995, mean and one deviation either way",
            abutment(),
            32.0,
            COATED,
            vec![410.0, 468.0, 526.0],
        ),
        ("gold alloy, 32 Ncm, Lee 1998, the same", abutment(), 32.0, COATED, vec![474.0, 501.0, 528.0]),
        ("titanium, 20 Ncm, Haack 1995, mean", abutment(), 20.0, BARE, vec![381.0]),
        ("titanium, 20 Ncm, Lee 1998, mean", abutment(), 20.0, BARE, vec![399.0]),
        (
            "gold prosthetic, 10 Ncm in saliva, first and tenth time, J Prosthet Dent 2002;88:183",
            prosthetic(),
            10.0,
            COATED,
            vec![184.0, 220.0],
        ),
        (
            "gold prosthetic, 10 Ncm, by unit, Tan & Nicholls 2002",
            prosthetic(),
            10.0,
            COATED,
            vec![264.0, 501.0],
        ),
        (
            "titanium dry, 25 Ncm, first time, Wentaschek 2017, doi 10.11607/ijp.5286",
            abutment(),
            25.0,
            BARE,
            vec![210.0],
        ),
        ("titanium dry, 25 Ncm, tenth time, the same", abutment(), 25.0, WORN, vec![130.0]),
        ("coated, 25 Ncm, first time, doi 10.1186/s40729-023-00473-3", abutment(), 25.0, COATED, vec![330.0]),
        ("coated, 25 Ncm, tenth time, the same", abutment(), 25.0, COATED_WORN, vec![254.0]),
    ] {
        let found = screw.band(torque_ncm * 10.0, band.0, band.1).unwrap();
        for measured in measured_n {
            assert!(
                (found.low_n..=found.high_n).contains(&measured),
                "{what}: {measured} N is not within {} to {} N",
                found.low_n,
                found.high_n
            );
        }
    }
}

/// T/F of all of them, mm: 'all of them lie inside 0.199 to 1.94'.
#[test]
fn torque_for_each_newton_spans_tenfold() {
    let all = [
        (32.0, 468.0),
        (32.0, 501.0),
        (20.0, 381.0),
        (20.0, 399.0),
        (10.0, 184.0),
        (10.0, 220.0),
        (10.0, 264.0),
        (10.0, 501.0),
        (25.0, 210.0),
        (25.0, 130.0),
        (25.0, 330.0),
        (25.0, 254.0),
    ];
    for (torque_ncm, force) in all {
        let bracket: f64 = torque_ncm * 10.0 / force;
        // The ends are printed to three figures.
        assert!(
            (0.199..=1.94).contains(&((bracket * 1000.0).floor() / 1000.0)),
            "{torque_ncm} Ncm, {force} N: {bracket}"
        );
    }
    // Our own bracket covers them with the frictions named above.
    let bracket = |screw: Tightened, friction| screw.torque_per_newton_mm(friction, friction).unwrap();
    assert!(bracket(prosthetic(), 0.10) < 0.200 && bracket(abutment(), 1.0) > 1.94);
}

/// First and tenth use of coated screws: 'friction 0.33 → 0.44'.
#[test]
fn the_friction_read_off_the_coated_screws_comes_out() {
    for (force, published) in [(330.0, 0.33), (254.0, 0.44)] {
        let at = abutment().preload_n(250.0, published).unwrap();
        assert!(
            (at / force - 1.0).abs() < 0.02,
            "{force} N at μ {published}: {at} N; friction said to two places: 2 % of 0.33"
        );
    }
}
