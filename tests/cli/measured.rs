//! Where the sites of a case lie: taken from files and as typed, shown, and refused where it does not look like a jaw.

use serde_json::{Value as Json, json};

use super::booking::{booked, whole};
use super::refusals::refused;
use super::typed::typed;
use crate::support::{Place, code, heard, text};

/// Sites of case 1047 near the default arch, with axes for two of them.
const SCAN: &str = "site,x_mm,y_mm,z_mm,axis_x,axis_y,axis_z\n24,22.05,10.69,0,0,0,-1\n25,24.7,17.17,0.5,0,0.1,-1\n27,28.72,34.71,1,,,\n";
/// Sites of case 2210, on the default arch.
const LOWER: [(&str, &str); 5] = [
    ("45", "-22.62,13.68"),
    ("43", "-13.43,3.41"),
    ("41", "-2.50,0.11"),
    ("33", "13.43,3.41"),
    ("35", "22.62,13.68"),
];

fn file(place: &Place, name: &str, content: impl AsRef<[u8]>) {
    std::fs::write(place.folder().join(name), content).unwrap();
}

fn lower(unit: &str, points: &[(&str, &str)]) -> String {
    let lines: String = points.iter().map(|(site, xy)| format!("{site},{xy},0\n")).collect();
    format!("site,x_{unit},y_{unit},z_{unit}\n{lines}")
}

const IN_LINE: &str = "whether left and right are exchanged cannot be told for the sites of the upper jaw: they lie nearly in line";
const LOOKS: &str = "Nothing was booked. Measure again or mend them; if they are right all the same, say why, --because REASON";
const TWO_FRAMES: &str = "teeth 24 and 25 of the upper jaw would keep the coordinates of an earlier measuring, and two measurings have one frame only where somebody made sure of it";

#[test]
fn a_measuring_is_taken_and_shown_with_when_and_from_what() {
    let place = Place::demo();
    file(&place, "scan.csv", SCAN);
    let before = text(&place.run(&["case", "show", "1047"]).stdout);
    assert!(before.contains(
        "; where its sites are: ASSUMED, the default arch (nobody measured teeth 24, 25 and 27)\n"
    ));
    let entry = place.json(&["stock"])["as_of"].as_u64().unwrap() + 1;
    let out = typed(&place, "case measured 1047 scan.csv");
    assert_eq!(
        (code(&out), text(&out.stdout), heard(&out)),
        (
            0,
            format!(
                "entry {entry}: case 1047: it is on record now where teeth 24, 25 and 27 stand, from scan.csv.\nnote: {IN_LINE}.\n"
            ),
            format!("note: {IN_LINE}.\n")
        )
    );
    let shown = text(&place.run(&["case", "show", "1047"]).stdout);
    for line in [
        "; job J-4471; where its sites are: measured\n".to_owned(),
        format!(
            "\n  measured: x 24.7 mm, y 17.17 mm, z 0.5 mm, axis outwards 0.000, 0.100, -0.995; 25 Nov 2026 (entry {entry}), scan.csv\n"
        ),
        format!("\n  measured: x 28.72 mm, y 34.71 mm, z 1.0 mm; 25 Nov 2026 (entry {entry}), scan.csv\n"),
    ] {
        assert!(shown.contains(&line), "{line}\n{shown}");
    }
    let case = place.json(&["case", "show", "1047"]);
    assert_eq!(
        case["sites"][0]["measured"],
        json!({
            "position_mm": [22.05, 10.69, 0.0], "axis": [0.0, 0.0, -1.0], "on": "2026-11-25", "entry": entry,
            "source": "scan.csv", "because": null,
        })
    );
    let bridge = |case: &Json| {
        (case["restorations"][0]["places"].clone(), case["restorations"][0]["places_lacking"].clone())
    };
    assert_eq!(bridge(&case), (json!("measured"), json!([])));
    assert_eq!(bridge(&place.json(&["case", "show", "2210"])).0, "assumed");
    // One site again, typed: it stands beside those of another measuring, so somebody has to say that this is right.
    let again = "case measured 1047 --at 27=28.7,34,-1";
    refused(
        &place,
        again,
        1,
        &format!("spareseat: the coordinates for case 1047 look wrong: {TWO_FRAMES}. {LOOKS}"),
    );
    let out = typed(&place, &format!("--json {again} --because 'same frame, by hand'"));
    let answer: Json = serde_json::from_slice(&out.stdout).unwrap();
    assert_eq!(
        answer,
        json!({
            "case": "1047", "source": "typed", "because": "same frame, by hand",
            "measured": [{ "position_mm": [28.7, 34.0, -1.0], "axis": null, "site": "27", "site_words": "upper left second molar" }],
            "lacking": [], "looks_wrong": [TWO_FRAMES], "cannot_be_told": [IN_LINE], "assumed": [],
            "version": 1, "entry": entry + 1, "booked_before": false, "moved": [],
            "remarks": [TWO_FRAMES, IN_LINE],
        })
    );
    assert_eq!(heard(&out), "", "all of it stands in the answer");
    let shown = text(&place.run(&["logbook", "show", "--case", "1047"]).stdout);
    assert!(
        shown.ends_with(&format!(
            "  entry {entry} on 25 Nov 2026 by AB: case 1047, teeth 24, 25 and 27 measured: scan.csv\n  entry {} on 25 Nov 2026 by AB: case 1047, tooth 27 measured: typed; reason: same frame, by hand\n",
            entry + 1
        )),
        "{shown}"
    );
    let shown = text(&place.run(&["case", "show", "1047"]).stdout);
    let line = format!("(entry {}), typed; reason: same frame, by hand\n", entry + 1);
    assert!(shown.contains(&line) && shown.contains(&format!("(entry {entry}), scan.csv\n")), "{shown}");
    refused(
        &place,
        &format!("reverse {entry}"),
        1,
        &format!(
            "spareseat: entry {entry} says where sites of case 1047 lie: take what is true instead, with 'spareseat case measured 1047'. Nothing was booked"
        ),
    );
    whole(&place);
}

