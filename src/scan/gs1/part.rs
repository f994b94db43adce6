//! The pieces a GS1 value is made of: which characters, how many, and what they must say.

/// The characters a piece may have.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Set {
    /// 0 to 9.
    Digits,
    /// The 82 characters of ISO/IEC 646 that GS1 allows (General Specifications, figure 7.11-1).
    Text,
    /// The 39 characters of component numbers (figure 7.11-2).
    Component,
    /// Base 64 for web addresses and files (figure 7.11-3).
    Base64,
}

impl Set {
    pub(super) fn has(self, b: u8) -> bool {
        match self {
            Self::Digits => b.is_ascii_digit(),
            Self::Text => {
                b.is_ascii_alphanumeric() || matches!(b, b'!' | b'"' | b'%'..=b'/' | b':'..=b'?' | b'_')
            }
            Self::Component => {
                b.is_ascii_digit() || b.is_ascii_uppercase() || matches!(b, b'#' | b'-' | b'/')
            }
            Self::Base64 => b.is_ascii_alphanumeric() || matches!(b, b'-' | b'_' | b'='),
        }
    }

    /// What was expected, in words.
    pub(super) fn words(self) -> &'static str {
        match self {
            Self::Digits => "digits only",
            Self::Text => "letters, digits and !\"%&'()*+,-./:;<=>?_ without spaces",
            Self::Component => "digits, capital letters, # - and /",
            Self::Base64 => "letters, digits, - _ and =",
        }
    }
}

/// What a piece must say beyond its characters.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Rule {
    Free,
    /// The last digit is a check digit.
    Check,
    /// YYMMDD.
    Day,
    /// YYMMDD, 00 for the day being the whole month.
    DayOrMonth,
    /// YYYYMMDD.
    LongDay,
    /// HH.
    Hour,
    /// HHMM.
    HourMinute,
    /// HHMM, or 9999 for none.
    HourMinuteOrNone,
    /// MM, after an hour.
    Minute,
    /// SS, after a minute.
    Second,
    /// How many pieces: one or more.
    Pieces,
}

/// One piece of a value.
#[derive(Debug, Clone, Copy)]
pub(super) struct Part {
    pub(super) set: Set,
    pub(super) least: usize,
    pub(super) most: usize,
    /// May be left away whole.
    pub(super) optional: bool,
    pub(super) rule: Rule,
}

const fn part(set: Set, least: usize, most: usize, rule: Rule) -> Part {
    Part { set, least, most, optional: false, rule }
}

/// So many digits.
pub(super) const fn n(len: usize) -> Part {
    part(Set::Digits, len, len, Rule::Free)
}

/// One to so many digits.
pub(super) const fn n_to(most: usize) -> Part {
    part(Set::Digits, 1, most, Rule::Free)
}

/// One to so many digits that say how many pieces there are.
pub(super) const fn pieces(most: usize) -> Part {
    part(Set::Digits, 1, most, Rule::Pieces)
}

/// So many digits, the last of them the check digit.
pub(super) const fn check(len: usize) -> Part {
    part(Set::Digits, len, len, Rule::Check)
}

/// Digits of a day or a time.
pub(super) const fn when(rule: Rule) -> Part {
    let (least, most) = match rule {
        Rule::Day | Rule::DayOrMonth => (6, 6),
        Rule::LongDay => (8, 8),
        Rule::Hour | Rule::Minute | Rule::Second => (2, 2),
        _ => (4, 4),
    };
    part(Set::Digits, least, most, rule)
}

/// So many characters of text.
pub(super) const fn x(len: usize) -> Part {
    part(Set::Text, len, len, Rule::Free)
}

/// One to so many characters of text.
pub(super) const fn x_to(most: usize) -> Part {
    part(Set::Text, 1, most, Rule::Free)
}

/// One to so many characters of another set.
pub(super) const fn of(set: Set, most: usize) -> Part {
    part(set, 1, most, Rule::Free)
}

/// The same piece, that may be left away.
pub(super) const fn maybe(part: Part) -> Part {
    Part { optional: true, ..part }
}
