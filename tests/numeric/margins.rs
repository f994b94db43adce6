//! The bite factor of whole sites: against the two rules it lies between, and the worked bridges of `weakest`.

use spareseat::mechanics::joint::FlatJoint;
use spareseat::mechanics::lever::{in_arch_nmm, in_line_nmm};
use spareseat::mechanics::margin::{AtSite, Member};
use spareseat::mechanics::neck::{
    BONE_LOST_MM, GRADE_4_ENDURANCE_MPA, GRADE_4_TENSILE_MPA, NOTCH_FACTOR, pulsating_limit_mpa,
};
use spareseat::mechanics::preload::{Head, Tightened};
use spareseat::mechanics::ring::Ring;
use spareseat::mechanics::sharing::{Load, bent_part, sideways, upright};
use spareseat::mechanics::thread::Thread;

const LINE: [[f64; 2]; 3] = [[0.0, 0.0], [8.0, 0.0], [16.0, 0.0]];
/// Nothing of a joint bears against tipping: the published values.
const NEXT_TO_NOTHING: f64 = 1e-3;

fn load(degrees: f64, x: f64, height_mm: f64) -> Load {
    let (sin, cos) = degrees.to_radians().sin_cos();
    Load { at_mm: [x, 0.0], force_n: 200.0 * cos, side_n: [0.0, 200.0 * sin], height_mm }
}

#[test]
fn in_one_line_it_is_the_rule_for_a_line() {
    for (degrees, x) in [(15.0, 22.0), (30.0, 8.0)] {
        let load = load(degrees, x, 8.0);
        let (sites, _) = AtSite::all(&LINE, &load, NEXT_TO_NOTHING).unwrap();
        let uncarried = upright(&LINE, &load, 0.0).unwrap().uncarried_nmm;
        let sides = sideways(&LINE, load.at_mm, load.side_n).unwrap();
        for (at, side) in sites.iter().zip(sides.forces_n) {
            for below in [0.0, 2.5, 5.5] {
                let rule = in_line_nmm(uncarried, 3, side[1], below).unwrap();
                let ours = at.bending_nmm(below, 5.5).unwrap();
                assert!((ours - rule).abs() < 1e-3 * rule.max(1.0), "{ours} {rule}");
            }
        }
    }
}

#[test]
fn in_a_wide_arch_it_is_the_rule_for_an_arch() {
    // A square of 400 mm: nothing of the moment is left for the joints, in any direction.
    let sites = [[0.0, 0.0], [400.0, 0.0], [400.0, 400.0], [0.0, 400.0]];
    for angle in [0.0_f64, 0.7, 2.0] {
        let side_n = [100.0 * angle.cos(), 100.0 * angle.sin()];
        let load = Load { at_mm: [200.0, 200.0], force_n: 0.0, side_n, height_mm: 0.0 };
        let (found, _) = AtSite::all(&sites, &load, NEXT_TO_NOTHING).unwrap();
        for at in found {
            for below in [0.0, 2.0, 2.75, 5.5] {
                let rule = in_arch_nmm(25.0, below, 5.5).unwrap();
                assert!((at.bending_nmm(below, 5.5).unwrap() - rule).abs() < 1e-6, "{at:?} {below}");
            }
        }
    }
}

/// Statics by hand: a single post bends by M + V·z, whatever ρ; and turning everything turns nothing.
#[test]
fn a_single_site_is_a_post_and_directions_do_not_matter() {
    for rho in [0.5, 4.5, 6.0] {
        for angle in [0.0_f64, 1.1, 3.0] {
            let side_n = [50.0 * angle.cos(), 50.0 * angle.sin()];
            let load = Load { at_mm: [3.0, 4.0], force_n: 80.0, side_n, height_mm: 9.0 };
            let (found, _) = AtSite::all(&[[3.0, 4.0]], &load, rho).unwrap();
            assert!((found[0].bending_nmm(2.0, 5.0).unwrap() - 50.0 * 11.0).abs() < 1e-9);
            assert!((found[0].axial_n - 80.0).abs() < 1e-9);
        }
    }
    let sites = [[0.0, 0.0], [9.0, 3.0], [16.0, 11.0]];
    let turned = |p: [f64; 2]| [0.6 * p[0] - 0.8 * p[1], 0.8 * p[0] + 0.6 * p[1]];
    let one = Load { at_mm: [20.0, 5.0], force_n: 90.0, side_n: [20.0, -30.0], height_mm: 10.0 };
    let other = Load { at_mm: turned(one.at_mm), side_n: turned(one.side_n), ..one };
    let (a, _) = AtSite::all(&sites, &one, 4.5).unwrap();
    let (b, _) = AtSite::all(&sites.map(turned), &other, 4.5).unwrap();
    for (a, b) in a.iter().zip(&b) {
        for below in [0.0, 3.0] {
            let both = [a, b].map(|s| s.bending_nmm(below, 6.0).unwrap());
            assert!((both[0] - both[1]).abs() < 1e-9, "{both:?}");
        }
        assert!((a.axial_n - b.axial_n).abs() < 1e-9 && (a.across_n() - b.across_n()).abs() < 1e-9);
    }
}

