//! HIBC supplier labels: the item, what is said about the piece, or both in one text.
//!
//! Source: ANSI/HIBC 2.6 (2016): 2.2 first part, 2.3 second part and what may follow it, 4.3 how they are put together,
//! Appendix B the check character, Appendices E and F the older forms. Lot and serial number have letters and digits
//! alone, since the standard keeps the seven signs for flags and check characters. A year of two digits is read as GS1
//! reads it (a decision of this project: the standard is silent).

mod second;

use super::calendar::Day;
use super::check::{check_character, in_mod_43};
use super::reason::Fault;
use crate::units::printable;
use second::Second;

pub use second::{Form, HibcExpiry};

/// The item of an HIBC label.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HibcItem {
    text: String,
}

impl HibcItem {
    /// The labeler's code of four.
    pub fn lic(&self) -> &str {
        &self.text[..4]
    }

    /// The labeler's catalogue number, 1 to 18 letters and digits.
    pub fn pcn(&self) -> &str {
        &self.text[4..self.text.len() - 1]
    }

    /// The level of packaging, 0 to 9; 0 is the single piece.
    pub fn unit(&self) -> u8 {
        self.text.bytes().next_back().map_or(0, |b| b.saturating_sub(b'0'))
    }

    /// All three in one, as registers of devices list it.
    pub fn di(&self) -> &str {
        &self.text
    }

    fn read(text: &str) -> Result<Self, Fault> {
        let good = (6..=23).contains(&text.len())
            && text.starts_with(|c: char| c.is_ascii_uppercase())
            && text.ends_with(|c: char| c.is_ascii_digit())
            && text.bytes().all(|b| b.is_ascii_uppercase() || b.is_ascii_digit());
        if good { Ok(Self { text: text.to_owned() }) } else { Err(Fault::Primary(printable(text))) }
    }
}

/// What an HIBC label says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hibc {
    check: char,
    link: Option<char>,
    item: Option<HibcItem>,
    second: Option<Second>,
}

impl Hibc {
    /// Its last character.
    pub fn check(&self) -> char {
        self.check
    }

    /// In a second part by itself: the check character of the first part it belongs to.
    pub fn link(&self) -> Option<char> {
        self.link
    }

    /// Which part it is: primary, secondary, or combined.
    pub fn kind(&self) -> &'static str {
        match (&self.item, &self.second) {
            (Some(_), Some(_)) => "combined",
            (Some(_), None) => "primary",
            (None, _) => "secondary",
        }
    }

    /// The item, unless it is a second part by itself.
    pub fn item(&self) -> Option<&HibcItem> {
        self.item.as_ref()
    }

    /// The lot, case and zeros kept.
    pub fn lot(&self) -> Option<&str> {
        self.second.as_ref()?.lot.as_deref()
    }

    /// The serial number, zeros kept.
    pub fn serial(&self) -> Option<&str> {
        self.second.as_ref()?.serial.as_deref()
    }

    /// Until when it may be used.
    pub fn expiry(&self) -> Option<&HibcExpiry> {
        self.second.as_ref()?.expiry.as_ref()
    }

    /// When it was made.
    pub fn manufactured(&self) -> Option<Day> {
        self.second.as_ref()?.manufactured
    }

    /// How many.
    pub fn quantity(&self) -> Option<u32> {
        self.second.as_ref()?.quantity
    }
}

/// Reads a text that begins with `+`, or with `*+` as printed; `before` characters of the label come before it.
pub(super) fn read(text: &str, before: usize, reference_year: i16) -> Result<Hibc, Fault> {
    let printed = text.strip_prefix('*');
    let (text, before) = match printed {
        Some(inside) => (inside.strip_suffix('*').unwrap_or(inside), before + 1),
        None => (text, before),
    };
    // In print a space cannot be seen: _ stands for it, as check character only.
    let spaced;
    let text = match text.strip_suffix('_') {
        Some(data) if printed.is_some() => {
            spaced = format!("{data} ");
            &spaced
        }
        _ => text,
    };
    if let Some((n, c)) = text.chars().enumerate().find(|(_, c)| !in_mod_43(*c)) {
        let expected = "digits, capital letters, - . $ / + % and the space";
        return Err(Fault::character("an HIBC label".to_owned(), before + n + 1, c, expected));
    }
    // The shortest is a flag, one character, a link and a check character.
    if text.len() < 5 {
        return Err(Fault::TooShort(printable(text)));
    }
    let (data, found) = text.split_at(text.len() - 1);
    let found = found.chars().next().unwrap_or(' ');
    match check_character(data) {
        Some(expected) if expected != found => Err(Fault::CheckCharacter { expected, found }),
        _ => parts(&data[1..], found, reference_year),
    }
}

/// Reads what stands between `+` and check character.
fn parts(data: &str, check: char, reference_year: i16) -> Result<Hibc, Fault> {
    if data.starts_with(|c: char| c == '$' || c.is_ascii_digit()) {
        let (data, link) = data.split_at(data.len() - 1);
        let second = Second::read(data, reference_year)?;
        return Ok(Hibc { check, link: link.chars().next(), item: None, second: Some(second) });
    }
    let (item, second) = match data.split_once('/') {
        Some((item, second)) => (item, Some(second)),
        None => (data, None),
    };
    let item = HibcItem::read(item)?;
    let second = second.map(|data| Second::read(data, reference_year)).transpose()?;
    Ok(Hibc { check, link: None, item: Some(item), second })
}