#[test]
fn a_bridge_with_a_site_that_nobody_measured_stays_assumed_and_it_is_said() {
    let place = Place::demo();
    let answer =
        typed(&place, "case measured 2210 --at 45=-22.62,13.68,0 --at 35=22.62,13.68,0 --axis 35=0,0.5,3");
    let says = "note: whether left and right are exchanged cannot be told for the sites of the lower jaw: there are two of them.\n\
        note: nobody has measured teeth 43, 41 and 33: until then the whole bridge 45-(44)-43-(42)-41-(31)-(32)-33-(34)-35 is taken from the default arch.\n";
    assert_eq!((code(&answer), heard(&answer).as_str()), (0, says));
    let case = place.json(&["case", "show", "2210"]);
    assert_eq!(
        (&case["restorations"][0]["places"], &case["restorations"][0]["places_lacking"]),
        (&json!("assumed"), &json!(["43", "41", "33"]))
    );
    // All of them, in one go: nothing of another measuring is left, and nothing is doubtful.
    file(&place, "all.csv", lower("mm", &LOWER));
    let answer = booked(&place, "case measured 2210 all.csv");
    assert_eq!(
        (&answer["looks_wrong"], &answer["cannot_be_told"], &answer["lacking"]),
        (&json!([]), &json!([]), &json!([]))
    );
    refused(
        &place,
        "case measured 2210 all.csv",
        1,
        "spareseat: these coordinates are on record already for case 2210: nothing was booked",
    );
    // A case that is imported anew brings its own, and nothing of what was measured before.
    file(
        &place,
        "anew.toml",
        "form = 1\ncase = \"2210\"\nnumbering = \"iso-3950\"\n[[site]]\ntooth = 35\nposition = [1, 2, 3]\n[[site]]\ntooth = 45\n",
    );
    booked(&place, "case import anew.toml --replace");
    let shown = text(&place.run(&["case", "show", "2210"]).stdout);
    let measured: Vec<&str> = shown.lines().filter(|l| l.contains("measured: ")).collect();
    assert_eq!(measured, ["  measured: x 1.0 mm, y 2.0 mm, z 3.0 mm; as the case was entered"]);
    whole(&place);
}

