//! The README's console examples are run, so that they cannot rot.
//!
//! A block fenced as `console` holds lines `$ spareseat …`, each followed by what the program says: first the answer,
//! then its messages. A line `…` stands for any number of lines. The blocks run in order, in one home; the word `H`
//! behind `--home` is that home.
//!
//! The visits under demo/visits are run the same way, each in a home of its own in which the demo was laid down on the
//! day every test lives on; they name neither. `SPARESEAT_REFRESH=1 cargo test --test suite docs` writes them anew.

use std::collections::VecDeque;
use std::path::Path;

use crate::cli::bare_numbers::bare_numbers;
use crate::cli::typed::words;
use crate::support::{DAY, Place, text};

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

/// Everything the program says to what is typed; `H` behind `--home` is the home, and where it is `implied` the home
/// and the day are left out.
fn said(place: &Place, typed: &str, implied: bool) -> String {
    let mut words = words(typed);
    assert_eq!(words.first().map(String::as_str), Some("spareseat"), "{typed}");
    let home = place.home().display().to_string();
    if implied {
        assert!(!typed.contains("--home"), "the demo's home is meant in any case: {typed}");
        words.splice(1..1, ["--home".to_owned(), home.clone(), "--on".to_owned(), DAY.to_owned()]);
    } else {
        let homes: Vec<usize> =
            (1..words.len()).filter(|n| words[n - 1] == "--home" && words[*n] == "H").collect();
        assert_eq!(
            homes.len(),
            1,
            "an example never touches a reader's home: expected '--home H' in {typed}"
        );
        words[homes[0]].clone_from(&home);
    }
    let out = crate::support::started().args(&words[1..]).current_dir(place.folder()).output();
    let out = out.expect("the program starts");
    // Spaces at the end of a line are seen by nobody and kept by no editor.
    let all = format!("{}{}", text(&out.stdout), text(&out.stderr)).replace(&home, "H");
    all.lines().map(|l| format!("{}\n", l.trim_end())).collect()
}

/// Runs the examples of a file in order, in one home; what differs, a line each.
///
/// With SPARESEAT_REFRESH set, what is shown whole is written anew; what is shown in part stays as it is, and so does
/// the whole file where the program cannot read a line of it.
fn run_examples(file: &str, place: &Place, implied: bool) -> Vec<String> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(file);
    let markdown = std::fs::read_to_string(&path).unwrap();
    let all = examples(&markdown);
    assert!(all.len() >= 3, "{} examples in {file}", all.len());
    let mut wrong = Vec::new();
    let mut shown = Vec::new();
    for example in &all {
        let said = lines(&said(place, &example.typed, implied));
        let as_lines: Vec<&str> = said.iter().map(String::as_str).collect();
        let what = mistyped(&said).or_else(|| difference(&as_lines, &example.expected));
        wrong.extend(what.map(|what| format!("{file}:{}: $ {}\n  {what}", example.line, example.typed)));
        shown.push(said);
    }
    let readable = shown.iter().all(|said| mistyped(said).is_none());
    if std::env::var_os("SPARESEAT_REFRESH").is_some() && !wrong.is_empty() && readable {
        std::fs::write(&path, rewritten(&markdown, &all, &shown)).unwrap();
        wrong.push(format!("{file} was written anew: read the difference and run the test again"));
    }
    wrong
}

/// What the program answers to words it cannot read at all: no example shows that, and none is written anew by it.
fn mistyped(said: &[String]) -> Option<String> {
    let first = said.first().filter(|line| line.starts_with("error: "))?;
    Some(format!("the program cannot read what is typed here: {first}"))
}

/// The text with what is shown in place of what was expected, but for examples shown in part.
fn rewritten(markdown: &str, all: &[Example], shown: &[Vec<String>]) -> String {
    let mut out: Vec<&str> = Vec::new();
    let mut skip = 0;
    let mut examples = all.iter().zip(shown).peekable();
    for (n, line) in markdown.lines().enumerate() {
        if skip > 0 {
            skip -= 1;
            continue;
        }
        out.push(line);
        if let Some((example, said)) = examples.next_if(|(e, _)| e.line == n + 1)
            && !example.expected.iter().any(|l| l == "…")
        {
            out.extend(said.iter().map(String::as_str));
            skip = example.expected.len();
        }
    }
    out.join("\n") + "\n"
}

#[test]
fn the_readme_s_examples_say_what_they_said() {
    let wrong = run_examples("README.md", &Place::empty(), false);
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

/// Every visit written out under demo/visits, each in a home of its own with the made-up practice in it.
#[test]
fn the_demo_s_visits_go_as_they_are_written() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo/visits");
    let mut files: Vec<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|e| format!("demo/visits/{}", e.unwrap().file_name().to_string_lossy()))
        .collect();
    files.sort();
    let cases: Vec<String> =
        ["1047", "2210", "3306", "4051", "5120", "6188"].map(|c| format!("demo/visits/{c}.md")).to_vec();
    assert_eq!(files, cases, "one visit a case");
    let mut wrong = Vec::new();
    for (file, case) in files.iter().zip(&cases) {
        wrong.extend(run_examples(file, &Place::demo(), true));
        let case = case.trim_start_matches("demo/visits/").trim_end_matches(".md");
        let text = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(file)).unwrap();
        let shown = examples(&text).into_iter().flat_map(|e| e.expected).filter(|l| l != "…");
        wrong.extend(shown.flat_map(|line| {
            let bare = bare_numbers(&line).into_iter();
            bare.map(|what| format!("{file}: '{what}' stands alone: {line}")).collect::<Vec<_>>()
        }));
        let last = examples(&text).pop().expect("examples");
        assert_eq!(
            last.typed,
            format!("spareseat logbook show --case {case}"),
            "{file} ends with its record"
        );
        assert!(!last.expected.iter().any(|l| l == "…"), "{file}: the record is shown whole");
        assert!(text.lines().take(3).any(|l| l.starts_with("INVENTED")), "{file}: say that it is invented");
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

#[test]
fn what_is_shown_whole_is_written_anew_and_what_is_shown_in_part_stays() {
    let markdown =
        "x\n```console\n$ spareseat a\nold\nolder\n$ spareseat b\nfirst\n…\n$ spareseat c\n```\nend\n";
    let shown = [lines("new"), lines("first\nsecond"), lines("c1\nc2")];
    assert_eq!(
        rewritten(markdown, &examples(markdown), &shown),
        "x\n```console\n$ spareseat a\nnew\n$ spareseat b\nfirst\n…\n$ spareseat c\nc1\nc2\n```\nend\n"
    );
}

#[test]
fn a_line_that_the_program_cannot_read_is_no_example() {
    assert_eq!(
        mistyped(&lines("error: unrecognized subcommand 'x'\n\nUsage: spareseat")).unwrap(),
        "the program cannot read what is typed here: error: unrecognized subcommand 'x'"
    );
    for refused in ["", "spareseat: case 1 has no site at 2", "a\nerror: b"] {
        assert_eq!(mistyped(&lines(refused)), None, "{refused:?}");
    }
}

/// A command that is on the screen of the help is named in the README, and none that is not.
#[test]
fn the_readme_names_every_command() {
    let readme = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/README.md")).unwrap();
    let help = crate::support::started().arg("--help").output().unwrap();
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
