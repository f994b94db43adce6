//! Threads: diameters and stress areas as standards and books print them.

use spareseat::mechanics::thread::Thread;

use super::{Mark, Row, hold};

fn thread(name: &str) -> Thread {
    Thread::parse(name).unwrap_or_else(|e| panic!("{e}"))
}

#[test]
fn stress_areas_as_tabulated() {
    // Printed to three figures: half of the last is 5e-3 of 1.27, and less of the others.
    let tabulated: [(&str, f64, &str, Mark); 9] = [
        ("M1.4", 0.983, "thread tables after ISO 898-1", Mark::M),
        ("M1.6", 1.27, "thread tables after ISO 898-1", Mark::R),
        ("M2", 2.07, "thread tables after ISO 898-1", Mark::R),
        ("M3", 5.03, "ISO 898-1, table of stress areas", Mark::R),
        ("M5", 14.2, "ISO 898-1, table of stress areas", Mark::R),
        ("M8", 36.6, "ISO 898-1, table of stress areas", Mark::R),
        ("M16", 156.7, "Jindal, Machine Design, example 9.1", Mark::R),
        ("M16x2", 156.7, "Jindal, Machine Design, example 9.1", Mark::R),
        ("M16x1.5", 167.2, "Jindal, Machine Design, example 9.1", Mark::R),
    ];
    let rows = tabulated.map(|(what, published, source, mark)| Row {
        what,
        published,
        ours: thread(what).stress_area_mm2(),
        tolerance: 5e-3 / 1.27,
        reason: "printed to three or four figures",
        source,
        mark,
    });
    hold(&rows);
}

#[test]
fn stress_areas_by_the_formula() {
    let rows = [
        ("M1.4", 0.9826),
        ("M1.6", 1.2700),
        ("M2", 2.0732),
        ("M3", 5.0308),
        ("M5", 14.18),
        ("M8", 36.61),
        ("M16x2", 156.67),
        ("M16x1.5", 167.25),
    ]
    .map(|(what, published)| Row {
        what,
        published,
        ours: thread(what).stress_area_mm2(),
        tolerance: 2e-4,
        reason: "worked out to four or five figures",
        source: "As = π/4·((d2 + d3)/2)², d2 = d − 0.649519·P, d3 = d − 1.226869·P (ISO 898-1, ISO 724)",
        mark: Mark::X,
    });
    hold(&rows);
}

#[test]
fn diameters_of_the_basic_profile() {
    let m16 = thread("M1.6");
    let rows = [
        ("d2", 1.6 - 0.649_519 * 0.35, m16.pitch_diameter_mm()),
        ("d1", 1.6 - 1.082_532 * 0.35, m16.minor_diameter_mm()),
        ("d3", 1.6 - 1.226_869 * 0.35, m16.root_diameter_mm()),
    ]
    .map(|(what, published, ours)| Row {
        what,
        published,
        ours,
        tolerance: 3e-7,
        reason: "the factors are printed to six places",
        source: "ISO 68-1 and ISO 724, factors of the pitch",
        mark: Mark::R,
    });
    hold(&rows);
    let m8 = thread("M8");
    let table = [("M8 d2", 7.188, m8.pitch_diameter_mm()), ("M8 d1", 6.647, m8.minor_diameter_mm())];
    hold(&table.map(|(what, published, ours)| Row {
        what,
        published,
        ours,
        tolerance: 8e-5,
        reason: "printed to 0.001 mm: half of that of 6.6",
        source: "ISO 724, table of basic dimensions",
        mark: Mark::M,
    }));
}

#[test]
fn half_a_turn_is_half_a_pitch() {
    for (name, half_um) in [("M1.4", 150.0), ("M1.6", 175.0), ("M2", 200.0)] {
        assert_eq!((thread(name).pitch_mm() * 500.0).round(), half_um, "{name}");
    }
}
