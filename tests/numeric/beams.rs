//! The frame on its seats against beam tables: whatever has a formula in a handbook must come out of the grillage.
//!
//! All rows: 4 × 4 mm unless they say otherwise, E 110 GPa, a rise of 100 µm, so EI = 110 000·4·4³/12 N·mm².

use std::f64::consts::PI;

use spareseat::fit::shut::{Frame, Hold, Node, Section, efforts, shut};

use super::{Mark, Row, hold};
use Hold::{Flush, Free, Pinned};

const MODULUS_GPA: f64 = 110.0;
const POISSON: f64 = 0.3;
const SQUARE: Section = Section { height_mm: 4.0, width_mm: 4.0 };
const EXACT: &str = "the formula is exact for this beam: rounding only";
const TIGHT: f64 = 1e-9;

/// A frame of square section through (x, y, rise, hold).
pub fn frame(nodes: &[(f64, f64, f64, Hold)]) -> Frame {
    let nodes = nodes.iter().map(|&(x_mm, y_mm, rise_um, hold)| Node { x_mm, y_mm, rise_um, hold }).collect();
    Frame { nodes, section: SQUARE, modulus_gpa: MODULUS_GPA, poisson: POISSON }
}

/// EI in N·mm² times a rise of 100 µm in mm.
fn bent() -> f64 {
    MODULUS_GPA * 1000.0 * 4.0 * 64.0 / 12.0 * 0.1
}

/// The pull at node `k`, N.
fn force(nodes: &[(f64, f64, f64, Hold)], k: usize) -> f64 {
    efforts(&frame(nodes)).unwrap_or_else(|e| panic!("{e}"))[k].force_n
}

#[test]
fn two_implants_fourteen_apart() {
    let fixed = [(0.0, 0.0, 0.0, Flush), (14.0, 0.0, 100.0, Flush)];
    let one = [(0.0, 0.0, 0.0, Flush), (14.0, 0.0, 100.0, Pinned)];
    let both = efforts(&frame(&fixed)).unwrap();
    let single = efforts(&frame(&one)).unwrap();
    let row = |what, published, ours, tolerance, reason, source, mark| Row {
        what,
        published,
        ours,
        tolerance,
        reason,
        source,
        mark,
    };
    let printed = "printed to a whole N or N·mm";
    let worked = "two implants 14 mm apart, 100 µm, 4 × 4 mm, E 110 GPa, worked out by the formula beside it";
    let mott = "end load on a cantilever, P·L³/3EI: Mott, Machine Elements in Mechanical Design, appendix 14";
    let guided = "both ends built in, one moved: 12EIδ/L³ and 6EIδ/L²: Gere & Timoshenko, fixed-end moments of settlement";
    hold(&[
        row("cantilever 3EIδ/L³", 257.0, single[0].force_n, 2e-3, printed, worked, Mark::X),
        row("flush 12EIδ/L³", 1026.0, both[0].force_n, 5e-4, printed, worked, Mark::X),
        row("flush moment 6EIδ/L²", 7184.0, both[0].moment_nmm(), 1e-4, printed, worked, Mark::X),
        row("cantilever", 3.0 * bent() / 14.0_f64.powi(3), -single[1].force_n, TIGHT, EXACT, mott, Mark::R),
        row("cantilever moment", 3.0 * bent() / 196.0, single[0].moment_nmm(), TIGHT, EXACT, mott, Mark::R),
        row("flush", 12.0 * bent() / 14.0_f64.powi(3), -both[1].force_n, TIGHT, EXACT, guided, Mark::M),
        row("flush moment", 6.0 * bent() / 196.0, both[1].moment_nmm(), TIGHT, EXACT, guided, Mark::M),
    ]);
    assert_eq!(single[1].moment_nmm(), 0.0, "a pin takes no moment");
    let range = shut(&frame(&fixed)).unwrap();
    assert_eq!(range.flush, both);
    for pinned in range.pinned {
        assert!(pinned.force_n.abs() < 1e-9 && pinned.moment_nmm() == 0.0, "{pinned:?}");
    }
}

