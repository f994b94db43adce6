//! Does the bridge still sit: what the laboratory is told before a part leaves the drawer.

use serde_json::Value;

use super::refusals::refused;
use super::typed::typed;
use crate::support::{Place, code, text};

/// Within `tolerance` of `expected`.
fn near(found: &Value, expected: f64, tolerance: f64) {
    let found = found.as_f64().unwrap_or(f64::NAN);
    assert!((found - expected).abs() <= tolerance, "{found}, expected {expected}");
}

fn json(place: &Place, line: &str) -> Value {
    let out = typed(place, &format!("--json {line}"));
    serde_json::from_slice(&out.stdout).unwrap_or_else(|e| panic!("{line}: {e}: {}", text(&out.stderr)))
}

/// The worked cases [X]: three sites in line at 0, 10, 20 mm, seats of radius 2.4 mm, the middle one 100 µm taller.
#[test]
fn three_sites_in_line_with_a_middle_one_that_is_too_tall() {
    let place = Place::empty();
    let seats = "--seat 0,0,0,2.4 --seat 10,0,100,2.4 --seat 20,0,0,2.4";
    let pressed = json(&place, &format!("calc seat {seats}"));
    near(&pressed["lift_um"], 100.0, 1e-6);
    let tested = json(&place, &format!("calc seat {seats} --tighten 1"));
    near(&tested["slope"], 0.010, 1e-12);
    for (answer, expected) in [
        (&pressed, [(100.0, 100.0), (0.0, 0.0), (100.0, 100.0)]),
        (&tested, [(24.0, 48.0), (24.0, 48.0), (224.0, 248.0)]),
    ] {
        for (seat, (centre, widest)) in answer["seats"].as_array().unwrap().iter().zip(expected) {
            near(&seat["centre_gap_um"], centre, 1e-6);
            near(&seat["widest_gap_um"], widest, 1e-6);
        }
        near(&answer["certificate_um"], 0.0, 1e-6);
    }
    // A seat that is too low shows 1:1 in the one-screw test.
    let low = json(&place, "calc seat --seat 0,0,0,2.4 --seat 10,0,-100,2.4 --seat 20,0,0,2.4 --tighten 1");
    near(&low["seats"][1]["centre_gap_um"], 100.0, 1e-6);
    near(&low["slope"], 0.0, 0.0);
    assert!(!place.home().exists(), "no home is needed, and none is made");
}

/// Two seats 14 mm apart, one 100 µm too tall [X]: r·δ/L in the middle and 2rδ/L at the edge of both.
#[test]
fn a_seat_that_is_too_tall_wedges() {
    let wedged = json(&Place::empty(), "calc seat --seat 0,0,0,2.4 --seat 14,0,100,2.4 --tighten 1");
    for seat in wedged["seats"].as_array().unwrap() {
        near(&seat["centre_gap_um"], 2.4 * 100.0 / 14.0, 1e-6);
        near(&seat["widest_gap_um"], 2.0 * 2.4 * 100.0 / 14.0, 1e-6);
    }
    // The same across a minus sign that stands as the next word.
    let turned = json(&Place::empty(), "calc seat --seat -14,0,100,2.4 --seat 0,0,0,2.4 --press 0,0");
    near(&turned["seats"][1]["centre_gap_um"], 2.4 * 100.0 / 14.0, 1e-6);
}

/// A tilt is magnified by span over seat diameter [X]: 10 µm across a 4.8 mm seat at 20, 30, 40, 50 mm.
#[test]
fn a_tilt_is_magnified_by_span_over_seat_diameter() {
    for (span, expected) in [(20.0, 42.0), (30.0, 63.0), (40.0, 83.0), (50.0, 104.0)] {
        // A low slope of 10 µm in 4.8 mm: two seats near each other make it, one far away shows it.
        let line = format!(
            "calc seat --seat 0,0,0,2.4 --seat 10,0,{},2.4 --seat {span},0,0,2.4 --tighten 1",
            10.0 * 10.0 / 4.8
        );
        let far = &json(&Place::empty(), &line)["seats"][2];
        let slope = json(&Place::empty(), &line)["slope"].as_f64().unwrap();
        assert!((slope - 0.010 / 4.8).abs() < 1e-9, "{slope}");
        // The bridge stands on the rim of the near seat, so the far middle is its radius further.
        near(&far["centre_gap_um"], slope * 1000.0 * (span + 2.4), 1e-6);
        assert!((slope * 1000.0 * span - expected).abs() < 0.5, "{span}");
    }
}

