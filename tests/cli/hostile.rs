//! Labels, notes and names with control characters, or far too long: kept out, or never shown raw.

use std::fs;

use super::refusals::held;
use crate::support::{Place, code, text};

/// A screen is cleared, a colour set, the reading direction turned, a bell rung.
const NASTY: [&str; 5] = ["\u{1b}[2J", "a\u{1b}[31mb", "a\u{202e}b", "\u{7}", "a\rb"];

fn is_hidden(c: char) -> bool {
    (c.is_control() && c != '\n')
        || matches!(c, '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{2069}' | '\u{feff}')
}

/// Fails when anything that moves the cursor, hides or turns the text came out.
pub fn clean(what: &str, bytes: &[u8]) {
    let shown = text(bytes);
    let found: Vec<char> = shown.chars().filter(|c| is_hidden(*c)).collect();
    assert!(found.is_empty(), "{what}: {found:?} was shown");
}

#[test]
fn a_text_with_control_characters_is_refused_and_said_back_visibly() {
    let place = Place::demo();
    let before = held(&place);
    for nasty in NASTY {
        let screw = ["--part", "plover-prosthetic-screw-1.4", "--lot", "PS-1120", "--torque", "15"];
        let tries: [Vec<&str>; 8] = [
            vec!["case", "note", "1047", nasty],
            vec!["case", "new", nasty],
            vec![
                "receive",
                "plover-mua-4.1-c3.0",
                "--lot",
                nasty,
                "--quantity",
                "1",
                "--place",
                "cabinet-2-drawer-3",
            ],
            vec!["receive", nasty, "--lot", "L", "--quantity", "1", "--place", "cabinet-2-drawer-3"],
            vec!["stock", "--place", nasty],
            vec!["swap", "1047", nasty, "abutment"],
            [&["use", "1047", "--site", "25", "--position", nasty], &screw[..]].concat(),
            vec![nasty],
        ];
        for args in tries {
            let out = place.book(&args);
            assert_eq!((code(&out), text(&out.stdout)), (2, String::new()), "{args:?}");
            clean(&format!("{args:?}"), &out.stderr);
        }
    }
    assert!(held(&place) == before);
}

#[test]
fn a_text_of_100_000_bytes_is_refused_in_a_line_or_two() {
    let place = Place::demo();
    let before = held(&place);
    let long = "x".repeat(100_000);
    let tries: [Vec<&str>; 7] = [
        vec!["case", "note", "1047", &long],
        vec!["case", "new", &long],
        vec![
            "receive",
            "plover-mua-4.1-c3.0",
            "--lot",
            "L",
            "--quantity",
            "1",
            "--place",
            "cabinet-2-drawer-3",
            "--label",
            &long,
        ],
        vec![
            "receive",
            "plover-mua-4.1-c3.0",
            "--lot",
            &long,
            "--quantity",
            "1",
            "--place",
            "cabinet-2-drawer-3",
        ],
        vec![
            "receive",
            "plover-mua-4.1-c3.0",
            "--lot",
            "L",
            "--quantity",
            &long,
            "--place",
            "cabinet-2-drawer-3",
        ],
        vec!["visit", "1047", "--site", &long, "--broken", "abutment"],
        vec![&long],
    ];
    for args in tries {
        let out = place.book(&args);
        assert_eq!((code(&out), text(&out.stdout)), (2, String::new()), "{}", args[0]);
        assert!(
            out.stderr.len() < 600,
            "{} bytes of complaint: {}",
            out.stderr.len(),
            &text(&out.stderr)[..600]
        );
    }
    let note = place.book(&["case", "note", "1047", &long]);
    assert!(
        text(&note.stderr).contains("the text has 100000 bytes: at most 500 are kept"),
        "{}",
        text(&note.stderr)
    );
    let label = place.book(&[
        "receive",
        "plover-mua-4.1-c3.0",
        "--lot",
        "L",
        "--quantity",
        "1",
        "--place",
        "cabinet-2-drawer-3",
        "--label",
        &long,
    ]);
    assert!(
        text(&label.stderr).contains("a label has 100000 bytes: at most 200 are kept"),
        "{}",
        text(&label.stderr)
    );
    assert!(held(&place) == before);
}