#[test]
fn what_does_not_look_like_a_jaw_is_refused_until_somebody_says_why() {
    let place = Place::demo();
    let mut mirrored =
        LOWER.map(|(site, xy)| (site, xy.strip_prefix('-').map_or(format!("-{xy}"), ToOwned::to_owned)));
    file(&place, "mirrored.csv", lower("mm", &mirrored.each_mut().map(|(s, xy)| (*s, xy.as_str()))));
    let mut exchanged = LOWER;
    (exchanged[1].1, exchanged[4].1) = (exchanged[4].1, exchanged[1].1);
    file(&place, "exchanged.csv", lower("mm", &exchanged));
    file(&place, "um.csv", lower("um", &LOWER));
    let tenth = LOWER.map(|(site, xy)| {
        (
            site,
            xy.split(',')
                .map(|n| (n.parse::<f64>().unwrap() / 25.4).to_string())
                .collect::<Vec<_>>()
                .join(","),
        )
    });
    file(&place, "in.csv", lower("mm", &tenth.each_ref().map(|(s, xy)| (*s, xy.as_str()))));
    let height =
        LOWER.map(
            |(site, xy)| if site == "33" { format!("{site},{xy},21\n") } else { format!("{site},{xy},0\n") },
        );
    file(&place, "high.csv", format!("site,x_mm,y_mm,z_mm\n{}", height.concat()));
    for (line, says) in [
        (
            "mirrored.csv",
            "the sites of the lower jaw lie as in a mirror, 10.8 mm from the default arch and 0.0 mm from its mirror image: left and right are exchanged, or z does not point up, from the lower jaw to the upper",
        ),
        (
            "exchanged.csv",
            "the rows of tooth 43 and tooth 35 look exchanged: 17.5 mm from the default arch as they stand, 0.0 mm the other way round",
        ),
        (
            "um.csv",
            "the sites of the lower jaw lie only 1/990 as far apart as on the default arch, as if numbers in mm had been read as µm",
        ),
        (
            "in.csv",
            "the sites of the lower jaw lie only 1/25 as far apart as on the default arch, as if numbers in inches had been read as mm",
        ),
        ("high.csv", "tooth 33 and tooth 35 lie 25.1 mm apart, on the default arch 13.8 mm"),
        (
            "--at 45=-22.62,13.68,0 --at 35=22.62,13.68,0 --axis 45=0,0,1 --axis 35=0,0,-1",
            "the axis of tooth 35 stands 180° to that of tooth 45: expected all from the implant outwards",
        ),
        (
            "--at 45=-0.5,0,0 --at 35=9.6,0,0",
            "the sites of the lower jaw lie 0.2 times as far apart as on the default arch; no unit explains it",
        ),
    ] {
        let says = format!("spareseat: the coordinates for case 2210 look wrong: {says}. {LOOKS}");
        refused(&place, &format!("case measured 2210 {line}"), 1, &says);
    }
    let out = typed(&place, "case measured 2210 mirrored.csv --because 'a cast lying on its teeth'");
    assert_eq!(code(&out), 0);
    assert!(
        heard(&out).starts_with("note: the sites of the lower jaw lie as in a mirror, "),
        "{}",
        heard(&out)
    );
}

