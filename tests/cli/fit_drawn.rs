//! The drawings of the fit sheet: what is drawn measures what is said, from the side that is said.

use std::collections::BTreeMap;

use super::printed::{RAISED, TURNED, all, drawings, has, import, json, lengths, number, sheet};
use crate::support::{Place, code, text};

/// Collars of 3.0 and 3.5 mm at 4 : 1; a gap of 2.11 mm five times as long at 1.2 : 1.
#[test]
fn what_is_drawn_measures_what_is_said() {
    let place = Place::demo();
    let page = sheet(&place, RAISED);
    let [assemblies, arch] = drawings(&page)[..] else { panic!("{}", drawings(&page).len()) };
    let thin = lengths(assemblies, "0.25");
    for (what, mm) in [("fitted", 3.0), ("new", 3.5), ("between", 0.5)] {
        assert!(has(&thin, mm * 4.0), "{what}: {thin:?}");
    }
    assert!(has(&lengths(assemblies, "0.9"), 4.1 * 4.0), "the platform, as wide as the neck");
    assert!(has(&lengths(assemblies, "0.6"), 5.0 * 4.0), "the bar of 5 mm");
    for words in [">0.50 mm<", ">higher<", ">3.00 mm<", ">3.50 mm<", ">5 mm<"] {
        assert!(assemblies.replace('\n', "").contains(words), "{words}: {assemblies}");
    }
    let bars = lengths(arch, "1.8");
    let answer = json(&place, RAISED);
    for site in answer["fit"]["sites"].as_array().unwrap() {
        let gap = site["one_screw_tests"][0]["widest_gap_um"].as_f64().unwrap() / 1000.0;
        assert!(has(&bars, gap * 1.2 * 5.0), "{gap}: {bars:?}");
    }
    let rings = all(arch, "circle");
    assert!(rings.iter().all(|r| (number(r, "r") - 2.4 * 1.2).abs() < 0.01), "{rings:?}");
    let thick: Vec<bool> = rings.iter().map(|r| r["stroke-width"] == "1.2").collect();
    assert_eq!(thick, [true, false, false], "the screw at 24 is tight");
    assert!(arch.contains("tight"));
}

/// Seen so that nothing is mirrored: the upper jaw from below has its front at the top, the lower from above at the
/// bottom; the patient's left is on the right in both.
#[test]
fn an_arch_is_not_drawn_mirrored() {
    let place = Place::demo();
    for (line, count, front_is_up) in [(RAISED, 3, true), (TURNED, 5, false)] {
        let page = sheet(&place, line);
        let answer = json(&place, line);
        let arch = drawings(&page)[1];
        let rings = all(arch, "circle");
        let sites = answer["fit"]["sites"].as_array().unwrap();
        assert_eq!((rings.len(), sites.len()), (count, count));
        for (a, site) in rings.iter().zip(sites) {
            for (b, other) in rings.iter().zip(sites) {
                let apart = |axis: &str| site[axis].as_f64().unwrap() - other[axis].as_f64().unwrap();
                let drawn = |axis: &str| number(a, axis) - number(b, axis);
                // x to the patient's left, y backwards.
                assert!(apart("x_mm") * drawn("cx") >= 0.0, "{line}");
                let down = if front_is_up { apart("y_mm") } else { -apart("y_mm") };
                assert!(down * drawn("cy") >= 0.0, "{line}");
            }
        }
        for words in ["front of the mouth", "← patient", "left →"] {
            assert!(arch.contains(words), "{line}: {words}: {arch}");
        }
    }
}

/// The same part put in a step turned is not drawn as the same: its ring is seen from another side.
#[test]
fn a_turned_part_is_drawn_turned() {
    let place = Place::demo();
    let page = sheet(&place, TURNED);
    let shapes = all(drawings(&page)[0], "polygon");
    let wide = |ring: &BTreeMap<&str, &str>| {
        let xs: Vec<f64> = ring["points"].split([' ', ',']).step_by(2).map(|x| x.parse().unwrap()).collect();
        xs.iter().copied().fold(f64::MIN, f64::max) - xs.iter().copied().fold(f64::MAX, f64::min)
    };
    let [_, fitted, _, new] = &shapes[..] else { panic!("{}", shapes.len()) };
    // A disc of 4.8 mm whose axis leans 30° in the plane of the drawing, and 60° out of it; at 4 : 1. [X]
    assert!((wide(fitted) - 4.8 * 0.75_f64.sqrt() * 4.0).abs() < 0.02, "{}", wide(fitted));
    let out = 4.8 * (1.0 - (0.5_f64 * 0.5).powi(2)).sqrt() * 4.0;
    assert!((wide(new) - out).abs() < 0.08, "{} {out}", wide(new));
    assert_eq!(drawings(&page).len(), 3, "and along the implant");
}

#[test]
fn a_height_nobody_knows_is_not_drawn() {
    let place = Place::demo();
    let taken = import(&place, "low.toml", "plover-mua-unmeasured", |l| {
        (!l.starts_with("seat_height")).then(|| l.to_owned())
    });
    assert_eq!(code(&taken), 0, "{}", text(&taken.stderr));
    let page = sheet(&place, "fit 1047 --swap 25:abutment=plover-mua-unmeasured");
    assert!(page.contains("Not enough known"), "{page}");
    assert!(page.contains(
        "the seat height of the new part at tooth 25, plover-mua-unmeasured: measure it or ask its maker"
    ));
    assert!(page.contains("a number of this part is not known: seat height (new, tooth 25)."));
    let drawings = drawings(&page);
    assert_eq!(drawings.len(), 1, "no arch, no gaps");
    let drawing = drawings[0].replace('\n', "");
    assert!(
        drawing.contains(">height<")
            && drawing.contains(">not known<")
            && drawing.contains("stroke-dasharray")
    );
    assert!(!drawing.contains("higher<") && !drawing.contains("4.00 mm"));
    // Of the fitted part its side and its ring; of the new one neither.
    assert_eq!(all(&drawing, "polygon").len(), 2);
}