#[test]
fn handbook_beams() {
    let mott = "Mott, Machine Elements in Mechanical Design, appendix 14, table of simply supported beams";
    let design = "piping-designer.com, beam design formulas, 2394: overhanging beam, point load on beam end";
    let fixed = "fixed at both ends, load in the middle: P·L³/192EI, any structural table of beams";
    let (a, b) = (9.0_f64, 13.0_f64);
    let (l, c) = (17.0_f64, 8.0_f64);
    let span = [(0.0, 0.0, 0.0, Pinned), (a, 0.0, 100.0, Pinned), (a + b, 0.0, 0.0, Pinned)];
    let beyond = [(0.0, 0.0, 0.0, Pinned), (l, 0.0, 0.0, Pinned), (l + c, 0.0, 100.0, Pinned)];
    let middle = [(0.0, 0.0, 0.0, Flush), (12.0, 0.0, 100.0, Pinned), (24.0, 0.0, 0.0, Flush)];
    let propped = [(0.0, 0.0, 0.0, Flush), (12.0, 0.0, 100.0, Pinned), (24.0, 0.0, 0.0, Pinned)];
    let row = |what, published, ours, source, mark| Row {
        what,
        published,
        ours,
        tolerance: TIGHT,
        reason: EXACT,
        source,
        mark,
    };
    hold(&[
        row(
            "simple span, load at a: δ = F·a²·b²/(3EI·L)",
            3.0 * bent() * (a + b) / (a * b).powi(2),
            -force(&span, 1),
            mott,
            Mark::R,
        ),
        row("its support at a: F·b/L", 3.0 * bent() / (a * a * b), force(&span, 0), mott, Mark::R),
        row(
            "overhang c beyond L: δ = F·c²·(L + c)/(3EI)",
            3.0 * bent() / (c * c * (l + c)),
            -force(&beyond, 2),
            design,
            Mark::R,
        ),
        row("its far support: −F·c/L", 3.0 * bent() / (c * l * (l + c)), -force(&beyond, 0), design, Mark::R),
        row("its near support: F·(L + c)/L", 3.0 * bent() / (c * c * l), force(&beyond, 1), design, Mark::R),
        row(
            "fixed, pushed in the middle",
            192.0 * bent() / 24.0_f64.powi(3),
            -force(&middle, 1),
            fixed,
            Mark::R,
        ),
        row(
            "fixed and propped, pushed in the middle: δ = 7·F·L³/(768EI)",
            768.0 / 7.0 * bent() / 24.0_f64.powi(3),
            -force(&propped, 1),
            "Roark's Formulas for Stress and Strain, table of beams, one end fixed, one supported",
            Mark::M,
        ),
    ]);
}

/// An arm a out and an arm b across, held at the root, pushed at the tip: the first arm bends and twists.
#[test]
fn a_frame_round_a_corner_bends_and_twists() {
    let (a, b) = (11.0_f64, 7.0_f64);
    let nodes = [(0.0, 0.0, 0.0, Flush), (a, 0.0, 0.0, Free), (a, b, 100.0, Pinned)];
    let ei = bent() / 0.1;
    let gj = MODULUS_GPA * 1000.0 / (2.0 * (1.0 + POISSON)) * SQUARE.torsion_constant_mm4();
    let give = (a.powi(3) + b.powi(3)) / (3.0 * ei) + a * b * b / gj;
    let found = efforts(&frame(&nodes)).unwrap();
    let source = "by hand: cantilever of each arm and the twist of the first, δ/F = (a³ + b³)/3EI + a·b²/GJ";
    let row = |what, published, ours| Row {
        what,
        published,
        ours,
        tolerance: TIGHT,
        reason: EXACT,
        source,
        mark: Mark::X,
    };
    let tip = 0.1 / give;
    hold(&[
        row("push at the tip", -tip, found[2].force_n),
        row("pull at the root", tip, found[0].force_n),
        row("twist at the root, about the first arm", -tip * b, found[0].moment_x_nmm),
        row("bending at the root", tip * a, found[0].moment_y_nmm),
    ]);
    assert_eq!(
        (found[1].force_n, found[1].moment_nmm()),
        (0.0, 0.0),
        "a corner that nothing holds takes nothing"
    );
}

#[test]
fn the_section_bends_and_twists_as_tables_say() {
    let flat = Section { height_mm: 2.0, width_mm: 5.0 };
    hold(&[Row {
        what: "b·h³/12",
        published: 5.0 * 8.0 / 12.0,
        ours: flat.second_moment_mm4(),
        tolerance: 1e-15,
        reason: "the same sum",
        source: "any handbook",
        mark: Mark::R,
    }]);
    for (ratio, coefficient) in
        [(1.0, 0.1406), (1.5, 0.1958), (2.0, 0.229), (3.0, 0.263), (5.0, 0.291), (10.0, 0.312)]
    {
        let narrow = Section { height_mm: 3.0, width_mm: 3.0 * ratio };
        let upright = Section { height_mm: 3.0 * ratio, width_mm: 3.0 };
        assert_eq!(narrow.torsion_constant_mm4(), upright.torsion_constant_mm4());
        let ours = narrow.torsion_constant_mm4() / (3.0 * ratio * 27.0);
        hold(&[
            Row {
                what: "coefficient of a·b³",
                published: coefficient,
                ours,
                tolerance: 2.5e-3,
                reason: "printed to three or four places",
                source: "Timoshenko & Goodier, Theory of Elasticity, torsion of a rectangular bar",
                mark: Mark::M,
            },
            Row {
                what: "1/3 − 0.21·(b/a)·(1 − b⁴/12a⁴)",
                published: 1.0 / 3.0 - 0.21 / ratio * (1.0 - 1.0 / (12.0 * ratio.powi(4))),
                ours,
                tolerance: 4e-3,
                reason: "a fitted formula; its constant is printed to two places",
                source: "Roark's formula, as on piping-designer.com, 2648: torsion constant for rectangle cross-section",
                mark: Mark::R,
            },
        ]);
    }
    let strip = Section { height_mm: 0.01, width_mm: 100.0 };
    assert!(
        (strip.torsion_constant_mm4() / (100.0 * 1e-6) - 1.0 / 3.0).abs() < 1e-4,
        "a thin strip tends to a third"
    );
    // A round-number check of the series itself: the sum over odd n of 1/n⁵ is 31·ζ(5)/32.
    let tail: f64 = (1..100).step_by(2).map(|n| f64::from(n).powi(-5)).sum();
    assert!((tail - 31.0 / 32.0 * 1.036_927_755_143_37).abs() < 2e-9, "{}", tail * PI);
}
