//! What the formulas of loads refuse, word for word.

use super::refusals::refused;
use crate::support::Place;

fn all_refused(command: &str, rows: &[(&str, &str)]) {
    let place = Place::empty();
    for (rest, says) in rows {
        refused(&place, &format!("calc {command} {rest}"), 2, says);
    }
}

#[test]
fn what_no_tightening_takes() {
    all_refused(
        "tightening",
        &[
            (
                "--thread M8x5 --yield 640 --share 0.9 --friction 0.1",
                "error: invalid value 'M8x5' for '--thread <THREAD>': a pitch of 5 mm on a thread of 8 mm: expected over 0 and under half the diameter, such as M1.6x0.35",
            ),
            (
                "--thread M8x1 --yield -640 --share 0.9 --friction 0.1",
                "error: invalid value '-640' for '--yield <MPA>': '-640' is not a yield strength in MPa: expected a plain decimal number over 0, such as 795",
            ),
            (
                "--thread M8x1 --yield 640 --share 0 --friction 0.1",
                "error: invalid value '0' for '--share <SHARE>': '0' is not a share of yield: expected over 0 up to 1, such as 0.9",
            ),
            (
                "--thread M8x1 --yield 640 --share 1.01 --friction 0.1",
                "error: invalid value '1.01' for '--share <SHARE>': '1.01' is not a share of yield: expected over 0 up to 1, such as 0.9",
            ),
            (
                "--thread M8x1 --yield 640 --share nan --friction 0.1",
                "error: invalid value 'nan' for '--share <SHARE>': 'nan' is not a share of yield: expected over 0 up to 1, such as 0.9",
            ),
            (
                "--thread M8x1 --yield 640 --share 0.9 --friction 0",
                "error: invalid value '0' for '--friction <FRICTION>': '0' is not a friction: expected a plain decimal number over 0, such as 0.2",
            ),
            (
                "--thread M8x1 --yield 640 --preload 0 --friction 0.1",
                "error: invalid value '0' for '--preload <N>': '0' is not a preload in N: expected a plain decimal number over 0, such as 300",
            ),
            (
                "--thread M8x1 --yield 640 --share 0.9 --friction 0.1 --form 2003",
                "error: invalid value '2003' for '--form <YEAR>': '2003' is none of 2001, 1986",
            ),
            (
                "--thread M8x1 --yield 640 --share 0.9 --preload 300 --friction 0.1",
                "error: the argument '--share <SHARE>' cannot be used with '--preload <N>'",
            ),
            (
                "--thread M8x1 --yield 640 --friction 0.1",
                "error: the following required arguments were not provided:\n  --share <SHARE>",
            ),
            (
                "--thread M8x1 --yield 640 --friction 1e9 --preload 1e308",
                "spareseat: these sizes are too far apart to be worked with: expected mm, N, N·mm and MPa as in a screw joint",
            ),
        ],
    );
}

