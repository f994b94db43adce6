//! The page that is printed and signed: what it says, and what it is written over.

use serde_json::Value as Json;
use spareseat::bench::fit::{apart, percent};

use super::printed::{ALL_RAISED, RAISED, TURNED, balanced, import, json, sheet};
use super::typed::{typed, words};
use crate::support::{Place, code, text};

#[test]
fn the_page_says_what_the_answer_says_and_needs_nothing_from_outside() {
    let place = Place::demo();
    for (line, said) in [
        (
            RAISED,
            &["Does not keep the fit", "500 µm higher", "<b>5 times</b>", "no permission", "Scale 4 : 1"][..],
        ),
        (
            TURNED,
            &[
                "tilted by <b>29.0°</b>",
                "<b>1.45 mm</b> beside its old place",
                "<b>20 times</b>",
                ">\nas high\n<",
                "fitted: angle 30°, offset 1.50 mm, leans mesial; new: angle 30°, offset 1.50 mm, leans 60° past mesial.",
            ][..],
        ),
        (ALL_RAISED, &["Check at try-in", "by the drawings nothing gapes", "Scale 2 : 1"][..]),
        ("fit 3306 --swap 46:abutment-screw=avocet-abutment-screw", &["Keeps the fit", "crown"][..]),
        (
            "fit 4051 --swap 34:abutment=dunlin-mua-4.2-c3.0",
            &[
                "not known: the outer diameter of the seat at tooth 34",
                "Dashed: NOT to scale, a number of this part is not known: neck (fitted, tooth 34), seat ring (fitted, tooth 34).",
                "No gap is computed or drawn: what is not known stands above.",
            ][..],
        ),
    ] {
        let page = sheet(&place, line);
        let always = [
            "INVENTED: no real patient",
            "Mudflat Practice",
            "25 Nov 2026",
            "Laboratory",
            "Signature",
            "Remarks",
            "taken note of by",
            "local rules come first. INVENTED.</b>",
        ];
        for part in said.iter().chain(&always) {
            assert!(page.contains(part), "{line}: {part}");
        }
        for outside in ["http", "src=", "href", "@import", "<script", "url("] {
            let page = page.replace("xmlns=\"http://www.w3.org/2000/svg\"", "");
            assert!(!page.contains(outside), "{line}: {outside}");
        }
        assert!(!page.contains("NaN") && !page.contains("inf\""), "{line}");
        balanced(&page);
    }
}

/// Every number of the answer, as its JSON gives it, stands in the tables.
#[test]
fn the_tables_hold_the_numbers_of_the_answer() {
    let place = Place::demo();
    for line in [RAISED, TURNED, ALL_RAISED] {
        let (page, json) = (sheet(&place, line), json(&place, line));
        let um = |v: &Json| apart(v.as_f64().unwrap() / 1000.0);
        let gap = |v: &Json| format!("<td>{} / {}</td>", um(&v["centre_gap_um"]), um(&v["widest_gap_um"]));
        let mut rows = 0;
        for site in json["fit"]["sites"].as_array().unwrap() {
            let tests = &site["one_screw_tests"];
            let rocked = &site["rocked_centre_um"];
            let row = format!(
                "{}{}{}<td>{} to {}</td><td>{}</td></tr>",
                gap(&site["rest"]),
                gap(&tests[0]),
                gap(&tests[1]),
                um(&rocked[0]),
                um(&rocked[1]),
                site["words"].as_str().unwrap()
            );
            let rise = match site["rise_um"].as_f64().unwrap() / 1000.0 {
                0.0 => "as before".to_owned(),
                mm if mm > 0.0 => format!("{} higher", apart(mm)),
                mm => format!("{} lower", apart(-mm)),
            };
            let start = format!("<tr><td>tooth {}</td>", site["site"].as_str().unwrap());
            let row = format!("{start}<td>{rise}</td>{row}");
            assert!(page.contains(&row), "{line}: {row}");
            let pull = &site["shut"]["pull_n"];
            // An upper bound of thousands is shown to two digits.
            let shown = |v: &Json| match v.as_f64().unwrap() {
                v if v < 1000.0 => format!("{v:.0}"),
                v => format!("{:.0}", format!("{v:.1e}").parse::<f64>().unwrap()),
            };
            let both = |v: &Json, unit: &str| format!("<td>{} / {} {unit}</td>", shown(&v[0]), shown(&v[1]));
            let shut = format!("{start}{}{}", both(pull, "N"), both(&site["shut"]["moment_nmm"], "Nmm"));
            assert_eq!(page.contains(&shut), line != ALL_RAISED, "{line}: {shut}");
            rows += 1;
        }
        assert_eq!(rows, json["sites"].as_array().unwrap().len());
        let scatter = &json["fit"]["scatter"];
        assert!(
            page.contains(&um(&scatter["median_um"]))
                && page.contains(&um(&scatter["nineteen_in_twenty_um"]))
        );
        if line == ALL_RAISED {
            assert!(page.contains(&percent(scatter["within_keeps"].as_f64().unwrap())));
        }
        for list in ["because", "assumed"] {
            for said in json[list].as_array().unwrap() {
                let escaped = said.as_str().unwrap().replace('&', "&amp;");
                assert!(page.contains(&format!("<li>{escaped}</li>")), "{line}: {escaped}");
            }
        }
        // What would be pulled is never said without this, nor this without that.
        let permission = json["fit"]["no_permission"].as_str().unwrap();
        assert_eq!(page.contains(permission), line != ALL_RAISED, "{line}");
    }
}

