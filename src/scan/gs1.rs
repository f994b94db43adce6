//! GS1 element strings, as a scanner sends them and as they are printed in brackets.
//!
//! Source: GS1 General Specifications, 7.8 (how they are put together and transmitted), 3 (the identifiers), 7.9 (check
//! digits), 7.12 (the century). What is not checked, since no label of a part carries it: country and currency codes,
//! coordinates, coupons, bank accounts, the check pair of (8013) and (8014).

mod part;
mod table;
mod value;

use jiff::civil::{DateTime, Time};

use super::calendar::Day;
use super::check::ends_in_check_digit;
use super::reason::{Doubt, Fault};
use crate::units::printable;
use table::Row;
use value::Spot;

/// The separator between values: FNC1 as a scanner sends it.
pub(super) const SEPARATOR: char = '\u{1d}';

/// One identifier with its value.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Element {
    ai: String,
    value: String,
    words: &'static str,
    day: Option<Day>,
    time: Option<Time>,
    /// The character of the label where the value begins.
    at: usize,
}

impl Element {
    /// The application identifier, such as 01.
    pub fn ai(&self) -> &str {
        &self.ai
    }

    /// The value as it stands, case and zeros kept.
    pub fn value(&self) -> &str {
        &self.value
    }

    /// What it is, in words.
    pub fn words(&self) -> &'static str {
        self.words
    }

    /// The day, where the identifier is a date; of two days the first.
    pub fn day(&self) -> Option<Day> {
        self.day
    }

    /// Day and time, where the identifier gives both.
    pub fn moment(&self) -> Option<DateTime> {
        Some(self.day?.date().to_datetime(self.time?))
    }
}

/// A text being read, and what is before it.
pub(super) struct Text<'a> {
    /// What is left of the label, all of it ASCII.
    pub(super) text: &'a str,
    /// How many characters came before.
    pub(super) before: usize,
    /// What came before, for an answer about an empty rest.
    pub(super) prefix: &'a str,
    /// The year that two digits are near to.
    pub(super) reference_year: i16,
}

/// What was read.
type Elements = (Vec<Element>, Vec<Doubt>);

impl Text<'_> {
    /// Reads elements with separators between.
    pub(super) fn scanned(&self) -> Result<Elements, Fault> {
        let text = self.text;
        let mut elements: Vec<Element> = Vec::new();
        let mut doubts = Vec::new();
        let mut at = 0;
        loop {
            let rest = &text[at..];
            let count = rest.bytes().take_while(|b| char::from(*b) == SEPARATOR).count();
            if count > 1 {
                doubts.push(Doubt::Separators { at: self.before + at + 1, count });
            }
            at += count;
            if at == text.len() {
                break;
            }
            let begins = self.before + at + 1;
            let (name, row) = table::begins(&text[at..]).ok_or_else(|| self.unknown(at))?;
            at += name.len();
            let rest = &text[at..];
            let end = rest.find(SEPARATOR).unwrap_or(rest.len());
            let end = row.predefined().map_or(end, |len| len.min(end));
            let spot = Spot { name, at: begins, value_at: self.before + at + 1 };
            elements.push(self.element(row, &spot, &rest[..end])?);
            at += end;
        }
        self.checked(elements, doubts, true)
    }

    /// Reads elements as they are printed: every identifier in brackets, no separators.
    pub(super) fn printed(&self) -> Result<Elements, Fault> {
        let mut elements = Vec::new();
        let mut at = 0;
        while at < self.text.len() {
            let rest = &self.text[at..];
            let name = bracketed(rest).ok_or_else(|| self.unknown(at))?;
            let row = table::named(name).ok_or_else(|| self.unknown(at))?;
            let behind = &rest[name.len() + 2..];
            let next = behind.match_indices('(').find(|(n, _)| bracketed(&behind[*n..]).is_some());
            let value = &behind[..next.map_or(behind.len(), |(n, _)| n)];
            let begins = self.before + at + 1;
            let spot = Spot { name, at: begins, value_at: begins + name.len() + 2 };
            elements.push(self.element(row, &spot, value)?);
            at += name.len() + 2 + value.len();
        }
        self.checked(elements, Vec::new(), false)
    }

    fn unknown(&self, at: usize) -> Fault {
        let begins: String = self.text[at..].chars().take(4).collect();
        Fault::UnknownIdentifier { at: self.before + at + 1, begins: printable(&begins) }
    }

    fn element(&self, row: &Row, spot: &Spot<'_>, value: &str) -> Result<Element, Fault> {
        let read = value::read(row, spot, value, self.reference_year)?;
        Ok(Element {
            ai: spot.name.to_owned(),
            value: value.to_owned(),
            words: row.words,
            day: read.day,
            time: read.time,
            at: spot.value_at,
        })
    }

    /// What holds between elements.
    fn checked(
        &self,
        elements: Vec<Element>,
        mut doubts: Vec<Doubt>,
        separators: bool,
    ) -> Result<Elements, Fault> {
        if elements.is_empty() {
            return Err(Fault::NoElements(printable(&format!("{}{}", self.prefix, self.text))));
        }
        for (n, one) in elements.iter().enumerate() {
            if let Some(other) = elements[..n].iter().find(|o| o.ai == one.ai && o.value != one.value) {
                return Err(Fault::Twice {
                    what: format!("({})", one.ai),
                    first: other.value.clone(),
                    second: one.value.clone(),
                });
            }
        }
        doubts.extend(beside(&elements));
        if separators {
            doubts.extend(elements.iter().filter_map(|e| lost_separator(e, self.reference_year)));
        }
        Ok((elements, doubts))
    }
}

