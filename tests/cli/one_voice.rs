//! `swap`, `fit` and `visit` say one thing of one part, and none of them more than the record holds.

use serde_json::Value as Json;

use super::typed::typed;
use crate::support::{Place, code, text};

/// A part of the made-up catalogue under another code: `changes` are lines of it, as they stand there and as they come.
fn like(place: &Place, part: &str, code_of_it: &str, changes: &[(&str, &str)]) {
    let catalogue = include_str!("../../catalog/plover.toml");
    let (head, _) = catalogue.split_once("[[part]]").expect("a head and parts");
    let named = |p: &&str| p.contains(&format!("code = \"{part}\"\n"));
    let mut own = catalogue.split("[[part]]").find(named).expect("a part of that code").to_owned();
    own = own.replace(&format!("code = \"{part}\""), &format!("code = \"{code_of_it}\""));
    for (is, becomes) in changes {
        assert!(own.contains(is), "{part} has no line '{is}'");
        own = own.replacen(is, becomes, 1);
    }
    let kept: Vec<&str> =
        own.lines().filter(|l| !["gtin", "replaced_by"].iter().any(|key| l.starts_with(key))).collect();
    std::fs::write(place.folder().join("like.toml"), format!("{head}[[part]]\n{}\n", kept.join("\n")))
        .unwrap();
    booked(place, "part import like.toml");
}

fn booked(place: &Place, line: &str) {
    let out = typed(place, line);
    assert_eq!(code(&out), 0, "{line}: {}", text(&out.stderr));
}

fn json(place: &Place, line: &str) -> Json {
    let out = typed(place, &format!("--json {line}"));
    serde_json::from_slice(&out.stdout).unwrap_or_else(|e| panic!("{line}: {e}: {}", text(&out.stderr)))
}

/// Verdict of one candidate by `swap`, with what it says of the fit, if anything.
fn swapped(place: &Place, at: &str, part: &str) -> (String, Option<String>) {
    let answer = json(place, &format!("swap {at} {part}"));
    said(&answer["candidates"][0])
}

fn said(candidate: &Json) -> (String, Option<String>) {
    let findings = candidate["findings"].as_array().expect("findings");
    let fit = findings.iter().find(|f| f["rule"] == "fit");
    (word(&candidate["verdict"]), fit.map(|f| word(&f["effect"])))
}

fn word(value: &Json) -> String {
    value.as_str().unwrap_or_else(|| panic!("no text: {value}")).to_owned()
}

/// The head of `fit` with its first reasons, as everybody else has to repeat it.
fn head(fit: &Json) -> String {
    let because: Vec<String> = fit["because"].as_array().unwrap().iter().take(3).map(word).collect();
    format!("the fit: {}: {}", word(&fit["answer"]), because.join("; "))
}

const ABUTMENT: &str = "plover-mua-4.1-c3.0";

#[test]
fn a_tolerance_of_half_a_millimetre_is_not_checked_at_try_in() {
    let place = Place::demo();
    like(&place, ABUTMENT, "plover-mua-loose", &[("length_tolerance = 0.01", "length_tolerance = 0.5")]);
    let line = "fit 1047 --swap 25:abutment=plover-mua-loose";
    let fit = json(&place, line);
    assert_eq!(fit["answer"], "does not keep the fit", "{fit:#}");
    assert_eq!(code(&typed(&place, line)), 1);
    // By the drawings nothing gapes: what half of all pairs pass is what it is judged by.
    assert_eq!(fit["fit"]["worst_gap_um"], 0.0);
    assert_eq!(fit["judged_by_um"], fit["fit"]["scatter"]["median_um"]);
    let [within_keeps, within_check] =
        ["within_keeps", "within_check"].map(|key| fit["fit"]["scatter"][key].as_f64().unwrap());
    assert!(within_check < 0.2 && within_keeps < 0.05, "{within_keeps} {within_check}");
    let first = word(&fit["because"][0]);
    assert!(first.starts_with("two pieces within their drawings still differ: of 100000 pairs "), "{first}");
    let head_line = text(&typed(&place, line).stdout);
    assert!(head_line.starts_with(&format!("Does not keep the fit: {first}")), "{head_line}");
    let (verdict, fit_said) = swapped(&place, "1047 25 abutment", "plover-mua-loose");
    assert_eq!(verdict, "does not fit");
    assert!(fit_said.unwrap().starts_with(&head(&fit)));
}