/// What is carried by tipping joints and what by the span of the sites: both together are the whole moment.
#[test]
fn no_moment_is_lost_between_the_joints_and_the_span() {
    let sites = [[0.0, 0.0], [9.0, 3.0], [16.0, 11.0], [2.0, 20.0]];
    let load = Load { at_mm: [30.0, -4.0], force_n: 110.0, side_n: [15.0, 25.0], height_mm: 12.0 };
    let (found, _) = AtSite::all(&sites, &load, 4.5).unwrap();
    for axis in [0, 1] {
        let by_span: f64 = sites.iter().zip(&found).map(|(s, a)| s[axis] * a.axial_n).sum();
        let by_joints: f64 = found.iter().map(|a| a.moment_nmm[axis]).sum();
        let whole = load.force_n * load.at_mm[axis] + load.side_n[axis] * load.height_mm;
        assert!((by_span + by_joints - whole).abs() < 1e-6 * whole.abs(), "{by_span} {by_joints} {whole}");
    }
    let w = bent_part(&sites, 4.5).unwrap();
    assert!((w[0][1] - w[1][0]).abs() < 1e-15 && w[0][0] > 0.0 && w[0][0] < 1.0);
    assert_eq!(
        bent_part(&sites, 0.0).map_err(|e| e.to_string()),
        Err("a radius in mm of 0: expected a number over 0, such as 4".to_owned())
    );
}

fn joints(thread: &str, torque_nmm: f64, head_mm: f64, seat: (f64, f64)) -> Member {
    let thread = Thread::parse(thread).unwrap();
    let screw = Tightened { thread, head: Head::flat(2.0 * head_mm).unwrap() };
    Member::Flat([0.15, 0.30, 0.45].map(|friction| {
        let clamp = 0.9 * screw.preload_n(torque_nmm, friction).unwrap();
        FlatJoint::new(Ring::new(seat.0, seat.1).unwrap(), thread.stress_diameter_mm(), clamp).unwrap()
    }))
}

/// A worked bridge, [X], all dimensions generic and assumed: see tests/numeric/weakest.rs, where the same numbers come
/// out of the kernels one by one; here out of whole sites. Printed to two places.
#[test]
fn the_worked_bridges_come_out_of_whole_sites() {
    let limit = pulsating_limit_mpa(NOTCH_FACTOR, GRADE_4_ENDURANCE_MPA, GRADE_4_TENSILE_MPA).unwrap();
    let neck = Member::Neck(Ring::new(4.1, 2.7).unwrap(), limit);
    let prosthetic = joints("M1.4", 150.0, 0.95, (4.8, 3.6));
    let abutment = joints("M2", 300.0, 1.7, (4.1, 2.7));
    let base = joints("M1.8", 300.0, 1.05, (4.1, 2.7));
    for (what, member, height, platform, below, breaks, opens) in [
        ("A, prosthetic", prosthetic, 8.0, 2.5, 0.0, [3.38, 2.25, 1.83], Some([1.91, 1.04, 0.71])),
        ("A, abutment", abutment, 8.0, 2.5, 2.5, [3.53, 2.54, 2.16], Some([1.33, 0.72, 0.49])),
        ("A, neck", neck, 8.0, 2.5, 2.5, [3.73; 3], None),
        ("B, base", base, 10.5, 0.0, 0.0, [4.12, 2.76, 2.23], Some([1.80, 0.98, 0.67])),
        ("B, neck", neck, 10.5, 0.0, 0.0, [3.73; 3], None),
    ] {
        let loads = [load(15.0, 22.0, height), load(30.0, 8.0, height)];
        let by_load = loads.map(|l| AtSite::all(&LINE, &l, NEXT_TO_NOTHING).unwrap().0);
        let mut least = ([f64::INFINITY; 3], [f64::INFINITY; 3]);
        for site in 0..3 {
            let at: Vec<AtSite> = by_load.iter().map(|all| all[site]).collect();
            let found = member.margin(&at, below, platform + BONE_LOST_MM).unwrap();
            for friction in 0..3 {
                let of = |f: Option<spareseat::mechanics::margin::Factor>| f.and_then(|f| f.at[friction]);
                least.0[friction] = least.0[friction].min(of(found.breaks).unwrap_or(f64::INFINITY));
                least.1[friction] = least.1[friction].min(of(found.opens).unwrap_or(f64::INFINITY));
            }
        }
        for friction in 0..3 {
            assert!((least.0[friction] - breaks[friction]).abs() < 0.0055, "{what} breaks {least:?}");
            match opens {
                Some(opens) => {
                    assert!((least.1[friction] - opens[friction]).abs() < 0.0055, "{what} opens {least:?}");
                }
                None => assert_eq!(least.1[friction], f64::INFINITY, "a neck has no seat"),
            }
        }
    }
}
