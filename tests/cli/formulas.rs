//! The formulas by themselves: no home, their numbers, their working, and what they refuse.

use super::refusals::refused;
use super::typed::typed;
use crate::support::{Place, code, text};
use serde_json::Value;

/// The JSON of a line, which needs no home and makes none.
pub fn json(line: &str) -> Value {
    let place = Place::empty();
    let out = typed(&place, &format!("--json {line}"));
    assert_eq!((code(&out), text(&out.stderr)), (0, String::new()), "{line}");
    assert!(!place.home().exists(), "{line}: no home is needed");
    serde_json::from_slice(&out.stdout).unwrap_or_else(|e| panic!("{line}: {e}"))
}

pub fn said(line: &str) -> String {
    let out = typed(&Place::empty(), line);
    assert_eq!((code(&out), text(&out.stderr)), (0, String::new()), "{line}");
    text(&out.stdout)
}

/// Within `tolerance` of `expected`.
pub fn near(found: &Value, expected: f64, tolerance: f64) {
    let found = found.as_f64().unwrap_or(f64::NAN);
    assert!((found - expected).abs() <= tolerance, "{found}, expected {expected}");
}

#[test]
fn a_thread_by_its_name() {
    let m16 = json("calc thread M1.6");
    // ISO 724 and ISO 898-1 by the factors of the pitch, as in tests/numeric/threads.rs; 1e-6 mm is their last place.
    for (key, expected) in [
        ("pitch_mm", 0.35),
        ("pitch_diameter_mm", 1.372_668),
        ("minor_diameter_mm", 1.221_114),
        ("root_diameter_mm", 1.170_596),
        ("stress_area_mm2", 1.270_027),
    ] {
        near(&m16[key], expected, 1e-6);
    }
    assert_eq!(m16["thread"], "M1.6x0.35");
    near(&json("calc thread M1.6x0.2")["pitch_mm"], 0.2, 0.0);
    assert!(said("calc thread M2").starts_with("M2x0.4: stress area 2.0732 mm², 200.0 µm in half a turn.\n"));
    assert!(said("calc thread M2 --why").contains("source: ISO 68-1, ISO 724; ISO 898-1"));
}

#[test]
fn the_pull_a_torque_leaves() {
    let screw = "calc preload --thread M1.6 --torque 25 --bearing 2.0";
    // The vectors of tests/numeric/preload.rs; they are given to a tenth of a newton.
    let flat = json(&format!("{screw} --head flat --friction 0.2"));
    near(&flat["preload_n"], 603.6, 0.05);
    assert!(flat.get("preload_low_n").is_none());
    let cone = json(&format!("{screw} --head cone:30 --friction 0.1..0.4"));
    near(&cone["preload_low_n"], 213.2, 0.05);
    near(&cone["preload_high_n"], 746.4, 0.05);
    assert!(cone.get("preload_n").is_none());
    assert_eq!(
        said(&format!("{screw} --head cone:30 --friction 0.1..0.4")),
        "25 Ncm leaves a pull of 213.2 N to 746.4 N in the screw, for a friction of 0.4 down to 0.1.\n\
         Measured preload differs about threefold from screw to screw at the same torque: the friction is an assumption.\n\
         This is what a torque is worth, not which torque to set: that stands in the maker's instructions.\n"
    );
    assert!(said(&format!("{screw} --head flat --friction 0.2 --why")).ends_with(
        "Working\n  T = F·[P/2π + μ·d2/(2·cos 30°) + μ·r], the same μ in thread and head\n  \
         T = 250 N·mm, M1.6x0.35: P = 0.35 mm, d2 = 1.3727 mm\n  \
         flat head: r = 2/2 = 1.0000 mm\n  \
         μ = 0.2: [ ] = 0.4142 mm, F = 603.6 N; as a short form T = K·F·d, K = 0.259\n  \
         source: Motosh, with the linear thread term; ISO 16047. The exact tan form gives 0.5 % less at μ 0.1, 1.9 % at 0.4\n"
    ));
    // Wide on purpose: whatever is finite and over zero is worked with, and printed short.
    let wide =
        said("calc preload --thread M20 --torque 1e300 --bearing 1e-200 --head cone:90 --friction 1e-9");
    assert!(wide.lines().next().is_some_and(|l| l.len() < 120), "{wide}");
}

