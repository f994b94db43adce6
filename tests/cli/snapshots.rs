//! The screens a person reads most, kept word for word under tests/cli/expected.
//!
//! `SPARESEAT_REFRESH=1 cargo test --test suite cli::snapshots` writes them anew: read the difference before it is
//! committed, line by line, as a tired person would.

use std::fs;
use std::path::{Path, PathBuf};

use spareseat::case::Broken;

use super::bare_numbers::bare_numbers;
use crate::support::{DAY, Place, code, text};

/// File, what is typed, exit status; in order, in one home.
const SCREENS: &[(&str, &str, i32)] = &[
    ("demo", "demo", 0),
    ("visit-1047", "visit 1047 --site 25 --broken prosthetic-screw --left shank-in-abutment", 0),
    ("visit-1047-abutment", "visit 1047 --site 25 --broken abutment", 0),
    ("swap-1047", "swap 1047 25 abutment", 0),
    ("swap-1047-too-high", "swap 1047 25 abutment plover-mua-4.1-c3.5", 1),
    ("swap-1047-framework", "swap 1047 25 framework", 1),
    ("stock", "stock", 0),
    ("stock-expiring", "stock --expires-within 30", 0),
    ("case-1047", "case show 1047", 0),
    ("case-2210", "case show 2210", 0),
    ("case-3306", "case show 3306", 0),
    ("case-4051", "case show 4051", 0),
    ("logbook", "logbook show --case 1047", 0),
];

/// The demo's cases, each with the site the call is about.
const CALLS: &[(&str, &str)] =
    &[("1047", "25"), ("2210", "35"), ("3306", "46"), ("4051", "36"), ("5120", "36"), ("6188", "16")];

/// Every report for every case: file and what is typed. The exit status is the last line of the file.
fn calls() -> Vec<(String, String)> {
    let one = |(case, site): &(&str, &str), word: &str| {
        (format!("visits/{case}-{word}"), format!("visit {case} --site {site} --broken {word}"))
    };
    CALLS.iter().flat_map(|call| Broken::ALL.iter().map(move |(_, word)| one(call, word))).collect()
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cli/expected")
}

/// Runs `line` in the folder 'home' below, so that no path of this machine is shown.
fn screen(place: &Place, line: &str) -> (i32, String) {
    let mut command = crate::support::started();
    command.args(["--home", "home", "--on", DAY]).args(line.split(' ')).env_remove("SPARESEAT_HOME");
    let out = command.current_dir(place.folder()).output().expect("the program starts");
    assert_eq!(text(&out.stderr), "", "{line}");
    (code(&out), text(&out.stdout))
}

/// The first line that differs, with its number.
pub fn first_difference(shown: &str, expected: &str) -> Option<String> {
    let (mut a, mut b) = (shown.lines(), expected.lines());
    for n in 1.. {
        match (a.next(), b.next()) {
            (None, None) => break,
            (shown, expected) if shown == expected => {}
            (shown, expected) => {
                let end = "(the end)";
                return Some(format!(
                    "line {n}\n  shown:    {}\n  expected: {}",
                    shown.unwrap_or(end),
                    expected.unwrap_or(end)
                ));
            }
        }
    }
    None
}

#[test]
fn the_screens_are_as_they_were_read_and_approved() {
    let refresh = std::env::var_os("SPARESEAT_REFRESH").is_some();
    let place = Place::empty();
    let mut differ = Vec::new();
    for (name, line, status) in SCREENS {
        let (exit, shown) = screen(&place, line);
        let file = folder().join(format!("{name}.txt"));
        if refresh {
            fs::create_dir_all(folder()).unwrap();
            fs::write(&file, &shown).unwrap();
        }
        let expected = fs::read_to_string(&file).unwrap_or_default();
        differ.extend(first_difference(&shown, &expected).map(|d| format!("{name}.txt ({line}): {d}")));
        if exit != *status {
            differ.push(format!("{line}: exit {exit}, expected {status}"));
        }
    }
    for (name, line) in calls() {
        let (exit, shown) = screen(&place, &line);
        assert!(matches!(exit, 0 | 1), "{line}: exit {exit}: {shown}");
        let shown = format!("{shown}\nexit {exit}\n");
        let file = folder().join(format!("{name}.txt"));
        if refresh {
            fs::create_dir_all(folder().join("visits")).unwrap();
            fs::write(&file, &shown).unwrap();
        }
        let expected = fs::read_to_string(&file).unwrap_or_default();
        differ.extend(first_difference(&shown, &expected).map(|d| format!("{name}.txt ({line}): {d}")));
    }
    assert!(differ.is_empty(), "{}\nSPARESEAT_REFRESH=1 writes them anew", differ.join("\n"));
    no_number_stands_alone_and_no_control_character_is_shown();
}

#[test]
fn no_file_is_kept_that_nothing_is_held_against() {
    let files = |below: &str| -> Vec<String> {
        let all = fs::read_dir(folder().join(below)).unwrap().map(|e| e.unwrap().path());
        all.filter(|p| p.is_file())
            .map(|p| p.strip_prefix(folder()).unwrap().to_string_lossy().into_owned())
            .collect()
    };
    let mut kept: Vec<String> = [files(""), files("visits")].concat();
    kept.sort();
    let mut expected: Vec<String> = names().map(|name| format!("{name}.txt")).collect();
    expected.sort();
    assert_eq!(kept, expected);
}

fn names() -> impl Iterator<Item = String> {
    SCREENS.iter().map(|(name, ..)| (*name).to_owned()).chain(calls().into_iter().map(|(name, _)| name))
}

fn no_number_stands_alone_and_no_control_character_is_shown() {
    let mut wrong = Vec::new();
    for name in names() {
        let shown = fs::read_to_string(folder().join(format!("{name}.txt"))).unwrap();
        assert!(!shown.is_empty(), "{name}");
        for (n, line) in shown.lines().enumerate() {
            wrong.extend(
                bare_numbers(line)
                    .into_iter()
                    .map(|what| format!("{name}.txt:{}: '{what}' stands alone: {line}", n + 1)),
            );
            if line.chars().any(char::is_control) {
                wrong.push(format!("{name}.txt:{}: a control character: {line:?}", n + 1));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_difference_is_named_by_its_line() {
    assert_eq!(first_difference("a\nb\n", "a\nb\n"), None);
    assert_eq!(first_difference("a\nc\n", "a\nb\n").unwrap(), "line 2\n  shown:    c\n  expected: b");
    assert_eq!(first_difference("a\n", "a\nb\n").unwrap(), "line 2\n  shown:    (the end)\n  expected: b");
}
