//! `scan` as people type it: every published row, what the screen shows, and nothing raw on it.

use std::ffi::OsStr;
use std::os::unix::ffi::OsStrExt as _;

use serde_json::Value;

use super::hostile::clean;
use super::typed::without_day;
use crate::scan::vectors::{GS1, HIBC, rows};
use crate::support::{Place, code, text};

#[test]
fn every_row_comes_out_of_the_program_as_it_stands() {
    let place = Place::empty();
    for row in [GS1, HIBC].into_iter().flat_map(|file| rows(file).0) {
        let label = row["input"].as_str().expect("a label");
        let out = place.run(&["--json", "scan", label]);
        let said: Value = serde_json::from_slice(&out.stdout).unwrap_or_else(|e| panic!("{row}: {e}"));
        let expected = &row["expected"];
        let verdict = match (expected["verdict"].as_str(), row["expect"].as_str()) {
            (Some(verdict), _) | (None, Some(verdict @ "ok")) => verdict,
            _ => "error",
        };
        assert_eq!((said["verdict"].as_str(), &said["version"]), (Some(verdict), &1.into()), "{row}");
        assert_eq!((code(&out), text(&out.stderr)), (i32::from(verdict != "ok"), String::new()), "{row}");
        for (key, value) in [("elements", &expected["elements"]), ("parsed", &row["parsed"])] {
            assert!(value.is_null() || said[key] == *value, "{row}: {said}");
        }
        let standard = match (verdict, expected.is_null()) {
            ("not_gs1", _) => Value::Null,
            (_, true) => "hibc".into(),
            (_, false) => "gs1".into(),
        };
        assert_eq!(said["standard"], standard, "{row}");
        let counted = |key: &str| said[key].as_array().map_or(0, Vec::len);
        let told = (counted("reasons") > 0, counted("warnings") > 0);
        assert_eq!(told, (matches!(verdict, "error" | "not_gs1"), verdict == "warn"), "{row}: {said}");
    }
    assert!(!place.home().exists(), "no home is needed and none is made");
}

/// The exit status and what stands on the screen.
fn shown(args: &[&str]) -> (i32, String) {
    let out = Place::empty().run(&[&["scan"], args].concat());
    assert_eq!(text(&out.stderr), "", "{args:?}");
    (code(&out), text(&out.stdout))
}

#[test]
fn the_first_line_is_the_answer() {
    assert_eq!(
        shown(&["]d20109521234543213112601001727020010LOT-7/A\u{1d}21SN0001"]),
        (
            0,
            "GS1 label: item 09521234543213, lot LOT-7/A, serial number SN0001, expiry end of Feb 2027, made on Jan 2026.\n\n\
             \x20       what           value           day\n\
             \x20 ----- -------------- --------------- -----------------\n\
             \x20 (01)  item (GTIN)    09521234543213\n\
             \x20 (11)  made on        260100          Jan 2026, no day\n\
             \x20 (17)  expiry         270200          Feb 2027, no day\n\
             \x20 (10)  lot            LOT-7/A\n\
             \x20 (21)  serial number  SN0001\n"
                .to_owned()
        )
    );
    assert_eq!(
        shown(&["+$$4050928223C001LG"]),
        (
            0,
            "HIBC label: no item, lot 3C001, expiry 28 Sep 2005.\n\n  \
             what                value\n  \
             ------------------- ------------------------------------------------------------\n  \
             lot                 3C001\n  \
             expiry              28 Sep 2005 22:00 Greenwich time, from 05092822 as YYMMDDHH\n  \
             first part ends in  'L'\n  \
             check character     'G'\n"
                .to_owned()
        )
    );
    let (status, doubtful) = shown(&["(10)A1"]);
    assert_eq!(status, 1);
    assert!(
        doubtful.starts_with(
            "GS1 label, with a doubt: no item, lot A1.\n\nDoubts\n  - (10) stands without (01) or (02)"
        ),
        "{doubtful}"
    );
    assert_eq!(
        shown(&["+A123BJC5D6E71H"]),
        (
            1,
            "Refused: the label ends in the check character 'H': the text before it asks for 'G'; scan it again, and if it stays so type item, lot and expiry as printed.\n"
                .to_owned()
        )
    );
    let (status, other) = shown(&["]E09521234543213"]);
    assert!(status == 1 && other.starts_with("Not read: the symbol says by ']E0'"), "{other}");
}

#[test]
fn the_day_said_gives_the_century() {
    let place = Place::empty();
    for (on, day) in
        [("2026-11-25", "1977-01-01"), ("2027-01-01", "2077-01-01"), ("1999-12-31", "1977-01-01")]
    {
        let out = without_day(&place, &format!("--on {on} --json scan (01)09521234543213(17)770101"));
        let said: Value = serde_json::from_slice(&out.stdout).expect("an answer");
        assert_eq!(said["elements"][1]["date"], day, "{on}");
    }
    let (_, why) = shown(&["(01)09521234543213(17)770101", "--why"]);
    assert!(why.contains("two digits of a year are those near to 2026"), "{why}");
    assert!(why.contains("source: GS1 General Specifications"), "{why}");
    assert!(shown(&["+A123BJC5D6E71G", "--why"]).1.contains("source: ANSI/HIBC 2.6"));
}

#[test]
fn nothing_of_a_label_reaches_the_screen_raw() {
    let place = Place::empty();
    for nasty in ["\u{1b}[2J", "\u{1d}", "\u{202e}", "\u{7}", "\r", "\u{9b}31m", "\u{feff}", "\u{1}"] {
        for label in [
            nasty.to_owned(),
            format!("{nasty}010952123454321310L1"),
            format!("010952123454321310L1{nasty}"),
            format!("010952123454321310L1{nasty}21S{nasty}"),
            format!("(01)09521234543213(10)A{nasty}B"),
            format!("({nasty})1"),
            format!("+A123BJC5D6E71{nasty}G"),
            format!("*+{nasty}*"),
            format!("]d2{nasty}{nasty}"),
            format!("]{nasty}2"),
            format!("]E0{nasty}"),
        ] {
            for json in ["--why", "--json"] {
                let out = place.run(&["scan", &label, json]);
                assert!(matches!(code(&out), 0 | 1), "{label:?}: {}", text(&out.stderr));
                assert_eq!(text(&out.stderr), "", "{label:?}");
                clean(&format!("{label:?}"), &out.stdout);
            }
        }
    }
}

#[test]
fn a_label_that_is_no_text_or_far_too_long_is_refused() {
    let place = Place::empty();
    let out = place.command(&["scan"]).arg(OsStr::from_bytes(b"]d2\xff\xfe")).output().expect("it starts");
    assert_eq!((code(&out), text(&out.stdout)), (2, String::new()));
    assert_eq!(code(&place.run(&["scan"])), 2);
    let long = "01".repeat(50_000);
    assert_eq!(
        shown(&[&long]),
        (
            1,
            "Refused: the label has 100000 bytes: at most 200 are read; scan one symbol at a time.\n"
                .to_owned()
        )
    );
    let (status, empty) = shown(&[""]);
    assert!(status == 1 && empty.starts_with("Refused: the label is empty"), "{empty}");
}
