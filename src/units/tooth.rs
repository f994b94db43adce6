//! Tooth numbers: ISO 3950, its words, and the Universal numbering it is mistaken for.

use std::fmt;

use serde::{Deserialize, Deserializer, Serialize};
use thiserror::Error;

/// A tooth by ISO 3950: quadrant 1 to 4 with 1 to 8, or 5 to 8 with 1 to 5.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(transparent)]
pub struct Tooth(u8);

/// How a document numbers teeth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Numbering {
    /// Two digits, quadrant and position.
    #[serde(rename = "iso-3950")]
    Iso3950,
    /// 1 to 32 from the upper right third molar.
    Universal,
}

/// Why a number is not a tooth.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum ToothError {
    /// Not in ISO 3950.
    #[error("'{0}' is not a tooth in ISO 3950: expected 11 to 48 (or 51 to 85 for first teeth), such as 25")]
    NotIso(String),
    /// Not in the Universal numbering.
    #[error("'{0}' is not a tooth in the Universal numbering: expected 1 to 32")]
    NotUniversal(String),
}

impl Tooth {
    /// The tooth of this ISO 3950 number.
    pub fn from_iso(number: u8) -> Option<Self> {
        let (quadrant, place) = (number / 10, number % 10);
        let last = match quadrant {
            1..=4 => 8,
            5..=8 => 5,
            _ => return None,
        };
        (1..=last).contains(&place).then_some(Self(number))
    }

    /// The tooth of this Universal number (1 to 32).
    pub fn from_universal(number: u8) -> Option<Self> {
        let iso = match number {
            1..=8 => 19 - number,
            9..=16 => number + 12,
            17..=24 => 55 - number,
            25..=32 => number + 16,
            _ => return None,
        };
        Some(Self(iso))
    }

    /// Reads an ISO 3950 number.
    pub fn parse(text: &str) -> Result<Self, ToothError> {
        let wrong = || ToothError::NotIso(super::printable(text));
        if text.len() != 2 || !text.bytes().all(|b| b.is_ascii_digit()) {
            return Err(wrong());
        }
        text.parse().ok().and_then(Self::from_iso).ok_or_else(wrong)
    }

    /// Reads a number in the numbering a document declares.
    pub fn parse_in(text: &str, numbering: Numbering) -> Result<Self, ToothError> {
        match numbering {
            Numbering::Iso3950 => Self::parse(text),
            Numbering::Universal => text
                .parse()
                .ok()
                .filter(|_| text.bytes().all(|b| b.is_ascii_digit()))
                .and_then(Self::from_universal)
                .ok_or_else(|| ToothError::NotUniversal(super::printable(text))),
        }
    }

    /// The ISO 3950 number.
    pub const fn iso(self) -> u8 {
        self.0
    }

    /// The quadrant, 1 to 8.
    pub const fn quadrant(self) -> u8 {
        self.0 / 10
    }

    /// Counted from the midline, 1 to 8.
    pub const fn place(self) -> u8 {
        self.0 % 10
    }

    /// Whether it stands in the upper jaw.
    pub const fn is_upper(self) -> bool {
        matches!(self.quadrant(), 1 | 2 | 5 | 6)
    }

    /// Along the arch, from the patient's right end to the left, for sorting and for neighbours.
    pub const fn along_arch(self) -> i8 {
        let place = self.place() as i8;
        if matches!(self.quadrant(), 1 | 4 | 5 | 8) { -place } else { place }
    }

    /// The tooth in words: upper left second premolar.
    pub fn words(self) -> String {
        let jaw = if self.is_upper() { "upper" } else { "lower" };
        let side = if matches!(self.quadrant(), 1 | 4 | 5 | 8) { "right" } else { "left" };
        let name = match (self.quadrant() > 4, self.place()) {
            (_, 1) => "central incisor",
            (_, 2) => "lateral incisor",
            (_, 3) => "canine",
            (false, 4) => "first premolar",
            (false, 5) => "second premolar",
            (false, 6) | (true, 4) => "first molar",
            (false, 7) | (true, 5) => "second molar",
            (false, _) => "third molar",
            (true, _) => "tooth",
        };
        let first = if self.quadrant() > 4 { "first-dentition " } else { "" };
        format!("{jaw} {side} {first}{name}")
    }
}

impl fmt::Display for Tooth {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "tooth {}", self.0)
    }
}

impl<'de> Deserialize<'de> for Tooth {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        let number = u8::deserialize(d)?;
        Self::from_iso(number).ok_or_else(|| serde::de::Error::custom(ToothError::NotIso(number.to_string())))
    }
}

/// 'teeth 24, 25 and 27', along the arch, always with the word.
pub fn teeth(sites: &[Tooth]) -> String {
    let mut sites = sites.to_vec();
    sites.sort_by_key(|t| (!t.is_upper(), t.along_arch()));
    sites.dedup();
    match &sites[..] {
        [only] => only.to_string(),
        [most @ .., last] => {
            let most: Vec<String> = most.iter().map(|t| t.iso().to_string()).collect();
            format!("teeth {} and {}", most.join(", "), last.iso())
        }
        [] => "no tooth".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// All 32 pairs, Universal against ISO 3950.
    /// Source: EVIDENCE section 10 of the design papers, checked there against a published table of all 32; the pairs
    /// follow from the two definitions: ISO 3950 counts 1 to 8 from the midline in each quadrant (1 upper right, 2 upper
    /// left, 3 lower left, 4 lower right); Universal counts 1 to 32 from the upper right third molar round to the lower
    /// right third molar.
    #[rustfmt::skip]
    const PAIRS: [(u8, u8); 32] = [
        (1, 18), (2, 17), (3, 16), (4, 15), (5, 14), (6, 13), (7, 12), (8, 11),
        (9, 21), (10, 22), (11, 23), (12, 24), (13, 25), (14, 26), (15, 27), (16, 28),
        (17, 38), (18, 37), (19, 36), (20, 35), (21, 34), (22, 33), (23, 32), (24, 31),
        (25, 41), (26, 42), (27, 43), (28, 44), (29, 45), (30, 46), (31, 47), (32, 48),
    ];

    #[test]
    fn universal_to_iso_3950_all_32() {
        for (universal, iso) in PAIRS {
            assert_eq!(Tooth::from_universal(universal).map(Tooth::iso), Some(iso), "Universal {universal}");
            assert_eq!(Tooth::from_iso(iso).map(Tooth::iso), Some(iso));
        }
        assert_eq!(Tooth::from_universal(0), None);
        assert_eq!(Tooth::from_universal(33), None);
    }

    #[test]
    fn iso_3950_has_52_teeth() {
        let all: Vec<u8> = (0..=255).filter(|n| Tooth::from_iso(*n).is_some()).collect();
        assert_eq!(all.len(), 32 + 20);
        for not in [0, 10, 19, 20, 29, 49, 50, 56, 59, 86, 90] {
            assert!(!all.contains(&not), "{not}");
        }
    }

    #[test]
    fn words_say_where() {
        assert_eq!(Tooth::parse("25").unwrap().words(), "upper left second premolar");
        assert_eq!(Tooth::parse("46").unwrap().words(), "lower right first molar");
        assert_eq!(Tooth::parse("11").unwrap().words(), "upper right central incisor");
        assert!(Tooth::parse("9").is_err());
        assert!(Tooth::parse("+5").is_err());
        assert_eq!(
            Tooth::parse("99").unwrap_err().to_string(),
            "'99' is not a tooth in ISO 3950: expected 11 to 48 (or 51 to 85 for first teeth), such as 25"
        );
    }
}