#[test]
fn a_tolerance_that_nobody_states_is_at_best_checked_at_try_in() {
    let place = Place::demo();
    // Bands that every pair of known tolerance keeps.
    booked(&place, "bands --keeps 500 --doubtful 600 --check 700 --because 'to see what is left'");
    assert_eq!(json(&place, &format!("fit 1047 --swap 25:abutment={ABUTMENT}"))["answer"], "keeps the fit");
    like(&place, ABUTMENT, "plover-mua-unstated", &[("length_tolerance = 0.01\n", "")]);
    let fit = json(&place, "fit 1047 --swap 25:abutment=plover-mua-unstated");
    assert_eq!(fit["answer"], "check at try-in");
    assert_eq!(swapped(&place, "1047 25 abutment", "plover-mua-unstated").0, "fits, with changes");
}

#[test]
fn nine_thousandths_of_a_millimetre_are_a_change_where_the_fit_opens() {
    let place = Place::demo();
    like(&place, ABUTMENT, "plover-mua-9", &[("seat_height = 3.0", "seat_height = 3.009")]);
    let fit = json(&place, "fit 1047 --swap 25:abutment=plover-mua-9");
    assert_eq!(fit["answer"], "check at try-in");
    assert!(fit["fit"]["worst_gap_um"].as_f64().unwrap() > 30.0, "{fit:#}");
    let (verdict, said) = swapped(&place, "1047 25 abutment", "plover-mua-9");
    assert_eq!(verdict, "fits, with changes", "it was 'like for like'");
    let said = said.expect("the fit is said");
    assert!(
        said.starts_with(&head(&fit)) && said.ends_with("one-screw test before the second screw goes in")
    );
    assert_eq!(code(&typed(&place, "swap 1047 25 abutment plover-mua-9")), 1);
}

#[test]
fn swap_and_fit_agree_on_every_abutment_that_may_or_may_not_go_in() {
    let place = Place::demo();
    // Refused by a rule of geometry although the gap lies within the bands: one answer, not two.
    like(&place, ABUTMENT, "plover-mua-12", &[("seat_height = 3.0", "seat_height = 3.012")]);
    like(&place, ABUTMENT, "plover-mua-aside", &[("offset = 0.0", "offset = 0.02")]);
    like(&place, ABUTMENT, "plover-mua-tilted", &[("angle = 0\n", "angle = 0.2\n")]);
    let mut seen = std::collections::BTreeSet::new();
    for (case, site) in [("1047", "25"), ("1047", "27"), ("2210", "45")] {
        let list = json(&place, &format!("swap {case} {site} abutment"));
        let mut listed = list["candidates"].as_array().unwrap().clone();
        listed.truncate(9);
        if site == "25" {
            for part in ["plover-mua-12", "plover-mua-aside", "plover-mua-tilted"] {
                listed.push(json(&place, &format!("swap 1047 25 abutment {part}"))["candidates"][0].clone());
            }
        }
        for candidate in listed {
            let part = word(&candidate["part"]);
            let fit = json(&place, &format!("fit {case} --swap {site}:abutment={part}"));
            let (verdict, finding) = said(&candidate);
            let (answer, told) = (word(&fit["answer"]), format!("{case} {site} {part}: {verdict}"));
            assert_eq!(fit["swaps"][0]["candidate"]["verdict"], candidate["verdict"], "{told}, {answer}");
            let agree = match answer.as_str() {
                "keeps the fit" => {
                    ["same part", "like for like", "fits, with changes"].contains(&verdict.as_str())
                }
                // Another code whose seat is by its drawing exactly where the fitted one's is, is as likely to fit as that.
                "check at try-in" if part == "plover-mua-4.1-c3.0-b" => verdict == "like for like",
                "check at try-in" => ["same part", "fits, with changes"].contains(&verdict.as_str()),
                _ => ["not confirmed", "does not fit"].contains(&verdict.as_str()),
            };
            assert!(agree, "{told}, {answer}");
            if ["same part", "like for like", "fits, with changes"].contains(&verdict.as_str()) {
                assert!(finding.expect("the fit is said").starts_with(&head(&fit)), "{told}");
            }
            seen.insert((verdict, answer));
        }
    }
    assert!(seen.contains(&("same part".to_owned(), "check at try-in".to_owned())), "{seen:?}");
    assert!(seen.contains(&("does not fit".to_owned(), "does not keep the fit".to_owned())), "{seen:?}");
}