#[test]
fn what_no_joint_and_no_section_takes() {
    all_refused(
        "joint",
        &[
            (
                "--outer 4 --inner 4 --clamp 300",
                "spareseat: an inner diameter of 4 mm in an outer one of 4 mm: expected 0 or more and less than the outer one, such as 3 in 4",
            ),
            (
                "--outer 4 --inner -1 --clamp 300",
                "spareseat: an inner diameter of -1 mm in an outer one of 4 mm: expected 0 or more and less than the outer one, such as 3 in 4",
            ),
            (
                "--outer 4 --inner nan --clamp 300",
                "error: invalid value 'nan' for '--inner <MM>': 'nan' is not a diameter in mm: expected a plain decimal number such as 2.4",
            ),
            (
                "--outer 0 --inner 3 --clamp 300",
                "error: invalid value '0' for '--outer <MM>': '0' is not a diameter in mm: expected a plain decimal number over 0, such as 4.8",
            ),
            (
                "--outer 4 --inner 3 --clamp 0",
                "error: invalid value '0' for '--clamp <N>': '0' is not a clamp in N: expected a plain decimal number over 0, such as 300",
            ),
            (
                "--outer 4 --inner 3 --clamp 300 --core 3 --moment 300",
                "spareseat: a screw core of 3 mm in a seat with an inner diameter of 3 mm: expected a core over 0 and thinner than the hole",
            ),
            (
                "--outer 4 --inner 3 --clamp 300 --moment 300",
                "error: the following required arguments were not provided:\n  --core <MM>",
            ),
            (
                "--outer 1e200 --inner 3 --clamp 300",
                "spareseat: these sizes are too far apart to be worked with: expected mm, N, N·mm and MPa as in a screw joint",
            ),
        ],
    );
    all_refused(
        "section",
        &[
            (
                "--outer 4 --inner 3 --clamp 300 --core 3.2 --moment 300",
                "spareseat: a screw core of 3.2 mm in a seat with an inner diameter of 3 mm: expected a core over 0 and thinner than the hole",
            ),
            (
                "--outer 3 --inner 4 --clamp 300 --core 1 --moment 300",
                "spareseat: an inner diameter of 4 mm in an outer one of 3 mm: expected 0 or more and less than the outer one, such as 2.25 in 3",
            ),
            (
                "--outer 4 --inner 3 --clamp 300 --core 1 --moment nan",
                "error: invalid value 'nan' for '--moment <NMM>': 'nan' is not a moment in N·mm: expected a plain decimal number such as 2.4",
            ),
            (
                "--outer 4 --inner 3 --clamp 300 --core 1 --moment 300 --axial inf",
                "error: invalid value 'inf' for '--axial <N>': 'inf' is not an axial load in N: expected a plain decimal number such as 2.4",
            ),
            (
                "--outer 4 --inner 3 --clamp 300 --core 1 --moment 300 --limit 0",
                "error: invalid value '0' for '--limit <MPA>': '0' is not an alternating stress in MPa: expected a plain decimal number over 0, such as 100",
            ),
        ],
    );
}

#[test]
fn what_no_bridge_shares_out_and_no_bench_bears() {
    all_refused(
        "share",
        &[
            (
                "--screw 1,1 --screw 1,1 --screw 1,1 --load 1,1,100",
                "spareseat: all 3 screws are in one place: expected each at its own x and y in mm, or a single screw",
            ),
            (
                "--screw 1,1 --screw 8,1 --screw 1,1 --load 1,1,100 --without 2",
                "spareseat: all 2 screws are in one place: expected each at its own x and y in mm, or a single screw",
            ),
            (
                "--screw 0,0 --load 1,2",
                "error: invalid value '1,2' for '--load <X,Y,N>': '1,2' has 2 of 3 values: expected x in mm, y in mm, a force in N, with commas between",
            ),
            (
                "--screw 0,nan --load 1,2,3",
                "error: invalid value '0,nan' for '--screw <X,Y>': 'nan' is not y in mm: expected a plain decimal number such as 2.4",
            ),
            ("--screw 0,0", "error: the following required arguments were not provided:\n  --load <X,Y,N>"),
            (
                "--screw 0,0 --load 1,2,3 --without 2",
                "spareseat: there is no screw 2: expected 1 to 1, in the order they were given",
            ),
            (
                "--screw 0,0 --load 1,2,3 --without 0",
                "error: invalid value '0' for '--without <N>': '0' is no screw: expected its number, counted from 1",
            ),
            (
                "--screw 0,0 --load 1,2,3 --without 1",
                "spareseat: no screw is left: expected at least one that is not out",
            ),
            (
                "--screw 0,0 --screw 8,0 --load 1,2,3 --rho -1",
                "spareseat: a radius in mm of -1: expected 0 or more, such as 4",
            ),
            (
                "--screw 0,0 --screw 8,0 --load 1,2,3 --height 4",
                "error: the following required arguments were not provided:\n  --sideways <X,Y,NX,NY>",
            ),
            (
                "--screw 0,0 --screw 1e300,0 --load 1,2,3",
                "spareseat: these sizes are too far apart to be worked with: expected mm, N, N·mm and MPa as in a screw joint",
            ),
        ],
    );
    all_refused(
        "bench-load",
        &[
            (
                "--force 0",
                "error: invalid value '0' for '--force <N>': '0' is not a load in N: expected a plain decimal number over 0, such as 250",
            ),
            (
                "--force nan",
                "error: invalid value 'nan' for '--force <N>': 'nan' is not a load in N: expected a plain decimal number over 0, such as 250",
            ),
        ],
    );
}