#[test]
fn two_implants_from_pinned_to_flush() {
    let frame = "--section 4x4 --modulus 110";
    let flush = json(&format!("calc shut --node -7,0,0,flush --node 7,0,100,flush {frame}"));
    // 3EIδ/L³, 12EIδ/L³ and 6EIδ/L² for 14 mm, 100 µm, 4 × 4 mm, 110 GPa, as in tests/numeric/beams.rs.
    let ei = 110_000.0 * 256.0 / 12.0;
    let unit = ei * 0.1 / 14.0_f64.powi(3);
    near(&flush["nodes"][0]["force_n"], 12.0 * unit, 1e-6);
    near(&flush["nodes"][1]["force_n"], -12.0 * unit, 1e-6);
    near(&flush["nodes"][1]["moment_nmm"], 6.0 * unit * 14.0, 1e-6);
    near(&flush["pull_n"], 1026.2, 0.05);
    near(&flush["moment_nmm"], 7183.7, 0.05);
    near(&flush["pinned"]["pull_n"], 0.0, 0.0);
    assert_eq!(flush["flush"]["pull_n"], flush["pull_n"]);
    let one = json(&format!("calc shut --node 0,0,0,flush --node 14,0,100,pinned {frame}"));
    near(&one["pull_n"], 3.0 * unit, 1e-6);
    assert_eq!(one["nodes"][1]["hold"], "pinned");
    assert_eq!(
        said(&format!("calc shut --node 0,0,0,flush --node 14,0,100,flush {frame}")),
        "To hold the frame on its seats as typed takes a pull of 1026.2 N and a moment of 7184 N·mm.\n\
         From a pull of 0.0 N and a moment of 0 N·mm with every seat pinned to a pull of 1026.2 N and a moment of 7184 N·mm with every seat flush: an upper bound, supports and screws being taken as rigid.\n\
         It says how much clamp is lost if someone pulls the bridge down; it is never permission to do so.\n\
         \n  \
         node    held   stands higher by  force                    moment\n  \
         ------- ------ ----------------- ------------------------ ----------\n  \
         node 1  flush  0.0 µm            pull down with 1026.2 N  7184 N·mm\n  \
         node 2  flush  100.0 µm          presses with 1026.2 N    7184 N·mm\n"
    );
}

#[test]
fn a_frame_of_a_listed_material_round_a_corner() {
    let line = "calc shut --node 0,0,0,flush --node 9,0,0,free --node 9,-9,-80,flush --section 3x5";
    let listed = json(&format!("{line} --material 'Titanium alloy'"));
    let typed = json(&format!("{line} --modulus 110 --poisson 0.35"));
    assert_eq!(listed, typed);
    assert_eq!(listed["nodes"][1]["force_n"], 0.0, "a corner that nothing holds");
    assert!(listed["pull_n"].as_f64().is_some_and(|n| n > 1.0), "{listed}");
    let why = said(&format!("{line} --material zirconia --why"));
    assert!(why.contains("E = 210 GPa (zirconia: International Journal of Molecular Sciences 2023;24:4200, PMC9959507, table 2; read there), ν = 0.3, G ="), "{why}");
    assert!(why.contains("height 3 mm, width 5 mm: I = b·h³/12 = 11.250 mm⁴, J = "), "{why}");
}

#[test]
fn what_no_formula_takes() {
    let place = Place::empty();
    let screw = |rest: &str| format!("calc preload --thread M1.6 {rest}");
    for (line, says) in [
        (
            "calc thread W3".to_owned(),
            "error: invalid value 'W3' for '<THREAD>': 'W3' is no metric thread: expected M, the diameter and, where it is not the coarse one, x and the pitch in mm, such as M1.6 or M1.6x0.2",
        ),
        (
            "calc thread -1.6".to_owned(),
            "error: invalid value '-1.6' for '<THREAD>': '-1.6' is no metric thread: expected M, the diameter and, where it is not the coarse one, x and the pitch in mm, such as M1.6 or M1.6x0.2",
        ),
        (
            "calc thread M1.7".to_owned(),
            "error: invalid value 'M1.7' for '<THREAD>': M1.7 has no coarse pitch in ISO 261: expected the pitch with it, such as M1.7x0.2",
        ),
        (
            "calc thread M1.6x0.8".to_owned(),
            "error: invalid value 'M1.6x0.8' for '<THREAD>': a pitch of 0.8 mm on a thread of 1.6 mm: expected over 0 and under half the diameter, such as M1.6x0.35",
        ),
        (
            "calc thread M24".to_owned(),
            "error: invalid value 'M24' for '<THREAD>': a thread diameter of 24 mm: expected 1 to 20 mm, such as M1.6",
        ),
        (
            screw("--torque -25 --bearing 2 --head flat --friction 0.2"),
            "error: invalid value '-25' for '--torque <NCM>': '-25' is not a torque in Ncm: expected a plain decimal number over 0, such as 25",
        ),
        (
            screw("--torque inf --bearing 2 --head flat --friction 0.2"),
            "error: invalid value 'inf' for '--torque <NCM>': 'inf' is not a torque in Ncm: expected a plain decimal number over 0, such as 25",
        ),
        (
            screw("--torque 25 --bearing 0 --head flat --friction 0.2"),
            "error: invalid value '0' for '--bearing <MM>': '0' is not a diameter in mm: expected a plain decimal number over 0, such as 2.0",
        ),
        (
            screw("--torque 25 --bearing 2 --head flat --friction NaN"),
            "error: invalid value 'NaN' for '--friction <FRICTION>': 'NaN' is not a friction: expected a plain decimal number over 0, such as 0.2, or a range such as 0.1..0.4",
        ),
        (
            screw("--torque 25 --bearing 2 --head flat --friction -0.1..0.4"),
            "error: invalid value '-0.1..0.4' for '--friction <FRICTION>': '-0.1' is not a friction: expected a plain decimal number over 0, such as 0.2, or a range such as 0.1..0.4",
        ),
        (
            screw("--torque 25 --bearing 2 --head flat --friction 0.4..0.1"),
            "error: invalid value '0.4..0.1' for '--friction <FRICTION>': friction from 0.4 to 0.1: expected the lower one first, such as 0.1..0.4",
        ),
        (
            screw("--torque 25 --bearing 2 --head cone:0 --friction 0.2"),
            "error: invalid value 'cone:0' for '--head <HEAD>': 'cone:0' is not a head: expected flat, or cone: and a half-angle over 0 up to 90 degrees, such as cone:30",
        ),
        (
            screw("--torque 25 --bearing 2 --head cone:91 --friction 0.2"),
            "error: invalid value 'cone:91' for '--head <HEAD>': 'cone:91' is not a head: expected flat, or cone: and a half-angle over 0 up to 90 degrees, such as cone:30",
        ),
        (
            screw("--torque 1e-300 --bearing 1e300 --head flat --friction 1e300"),
            "spareseat: these sizes are too far apart to be worked with: expected mm, N·mm and friction as in a screw",
        ),
    ] {
        refused(&place, &line, 2, says);
    }
}

