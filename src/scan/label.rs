//! A label as it was read: verdict, what it says, and the raw text.

use super::calendar::Day;
use super::check;
use super::gs1::{self, Element, SEPARATOR, Text};
use super::hibc::{self, Hibc};
use super::reason::{Doubt, Fault, NotRead};
use crate::units::{Expiry, RawLabel, printable};

/// What is to be done with a label.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Take it.
    Ok,
    /// Take it and say what is doubtful.
    Warn,
    /// Refuse it.
    Error,
    /// It carries no GS1 application identifiers, and no HIBC either.
    NotGs1,
}

impl Verdict {
    /// The word for it in an answer.
    pub fn word(self) -> &'static str {
        match self {
            Self::Ok => "ok",
            Self::Warn => "warn",
            Self::Error => "error",
            Self::NotGs1 => "not_gs1",
        }
    }
}

/// Whose rules a label follows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standard {
    /// GS1 General Specifications.
    Gs1,
    /// ANSI/HIBC 2.6.
    Hibc,
}

impl Standard {
    /// The word for it in an answer.
    pub fn word(self) -> &'static str {
        match self {
            Self::Gs1 => "gs1",
            Self::Hibc => "hibc",
        }
    }
}

/// What was read; of a refused label nothing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Content {
    /// GS1 elements, in the order of the label.
    Gs1(Vec<Element>),
    /// HIBC.
    Hibc(Hibc),
    /// Refused, and why.
    Refused(Fault),
    /// No label of either kind, and why.
    NotRead(NotRead),
}

/// Whose item it is and which.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Item<'a> {
    /// 14 digits, zeros and check digit among them.
    Gtin(&'a str),
    /// HIBC: labeler, catalogue number, unit of measure.
    Hibc {
        /// The labeler's code.
        lic: &'a str,
        /// The labeler's catalogue number.
        pcn: &'a str,
        /// The level of packaging, 0 being the single piece.
        unit: u8,
    },
}

/// A label.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Label {
    raw: Option<RawLabel>,
    standard: Option<Standard>,
    content: Content,
    doubts: Vec<Doubt>,
}

impl Label {
    pub(super) fn of(raw: Option<RawLabel>, standard: Option<Standard>, (content, doubts): Read) -> Self {
        Self { raw, standard, content, doubts }
    }

    /// The text as it came, for the record; `None` when it is empty or over 200 bytes.
    pub fn raw(&self) -> Option<&RawLabel> {
        self.raw.as_ref()
    }

    /// What is to be done with it.
    pub fn verdict(&self) -> Verdict {
        match &self.content {
            Content::Refused(_) => Verdict::Error,
            Content::NotRead(_) => Verdict::NotGs1,
            _ if self.doubts.is_empty() => Verdict::Ok,
            _ => Verdict::Warn,
        }
    }

    /// Whose rules it follows, as far as its beginning tells.
    pub fn standard(&self) -> Option<Standard> {
        self.standard
    }

    /// What was read.
    pub fn content(&self) -> &Content {
        &self.content
    }

    /// What is doubtful in what was read.
    pub fn doubts(&self) -> &[Doubt] {
        &self.doubts
    }

    /// The GS1 elements; none of any other label.
    pub fn elements(&self) -> &[Element] {
        if let Content::Gs1(elements) = &self.content { elements } else { &[] }
    }

    /// What HIBC says; `None` of any other label.
    pub fn hibc(&self) -> Option<&Hibc> {
        if let Content::Hibc(hibc) = &self.content { Some(hibc) } else { None }
    }

    /// Why it is not taken, or what is doubtful in it: a sentence each, safe for a terminal.
    pub fn reasons(&self) -> Vec<String> {
        match &self.content {
            Content::Refused(fault) => vec![fault.to_string()],
            Content::NotRead(why) => vec![why.to_string()],
            _ => self.doubts.iter().map(ToString::to_string).collect(),
        }
    }