#[test]
fn what_calc_seat_refuses() {
    let place = Place::empty();
    refused(
        &place,
        "calc seat --seat 0,0,0,2.4 --seat 10,0,0,2.4 --press 40,0",
        2,
        "spareseat: pressed at 40, 0 mm the bridge tips: that point lies outside the outline of its seats. Press between the seats, or leave --press out",
    );
    refused(
        &place,
        "calc seat --seat 0,0,0,0",
        2,
        "spareseat: seat 1 has a radius of 0 mm: expected more than 0",
    );
    refused(
        &place,
        "calc seat --seat 0,0,0,2.4 --tighten 2",
        2,
        "spareseat: there is no seat 2: expected 1 to 1, in the order they were given",
    );
    for (seat, said) in [
        (
            "0,0,0",
            "'0,0,0' has 3 of 4 values: expected x in mm, y in mm, rise in µm, radius in mm, with commas between",
        ),
        ("0,0,NaN,2", "'NaN' is not rise in µm: expected a plain decimal number such as 2.4"),
        ("inf,0,0,2", "'inf' is not x in mm: expected a plain decimal number such as 2.4"),
    ] {
        let out = typed(&place, &format!("calc seat --seat {seat}"));
        assert_eq!(code(&out), 2, "{seat}");
        assert!(text(&out.stderr).contains(said), "{seat}: {}", text(&out.stderr));
    }
    // Heights of metres have an answer; two seats at one point, of unequal radii, and one seat alone have one too.
    for seats in [
        "--seat 0,0,3000000,2.4 --seat 10,0,0,2.4",
        "--seat 0,0,10,2.4 --seat 0,0,20,1.2",
        "--seat 0,0,5,2.4",
        "--seat 0,0,1e-7,2.4 --seat 10,0,-1e7,2.4 --seat 20,0,3,9",
    ] {
        let answer = json(&place, &format!("calc seat {seats}"));
        assert!(answer["lift_um"].as_f64().is_some_and(f64::is_finite), "{seats}: {answer}");
    }
}

#[test]
fn half_a_millimetre_at_one_site_is_millimetres_at_the_far_end() {
    let place = Place::demo();
    let line = "fit 1047 --swap 25:abutment=plover-mua-4.1-c3.5";
    let answer = json(&place, line);
    assert_eq!(answer["answer"], "does not keep the fit");
    assert_eq!(code(&typed(&place, line)), 1);
    let fit = &answer["fit"];
    assert_eq!((&fit["worst_gap_site"], &fit["worst_gap_screw"]), (&"27".into(), &"24".into()));
    assert!(fit["worst_gap_um"].as_f64().unwrap() > 1500.0, "{fit}");
    assert_eq!(fit["places"], "assumed");
    assert!(fit["shutting"].as_str().unwrap().starts_with("Take it that its screws cannot shut it"), "{fit}");
    near(&answer["swaps"][0]["height_change"]["nominal_mm"], 0.5, 1e-12);
    let said = text(&typed(&place, line).stdout);
    assert!(said.starts_with("Does not keep the fit: it stands open by "), "{said}");
    assert!(said.contains("This is no permission to pull a bridge down."));
    assert!(said.contains("ASSUMED: nobody measured teeth 24, 25 and 27"));
}

