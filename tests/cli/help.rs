//! Every command explains itself: what it does, and what each of its words means.

use super::refusals::refused;
use super::typed::without_day;
use crate::support::{Place, code, text};

/// The commands below `path`, from its own help.
fn commands(place: &Place, path: &str) -> Vec<String> {
    let help = help(place, path);
    let mut inside = false;
    let mut out = Vec::new();
    for line in help.lines() {
        match (inside, line.strip_prefix("  ").and_then(|l| l.split_once(' '))) {
            (false, _) => inside = line == "Commands:",
            (true, Some((name, what))) if !name.is_empty() => {
                assert!(!what.trim().is_empty(), "'{path} {name}' says nothing in the list:\n{help}");
                if name != "help" {
                    out.push(format!("{path} {name}").trim().to_owned());
                }
            }
            (true, _) => break,
        }
    }
    out
}

fn help(place: &Place, path: &str) -> String {
    let out = without_day(place, &format!("{path} --help"));
    assert_eq!((code(&out), text(&out.stderr)), (0, String::new()), "{path}");
    text(&out.stdout)
}

/// Words and options that stand in a help text without a word of explanation.
fn unexplained(help: &str) -> Vec<String> {
    let mut bare = Vec::new();
    let mut lines = help.lines().peekable();
    let mut inside = false;
    while let Some(line) = lines.next() {
        if !line.starts_with(' ') {
            inside = line == "Arguments:" || line == "Options:";
            continue;
        }
        let entry = line.trim_start();
        let names_one = entry.starts_with('<') || entry.starts_with('[') || entry.starts_with('-');
        if !inside || !names_one || line.len() - entry.len() > 8 {
            continue;
        }
        // The explanation follows after two blanks, or on the next line, further in.
        let here = entry.split_once("  ").is_some_and(|(_, what)| !what.trim().is_empty());
        let below = lines.peek().is_some_and(|next| next.starts_with("          "));
        if !here && !below {
            bare.push(entry.to_owned());
        }
    }
    bare
}

#[test]
fn every_command_and_every_word_is_explained() {
    let place = Place::empty();
    let mut all = commands(&place, "");
    assert_eq!(all.len(), 30, "{all:?}");
    for group in all.clone() {
        all.extend(commands(&place, &group));
    }
    assert!(all.len() > 25, "{all:?}");
    for path in &all {
        let help = help(&place, path);
        assert!(
            help.lines().next().is_some_and(|l| l.len() > 10 && !l.starts_with("Usage")),
            "{path} says nothing:\n{help}"
        );
        assert_eq!(unexplained(&help), [""; 0], "{path}");
        let by_word = without_day(&place, &format!("help {path}"));
        assert_eq!(code(&by_word), 0, "help {path}");
    }
    assert!(!place.home().exists(), "asking for help makes no home");
}

#[test]
fn the_search_for_unexplained_words_finds_one() {
    let help = "Does it\n\nUsage: it\n\nOptions:\n      --place <PLACE>\n      --lot <LOT>  Which lot\n  -h, --help\n          Print help\n";
    assert_eq!(unexplained(help), ["--place <PLACE>"]);
}

#[test]
fn the_caution_stands_in_the_first_help() {
    let help = help(&Place::empty(), "");
    assert!(help.contains(
        "Decision support: a licensed clinician decides; the maker's instructions and local rules come first."
    ));
}

/// For one version a command that got another name says it, whatever stands behind it, and does nothing.
#[test]
fn a_command_that_was_renamed_says_its_new_name() {
    let place = Place::demo();
    for (typed_as, says) in [
        ("counter 51 --because 'wrong drawer'", "'counter' is called 'reverse' now: say 'spareseat reverse'"),
        ("case fit 1047 --site 25", "'case fit' is called 'case found' now: say 'spareseat case found'"),
        (
            "case check 1047 --off",
            "'case check' is called 'case next-check' now: say 'spareseat case next-check'",
        ),
    ] {
        refused(
            &place,
            typed_as,
            2,
            &format!("spareseat: {says}, with the same words behind it. Nothing was done"),
        );
    }
    let all = text(&place.run(&["--help"]).stdout) + &text(&place.run(&["case", "--help"]).stdout);
    assert!(all.contains("reverse") && all.contains("next-check") && !all.contains("counter"), "{all}");
}
