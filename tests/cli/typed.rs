//! Typing a line: cut into words as a shell would, run in a home, with or without a day said.

use std::process::Output;

use crate::support::Place;

/// Runs the words of `line` in the home with initials, on the clock's own day.
pub fn without_day(place: &Place, line: &str) -> Output {
    let mut command = crate::support::started();
    command.arg("--home").arg(place.home()).args(["--as", "AB"]).args(words(line));
    command.env_remove("SPARESEAT_HOME").current_dir(place.folder());
    command.output().expect("the program starts")
}

/// Runs the words of `line` in the home with initials, on the day every test lives on.
pub fn typed(place: &Place, line: &str) -> Output {
    let typed = words(line);
    place.book(&typed.iter().map(String::as_str).collect::<Vec<_>>())
}

/// The words of a line: blanks between them, '…' and "…" around what belongs together.
pub fn words(line: &str) -> Vec<String> {
    let mut out = Vec::new();
    let mut word = String::new();
    let (mut inside, mut quote) = (false, None);
    for c in line.chars() {
        match (quote, c) {
            (Some(q), c) if c == q => quote = None,
            (None, '\'' | '"') => (quote, inside) = (Some(c), true),
            (None, ' ') => {
                if std::mem::take(&mut inside) {
                    out.push(std::mem::take(&mut word));
                }
            }
            (_, c) => {
                word.push(c);
                inside = true;
            }
        }
    }
    if inside {
        out.push(word);
    }
    out
}

#[test]
fn quotes_hold_words_together_and_an_empty_one_is_a_word() {
    assert_eq!(words("a  'b c' \"d\" '' e"), ["a", "b c", "d", "", "e"]);
    assert_eq!(words(""), [""; 0]);
}