/// Raised by 1 mm along axes that spread by 0.3: 0.287 mm aside (x/√(1 + x²) of the rise, 0.287 for x = 0.3) [X].
#[test]
fn a_set_raised_alike_on_axes_that_spread_is_no_seat_as_before() {
    let parts = ["24=plover-mua-4.1-c3.0", "25=plover-mua-4.1-c4.0", "27=plover-mua-5.0-c5.0"];
    let swap = format!("swap 1047 25 abutment plover-mua-4.1-c4.0 --with {} --with {}", parts[0], parts[2]);
    let fit = format!(
        "fit 1047{}",
        parts.map(|p| format!(" --swap {}", p.replacen('=', ":abutment=", 1))).concat()
    );
    let measured = |axes: [&str; 3]| {
        let place = Place::demo();
        let at = ["22.05,10.69,0", "24.7,17.17,0", "28.72,34.71,0"];
        let sites = ["24", "25", "27"];
        let each = (0..3).map(|n| format!(" --at {}={} --axis {}={}", sites[n], at[n], sites[n], axes[n]));
        booked(&place, &format!("case measured 1047{} --because 'to see'", each.collect::<String>()));
        place
    };
    let verdicts = |answer: &Json| -> Vec<String> {
        answer["set"].as_array().unwrap().iter().map(|s| word(&s["candidate"]["verdict"])).collect()
    };

    let spread = measured(["-0.3,0,1", "0,0,1", "0.3,0,1"]);
    let answer = json(&spread, &fit);
    assert_eq!(answer["answer"], "does not keep the fit");
    let aside = answer["fit"]["sites"][0]["sideways_um"].as_f64().unwrap();
    assert!((aside - 287.0).abs() < 1.0, "{aside}");
    let set = json(&spread, &swap);
    assert_eq!(verdicts(&set), ["does not fit"; 3], "{set:#}");
    assert!(!set.to_string().contains("seats as before"), "{set:#}");
    assert_eq!(code(&typed(&spread, &swap)), 1);

    let parallel = measured(["0,0,1"; 3]);
    let set = json(&parallel, &swap);
    assert_eq!(verdicts(&set), ["fits, with changes"; 3], "{set:#}");
    assert!(set.to_string().contains("it seats as before, 1.0 mm higher"), "{set:#}");
    assert_eq!(json(&parallel, &fit)["answer"], "check at try-in");

    // Nobody measured it: the fit decides, and both say what is not known.
    let place = Place::demo();
    let set = json(&place, &swap);
    assert_eq!(verdicts(&set), ["fits, with changes"; 3], "{set:#}");
    assert!(set.to_string().contains("whether its implants stand parallel was not measured"), "{set:#}");
    assert!(!set.to_string().contains("seats as before"), "{set:#}");
    let because = json(&place, &fit)["because"].to_string();
    assert!(
        because.contains("for each degree between two of them their seats move 17 µm apart"),
        "{because}"
    );
    let head_line = text(&typed(&place, &swap).stdout);
    assert!(head_line.lines().nth(1).unwrap().starts_with("The fit: check at try-in: "), "{head_line}");
}

