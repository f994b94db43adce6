//! What was decided about the shape of the code, enforced: rooms, names, lengths, what is deliberately absent.
//!
//! The checks read text, not syntax: simple enough to be believed, and each is shown below to find what it looks for.

mod rooms;
mod tree;

use std::collections::BTreeSet;
use std::path::Path;

use tree::{Source, code_lines, read, root, sources, tracked};

/// Fails with every complaint at once.
fn nothing(complaints: Vec<String>) {
    assert!(complaints.is_empty(), "\n{}", complaints.join("\n"));
}

/// A library that may be replaced is named in one file, so that the day it is replaced is a short one.
#[test]
fn one_file_names_each_library_that_may_go() {
    let only = [
        ("sled::", "src/store/sled.rs"),
        ("bincode::", "src/record/codec.rs"),
        ("tabled::", "src/report/table.rs"),
        ("strsim::", "src/units/near.rs"),
        ("rustix::", "src/desk/home.rs"),
        ("getrandom::", "src/cli.rs"),
        ("uuid::", "src/report/fhir/bundle.rs"),
        ("base64::", "src/report/fhir/device.rs"),
    ];
    let mut wrong = Vec::new();
    for (library, file) in only {
        let names =
            |s: &&Source| code_lines(&s.text).any(|(_, l)| l.contains(library) && !l.contains("self::"));
        let all = sources("src");
        let found: Vec<&str> = all.iter().filter(names).map(|s| s.path.as_str()).collect();
        if found != [file] {
            wrong.push(format!("{library} is named in {found:?}, expected in {file} alone"));
        }
    }
    nothing(wrong);
}

#[test]
fn only_the_rim_talks_to_people_the_environment_and_the_clock() {
    let talk = [
        "println!",
        "eprintln!",
        "print!",
        "std::env",
        "env::var",
        "::now()",
        "SystemTime",
        "std::process::",
        "clap::",
    ];
    // Waiting for a lock needs a clock that only runs; no date comes from it.
    let waits = ["src/logbook/disk.rs", "src/record/keeper.rs", "src/record/keeper/folder.rs"];
    let mut wrong = Vec::new();
    for source in sources("src").iter().filter(|s| !s.path.starts_with("src/cli") && s.path != "src/main.rs")
    {
        for (n, line) in code_lines(&source.text) {
            let waiting = waits.contains(&source.path.as_str()) && line.contains("Instant::now()");
            let found = talk.iter().find(|t| line.contains(**t)).filter(|_| !waiting);
            // A doc example is no code of the library, and a process number is none of these.
            wrong.extend(
                found
                    .filter(|_| !line.contains("process::id()"))
                    .map(|t| format!("{}:{n}: {t}", source.path)),
            );
        }
    }
    nothing(wrong);
}

#[test]
fn the_library_expects_with_a_reason_and_never_unwraps() {
    let mut wrong = Vec::new();
    for source in sources("src").iter().filter(|s| !s.is_test) {
        let code = code_lines(&source.text).take_while(|(_, l)| !l.trim_start().starts_with("#[cfg(test)]"));
        let bare = code.filter(|(_, l)| {
            [".unwrap()", ".expect(\"\")", "todo!", "unimplemented!", "dbg!"].iter().any(|b| l.contains(b))
        });
        wrong.extend(bare.map(|(n, l)| format!("{}:{n}: {}", source.path, l.trim())));
    }
    nothing(wrong);
}

#[test]
fn every_file_says_what_it_is() {
    let all = ["src", "tests", "demo"].into_iter().flat_map(sources);
    let silent =
        all.filter(|s| !s.text.starts_with("//! ") || s.text.lines().next().is_some_and(|l| l.len() < 10));
    nothing(
        silent
            .map(|s| format!("{}: expected a first line '//! …' that says what the file is for", s.path))
            .collect(),
    );
}

/// Files over 400 lines, how long they may be, and why.
const LONG: &[(&str, usize, &str)] = &[
    ("src/case/read.rs", 420, "one form read top to bottom, and the tests of its mistakes"),
    ("src/catalog/read.rs", 490, "one form read top to bottom; the fields of a part are one list"),
    ("src/record/keeper.rs", 480, "one state: what may happen to it stands together"),
    ("src/record/view.rs", 500, "one cache over one store: reading, changing and settling rows"),
    ("tests/cli/refusals.rs", 450, "a table: what was typed and what was said"),
    ("tests/faults/disk.rs", 450, "a simulated disk: one behaviour in one place"),
    ("demo/scale.rs", 500, "one generator, run by itself"),
    (
        "tests/cli/keeps_fit.rs",
        480,
        "one question, whether the bridge still sits, asked of every part of the program",
    ),
];

#[test]
fn no_file_grows_without_a_reason() {
    let mut wrong = Vec::new();
    let all: Vec<Source> = ["src", "tests", "demo"].into_iter().flat_map(sources).collect();
    for source in &all {
        let lines = source.text.lines().count();
        let most = LONG.iter().find(|(path, ..)| *path == source.path).map_or(400, |(_, most, _)| *most);
        if lines > most {
            wrong.push(format!(
                "{}: {lines} lines, at most {most}: split it, or give a reason in LONG",
                source.path
            ));
        }
        if most > 400 && lines <= 400 {
            wrong.push(format!("{}: {lines} lines: its reason in LONG is not needed any more", source.path));
        }
    }
    for (path, ..) in LONG.iter().filter(|(path, ..)| !all.iter().any(|s| s.path == *path)) {
        wrong.push(format!("{path} is in LONG and is not there"));
    }
    nothing(wrong);
}