/// The identifier in the brackets that a text begins with.
fn bracketed(text: &str) -> Option<&str> {
    let (name, _) = text.strip_prefix('(')?.split_once(')')?;
    ((2..=4).contains(&name.len()) && name.bytes().all(|b| b.is_ascii_digit())).then_some(name)
}

/// What must stand beside an element and does not, and what must not and does (General Specifications 4.13 and 4.14).
fn beside(elements: &[Element]) -> Vec<Doubt> {
    let has = |name: &&str| elements.iter().find(|e| e.ai.starts_with(*name));
    let mut doubts = Vec::new();
    for one in elements {
        let Some(row) = table::named(&one.ai) else { continue };
        for any in row.needs.iter().filter(|any| !any.iter().any(|name| has(name).is_some())) {
            let missing: Vec<String> = any.iter().map(|name| format!("({name})")).collect();
            doubts.push(Doubt::Lacks { ai: one.ai.clone(), missing: missing.join(" or ") });
        }
        for other in row.clashes.iter().filter_map(has) {
            doubts.push(Doubt::Clash { ai: one.ai.clone(), other: other.ai.clone() });
        }
    }
    doubts.dedup();
    doubts
}

/// A lot or serial number that ends as an expiry would: a lost separator cannot be told, only suspected.
fn lost_separator(element: &Element, reference_year: i16) -> Option<Doubt> {
    let what = match element.ai.as_str() {
        "10" => "lot",
        "21" => "serial number",
        _ => return None,
    };
    let (shorter, tail) = element.value.split_at_checked(element.value.len().checked_sub(8)?)?;
    let day = value::day_or_month(tail.strip_prefix("17")?, reference_year)?;
    (!shorter.is_empty()).then(|| Doubt::LostSeparator {
        what,
        value: element.value.clone(),
        shorter: shorter.to_owned(),
        day: day.date(),
    })
}

/// The first value of an identifier.
pub(super) fn value_of<'a>(elements: &'a [Element], ai: &str) -> Option<&'a str> {
    elements.iter().find(|e| e.ai == ai).map(Element::value)
}

/// The day of an identifier.
pub(super) fn day_of(elements: &[Element], ai: &str) -> Option<Day> {
    elements.iter().find(|e| e.ai == ai).and_then(Element::day)
}

/// Where a value of free length holds a whole item number behind its beginning, as it does when a second label was
/// scanned into it: how many characters of the label come before.
pub(super) fn item_inside(element: &Element) -> Option<usize> {
    table::named(&element.ai).filter(|row| row.predefined().is_none())?;
    let value = &element.value;
    let holds = |n: usize| value.get(n + 2..n + 16).is_some_and(ends_in_check_digit);
    let n = value.match_indices("01").map(|(n, _)| n).find(|n| *n > 0 && holds(*n))?;
    Some(element.at - 1 + n)
}
