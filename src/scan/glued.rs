//! Two labels in one text: the same one twice, or another one scanned behind it before Enter came.

use super::gs1::{self, SEPARATOR};
use super::label::{Content, Read, Standard, alone};
use super::reason::Fault;
use crate::units::printable;

/// Whether a text that begins as a label, and reads as `read` by itself, is two of them.
pub(super) fn found(
    text: &str,
    standard: Option<Standard>,
    read: &Read,
    reference_year: i16,
) -> Option<Fault> {
    standard?;
    if twice(text, reference_year) {
        return Some(Fault::PastedTwice);
    }
    second(text, &read.0, reference_year).map(|at| {
        let begins: String = text[at..].chars().take(8).collect();
        Fault::TwoLabels { at: text[..at].chars().count() + 1, begins: printable(&begins) }
    })
}

/// The same label twice, with at most two blanks, line ends or separators between.
fn twice(text: &str, reference_year: i16) -> bool {
    let blank = |c: char| c == SEPARATOR || c.is_ascii_whitespace();
    (0..=2).any(|between| {
        let Some(both) = text.len().checked_sub(between).filter(|n| n % 2 == 0) else { return false };
        let (Some(first), Some(second)) = (text.get(..both / 2), text.get(both / 2 + between..)) else {
            return false;
        };
        let between = &text[first.len()..text.len() - second.len()];
        first == second && between.chars().all(blank) && stands_alone(first, reference_year)
    })
}

/// A label that cannot be a piece of another: 1010 is (10)10 by itself, and the beginning of many.
fn stands_alone(text: &str, reference_year: i16) -> bool {
    match alone(text, reference_year).1.0 {
        Content::Hibc(_) => true,
        Content::Gs1(elements) => text.starts_with([']', '(']) || has_item(&elements),
        Content::Refused(_) | Content::NotRead(_) => false,
    }
}

fn has_item(elements: &[gs1::Element]) -> bool {
    ["00", "01", "02"].iter().any(|ai| gs1::value_of(elements, ai).is_some())
}

/// The byte where a second label begins.
fn second(text: &str, content: &Content, reference_year: i16) -> Option<usize> {
    let reads =
        |text: &str| !matches!(alone(text, reference_year).1.0, Content::Refused(_) | Content::NotRead(_));
    let whole = |text: &str| stands_alone(text, reference_year);
    let refused = matches!(content, Content::Refused(_));
    let cuts = text.char_indices().skip(1);
    for (at, c) in cuts {
        let (before, behind) = (&text[..at], &text[at..]);
        let begins = match c {
            // Neither GS1 nor HIBC has this character.
            ']' => behind.as_bytes().get(1).is_some_and(u8::is_ascii_alphabetic),
            // A lot of GS1 may hold a +; an HIBC text with a right check character behind it is none.
            '+' if refused || matches!(content, Content::Gs1(_)) => reads(behind) && reads(before),
            '*' => behind.starts_with("*+") && reads(behind) && reads(before),
            '0' | '(' if refused => (behind.starts_with("01") || c == '(') && whole(behind) && whole(before),
            _ => false,
        };
        if begins {
            return Some(at);
        }
    }
    let Content::Gs1(elements) = content else { return None };
    // Without an item before it, it is a lost separator, and what is missing is said already. The text is ASCII:
    // characters are bytes.
    elements.iter().filter(|_| has_item(elements)).find_map(gs1::item_inside)
}