#[test]
fn nothing_is_left_for_later_or_switched_off() {
    // Cut in two so that this file does not find itself.
    let later = [["TO", "DO"], ["FIX", "ME"], ["#[ig", "nore"], ["XX", "X:"]].map(|w| w.concat());
    let mut wrong = Vec::new();
    for path in tracked().iter().filter(|p| is_text(p)) {
        for (n, line) in read(path).lines().enumerate() {
            wrong
                .extend(later.iter().filter(|w| line.contains(*w)).map(|w| format!("{path}:{}: {w}", n + 1)));
        }
    }
    nothing(wrong);
}

fn is_text(path: &str) -> bool {
    !path.ends_with(".gz") && path != "Cargo.lock"
}

#[test]
fn every_made_up_file_says_so() {
    let data = |p: &&String| {
        // Tables of the trade are not made up; each row says where it comes from.
        (p.ends_with(".toml") || p.ends_with(".txt"))
            && !p.starts_with("catalog/tables/")
            && ["catalog/", "demo/", "tests/museum/"].iter().any(|f| p.starts_with(f))
    };
    let all = tracked();
    let files: Vec<&String> = all.iter().filter(data).collect();
    assert!(files.len() > 10, "{files:?}");
    let unmarked = files.iter().filter(|p| !read(p).lines().take(5).any(|l| l.starts_with("# INVENTED.")));
    nothing(unmarked.map(|p| format!("{p}: expected a line '# INVENTED. …' at its top")).collect());
}

#[test]
fn the_top_level_is_what_a_newcomer_expects() {
    let expected = [
        "Cargo.lock",
        "Cargo.toml",
        "DEVELOPERS.md",
        "LICENSE",
        "README.md",
        "catalog",
        "demo",
        "src",
        "tests",
    ];
    let top: BTreeSet<String> =
        tracked().iter().map(|p| p.split('/').next().unwrap_or_default().to_owned()).collect();
    let shown: Vec<&String> = top.iter().filter(|name| !name.starts_with('.')).collect();
    assert_eq!(shown, expected);
}

/// No path of the machine something was written on, and no line end of another system.
#[test]
fn no_file_names_a_machine() {
    let places =
        [["/ho", "me/"], ["/Us", "ers/"], ["/ro", "ot/"], ["/wo", "rk/"], ["C:", "\\"]].map(|w| w.concat());
    let mut wrong = Vec::new();
    for path in tracked().iter().filter(|p| is_text(p)) {
        let text = read(path);
        wrong.extend(places.iter().filter(|w| text.contains(*w)).map(|w| format!("{path}: names {w}")));
        if text.contains('\r') {
            wrong.push(format!("{path}: has a carriage return"));
        }
    }
    nothing(wrong);
}

/// The first column of the table whose head begins with `| rule |`.
fn rules_in(markdown: &str) -> BTreeSet<String> {
    let rows = markdown
        .lines()
        .skip_while(|l| !l.starts_with("| rule |"))
        .skip(2)
        .take_while(|l| l.starts_with('|'));
    rows.filter_map(|l| l.split('`').nth(1)).map(ToOwned::to_owned).collect()
}

#[test]
fn the_documented_rules_are_the_rules() {
    let developers = read("DEVELOPERS.md");
    let rules: BTreeSet<String> = spareseat::matching::table().iter().map(|r| r.id.to_owned()).collect();
    assert!(!rules.is_empty());
    assert_eq!(rules_in(&developers), rules, "the table of rules in DEVELOPERS.md");
    for rule in spareseat::matching::table() {
        let mut rows = developers.lines().skip_while(|l| !l.starts_with("| rule |"));
        let row = rows.find(|l| l.starts_with(&format!("| `{}` |", rule.id))).unwrap_or_default();
        for text in [rule.demands, rule.reason, rule.source] {
            assert!(row.contains(text), "rule {}: DEVELOPERS.md does not say '{text}'", rule.id);
        }
    }
}

#[test]
fn the_table_of_rules_is_read_by_its_first_column() {
    let markdown =
        "text `a`\n\n| rule | demands |\n|---|---|\n| `job` | x `y` |\n| `mates` | z |\n\n| `other` | |\n";
    assert_eq!(rules_in(markdown).into_iter().collect::<Vec<_>>(), ["job", "mates"]);
}

#[test]
fn every_screen_layer_and_test_folder_of_the_papers_exists() {
    let developers = read("DEVELOPERS.md");
    let named =
        developers.split('`').filter(|w| ["src/", "tests/", "demo/"].iter().any(|f| w.starts_with(f)));
    let gone: Vec<String> = named
        .map(|w| w.trim_end_matches(['.', ',']))
        .filter(|w| !w.contains([' ', '*', '…']) && !Path::new(root()).join(w).exists())
        .map(|w| format!("DEVELOPERS.md names {w}, which is not there"))
        .collect();
    nothing(gone);
}