#[test]
fn what_people_wrote_stays_text() {
    let place = Place::demo();
    let taken = import(&place, "odd.toml", "plover-mua-odd", |l| {
        let hostile = "description = \"<script>alert(1)</script> & \\\"x\\\" '</style>\"";
        Some(if l.starts_with("description") { hostile.to_owned() } else { l.to_owned() })
    });
    assert_eq!(code(&taken), 0, "{}", text(&taken.stderr));
    let set =
        typed(&place, "bands --keeps 30 --doubtful 100 --check 150 --because '</li><img onerror=x> & \"y\"'");
    assert_eq!(code(&set), 0, "{}", text(&set.stderr));
    let page = sheet(&place, "fit 1047 --swap 25:abutment=plover-mua-odd");
    assert!(page.contains("&lt;script&gt;alert(1)&lt;/script&gt; &amp; &quot;x&quot;"), "{page}");
    assert!(page.contains("&lt;/li&gt;&lt;img onerror=x&gt; &amp;"), "{page}");
    assert!(!page.contains("<script") && !page.contains("<img"));
    assert_eq!(page.matches("</style>").count(), 1);
    balanced(&page);
    // What would move a cursor never gets as far as a page.
    let bell = import(&place, "bell.toml", "plover-mua-bell", |l| {
        Some(if l.starts_with("description") {
            "description = \"a\\u001b[2Jb\"".to_owned()
        } else {
            l.to_owned()
        })
    });
    assert_ne!(code(&bell), 0);
}

#[test]
fn a_sheet_is_written_whole_where_nothing_stood_or_not_at_all() {
    let place = Place::demo();
    std::fs::write(place.folder().join("here.html"), "kept").unwrap();
    let long = "x".repeat(300);
    for (file, status, says) in [
        (
            "--sheet here.html",
            2,
            "here.html exists: nothing was written. Choose another name, or add --over to put this in its place",
        ),
        ("--sheet .", 2, ". is a folder: name a file in it. Nothing was written"),
        (
            "--sheet nowhere/sheet.html",
            3,
            "could not write nowhere/sheet.html: No such file or directory (os error 2). Nothing was left there",
        ),
        (
            "--sheet here.html/sheet.html",
            3,
            "could not write here.html/sheet.html: Not a directory (os error 20). Nothing was left there",
        ),
        (
            &format!("--sheet {long}"),
            3,
            &format!(
                "could not write {}: File name too long (os error 36). Nothing was left there",
                spareseat::units::printable(&long)
            ),
        ),
        (
            "--sheet one.html --answer one.html",
            2,
            "--sheet and --answer name the same file: give each a name of its own",
        ),
    ] {
        let out = typed(&place, &format!("{RAISED} {file}"));
        assert_eq!(text(&out.stderr), format!("spareseat: {says}\n"));
        assert_eq!((code(&out), text(&out.stdout)), (status, String::new()), "{file}");
    }
    // Who answers was not said: no sheet lies there either.
    let line = words(&format!("{RAISED} --sheet sheet.html --answer answer.json"));
    let out = place.run(&line.iter().map(String::as_str).collect::<Vec<_>>());
    assert_eq!(text(&out.stderr), "spareseat: say who answers: --as INITIALS\n");
    let left =
        std::fs::read_dir(place.folder()).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap());
    let mut left: Vec<String> = left.collect();
    left.sort();
    assert_eq!(left, ["here.html", "home"]);
    assert_eq!(std::fs::read_to_string(place.folder().join("here.html")).unwrap(), "kept");
    let over = typed(&place, &format!("{RAISED} --sheet here.html --over"));
    assert_eq!(code(&over), 1, "the answer is still no");
    assert!(
        std::fs::read_to_string(place.folder().join("here.html")).unwrap().starts_with("<!DOCTYPE html>")
    );
}

#[test]
fn the_answer_is_the_same_with_a_sheet_and_without() {
    let place = Place::demo();
    for line in [RAISED, TURNED, ALL_RAISED] {
        let (with, without) = (typed(&place, &format!("{line} --sheet s.html --over")), typed(&place, line));
        assert_eq!(
            text(&with.stdout),
            format!("{}The sheet to print and sign lies in s.html.\n", text(&without.stdout))
        );
        assert_eq!(code(&with), code(&without));
        let mut with = json(&place, &format!("{line} --sheet s.html --over"));
        assert_eq!(with.as_object_mut().unwrap().remove("sheet"), Some("s.html".into()));
        assert_eq!(with, json(&place, line));
    }
}
