//! Folders that are no home, or not one of ours: what they are is said, and they are left as they are.

use std::fs;
use std::path::Path;

use serde_json::json;
use sha2::{Digest, Sha256};

use super::typed::typed;
use crate::support::{Place, code, text};

const DECIDE: &str = "what to do: keep a copy of the whole home as it is; compare the sum of the last entry with the one on paper; restore logbook.jsonl from a backup, or, once a person has decided that the logbook in place is the right one, 'spareseat logbook accept --because REASON'";

const BOOK: &str = "receive plover-mua-4.1-c3.0 --lot L1 --quantity 1 --place cabinet-2-drawer-3";

/// What `line` says on the error side, with the home's path as 'HOME'; its exit status and whether it answered.
fn said(place: &Place, line: &str) -> (i32, String, bool) {
    let out = typed(place, line);
    let home = place.home().display().to_string();
    (code(&out), text(&out.stderr).replace(&home, "HOME"), !out.stdout.is_empty())
}

fn refused(place: &Place, line: &str, status: i32, says: &str) {
    assert_eq!(said(place, line), (status, format!("{says}\n"), false), "{line}");
}

/// The names in a folder.
fn names(folder: &Path) -> Vec<String> {
    let mut all: Vec<String> = fs::read_dir(folder)
        .map(|listed| listed.flatten().map(|e| e.file_name().to_string_lossy().into_owned()).collect())
        .unwrap_or_default();
    all.sort();
    all
}

#[test]
fn a_home_that_is_missing_is_not_made_by_accident() {
    let place = Place::empty();
    let says = "spareseat: no home at HOME: make one with 'spareseat --home HOME new --practice NAME', or a made-up one with 'spareseat demo'";
    for line in [
        "stock",
        "visit 1047 --site 25 --broken prosthetic-screw",
        BOOK,
        "logbook verify",
        "logbook rebuild",
        "logbook accept --because x",
    ] {
        refused(&place, line, 3, says);
        assert!(!place.home().exists(), "{line} made a home");
    }
}

#[test]
fn a_home_that_is_a_file() {
    let place = Place::empty();
    fs::write(place.home(), "letter").unwrap();
    for line in ["stock", BOOK, "demo", "new --practice X"] {
        refused(&place, line, 2, "spareseat: HOME is a file: a home is a folder");
    }
    assert_eq!(fs::read_to_string(place.home()).unwrap(), "letter");
}

#[test]
fn a_folder_with_something_else_in_it() {
    let place = Place::empty();
    fs::create_dir(place.home()).unwrap();
    fs::write(place.home().join("holiday.jpg"), "").unwrap();
    for line in ["demo", "new --practice X"] {
        refused(&place, line, 2, "spareseat: HOME is not empty and no home: choose an empty folder");
    }
    assert_eq!(names(&place.home()), ["holiday.jpg"]);
}

#[test]
fn the_demo_never_writes_into_a_real_practice() {
    let place = Place::empty();
    assert_eq!(code(&typed(&place, "new --practice 'Our practice'")), 0);
    let before = fs::read(place.home().join("logbook.jsonl")).unwrap();
    refused(
        &place,
        "demo",
        2,
        "spareseat: HOME is the home of a practice that is not made up: the demo never writes there. Choose another --home",
    );
    refused(&place, "new --practice Twice", 2, "spareseat: HOME is a home already: nothing was made");
    assert_eq!(fs::read(place.home().join("logbook.jsonl")).unwrap(), before);
}

#[test]
fn a_home_half_written_before_its_first_line_is_made_anew() {
    let place = Place::empty();
    fs::create_dir(place.home()).unwrap();
    fs::write(place.home().join("lock"), "12").unwrap();
    let (status, says, answered) = said(&place, "stock");
    assert_eq!((status, answered), (3, false));
    assert!(says.starts_with("spareseat: no home at HOME: "), "{says}");
    assert_eq!(code(&typed(&place, "new --practice 'Our practice'")), 0);
    assert_eq!(code(&typed(&place, "logbook verify")), 0);
}