#[test]
fn a_file_that_is_none_and_words_that_say_nothing_are_refused() {
    let place = Place::demo();
    booked(&place, "case new 77");
    file(&place, "scan.csv", SCAN);
    file(&place, "no-unit.csv", "site,x,y,z\n24,1,2,3\n");
    file(&place, "wrong.csv", "site;x_mm;y_mm;z_mm\n24;1,5;NaN;3\n26;1;2;3\n24;170;2;3\n");
    file(&place, "latin.csv", b"site,x_\xb5m\n");
    file(&place, "long.csv", "24,1,2,3\n".repeat(30_000));
    let needs = "error: the following required arguments were not provided:";
    for (line, status, says) in [
        (
            "1047 no-unit.csv",
            2,
            "spareseat: 1 mistake found, nothing was taken:\n  no-unit.csv:1: the unit is not named: expected x_mm, x_um or x_in in the header (y and z alike), or --unit mm, um or in",
        ),
        (
            "1047 scan.csv --unit in",
            2,
            "spareseat: 1 mistake found, nothing was taken:\n  scan.csv:1: the header says mm, --unit says in: which of the two is right?",
        ),
        (
            "1047 wrong.csv",
            2,
            "spareseat: 3 mistakes found, nothing was taken:\n  wrong.csv:2: y: 'NaN' is not a number: expected one such as 12,345\n  wrong.csv:3: site: tooth 26 (upper left first molar) is no site of the case; its sites: teeth 24, 25 and 27\n  wrong.csv:4: x: '170' is not a coordinate: expected -100 to 100 mm. It was read as mm: is that the unit?",
        ),
        (
            "1047 latin.csv",
            2,
            "spareseat: latin.csv is not text in UTF-8: save it as CSV in UTF-8. Nothing was booked",
        ),
        (
            "1047 long.csv",
            2,
            "spareseat: long.csv has 270000 bytes: a measuring file of at most 262144 is read. Nothing was booked",
        ),
        ("1047 none.csv", 2, "spareseat: could not read none.csv: No such file or directory (os error 2)"),
        (
            "77 scan.csv",
            1,
            "spareseat: case 77 has no sites on record: enter what is fitted first, 'spareseat case found 77 --site TOOTH …'. Nothing was booked",
        ),
        (
            "1048 scan.csv",
            2,
            "spareseat: no case 1048 on record. Did you mean 1047? To enter one: 'spareseat case new 1048'; a patient who walks in: 'spareseat visit 1048 --new --site TOOTH --broken WHAT'",
        ),
        ("1047", 2, needs),
        ("1047 --axis 24=0,0,1", 2, needs),
        (
            "1047 scan.csv --at 24=1,2,3",
            2,
            "error: the argument '[FILE]' cannot be used with '--at <SITE=X,Y,Z>'",
        ),
        (
            "1047 --at 24=1,2",
            2,
            "error: invalid value '24=1,2' for '--at <SITE=X,Y,Z>': '24=1,2' is not a site with three numbers: expected 24=12.3,-4.5,0",
        ),
        (
            "1047 --at 24=1,2,inf",
            2,
            "error: invalid value '24=1,2,inf' for '--at <SITE=X,Y,Z>': 'inf' is not a plain decimal number such as 4.1",
        ),
        (
            "1047 --at 24=1,2,300",
            2,
            "error: invalid value '24=1,2,300' for '--at <SITE=X,Y,Z>': '300' is not a coordinate: expected -100 to 100 mm",
        ),
        (
            "1047 --at 24=1,2,3 --axis 24=0,0,0",
            2,
            "error: invalid value '24=0,0,0' for '--axis <SITE=X,Y,Z>': 0, 0, 0 is no direction",
        ),
        (
            "1047 --at 24=1,2,3 --axis 24=0,x,0",
            2,
            "error: invalid value '24=0,x,0' for '--axis <SITE=X,Y,Z>': '24=0,x,0' is no direction: expected three numbers such as 0,0.1,1",
        ),
        (
            "1047 --at 24=1,2,3 --at 24=2,2,3",
            2,
            "spareseat: tooth 24 stands in --at more than once: expected once a site. Nothing was booked",
        ),
        (
            "1047 --at 24=1,2,3 --axis 25=0,0,1",
            2,
            "spareseat: --axis 25=… needs --at 25=X,Y,Z: expected a place for every axis. Nothing was booked",
        ),
        (
            "1047 --at 24=1,2,3 --at 25=1,2,3",
            2,
            "spareseat: tooth 24 and tooth 25 lie at the same point: expected a point a site. Nothing was booked",
        ),
        (
            "1047 --at 26=1,2,3",
            2,
            "spareseat: case 1047 has no site at tooth 26 (upper left first molar). Its sites: tooth 24, tooth 25, tooth 27",
        ),
    ] {
        refused(&place, &format!("case measured {line}"), status, says);
    }
}
