//! What loads do, by the formulas alone: the numbers, their working, and what is said with them.

use super::formulas::{json, near, said};

#[test]
fn a_screw_while_it_is_tightened() {
    let line = "calc tightening --thread M8x1 --yield 640 --friction 0.10";
    // 20.7 kN in the fine-thread table after VDI 2230:2001, see tests/numeric/tightening.rs.
    let found = json(&format!("{line} --share 0.9"));
    near(&found["preload_n"], 20_700.0, 72.0);
    assert_eq!((&found["form"], &found["share_of_yield"]), (&"2001".into(), &0.9.into()));
    let back = json(&format!("{line} --preload {}", found["preload_n"]));
    near(&back["share_of_yield"], 0.9, 1e-12);
    // 0.9·640·39.1667/√(1 + 3·[2·(d2/d0)·(P/(π·d2) + 1.1547·0.1)]²), d2 7.350481, d0 7.061806: to a newton.
    near(&json(&format!("{line} --share 0.9 --form 1986"))["preload_n"], 19_578.8, 1.0);
    assert_eq!(
        said(&format!("{line} --preload 30000")),
        "M8x1: a preload of 30000.0 N takes up 1.302 of the yield strength while it is tightened, if the friction in the thread is 0.1.\n\
         The screw yields.\n\
         The friction is an assumption. This says what a preload does to a screw, not which torque to set: that stands in the maker's instructions.\n"
    );
    let why = said(&format!("{line} --share 0.9 --why"));
    assert!(why.contains("\nWorking\n  σ = F/As, M_t = F·[P/2π + μ·d2/(2·cos 30°)], τ = M_t/(π/12·d0³), σ_e = √(σ² + 3·τ²)\n"), "{why}");
    assert!(why.contains("source: VDI 2230 in the form of 2001"), "{why}");
}

#[test]
fn when_a_seat_opens_and_tips() {
    let ring = json("calc joint --outer 25 --inner 15 --clamp 300");
    near(&ring["kern_mm"], 4.25, 1e-12);
    near(&ring["opening_nmm"], 1275.0, 1e-9);
    near(&ring["tipping_nmm"], 3750.0, 1e-9);
    assert!(ring.get("opens_at").is_none());
    let seat = "calc joint --outer 4.8 --inner 3.6 --clamp 250 --core 1.1185";
    assert_eq!(
        said(&format!("{seat} --moment 300 --axial -100")),
        "The seat begins to open at 234 N·mm and tips at 600 N·mm, held shut by 250.0 N.\n\
         Under 300 N·mm and 100.0 N pulling it opens at 0.611 times that load, the preload not growing with it: before the whole load is on it.\n"
    );
    let inside = format!("{seat} --moment 1 --axial 100");
    assert!(json(&inside)["opens_at"].is_null());
    assert!(
        said(&inside)
            .ends_with("Under 1 N·mm and 100.0 N pressing it does not open, however many times the load.\n")
    );
    // By hand: 0.9375·250/(300 + 0.9375·100·(1 − C)), C = 0.982562/(0.982562 + 7.916813).
    let share = 0.982_562 / (0.982_562 + 7.916_813);
    let found = json(&format!("{seat} --moment 300 --axial -100"));
    near(&found["screw_share"], share, 1e-6);
    near(&found["opens_at"], 234.375 / (300.0 + 93.75 * (1.0 - share)), 1e-6);
    assert!(
        said(&format!("{inside} --why"))
            .contains("opens at k·F_V/(M − k·(1 − C)·P), C = A_s/(A_s + A) = 0.1104")
    );
}

#[test]
fn a_section_that_opens_in_part() {
    let joint = "calc section --outer 4.8 --inner 3.6 --clamp 250 --core 1.1185";
    // The vectors of tests/numeric/sections.rs, given to a thousandth.
    let found = json(&format!("{joint} --moment 300 --axial -100"));
    near(&found["mean_mpa"], 29.870, 6e-4);
    near(&found["bending_mpa_per_mm"], 32.383, 6e-4);
    assert_eq!(found["open"], true);
    assert!(found.get("breaks_at").is_none());
    assert_eq!(
        said(&format!("{joint} --moment 300 --axial -100 --limit 100")),
        "The load adds 29.870 MPa in the middle of the screw and 32.383 MPa for each mm from it: 23.99 MPa alternating at its edge.\n\
         A part of the seat is no longer pressed.\n\
         It reaches 100 MPa alternating at 1.511 times that load, the preload not growing with it.\n"
    );
    let pressed = format!("{joint} --moment 0 --axial 100 --limit 100");
    assert!(json(&pressed)["breaks_at"].is_null());
    assert!(said(&pressed).ends_with(
        "The seat is pressed all over.\nIt never reaches 100 MPa alternating: the load only presses.\n"
    ));
    assert!(said(&format!("{pressed} --why")).contains("an upper bound of the screw's bending"));
}

