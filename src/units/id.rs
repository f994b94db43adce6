//! Identifiers and short texts: checked once at the door, so nothing inside meets a control character or a megabyte.

use std::fmt;

use serde::{Deserialize, Deserializer, Serialize};
use thiserror::Error;

/// Why a text is not an identifier.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum IdError {
    /// Nothing there.
    #[error("{what} is empty: expected {expected}")]
    Empty {
        /// Which identifier, with its article.
        what: &'static str,
        /// What it may look like.
        expected: &'static str,
    },
    /// Too long.
    #[error("{what} has {len} bytes: at most {most} are kept")]
    TooLong {
        /// Which identifier, with its article.
        what: &'static str,
        /// How many there were.
        len: usize,
        /// How many are allowed.
        most: usize,
    },
    /// A character outside the set.
    #[error("'{text}' is not {what}: expected {expected}")]
    Shape {
        /// What was typed, made visible.
        text: String,
        /// Which identifier, with its article.
        what: &'static str,
        /// What it may look like.
        expected: &'static str,
    },
}

/// Control and direction-changing characters made visible, and long text cut, for a terminal.
pub fn printable(text: &str) -> String {
    const MOST: usize = 60;
    let mut out = String::new();
    for (n, c) in text.chars().enumerate() {
        if n == MOST {
            out.push('…');
            break;
        }
        if hidden(c) {
            out.push_str(&format!("\\u{{{:x}}}", c as u32));
        } else {
            out.push(c);
        }
    }
    out
}

/// Control and direction-changing characters made visible, nothing cut.
pub fn visible(text: &str) -> String {
    text.chars().map(|c| if hidden(c) { format!("\\u{{{:x}}}", c as u32) } else { c.to_string() }).collect()
}

/// A character that moves the cursor, hides, or turns the reading direction.
pub(crate) fn hidden(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{2069}' | '\u{feff}')
}

fn slug(c: char) -> bool {
    c.is_ascii_lowercase() || c.is_ascii_digit() || matches!(c, '-' | '.')
}

fn label_char(c: char) -> bool {
    c.is_ascii_graphic()
}

fn any_text(c: char) -> bool {
    !hidden(c)
}

/// Reads a text and makes an identifier of it, without a copy of the text in between: a record has millions.
fn read<'de, D: Deserializer<'de>, T>(d: D, make: fn(&str) -> Result<T, IdError>) -> Result<T, D::Error> {
    struct Text<T>(fn(&str) -> Result<T, IdError>);
    impl<T> serde::de::Visitor<'_> for Text<T> {
        type Value = T;
        fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
            f.write_str("a text")
        }
        fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<T, E> {
            (self.0)(text).map_err(E::custom)
        }
    }
    d.deserialize_str(Text(make))
}

macro_rules! id {
    ($(#[$doc:meta])* $name:ident, $what:literal, most $most:literal, $allowed:expr, $expected:literal) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
        #[serde(transparent)]
        pub struct $name(Box<str>);

        impl $name {
            /// Checks and keeps `text`.
            pub fn new(text: &str) -> Result<Self, IdError> {
                let len = text.len();
                if text.trim().is_empty() {
                    return Err(IdError::Empty { what: $what, expected: $expected });
                }
                if len > $most {
                    return Err(IdError::TooLong { what: $what, len, most: $most });
                }
                let allowed: fn(char) -> bool = $allowed;
                if !text.chars().all(allowed) {
                    return Err(IdError::Shape { text: printable(text), what: $what, expected: $expected });
                }
                Ok(Self(text.into()))
            }

            /// The text.
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.pad(&self.0)
            }
        }

        impl std::str::FromStr for $name {
            type Err = IdError;
            fn from_str(text: &str) -> Result<Self, IdError> {
                Self::new(text)
            }
        }

        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
                read(d, Self::new)
            }
        }
    };
}