#[test]
fn a_file_with_a_megabyte_of_text_names_the_line_and_the_limit() {
    let place = Place::demo();
    let before = held(&place);
    let megabyte = "x".repeat(1 << 20);
    let head = "form = 1\ncase = \"5001\"\nnumbering = \"iso-3950\"\n";
    let site = "[[site]]\ntooth = 25\n[[site.fitted]]\nposition = \"abutment\"\npart = \"plover-mua-4.1-c3.0\"\nsure = \"label\"\n";
    for (rest, says) in [
        (
            format!("[load]\nsigns = \"{megabyte}\"\n"),
            "5001.toml:5: signs: the text has 1048576 bytes: at most 500 are kept",
        ),
        (
            format!("{site}label = \"{megabyte}\"\n"),
            "5001.toml:10: label: a label has 1048576 bytes: at most 200 are kept",
        ),
        (
            format!("{site}lot = \"a\\u001b[2Jb\"\n"),
            "5001.toml:10: lot: 'a\\u{1b}[2Jb' is not a lot: expected the lot as printed, without spaces",
        ),
        (
            "[[event]]\non = \"2026-01-01\"\nwhat = \"noted\"\nnote = \"a\\u0007b\"\n".to_owned(),
            "5001.toml:7: note: 'a\\u{7}b' is not the text: expected one line of text without control characters",
        ),
    ] {
        fs::write(place.folder().join("5001.toml"), format!("{head}{rest}")).unwrap();
        let out = place.book(&["case", "import", "5001.toml"]);
        assert_eq!(text(&out.stderr), format!("spareseat: 1 mistake found, nothing was taken:\n  {says}\n"));
        assert_eq!((code(&out), text(&out.stdout)), (2, String::new()));
    }
    assert!(held(&place) == before);
}

#[test]
fn a_scanned_label_is_kept_as_it_came_and_shown_visibly() {
    let place = Place::demo();
    // What a scanner sends: a group separator, and by mistake worse.
    let label = "]d20101234567890128\u{1d}10AB\u{1b}[31m\u{202e}";
    let screw = "plover-prosthetic-screw-1.4";
    let received = place.book(&[
        "receive",
        screw,
        "--lot",
        "AB",
        "--quantity",
        "1",
        "--place",
        "cabinet-2-drawer-1",
        "--label",
        label,
    ]);
    assert_eq!(code(&received), 0, "{}", text(&received.stderr));
    let used = place.book(&[
        "use",
        "1047",
        "--site",
        "25",
        "--position",
        "prosthetic-screw",
        "--part",
        screw,
        "--lot",
        "AB",
        "--torque",
        "15",
        "--label",
        label,
    ]);
    assert_eq!(code(&used), 0, "{}", text(&used.stderr));
    for args in [
        &["case", "show", "1047"][..],
        &["logbook", "show"],
        &["stock"],
        &["visit", "1047", "--site", "25", "--broken", "prosthetic-screw"],
    ] {
        clean(&format!("{args:?}"), &place.run(args).stdout);
        clean(&format!("--json {args:?}"), &place.run(&[&["--json"], args].concat()).stdout);
    }
    let case = place.json(&["case", "show", "1047"]);
    assert!(
        case.to_string().contains("]d20101234567890128\\\\u{1d}10AB\\\\u{1b}[31m\\\\u{202e}"),
        "{case:#}"
    );
    let logbook = fs::read_to_string(place.home().join("logbook.jsonl")).unwrap();
    assert!(
        logbook.contains("]d20101234567890128\\u001d10AB\\u001b[31m\u{202e}"),
        "the record keeps the label itself"
    );
}

#[test]
fn the_search_for_hidden_characters_finds_them() {
    for nasty in NASTY {
        assert!(nasty.chars().any(is_hidden), "{nasty:?}");
    }
    assert!(!"24-25-(26)-27, 78 °C\n".chars().any(is_hidden));
}

#[test]
fn a_path_with_control_characters_is_said_visibly() {
    let mut command = crate::support::started();
    let out = command.args(["--home", "no\u{1b}[31mwhere", "stock"]).output().unwrap();
    assert_eq!(code(&out), 3);
    clean("--home", &out.stderr);
    let place = Place::demo();
    clean("case import", &place.book(&["case", "import", "a\u{1b}[2Jb.toml"]).stderr);
}