    /// The item: (01), or (02) where the label is that of a box of them, or the first part of HIBC.
    pub fn item(&self) -> Option<Item<'_>> {
        let elements = self.elements();
        let gtin = gs1::value_of(elements, "01").or_else(|| gs1::value_of(elements, "02"));
        gtin.map(Item::Gtin).or_else(|| {
            let item = self.hibc()?.item()?;
            Some(Item::Hibc { lic: item.lic(), pcn: item.pcn(), unit: item.unit() })
        })
    }

    /// The lot as printed: (10), or HIBC's.
    pub fn lot(&self) -> Option<&str> {
        gs1::value_of(self.elements(), "10").or_else(|| self.hibc()?.lot())
    }

    /// The serial number as printed: (21), or HIBC's.
    pub fn serial(&self) -> Option<&str> {
        gs1::value_of(self.elements(), "21").or_else(|| self.hibc()?.serial())
    }

    /// Until when it may be used, with the precision of the label: (17) or (7003), whichever is earlier, or HIBC's.
    ///
    /// `None` says that this symbol gives none: another one on the same label, or its print, still may.
    pub fn expiry(&self) -> Option<Expiry> {
        let days = ["17", "7003"].iter().filter_map(|ai| gs1::day_of(self.elements(), ai));
        let day = days.min_by_key(|d| d.date()).or_else(|| Some(self.hibc()?.expiry()?.day()))?;
        Some(day.as_expiry())
    }

    /// When it was made: (11), or HIBC's.
    pub fn made_on(&self) -> Option<Day> {
        gs1::day_of(self.elements(), "11").or_else(|| self.hibc()?.manufactured())
    }

    /// How many: (30), or (37) where it is the label of a box, or HIBC's.
    pub fn quantity(&self) -> Option<u32> {
        let elements = self.elements();
        let digits = gs1::value_of(elements, "30").or_else(|| gs1::value_of(elements, "37"));
        digits.map_or_else(|| self.hibc()?.quantity(), |d| d.parse().ok())
    }
}

/// What was read, and what is doubtful in it.
pub(super) type Read = (Content, Vec<Doubt>);

/// Reads a text as one label, whatever may be glued to it.
pub(super) fn alone(text: &str, reference_year: i16) -> (Option<Standard>, Read) {
    let refused = |fault| (Content::Refused(fault), Vec::new());
    let not_read = |why| (None, (Content::NotRead(why), Vec::new()));
    let (symbol, rest) = symbology(text);
    let gs1 = |printed: bool| {
        let before = symbol.len();
        let read = match rest.char_indices().find(|(_, c)| !c.is_ascii()) {
            Some((_, c)) => {
                let at = 1 + text.chars().take_while(char::is_ascii).count();
                let expected = "letters, digits and signs of ASCII";
                Err(Fault::character("a GS1 label".to_owned(), at, c, expected))
            }
            None => {
                let text = Text { text: rest, before, prefix: symbol, reference_year };
                if printed { text.printed() } else { text.scanned() }
            }
        };
        let read = read.map_or_else(refused, |(elements, doubts)| (Content::Gs1(elements), doubts));
        (Some(Standard::Gs1), read)
    };
    let is_hibc = rest.starts_with('+') || rest.starts_with("*+");
    match (symbol, rest.chars().next()) {
        ("", None) => (None, refused(Fault::Empty)),
        ("]C1" | "]d2" | "]Q3" | "]e0" | "]J1", _) => gs1(false),
        _ if is_hibc => {
            let read = hibc::read(rest, symbol.len(), reference_year);
            (Some(Standard::Hibc), read.map_or_else(refused, |hibc| (Content::Hibc(hibc), Vec::new())))
        }
        ("", Some('(')) => gs1(true),
        ("", Some('0'..='9')) if check::is_gtin(rest) => not_read(NotRead::ItemAlone(rest.to_owned())),
        ("", Some('0'..='9' | SEPARATOR)) => gs1(false),
        ("", Some(_)) => not_read(NotRead::Neither(printable(rest))),
        (symbol, _) => not_read(NotRead::Symbol(printable(symbol))),
    }
}

/// The symbology identifier of ISO/IEC 15424 before a text: `]`, a letter, and one more letter or digit.
pub(super) fn symbology(text: &str) -> (&str, &str) {
    match text.as_bytes() {
        [b']', letter, more, ..] if letter.is_ascii_alphabetic() && more.is_ascii_alphanumeric() => {
            text.split_at(3)
        }
        _ => ("", text),
    }
}