#[test]
fn like_for_like_is_checked_at_try_in_for_what_two_pieces_of_one_drawing_differ() {
    let place = Place::demo();
    for part in ["plover-mua-4.1-c3.0", "plover-mua-4.1-c3.0-b"] {
        let line = format!("fit 1047 --swap 25:abutment={part}");
        let answer = json(&place, &line);
        assert_eq!(answer["answer"], "check at try-in", "{part}");
        assert_eq!(code(&typed(&place, &line)), 0);
        near(&answer["fit"]["worst_gap_um"], 0.0, 0.0);
        let share = answer["fit"]["scatter"]["within_keeps"].as_f64().unwrap();
        assert!(share > 0.5 && share < 0.95, "{share}");
        let why = answer["because"][1].as_str().unwrap();
        assert!(why.starts_with("two pieces within their drawings still differ: of 100000 pairs "), "{why}");
    }
}

#[test]
fn an_angled_abutment_a_step_turned_or_of_the_other_variant_is_a_loud_no() {
    let place = Place::demo();
    let at = "fit 2210 --swap 35:abutment=dunlin-mua-4.2-a30";
    for (line, tilt, sideways) in [
        // Chord and cone by hand [X]: offset 1.5 mm, angle 30°, a step of 60° or half a one.
        (format!("{at}-corner-c3.5 --turned 35=1"), 0.875_f64.acos().to_degrees(), 1_452.4),
        (format!("{at}-corner-c3.5 --turned 35=-1"), 0.875_f64.acos().to_degrees(), 1_452.4),
        (format!("{at}-flat-c3.5"), (0.75 + 0.25 * 30_f64.to_radians().cos()).acos().to_degrees(), 769.9),
    ] {
        let answer = json(&place, &line);
        assert_eq!(answer["answer"], "does not keep the fit", "{line}");
        near(&answer["swaps"][0]["tilt_deg"], tilt, 1e-9);
        near(&answer["swaps"][0]["sideways_um"], sideways, 0.1);
        let said = text(&typed(&place, &line).stdout);
        let first = said.lines().next().unwrap();
        assert!(
            first.contains("the seat at tooth 35 is tilted by ") && first.contains(" beside its old place"),
            "{first}"
        );
    }
    let straight = json(&place, &format!("{at}-corner-c3.5"));
    assert_eq!(straight["answer"], "check at try-in", "the play of its index is not on record");
}

#[test]
fn all_abutments_raised_alike_are_one_change() {
    let place = Place::demo();
    let line = "fit 1047 --swap 24:abutment=plover-mua-4.1-c3.0 --swap 25:abutment=plover-mua-4.1-c4.0 --swap 27:abutment=plover-mua-5.0-c5.0";
    let answer = json(&place, line);
    assert_eq!(answer["answer"], "check at try-in");
    for swap in answer["swaps"].as_array().unwrap() {
        assert_eq!(swap["candidate"]["verdict"], "fits, with changes", "{swap}");
    }
    near(&answer["fit"]["worst_gap_um"], 0.0, 1e-9);
    near(&answer["fit"]["rest"]["lift_um"], 1000.0, 1e-9);
    let said = text(&typed(&place, line).stdout);
    assert!(said.contains("the bridge stands 1.00 mm higher as a whole: bite, gum, cleaning"), "{said}");
    // One of them left out is another matter.
    let two = json(
        &place,
        "fit 1047 --swap 24:abutment=plover-mua-4.1-c3.0 --swap 25:abutment=plover-mua-4.1-c4.0",
    );
    assert_eq!(two["answer"], "does not keep the fit");
}

#[test]
fn a_part_that_does_not_fit_what_it_stands_on_keeps_no_fit_whatever_its_height() {
    let place = Place::demo();
    // The seat height would be right; the implant is another's.
    let answer = json(&place, "fit 1047 --swap 25:abutment=dunlin-mua-4.2-c3.0");
    assert_eq!(answer["answer"], "does not keep the fit");
    assert!(
        answer["because"][0].as_str().unwrap().starts_with("dunlin-mua-4.2-c3.0 at tooth 25: "),
        "{answer}"
    );
    // Another source's part that claims the interface: not enough known.
    let claimed = json(&place, "fit 1047 --swap 25:abutment=stint-mua-4.1-c3.0");
    assert_eq!(claimed["answer"], "not enough known");
    assert_eq!(code(&typed(&place, "fit 1047 --swap 25:abutment=stint-mua-4.1-c3.0")), 1);
}