#[test]
fn a_bridge_shares_a_load_out() {
    let line = "calc share --screw 0,0 --screw 8,0 --screw 16,0 --load 24,0,100";
    for (more, expected) in [("", [-66.67, 33.33, 133.33]), (" --without 2", [-50.0, 0.0, 150.0])] {
        let found = json(&format!("{line}{more}"));
        for (force, expected) in found["forces_n"].as_array().unwrap().iter().zip(expected) {
            near(force, expected, 0.005);
        }
        assert!(found.get("note").is_none(), "{found}");
    }
    assert_eq!(
        said(&format!("{line} --without 2")),
        "The most: screw 3 is pressed with 150.0 N.\n\
         Pressing goes into the seat, not into the screw; of a pull the screw itself sees a part. Rigid frame, equal supports: an upper bound.\n\
         \n  \
         screw    at        along it\n  \
         -------- --------- ---------------------\n  \
         screw 1  0, 0 mm   pulled with 50.0 N\n  \
         screw 2  8, 0 mm   out\n  \
         screw 3  16, 0 mm  pressed with 150.0 N\n"
    );
    let off = json("calc share --screw -8,0 --screw 0,0 --screw 8,0 --load 0,-3,-100");
    assert_eq!(
        off["note"],
        "the moment about the line of the screws, 300 N·mm, is not carried by any pull: it bends the joints, and these forces say nothing of it"
    );
    near(&off["uncarried_nmm"], 300.0, 1e-9);
    let smooth = json("calc share --screw -8,0 --screw 0,0 --screw 8,0 --load 0,-3,-100 --rho 4");
    assert!(smooth.get("note").is_none());
    near(&smooth["joint_moment_nmm"][1], 100.0, 1e-9);
    let far = said("calc share --screw 0,0 --screw 8,0 --screw 4,6 --load 400,0,1");
    assert!(far.contains("\nNote: the load acts far outside the bridge, over twice as far from the middle of the screws as the furthest of them.\n"), "{far}");
}

#[test]
fn a_bridge_shares_a_load_from_the_side_out() {
    // Bhandari, example 7.4, as in tests/numeric/sharing.rs.
    let bolts = "calc share --screw -75,0 --screw 0,0 --screw 75,0 --sideways 305,0,0,-5000";
    let found = json(bolts);
    near(&found["sideways_n"][2], 11_833.0, 0.5);
    assert!(found.get("forces_n").is_none());
    assert!(said(bolts).starts_with("The most: screw 3 is pushed sideways with 11833.3 N.\n"));
    // With a height its moment is shared out along the screws: 5000·12 about three in line, and none of it is carried.
    near(&json(&format!("{bolts} --height 12"))["uncarried_nmm"], 60_000.0, 1e-6);
    let one = json("calc share --screw 1,1 --sideways 3,1,0,50");
    assert_eq!(
        one["note"],
        "the moment that turns the bridge about the single screw, 100 N·mm, is not carried"
    );
    assert!(
        said(&format!("{bolts} --load 0,0,100 --why"))
            .contains("sideways V/N + (M/Σr²) across the arm r; V = 0, -5000 N at 305, 0 mm")
    );
}

#[test]
fn the_bench_of_the_standard() {
    let found = json("calc bench-load --force 250");
    near(&found["moment_nmm"], 1375.0, 0.0);
    near(&found["platform_moment_nmm"], 1000.0, 0.0);
    assert_eq!(
        said("calc bench-load --force 250"),
        "250.0 N on the bench bends with 1375 N·mm where the holder grips and with 1000 N·mm at the platform.\n\
         The bench compares designs: the standard says of itself that it does not predict life in the mouth.\n"
    );
    assert!(said("calc bench-load --force 250 --why").contains("source: ISO 14801 (the clause from memory)"));
}