#[test]
fn a_view_without_its_logbook_still_answers_and_says_what_is_missing() {
    let place = Place::demo();
    let last = place.json(&["stock"])["as_of"].as_u64().unwrap();
    fs::remove_file(place.home().join("logbook.jsonl")).unwrap();
    let (status, says, answered) = said(&place, "stock");
    assert!(says.contains(&format!("answered as of entry {last}; nothing can be booked: entries are missing: the view has entry {last}, the logbook ends at entry 0")), "{says}");
    assert!(says.contains(DECIDE), "{says}");
    assert_eq!((status, answered), (3, true));
    let (status, says, answered) = said(&place, BOOK);
    assert!(says.contains("the record is read-only, nothing was booked: entries are missing"), "{says}");
    assert_eq!((status, answered), (3, false));
    for line in ["demo", "new --practice X"] {
        let says = "spareseat: HOME has a view but no logbook.jsonl: entries are missing; restore the logbook from a backup before anything else";
        refused(&place, line, 3, says);
    }
    assert!(!place.home().join("logbook.jsonl").exists(), "no new record was begun over the old one");
}

#[test]
fn a_logbook_that_is_none() {
    for content in ["", "hello\n", "{}\n"] {
        let place = Place::empty();
        fs::create_dir(place.home()).unwrap();
        fs::write(place.home().join("logbook.jsonl"), content).unwrap();
        for line in ["stock", BOOK, "demo"] {
            let (status, says, answered) = said(&place, line);
            assert!(
                says.starts_with("spareseat: the logbook is damaged at line 1: "),
                "{line} on {content:?}: {says}"
            );
            assert!(says.contains(DECIDE), "{says}");
            assert_eq!((status, answered), (3, false), "{line} on {content:?}");
        }
        assert_eq!(fs::read_to_string(place.home().join("logbook.jsonl")).unwrap(), content);
    }
}

/// The logbook with one more line whose chain is right, made from its last line by `change`.
fn with_a_line(place: &Place, change: impl Fn(&mut serde_json::Value)) {
    let path = place.home().join("logbook.jsonl");
    let mut logbook = fs::read_to_string(&path).unwrap();
    let last = logbook.lines().last().unwrap().to_owned();
    let (body, sum) = last.split_once(",\"sum\":\"").unwrap();
    let mut line: serde_json::Value = serde_json::from_str(&format!("{body}}}")).unwrap();
    line["seq"] = json!(line["seq"].as_u64().unwrap() + 1);
    change(&mut line);
    logbook.push_str(&chained(&line, sum.trim_end_matches("\"}")));
    fs::write(path, logbook).unwrap();
}

/// A line in the order of its keys, with its sum.
fn chained(line: &serde_json::Value, before: &str) -> String {
    let keys = ["v", "seq", "at", "on", "by", "practice", "act", "entry"];
    let fields: Vec<String> = keys.iter().map(|k| format!("\"{k}\":{}", line[*k])).collect();
    let body = format!("{{{}", fields.join(","));
    let sum: String = Sha256::digest(format!("{before}{body}")).iter().map(|b| format!("{b:02x}")).collect();
    format!("{body},\"sum\":\"{sum}\"}}\n")
}

#[test]
fn what_a_newer_program_wrote_stops_bookings_not_look_ups() {
    let last = Place::demo().json(&["stock"])["as_of"].as_u64().unwrap();
    let line = last + 1;
    type Change = fn(&mut serde_json::Value);
    let newer: [(&str, Change, String); 2] = [
        (
            "line",
            |l| l["v"] = json!(2),
            format!(
                "line {line} of the logbook is of format 2; this program reads format 1: use the newer spareseat"
            ),
        ),
        (
            "kind",
            |l| l["entry"] = json!({ "use.9": { "of": "tomorrow" } }),
            "a newer spareseat wrote an entry of kind 'use.9'".to_owned(),
        ),
    ];
    for (what, change, why) in newer {
        let place = Place::demo();
        with_a_line(&place, change);
        let before = fs::read(place.home().join("logbook.jsonl")).unwrap();
        let (status, says, answered) = said(&place, "stock");
        assert!(
            says.contains(&format!("answered as of entry {last}")) && says.contains(&why),
            "{what}: {says}"
        );
        assert_eq!((status, answered), (0, true), "{what}: {says}");
        let (status, says, answered) = said(&place, BOOK);
        assert!(says.contains(&why), "{what}: {says}");
        assert_eq!((status, answered), (3, false), "{what}");
        assert!(fs::read(place.home().join("logbook.jsonl")).unwrap() == before, "{what}");
        // The same without a view to lean on.
        fs::remove_dir_all(place.home().join(spareseat::record::VIEW_FOLDER)).unwrap();
        assert_eq!(said(&place, "stock").0, 0, "{what}: folded anew up to what is understood");
    }
}