#[test]
fn the_same_part_stays_the_same_part_with_what_the_fit_says_and_the_one_screw_test() {
    let place = Place::demo();
    let fit = json(&place, &format!("fit 1047 --swap 25:abutment={ABUTMENT}"));
    let sentence = head(&fit);
    assert!(sentence.contains("check at try-in") && sentence.contains(" stay within 30 µm"), "{sentence}");
    let (verdict, said) = swapped(&place, "1047 25 abutment", ABUTMENT);
    assert_eq!((verdict.as_str(), said.as_deref().unwrap().starts_with(&sentence)), ("same part", true));
    assert_eq!(code(&typed(&place, &format!("swap 1047 25 abutment {ABUTMENT}"))), 0);

    let call = "visit 1047 --site 25 --broken prosthetic-screw --left shank-in-abutment";
    let answer = word(&json(&place, call)["answer"]);
    let line = answer.lines().find(|l| l.starts_with("ONLY IF THE FRAGMENT STAYS IN: TAKE ")).unwrap();
    assert!(line.contains(&sentence.replacen("the fit", "The fit", 1)), "{line}");
    assert!(line.contains("one-screw test before the second screw goes in"), "{line}");
    let screen = text(&typed(&place, call).stdout);
    assert!(!screen.contains("goes straight back"), "{screen}");
}

/// A screw of the right code does not stay right when the part under it was changed, nor the other way round.
#[test]
fn what_stands_there_now_against_what_the_bridge_was_built_on_is_not_confirmed() {
    let place = Place::demo();
    like(&place, ABUTMENT, "plover-mua-16", &[("M1.4x0.3", "M1.6x0.35")]);
    like(&place, "plover-prosthetic-screw-1.4", "plover-screw-16", &[("M1.4x0.3", "M1.6x0.35")]);
    booked(
        &place,
        "receive plover-mua-16 --lot W-16 --quantity 1 --place cabinet-2-drawer-3 --expiry 2029-05",
    );
    booked(&place, "use 1047 --site 25 --position abutment --part plover-mua-16 --lot W-16 --torque 30");
    for part in ["plover-prosthetic-screw-1.4", "plover-screw-16"] {
        let line = format!("swap 1047 25 prosthetic-screw {part}");
        let answer = json(&place, &line);
        let candidate = &answer["candidates"][0];
        assert_eq!(candidate["verdict"], "not confirmed", "{part}: {candidate:#}");
        let first = word(&candidate["findings"][0]["effect"]);
        assert!(
            first.starts_with("the record contradicts itself: as abutment at tooth 25 plover-mua-16 is on record now, and the restoration was built on plover-mua-4.1-c3.0; with the one, "),
            "{first}"
        );
        assert_eq!(code(&typed(&place, &line)), 1, "{part}");
        let fit = json(&place, &format!("fit 1047 --swap 25:prosthetic-screw={part}"));
        assert!(["not enough known", "does not keep the fit"].contains(&word(&fit["answer"]).as_str()));
        assert!(fit["because"].to_string().contains("the record contradicts itself"), "{fit:#}");
    }
    let answer = json(&place, "visit 1047 --site 25 --broken prosthetic-screw");
    let screws = answer["tray"].as_array().unwrap().iter().filter(|r| r["position"] == "prosthetic-screw");
    for row in screws {
        assert!(!row["sites"].as_array().unwrap().contains(&"25".into()), "{row:#}");
    }
    let said = word(&answer["answer"]);
    assert!(said.contains("NOT CONFIRMED, tooth 25: the record contradicts itself: "), "{said}");
    assert!(!said.contains("NOT IN THE HOUSE: no prosthetic screw"), "{said}");
    // The right abutment back: one record again.
    booked(
        &place,
        "use 1047 --site 25 --position abutment --part plover-mua-4.1-c3.0 --lot MU-2077 --torque 30",
    );
    assert_eq!(swapped(&place, "1047 25 prosthetic-screw", "plover-prosthetic-screw-1.4").0, "same part");
}

