//! Civil dates, and the four things an expiry can be.

use std::fmt;

use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use thiserror::Error;

use super::LIMITS;

/// Why a text is not a date or an expiry.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum DateError {
    /// Not in the one written form, or no such day.
    #[error("'{0}' is not a date: expected YYYY-MM-DD, such as 2026-11-30")]
    NotADate(String),
    /// Not one of the written forms of an expiry.
    #[error("'{0}' is not an expiry: expected YYYY-MM-DD, YYYY-MM or 'none'")]
    NotAnExpiry(String),
    /// A year no label and no record of today carries.
    #[error("'{0}' lies outside the years 1970 to 2100")]
    FarAway(String),
}

/// Reads YYYY-MM-DD.
pub fn parse_date(text: &str) -> Result<Date, DateError> {
    let wrong = || DateError::NotADate(super::printable(text));
    // Only the one form: jiff alone would take week dates and times as well.
    if text.len() != 10 || !text.bytes().all(|b| b.is_ascii_digit() || b == b'-') {
        return Err(wrong());
    }
    let date: Date = text.parse().map_err(|_| wrong())?;
    if LIMITS.year.check(i64::from(date.year()), text).is_err() {
        return Err(DateError::FarAway(super::printable(text)));
    }
    Ok(date)
}

/// The month in words, short.
pub fn month_name(month: i8) -> &'static str {
    const NAMES: [&str; 12] =
        ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
    NAMES[(month - 1).clamp(0, 11) as usize]
}

/// A date as a person reads it: 30 Nov 2026.
pub fn show_date(date: Date) -> String {
    format!("{} {} {}", date.day(), month_name(date.month()), date.year())
}

/// Until when a lot may be used.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Expiry {
    /// Usable to the end of this day.
    Day(Date),
    /// Usable to the end of the month that begins on this day; the label gave no day.
    Month(Date),
    /// The label was read and carries none.
    NoneOnLabel,
    /// Nobody has read the label.
    NotRecorded,
}

impl Expiry {
    /// Reads YYYY-MM-DD, YYYY-MM or 'none'.
    pub fn parse(text: &str) -> Result<Self, DateError> {
        let wrong = || DateError::NotAnExpiry(super::printable(text));
        match text.len() {
            4 if text == "none" => Ok(Self::NoneOnLabel),
            7 => parse_date(&format!("{text}-01")).map(Self::Month).map_err(|e| match e {
                DateError::FarAway(_) => DateError::FarAway(super::printable(text)),
                _ => wrong(),
            }),
            10 => parse_date(text).map(Self::Day).map_err(|e| match e {
                DateError::NotADate(_) => wrong(),
                other => other,
            }),
            _ => Err(wrong()),
        }
    }

    /// Whether both end on the same day: the end of a month and its last day do.
    pub fn agrees(self, other: Self) -> bool {
        self == other || self.last_day().is_some_and(|day| other.last_day() == Some(day))
    }

    /// The last day of use, when there is one.
    pub fn last_day(self) -> Option<Date> {
        match self {
            Self::Day(day) => Some(day),
            Self::Month(first) => Some(first.last_of_month()),
            Self::NoneOnLabel | Self::NotRecorded => None,
        }
    }

    /// Whether the last day of use has passed.
    pub fn is_over(self, today: Date) -> bool {
        self.last_day().is_some_and(|last| last < today)
    }

    /// Days left including none: 0 on the last day itself.
    pub fn days_left(self, today: Date) -> Option<i32> {
        self.last_day().map(|last| (last - today).get_days())
    }

    /// As JSON writes it; `None` when not recorded.
    pub fn code(self) -> Option<String> {
        match self {
            Self::Day(day) => Some(day.to_string()),
            Self::Month(first) => Some(format!("{:04}-{:02}", first.year(), first.month())),
            Self::NoneOnLabel => Some("none on the label".to_owned()),
            Self::NotRecorded => None,
        }
    }
}

impl fmt::Display for Expiry {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Self::Day(day) => f.pad(&show_date(day)),
            Self::Month(first) => f.pad(&format!("end of {} {}", month_name(first.month()), first.year())),
            Self::NoneOnLabel => f.pad("no expiry on the label"),
            Self::NotRecorded => f.pad("expiry not recorded"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn a_month_runs_to_its_end() {
        let feb = Expiry::parse("2028-02").unwrap();
        assert_eq!(feb.last_day(), Some(date(2028, 2, 29)));
        assert!(!feb.is_over(date(2028, 2, 29)));
        assert!(feb.is_over(date(2028, 3, 1)));
        assert_eq!(feb.code().unwrap(), "2028-02");
        assert_eq!(feb.to_string(), "end of Feb 2028");
    }

    #[test]
    fn none_on_the_label_is_not_not_recorded() {
        assert_ne!(Expiry::parse("none").unwrap(), Expiry::NotRecorded);
        assert_eq!(Expiry::NotRecorded.code(), None);
        assert_eq!(Expiry::NoneOnLabel.code().unwrap(), "none on the label");
    }

    #[test]
    fn what_is_no_date_is_refused_by_name() {
        assert_eq!(
            parse_date("2026-02-30").unwrap_err().to_string(),
            "'2026-02-30' is not a date: expected YYYY-MM-DD, such as 2026-11-30"
        );
        assert_eq!(
            Expiry::parse("30.11.26").unwrap_err().to_string(),
            "'30.11.26' is not an expiry: expected YYYY-MM-DD, YYYY-MM or 'none'"
        );
        assert_eq!(
            Expiry::parse("1066-10").unwrap_err().to_string(),
            "'1066-10' lies outside the years 1970 to 2100"
        );
        assert!(Expiry::parse("2026-W01-1").is_err());
    }
}