#[test]
fn a_logbook_founded_in_a_newer_format_is_refused_by_name() {
    let place = Place::empty();
    assert_eq!(code(&typed(&place, "new --practice 'Our practice'")), 0);
    let path = place.home().join("logbook.jsonl");
    let mut line: serde_json::Value = serde_json::from_str(&fs::read_to_string(&path).unwrap()).unwrap();
    line["entry"]["new.1"]["format"] = json!(2);
    fs::write(&path, chained(&line, &"0".repeat(64))).unwrap();
    for typed in ["stock", "case new 1", "demo"] {
        let (status, says, answered) = said(&place, typed);
        assert!(
            says.contains(
                "line 1 of the logbook is of format 2; this program reads format 1: use the newer spareseat"
            ),
            "{typed}: {says}"
        );
        assert_eq!((status, answered), (3, false), "{typed}");
    }
}

#[test]
fn a_home_where_nothing_can_be_made() {
    let place = Place::empty();
    let out = place
        .command(&["--as", "AB", "new", "--practice", "X"])
        .env("SPARESEAT_HOME", "/proc/none")
        .output()
        .unwrap();
    assert_eq!(code(&out), 0, "--home comes before SPARESEAT_HOME");
    let mut command = crate::support::started();
    let out = command
        .args(["--as", "AB", "new", "--practice", "X"])
        .env("SPARESEAT_HOME", "/proc/none")
        .output()
        .unwrap();
    assert_eq!(
        (code(&out), text(&out.stderr)),
        (3, "spareseat: could not make /proc/none: No such file or directory (os error 2)\n".to_owned())
    );
}

#[test]
fn a_home_without_rights_is_not_called_missing() {
    use std::os::unix::fs::PermissionsExt as _;
    use std::os::unix::process::CommandExt as _;
    let place = Place::demo();
    for folder in [place.folder(), &place.home()] {
        fs::set_permissions(folder, fs::Permissions::from_mode(0o711)).unwrap();
    }
    fs::set_permissions(place.home(), fs::Permissions::from_mode(0o600)).unwrap();
    let mut command = place.command(&["stock"]);
    // Rights do not bind root: then somebody without any asks.
    if fs::metadata("/proc/self").is_ok_and(|m| std::os::unix::fs::MetadataExt::uid(&m) == 0) {
        let program = place.folder().join("spareseat");
        fs::copy(crate::support::program(), &program).unwrap();
        fs::set_permissions(&program, fs::Permissions::from_mode(0o755)).unwrap();
        let mut other = std::process::Command::new(program);
        other.args(command.get_args()).current_dir("/").uid(65534);
        command = other;
    }
    // A process that another test starts at this moment may still hold the copy open for writing.
    let out = (0..100).find_map(|_| match command.output() {
        Err(e) if e.kind() == std::io::ErrorKind::ExecutableFileBusy => {
            std::thread::sleep(std::time::Duration::from_millis(20));
            None
        }
        out => Some(out.unwrap()),
    });
    let out = out.expect("the copy can be started");
    fs::set_permissions(place.home(), fs::Permissions::from_mode(0o700)).unwrap();
    assert_eq!(code(&out), 3, "{}", text(&out.stderr));
    assert!(text(&out.stderr).contains("cannot be read: Permission denied"), "{}", text(&out.stderr));
}