#[test]
fn a_bridge_that_cannot_sit_on_what_stands_elsewhere_confirms_no_abutment() {
    let place = Place::demo();
    booked(
        &place,
        "use 1047 --site 25 --position abutment --part plover-mua-4.1-c3.5 --lot MU-2101 --torque 30",
    );
    let answer = json(&place, "swap 1047 24 abutment plover-mua-4.1-c2.0");
    let candidate = &answer["candidates"][0];
    assert_eq!(candidate["verdict"], "not confirmed", "{candidate:#}");
    let first = word(&candidate["findings"][0]["effect"]);
    assert!(
        first.starts_with("the record contradicts itself: on record at tooth 25 there now stands "),
        "{first}"
    );
    assert_eq!(
        json(&place, "fit 1047 --swap 24:abutment=plover-mua-4.1-c2.0")["answer"],
        "does not keep the fit"
    );
    // Its screws meet what they met.
    assert_eq!(swapped(&place, "1047 24 prosthetic-screw", "plover-prosthetic-screw-1.4").0, "same part");
}

#[test]
fn a_guess_stands_in_the_first_line_of_swap_fit_and_visit() {
    let place = Place::demo();
    let first_line =
        |line: &str| text(&typed(&place, line).stdout).lines().next().unwrap_or_default().to_owned();
    let lines = [
        "swap 1047 25 prosthetic-screw",
        "swap 1047 25 prosthetic-screw plover-prosthetic-screw-1.4",
        "swap 1047 25 abutment plover-mua-4.1-c3.0 --with 24=plover-mua-4.1-c2.0",
        "fit 1047 --swap 25:abutment=plover-mua-4.1-c3.0",
        "visit 1047 --site 25 --broken prosthetic-screw",
    ];
    for line in lines {
        assert!(!first_line(line).contains("guess"), "{line}");
    }
    booked(&place, "case found 1047 --site 25 --position abutment --part plover-mua-4.1-c3.0 --sure guess");
    for line in lines {
        assert_eq!(
            first_line(line),
            "CAREFUL, tooth 25: the abutment on record is a guess. Compare the new part with the old one before you fit it.",
            "{line}"
        );
        let guessed = json(&place, line)["guessed"].clone();
        assert_eq!(guessed, serde_json::json!([{ "site": "25", "position": "abutment" }]), "{line}");
    }
    booked(&place, "case found 1047 --site 25 --position implant --part plover-implant-4.0x10 --sure guess");
    assert!(
        first_line(lines[1])
            .starts_with("CAREFUL, tooth 25: the implant and the abutment on record are guesses. ")
    );
}

/// The ring of a seat decides when its joint opens: without it nobody can say what would go first.
#[test]
fn an_order_that_cannot_be_compared_is_a_change_and_is_said() {
    let place = Place::demo();
    for (ring, which) in [
        ("inner = 2.7\n", "the inner diameter of the lower seat"),
        ("outer = 4.8\n", "the outer diameter of the upper seat"),
    ] {
        let part =
            format!("plover-mua-without-{}", ring.chars().filter(char::is_ascii_digit).collect::<String>());
        like(&place, ABUTMENT, &part, &[(ring, "")]);
        let answer = json(&place, &format!("swap 1047 25 abutment {part}"));
        let candidate = &answer["candidates"][0];
        assert_ne!(candidate["verdict"], "like for like", "{candidate:#}");
        let findings = candidate["findings"].as_array().unwrap();
        let weakest = findings.iter().find(|f| f["rule"] == "weakest-link");
        let weakest = weakest.unwrap_or_else(|| panic!("{candidate:#}"));
        assert_eq!(weakest["level"], "change");
        let expected =
            format!("what would break next with it cannot be compared: {which} of {part} is not on record");
        assert_eq!(weakest["effect"], expected.as_str());
    }
    like(&place, "plover-prosthetic-screw-1.4", "plover-screw-pitchless", &[("mean_diameter = 1.9\n", "")]);
    let answer = json(&place, "swap 1047 25 prosthetic-screw plover-screw-pitchless");
    let candidate = &answer["candidates"][0];
    let weakest = candidate["findings"].as_array().unwrap().iter().find(|f| f["rule"] == "weakest-link");
    let weakest = weakest.unwrap_or_else(|| panic!("{candidate:#}"));
    assert_eq!(weakest["level"], "change");
    assert!(
        word(&weakest["effect"])
            .starts_with("what would break next with it cannot be compared: the mean diameter"),
        "{weakest:#}"
    );
}