id!(
    /// The readable slug of a part.
    PartCode, "a part code", most 60, slug, "small letters, digits, '-' and '.', such as plover-mua-3.0"
);
id!(
    /// A family of parts made to go together.
    SystemId, "a system", most 40, slug, "small letters, digits, '-' and '.'"
);
id!(
    /// A mating geometry.
    InterfaceId, "an interface", most 40, slug, "small letters, digits, '-' and '.'"
);
id!(
    /// Where stock lies: room, cabinet, drawer.
    PlaceId, "a place", most 32, slug, "small letters, digits, '-' and '.', such as cabinet-2-drawer-4"
);
id!(
    /// A maker's batch, kept as printed: case and leading zeros matter.
    Lot, "a lot", most 20, label_char, "the lot as printed, without spaces"
);
id!(
    /// A patient's number; never a name.
    CaseNumber, "a case number", most 20, |c| c.is_ascii_alphanumeric() || c == '-', "digits or letters, such as 1047, never a name"
);
id!(
    /// Who books.
    Initials, "the initials", most 8, |c| c.is_alphanumeric(), "one to eight letters, such as AB"
);
id!(
    /// Whose logbook it is.
    PracticeName, "a practice name", most 80, any_text, "a short name"
);
id!(
    /// A sentence somebody typed.
    Note, "the text", most 500, any_text, "one line of text without control characters"
);

id!(
    /// A short text of a catalogue or a case: a name, a material, a source.
    Name, "the text", most 160, any_text, "a short text without control characters"
);

/// A label as the scanner sent it, separators and all.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(transparent)]
pub struct RawLabel(Box<str>);

impl RawLabel {
    /// Keeps up to 200 bytes, control characters included.
    pub fn new(text: &str) -> Result<Self, IdError> {
        let len = text.len();
        if len == 0 {
            return Err(IdError::Empty { what: "a label", expected: "what the scanner sent" });
        }
        if len > 200 {
            return Err(IdError::TooLong { what: "a label", len, most: 200 });
        }
        Ok(Self(text.into()))
    }

    /// The raw text: never print it without [`printable`].
    pub fn as_raw(&self) -> &str {
        &self.0
    }
}

impl<'de> Deserialize<'de> for RawLabel {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        read(d, Self::new)
    }
}

/// 128 bits made by whoever asks, so that the same booking sent twice is made once.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Act(u128);

impl Act {
    /// From the number itself.
    pub const fn from_bits(bits: u128) -> Self {
        Self(bits)
    }

    /// The number itself.
    pub const fn bits(self) -> u128 {
        self.0
    }

    /// Reads 32 hexadecimal digits.
    pub fn parse(text: &str) -> Result<Self, IdError> {
        let expected = "32 hexadecimal digits";
        if text.len() == 32
            && text.bytes().all(|b| b.is_ascii_hexdigit())
            && let Ok(bits) = u128::from_str_radix(text, 16)
        {
            return Ok(Self(bits));
        }
        Err(IdError::Shape { text: printable(text), what: "an act", expected })
    }
}

impl fmt::Display for Act {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:032x}", self.0)
    }
}

impl Serialize for Act {
    fn serialize<S: serde::Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Act {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        read(d, Self::parse)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_id_says_what_was_expected() {
        assert_eq!(
            PartCode::new("").unwrap_err().to_string(),
            "a part code is empty: expected small letters, digits, '-' and '.', such as plover-mua-3.0"
        );
        assert_eq!(
            CaseNumber::new("Jo Doe").unwrap_err().to_string(),
            "'Jo Doe' is not a case number: expected digits or letters, such as 1047, never a name"
        );
        assert_eq!(
            Lot::new(&"x".repeat(21)).unwrap_err().to_string(),
            "a lot has 21 bytes: at most 20 are kept"
        );
        assert_eq!(
            Note::new("a\u{1b}[2Jb").unwrap_err().to_string(),
            "'a\\u{1b}[2Jb' is not the text: expected one line of text without control characters"
        );
        assert_eq!(
            Note::new(&"x".repeat(1 << 20)).unwrap_err().to_string(),
            "the text has 1048576 bytes: at most 500 are kept"
        );
    }

    #[test]
    fn hidden_characters_never_reach_a_terminal() {
        assert_eq!(printable("a\u{1d}b\u{202e}c"), "a\\u{1d}b\\u{202e}c");
        assert_eq!(printable(&"x".repeat(99)).chars().count(), 61);
    }

    #[test]
    fn an_act_is_32_digits() {
        let act = Act::parse("00112233445566778899aabbccddeeff").unwrap();
        assert_eq!(act.to_string(), "00112233445566778899aabbccddeeff");
        assert!(Act::parse("+0112233445566778899aabbccddeeff").is_err());
    }
}
