//! From where a crown height is measured: asked for wherever one is typed, shown wherever one is.

use serde_json::{Value as Json, json};

use super::booking::booked;
use super::bridging::three_sites;
use super::refusals::refused;
use super::typed::typed;
use crate::support::{Place, code, text};

fn weakest(place: &Place, line: &str) -> Json {
    serde_json::from_slice(&typed(place, &format!("--json weakest {line}")).stdout).unwrap()
}

#[test]
fn a_crown_height_is_shown_with_where_it_counts_from() {
    let place = Place::demo();
    let show = |case: &str| text(&place.run(&["case", "show", case]).stdout);
    let seats = "crown height 12.0 mm from the abutment's seat (from the implant's platform: 14.0 mm at tooth 24; 15.0 mm at tooth 25; 16.0 mm at tooth 27)";
    assert!(show("1047").contains(seats), "{}", show("1047"));
    assert!(show("3306").contains("crown height 9.0 mm from the implant's platform;"), "{}", show("3306"));
    let of = |case: &str| place.json(&["case", "show", case])["restorations"][0].clone();
    let bridge = of("1047");
    assert_eq!(
        (&bridge["crown_height_mm"], &bridge["crown_height_from"], &bridge["crown_height_from_platform_mm"]),
        (&json!(12.0), &json!("from the abutment's seat"), &json!({ "24": 14.0, "25": 15.0, "27": 16.0 }))
    );
    assert_eq!(of("3306")["crown_height_from"], "from the implant's platform");
    let said = weakest(&place, "1047");
    assert_eq!(said["crown_height_from"], "from the abutment's seat");
    let sheet = place.folder().join("sheet.html");
    let out = place.run(&["weakest", "1047", "--sheet", sheet.to_str().unwrap()]);
    let line = "the crown height as on record: 12.0 mm from the abutment's seat (from the implant's platform: 14.0 mm at tooth 24; 15.0 mm at tooth 25; 16.0 mm at tooth 27)";
    assert!(text(&out.stdout).contains(&format!("  - {line}\n")), "{}", text(&out.stdout));
    let page = std::fs::read_to_string(sheet).unwrap();
    assert!(page.contains("the crown height as on record: 12.0 mm from the abutment"), "{page}");
}

/// Whoever measures from the platform and does not say so gets factors that are too good.
#[test]
fn a_crown_height_is_counted_from_where_it_was_measured() {
    let place = Place::demo();
    three_sites(&place);
    booked(&place, "case bridge 9001 24-25-26 --retention screwed-to-abutments --crown 15 --from platform");
    let factor = |line: &str| -> f64 {
        weakest(&place, line)["opens"]["order"][0]["factor"][1].as_f64().unwrap_or_else(|| panic!("{line}"))
    };
    // The abutments are 3 mm high: 15 from the platform are 12 from their seats.
    assert_eq!(weakest(&place, "9001")["crown_height_mm"], 12.0);
    assert_eq!(factor("9001"), factor("9001 --crown 12 --from seat"));
    assert_eq!(factor("9001"), factor("9001 --crown 15 --from platform"));
    assert!(factor("9001 --crown 12 --from platform") > factor("9001 --crown 12 --from seat"));
    let out = typed(&place, "weakest 9001 --crown 15 --from platform");
    let line = "  - the crown height as said: 12.0 mm from the abutment's seat (from the implant's platform: 15.0 mm)\n";
    assert!(code(&out) == 0 && text(&out.stdout).contains(line), "{}", text(&out.stdout));
}

#[test]
fn a_crown_height_without_where_it_was_measured_from_is_refused() {
    let place = Place::demo();
    three_sites(&place);
    for line in ["weakest 1047 --crown 12", "case bridge 9001 24 --retention cemented --crown 12"] {
        let out = typed(&place, line);
        assert_eq!(code(&out), 2, "{line}");
        assert!(text(&out.stderr).contains("--from <FROM>"), "{line}: {}", text(&out.stderr));
    }
    let heights = "tooth 24: 2.0 mm, tooth 25: 3.0 mm, tooth 27: 4.0 mm";
    refused(
        &place,
        "weakest 1047 --crown 15 --from platform",
        2,
        &format!(
            "spareseat: the abutments under bridge 24-25-(26)-27 are not of one height ({heights}): from the implant's platform the crown height is another number at each. Measure from the abutment's seat and say --from seat"
        ),
    );
    refused(
        &place,
        "weakest 3306 --crown 9 --from seat",
        2,
        "spareseat: crown 46 stands on no abutment: its crown height is measured from the implant's platform. Say --from platform",
    );
    refused(
        &place,
        "case bridge 9001 24 --retention cemented --crown 3.5 --from platform",
        2,
        "spareseat: a crown height of 3.5 mm from the implant's platform leaves 0.5 mm over the abutment's seat at tooth 24, which stands 3.0 mm above it: expected at least 1.0 mm over the seat. Nothing was booked",
    );
    let file = place.folder().join("case.toml");
    let case = |more: &str| {
        format!(
            "form = 1\ncase = \"9009\"\nnumbering = \"iso-3950\"\n[[site]]\ntooth = 24\n[[restoration]]\nsites = [24]\nretention = \"screwed to implants\"\ncrown_height = 9\n{more}"
        )
    };
    std::fs::write(&file, case("")).unwrap();
    refused(
        &place,
        "case import case.toml",
        2,
        "spareseat: 1 mistake found, nothing was taken:\n  case.toml:9: crown_from is missing: expected 'seat', measured from the seat of the abutment, or 'platform', from the platform of the implant",
    );
    std::fs::write(&file, case("crown_from = \"platform\"\n")).unwrap();
    booked(&place, "case import case.toml");
}
