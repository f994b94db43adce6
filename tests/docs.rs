//! The README's console examples are run, so that they cannot rot.
//!
//! A block fenced as `console` holds lines `$ spareseat …`, each followed by what the program says: first the answer,
//! then its messages. A line `…` stands for any number of lines. The blocks run in order, in one home; the word `H`
//! behind `--home` is that home.

use std::collections::VecDeque;

use crate::cli::typed::words;
use crate::support::{Place, program, text};

/// What is typed, and the lines expected after it.
#[derive(Debug, PartialEq, Eq)]
struct Example {
    line: usize,
    typed: String,
    expected: Vec<String>,
}

/// The examples of a Markdown text.
fn examples(markdown: &str) -> Vec<Example> {
    let mut all: Vec<Example> = Vec::new();
    let mut inside = false;
    let mut open = false;
    for (n, line) in markdown.lines().enumerate() {
        match (inside, line) {
            (false, "```console") => (inside, open) = (true, false),
            (true, "```") => inside = false,
            (true, line) => match line.strip_prefix("$ ") {
                Some(typed) => {
                    all.push(Example { line: n + 1, typed: typed.to_owned(), expected: Vec::new() });
                    open = true;
                }
                None => {
                    assert!(open, "line {}: expected '$ spareseat …' first", n + 1);
                    let example = all.last_mut().expect("one was just opened");
                    example.expected.push(line.to_owned());
                }
            },
            (false, _) => {}
        }
    }
    all
}

/// Whether the lines are what was expected, `…` standing for any number of them; else the first that is not.
fn difference(shown: &[&str], expected: &[String]) -> Option<String> {
    let mut shown: VecDeque<&str> = shown.iter().copied().collect();
    let mut any = false;
    for wanted in expected {
        if wanted == "…" {
            any = true;
            continue;
        }
        let next = shown.front().copied();
        if any {
            while shown.front().is_some_and(|l| l != wanted) {
                shown.pop_front();
            }
        }
        any = false;
        match shown.pop_front() {
            Some(line) if line == wanted => {}
            Some(line) => return Some(format!("expected: {wanted}\n  shown:    {line}")),
            None => {
                return Some(format!(
                    "expected: {wanted}\n  not shown after: {}",
                    next.unwrap_or("(the end)")
                ));
            }
        }
    }
    let rest = shown.pop_front().filter(|_| !any);
    rest.map(|line| format!("expected: (the end)\n  shown:    {line}"))
}

/// Everything the program says to what is typed, with `H` as its home.
fn said(place: &Place, typed: &str) -> String {
    let mut words = words(typed);
    assert_eq!(words.first().map(String::as_str), Some("spareseat"), "{typed}");
    let homes: Vec<usize> =
        (1..words.len()).filter(|n| words[n - 1] == "--home" && words[*n] == "H").collect();
    assert_eq!(homes.len(), 1, "an example never touches a reader's home: expected '--home H' in {typed}");
    words[homes[0]] = place.home().display().to_string();
    let out = std::process::Command::new(program()).args(&words[1..]).current_dir(place.folder()).output();
    let out = out.expect("the program starts");
    format!("{}{}", text(&out.stdout), text(&out.stderr)).replace(&place.home().display().to_string(), "H")
}

#[test]
fn the_readme_s_examples_say_what_they_said() {
    let readme = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/README.md")).unwrap();
    let all = examples(&readme);
    assert!(all.len() >= 3, "{} examples in README.md", all.len());
    let place = Place::empty();
    let mut wrong = Vec::new();
    for example in &all {
        let shown = said(&place, &example.typed);
        let lines: Vec<&str> = shown.lines().collect();
        if let Some(what) = difference(&lines, &example.expected) {
            wrong.push(format!("README.md:{}: $ {}\n  {what}", example.line, example.typed));
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

/// A command that is on the screen of the help is named in the README, and none that is not.
#[test]
fn the_readme_names_every_command() {
    let readme = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/README.md")).unwrap();
    let help = std::process::Command::new(program()).arg("--help").output().unwrap();
    let help = text(&help.stdout);
    let listed = help.lines().skip_while(|l| *l != "Commands:").skip(1).take_while(|l| l.starts_with("  "));
    let missing: Vec<&str> = listed
        .filter_map(|l| l.split_whitespace().next())
        .filter(|c| !readme.contains(&format!("`{c}")) && !readme.contains(&format!(" {c}")))
        .collect();
    assert_eq!(missing, [""; 0]);
}

fn lines(text: &str) -> Vec<String> {
    text.lines().map(ToOwned::to_owned).collect()
}

#[test]
fn examples_are_read_with_their_lines() {
    let markdown = "```sh\n$ not this\n```\ntext\n```console\n$ spareseat a\nx\n…\n$ spareseat b\n```\n";
    assert_eq!(
        examples(markdown),
        [
            Example { line: 6, typed: "spareseat a".to_owned(), expected: lines("x\n…") },
            Example { line: 9, typed: "spareseat b".to_owned(), expected: Vec::new() },
        ]
    );
}

#[test]
fn a_line_of_dots_stands_for_any_number_of_lines() {
    let shown = ["a", "b", "c", "d"];
    for expected in ["a\nb\nc\nd", "…", "a\n…", "…\nd", "a\n…\nd", "…\nb\n…", "a\nb\n…\nc\nd"] {
        assert_eq!(difference(&shown, &lines(expected)), None, "{expected:?}");
    }
    for (expected, says) in [
        ("a\nb\nc", "expected: (the end)\n  shown:    d"),
        ("a\nx\nc\nd", "expected: x\n  shown:    b"),
        ("…\nx", "expected: x\n  not shown after: a"),
        ("a\n…\nc", "expected: (the end)\n  shown:    d"),
        ("a\nb\nc\nd\ne", "expected: e\n  not shown after: (the end)"),
    ] {
        assert_eq!(difference(&shown, &lines(expected)).as_deref(), Some(says), "{expected:?}");
    }
}