#[test]
fn what_no_frame_takes() {
    let place = Place::empty();
    for (line, says) in [
        (
            "--node 0,0,0,flush --node 0,0,100,flush --section 4x4 --modulus 110",
            "spareseat: nodes 1 and 2 stand at one point, or nearer than a ten-thousandth of the frame's length: expected a beam between any two",
        ),
        (
            "--node 0,0,0 --section 4x4 --modulus 110",
            "error: invalid value '0,0,0' for '--node <X,Y,RISE,HOLD>': '0,0,0' has 3 of 4 values: expected x in mm, y in mm, rise in µm, and flush, pinned or free, with commas between",
        ),
        (
            "--node 0,0,0,loose --section 4x4 --modulus 110",
            "error: invalid value '0,0,0,loose' for '--node <X,Y,RISE,HOLD>': 'loose' is none of flush, pinned, free",
        ),
        (
            "--node 0,nan,0,flush --section 4x4 --modulus 110",
            "error: invalid value '0,nan,0,flush' for '--node <X,Y,RISE,HOLD>': 'nan' is not y in mm: expected a plain decimal number such as 2.4",
        ),
        (
            "--node 0,0,0,flush --section 4 --modulus 110",
            "error: invalid value '4' for '--section <HEIGHTxWIDTH>': '4' is not a section: expected height x width in mm, such as 4x4",
        ),
        (
            "--node 0,0,0,flush --section 4x0 --modulus 110",
            "error: invalid value '4x0' for '--section <HEIGHTxWIDTH>': '0' is not a width in mm: expected a plain decimal number over 0, such as 4",
        ),
        (
            "--node 0,0,0,flush --section 4x4 --modulus -110",
            "error: invalid value '-110' for '--modulus <GPA>': '-110' is not a modulus in GPa: expected a plain decimal number over 0, such as 110",
        ),
        (
            "--node 0,0,0,flush --section 4x4 --modulus 110 --poisson 0.7",
            "error: invalid value '0.7' for '--poisson <RATIO>': '0.7' is not a Poisson's ratio: expected 0 to 0.5, such as 0.3",
        ),
        (
            "--node 0,0,0,flush --section 4x4 --material porcelain",
            "spareseat: no modulus is listed for 'porcelain': expected unalloyed titanium grade 4, titanium alloy, cobalt-chrome alloy, zirconia, or --modulus GPA",
        ),
        (
            "--node 0,0,0,flush --node 14,0,1e300,flush --section 1e100x4 --modulus 110",
            "spareseat: these sizes are too far apart to be worked with: expected mm, µm and GPa as in a bridge",
        ),
        (
            "--node 0,0,0,flush --section 4x4",
            "error: the following required arguments were not provided:\n  --modulus <GPA>",
        ),
    ] {
        refused(&place, &format!("calc shut {line}"), 2, says);
    }
}