#[test]
fn a_screw_moves_no_seat() {
    let answer = json(&Place::demo(), "fit 1047 --swap 25:prosthetic-screw=plover-prosthetic-screw-1.4");
    assert_eq!(answer["answer"], "keeps the fit");
    assert_eq!(answer["swaps"][0]["height_change"], Value::Null);
    assert_eq!(answer["fit"]["scatter"], Value::Null);
}

#[test]
fn what_fit_refuses() {
    let place = Place::demo();
    for (line, status, said) in [
        (
            "fit 1047 --swap 25:implant=plover-implant-4.0x10",
            1,
            "the implant at tooth 25 is not a part that can be swapped: refer",
        ),
        (
            "fit 1047 --swap 25:framework=plover-mua-4.1-c3.0",
            1,
            "the framework at tooth 25 is inside the bridge: laboratory work. 'spareseat swap 1047 25 framework' says what the laboratory needs",
        ),
        (
            "fit 1047 --swap 26:abutment=plover-mua-4.1-c3.0",
            2,
            "case 1047 has no site at tooth 26 (upper left first molar). Its sites: tooth 24, tooth 25, tooth 27",
        ),
        (
            "fit 1047 --swap 25:abutment=plover-mua-4.1-c3.0 --swap 25:abutment=plover-mua-4.1-c3.5",
            2,
            "abutment at tooth 25 stands twice in the set",
        ),
        (
            "fit 1047 --swap 25:abutment=plover-mua-4.1-c3.0 --turned 24=1",
            2,
            "--turned names tooth 24, and no abutment is to come in there: expected one of tooth 25",
        ),
        ("fit 1047 --swap 25:abutment=nothing-like-it", 2, "no part 'nothing-like-it' in the catalogue"),
    ] {
        let out = typed(&place, line);
        assert_eq!(text(&out.stdout), "", "{line}");
        let err = text(&out.stderr);
        assert!(err.contains(said), "{line}: {err}");
        assert_eq!(code(&out), status, "{line}");
    }
    for (line, said) in [
        ("fit 1047", "--swap <SITE:POSITION=PART>"),
        (
            "fit 1047 --swap 25=x",
            "'25=x' is no swap: expected a site, a position and a part, such as 25:abutment=plover-mua-4.1-c3.0",
        ),
        ("fit 1047 --swap 25:roof=x", "'roof' is none of implant, abutment, base"),
        (
            "fit 1047 --swap 25:abutment=plover-mua-4.1-c3.0 --turned 25=99",
            "99 steps: an index has at most 24",
        ),
        ("fit 1047 --swap 25:abutment=plover-mua-4.1-c3.0 --lean 25=up", "'up' is not a lean"),
    ] {
        let out = typed(&place, line);
        assert_eq!(code(&out), 2, "{line}");
        assert!(text(&out.stderr).contains(said), "{line}: {}", text(&out.stderr));
    }
}

#[test]
fn the_bands_are_a_setting_with_a_reason() {
    let place = Place::demo();
    let line = "fit 1047 --swap 25:abutment=plover-mua-4.1-c3.0";
    refused(
        &place,
        "bands --keeps 150 --doubtful 100 --check 30 --because agreed",
        2,
        "spareseat: the bands stand upside down: 150 µm keeps, 100 µm doubtful, 30 µm check; expected each more than the one before. Nothing was booked",
    );
    assert_eq!(json(&place, "bands")["set_here"], false);
    let set = "bands --keeps 90 --doubtful 120 --check 200 --because agreed";
    assert_eq!(code(&typed(&place, set)), 0);
    refused(&place, set, 1, "spareseat: these are the bands already, with that reason: nothing was booked");
    let answer = json(&place, line);
    assert_eq!((&answer["answer"], &answer["bands"]["because"]), (&"keeps the fit".into(), &"agreed".into()));
    let shown = text(&typed(&place, "bands").stdout);
    assert!(shown.contains("up to 90 µm keeps the fit") && shown.contains("No published limit"), "{shown}");
    let book = text(&typed(&place, "logbook show").stdout);
    assert!(book.contains("what is called keeping the fit: up to 90 µm"), "{book}");
    assert_eq!(code(&typed(&place, "logbook rebuild")), 0);
    assert_eq!(json(&place, line)["answer"], "keeps the fit");
}

