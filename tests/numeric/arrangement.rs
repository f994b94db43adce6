//! Measured sites, turned, shifted and mirrored: what is geometry stays what it is.

use proptest::prelude::*;
use spareseat::case::{CaseHead, Grinding, LoadSigns, Measured, Splint, places};
use spareseat::fit::arch::on_default_arch;
use spareseat::fit::arrangement::{Located, Oddity, Untold, look};
use spareseat::units::{CaseNumber, Length, Tooth};

fn tooth(iso: u8) -> Tooth {
    Tooth::from_iso(iso).unwrap()
}

/// So many different teeth of one jaw that the default arch has.
fn teeth_of_one_jaw(least: usize, most: usize) -> impl Strategy<Value = Vec<Tooth>> {
    let jaw = prop_oneof![Just([1_u8, 2]), Just([3, 4])].prop_flat_map(move |quadrants| {
        let all: Vec<Tooth> =
            quadrants.iter().flat_map(|q| (1..=7).map(move |n| tooth(q * 10 + n))).collect();
        proptest::sample::subsequence(all, least..=most)
    });
    jaw.prop_shuffle()
}

/// A turn as a unit quaternion, and a shift of the whole.
fn turned() -> impl Strategy<Value = ([f64; 4], [f64; 3])> {
    let q = prop::array::uniform4(-1.0..1.0_f64);
    let q = q.prop_filter("a direction", |q| q.iter().map(|x| x * x).sum::<f64>() > 0.1);
    let unit = q.prop_map(|q| {
        let size = q.iter().map(|x| x * x).sum::<f64>().sqrt();
        q.map(|x| x / size)
    });
    (unit, prop::array::uniform3(-50.0..50.0_f64))
}

fn turn([w, x, y, z]: [f64; 4], [a, b, c]: [f64; 3]) -> [f64; 3] {
    [
        (1.0 - 2.0 * (y * y + z * z)) * a + 2.0 * (x * y - w * z) * b + 2.0 * (x * z + w * y) * c,
        2.0 * (x * y + w * z) * a + (1.0 - 2.0 * (x * x + z * z)) * b + 2.0 * (y * z - w * x) * c,
        2.0 * (x * z - w * y) * a + 2.0 * (y * z + w * x) * b + (1.0 - 2.0 * (x * x + y * y)) * c,
    ]
}

/// On the default arch with axes outwards, mirrored or not, turned and shifted.
fn scanned(sites: &[Tooth], mirror: f64, (q, shift): ([f64; 4], [f64; 3])) -> Vec<Located> {
    let one = |site: &Tooth| {
        let [x, y] = on_default_arch(*site).unwrap();
        let out = [0.0, 0.0, if site.is_upper() { -1.0 } else { 1.0 }];
        let at = turn(q, [mirror * x, y, 0.0]);
        Located { site: *site, at: std::array::from_fn(|i| at[i] + shift[i]), axis: Some(turn(q, out)) }
    };
    sites.iter().map(one).collect()
}

fn case(all: &[Located]) -> CaseHead {
    let load =
        LoadSigns { grinding: Grinding::NotAsked, signs: None, splint: Splint::NotAsked, against: None };
    let whole = |x: f64| (x * 1e6).round() as i32;
    let one = |l: &Located| Measured {
        site: l.site,
        position: l.at.map(|x| Length::from_base((x * 1000.0).round() as i32)),
        axis: l.axis.map(|a| a.map(whole)),
    };
    let sites = all.iter().map(|l| l.site).collect();
    CaseHead {
        number: CaseNumber::new("7").unwrap(),
        made_up: true,
        load,
        sites,
        measured: all.iter().map(one).collect(),
    }
}

proptest! {
    #[test]
    fn a_mirrored_jaw_of_five_sites_or_more_is_always_found(
        sites in teeth_of_one_jaw(5, 14), how in turned(),
    ) {
        let right = look(&scanned(&sites, 1.0, how));
        prop_assert!(right.odd.is_empty() && right.untold.is_none(), "{right:?}");
        let mirrored = look(&scanned(&sites, -1.0, how));
        prop_assert!(matches!(mirrored.odd[..], [Oddity::Mirrored { .. }]), "{mirrored:?}");
    }

    #[test]
    fn a_wrong_unit_is_found_from_two_sites_on(
        sites in teeth_of_one_jaw(2, 14), how in turned(),
        times in prop::sample::select(vec![1000.0, 0.001, 25.4, 1.0 / 25.4, 10.0, 0.1]),
    ) {
        let mut all = scanned(&sites, 1.0, how);
        all.iter_mut().for_each(|l| l.at = l.at.map(|x| x * times));
        let looked = look(&all);
        let found = matches!(looked.odd[..], [Oddity::Size { times: t }] if (t / times - 1.0).abs() < 1e-9);
        prop_assert!(found, "{looked:?}");
        prop_assert_eq!(looked.untold == Some(Untold::Pair), sites.len() == 2);
    }

    #[test]
    fn turning_and_shifting_changes_no_distance_in_the_plane(
        sites in teeth_of_one_jaw(2, 8), how in turned(),
    ) {
        let still = ([1.0, 0.0, 0.0, 0.0], [0.0; 3]);
        let [a, b] = [still, how].map(|how| places(&case(&scanned(&sites, 1.0, how)), &sites).unwrap().sites);
        for i in 0..sites.len() {
            for j in 0..i {
                let apart = |p: &[spareseat::case::Place]| {
                    f64::hypot(p[i].plane[0] - p[j].plane[0], p[i].plane[1] - p[j].plane[1])
                };
                // Both are kept in whole µm: three coordinates of two points, half a µm each, and axes in millionths.
                prop_assert!((apart(&a) - apart(&b)).abs() < 0.003, "{} {}", apart(&a), apart(&b));
            }
        }
    }
}