#[test]
fn the_working_is_printed_when_it_is_asked_for() {
    let place = Place::demo();
    let said = text(&typed(&place, "--why fit 1047 --swap 25:abutment=plover-mua-4.1-c3.5").stdout);
    for part in [
        "Working\n",
        "only screw 24 tight: lift 172 µm higher",
        "proven to ",
        "as clamped flush at tooth 24 / at tooth 27",
        "(Motosh; VDI 2230)",
    ] {
        assert!(said.contains(part), "{part}: {said}");
    }
}

/// The abutment that is fitted at tooth 25 of case 1047 under another code, with some of its lines otherwise or gone.
fn import_like(place: &Place, code: &str, without: &str, with: &str) {
    let catalogue = include_str!("../../catalog/plover.toml");
    let (head, _) = catalogue.split_once("[[part]]").expect("a head and parts");
    let own =
        catalogue.split("[[part]]").find(|p| p.contains("code = \"plover-mua-4.1-c3.0\"")).expect("there");
    let own = own.replace("plover-mua-4.1-c3.0", code);
    let kept: Vec<&str> = own
        .lines()
        .filter(|l| ![without, "replaced_by", "gtin"].iter().any(|key| l.starts_with(key)))
        .collect();
    let text = format!("{head}[[part]]\n{with}{}\n", kept.join("\n"));
    std::fs::write(place.folder().join("more.toml"), text).unwrap();
    let out = typed(place, "part import more.toml");
    assert_eq!(out.status.code(), Some(0), "{}", crate::support::text(&out.stderr));
}

#[test]
fn what_is_not_known_is_named_and_nothing_is_said_to_fit() {
    for (without, with, named) in [
        (
            "seat_height",
            "",
            "not known: the seat height of the new part at tooth 25, plover-mua-like: measure it or ask its maker",
        ),
        (
            "offset",
            "",
            "not known: the sideways offset of the new part at tooth 25, plover-mua-like: measure it or ask its maker",
        ),
        (
            "angle",
            "",
            "not known: the angle of the new part at tooth 25, plover-mua-like: measure it or ask its maker",
        ),
    ] {
        let place = Place::demo();
        import_like(&place, "plover-mua-like", without, with);
        let line = "fit 1047 --swap 25:abutment=plover-mua-like";
        let answer = json(&place, line);
        assert_eq!(answer["answer"], "not enough known", "{without}");
        assert_eq!((&answer["because"][0], &answer["fit"]), (&named.into(), &Value::Null), "{without}");
        assert_eq!(code(&typed(&place, line)), 1);
    }
    // Nobody states how far it may lie from its drawing: it may go in, and is looked at.
    let place = Place::demo();
    import_like(&place, "plover-mua-like", "length_tolerance", "");
    let answer = json(&place, "fit 1047 --swap 25:abutment=plover-mua-like");
    assert_eq!(answer["answer"], "check at try-in");
    assert_eq!(answer["fit"]["tolerance_not_known"], serde_json::json!(["plover-mua-like at tooth 25"]));
    assert_eq!(answer["fit"]["scatter"], Value::Null);
}

#[test]
fn an_angled_part_where_a_straight_one_stood_is_told_which_way_it_leans_or_not_judged() {
    let place = Place::demo();
    let swap = "fit 2210 --swap 45:abutment=dunlin-mua-4.2-a30-corner-c3.5";
    let answer = json(&place, swap);
    // Other rules are against it besides: its own screw, and the prosthetic screw above.
    assert_eq!((&answer["answer"], &answer["fit"]), (&"does not keep the fit".into(), &Value::Null));
    let named = "not known: which way the new part at tooth 45, dunlin-mua-4.2-a30-corner-c3.5, is to lean: say --lean 45=buccal, mesial, oral, distal or degrees";
    assert!(answer["because"].as_array().unwrap().contains(&named.into()), "{answer}");
    let told = json(&place, &format!("{swap} --lean 45=oral"));
    assert_eq!(told["answer"], "does not keep the fit");
    near(&told["swaps"][0]["tilt_deg"], 30.0, 1e-9);
}

#[test]
fn what_was_put_in_since_counts_at_every_site() {
    let place = Place::demo();
    let put_in =
        "use 1047 --site 25 --position abutment --part plover-mua-4.1-c3.5 --lot MU-2101 --torque 30";
    assert_eq!(code(&typed(&place, put_in)), 0);
    // The right part at 24 does not help the bridge over what stands at 25 now.
    let answer = json(&place, "fit 1047 --swap 24:abutment=plover-mua-4.1-c2.0");
    assert_eq!(answer["answer"], "does not keep the fit");
    let careful = answer["careful"][0].as_str().unwrap();
    assert!(careful.starts_with("on record at tooth 25 there now stands plover-mua-4.1-c3.5"), "{careful}");
    // The right one at 25 does.
    assert_eq!(json(&place, "fit 1047 --swap 25:abutment=plover-mua-4.1-c3.0")["answer"], "check at try-in");
}

#[test]
fn practice_and_laboratory() {
    let (practice, laboratory) = (Place::demo(), Place::empty());
    assert_eq!(code(&typed(&laboratory, "new --practice 'A laboratory (invented)'")), 0);
    let at = |name: &str| practice.folder().join(name).to_string_lossy().into_owned();
    let (case, answer) = (at("case.json"), at("answer.json"));
    assert_eq!(code(&typed(&practice, &format!("case share 1047 {case}"))), 0);
    assert_eq!(code(&typed(&laboratory, &format!("case take {case}"))), 0);
    let catalogue = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("catalog");
    let import = format!("part import {}", catalogue.display());
    assert_eq!(code(&typed(&laboratory, &import)), 0);
    let fit = format!("fit 1047 --swap 25:abutment=plover-mua-4.1-c3.0 --answer {answer}");
    let said = typed(&laboratory, &fit);
    assert_eq!(code(&said), 0, "{}", text(&said.stderr));
    assert!(text(&said.stdout).ends_with("takes it back with 'spareseat --as INITIALS case take FILE'.\n"));
    let file: Value = serde_json::from_str(&std::fs::read_to_string(&answer).unwrap()).unwrap();
    assert!(!file.to_string().contains("in_house"), "the laboratory's own drawers are nobody's business");
    let taken = typed(&practice, &format!("case take {answer}"));
    assert_eq!(code(&taken), 0, "{}", text(&taken.stderr));
    let shown = text(&typed(&practice, "case show 1047").stdout);
    assert!(
        shown.contains("tooth 25, abutment: plover-mua-4.1-c3.0: check at try-in, widest gap 10.4 µm"),
        "{shown}"
    );
    // Once the assembly has changed the same numbers are no answer any more.
    let other = at("other.json");
    let fit = format!("fit 1047 --swap 24:abutment=plover-mua-4.1-c2.0 --answer {other}");
    assert_eq!(code(&typed(&laboratory, &fit)), 0);
    let put_in =
        "use 1047 --site 25 --position abutment --part plover-mua-4.1-c3.5 --lot MU-2101 --torque 30";
    assert_eq!(code(&typed(&practice, put_in)), 0);
    let refused = typed(&practice, &format!("case take {other}"));
    assert_eq!(code(&refused), 1, "{}", text(&refused.stderr));
    assert!(text(&refused.stderr).contains("tooth 25"), "{}", text(&refused.stderr));
}
