//! Days as labels write them: two digits for a year, and sometimes no day.

use jiff::civil::Date;

use crate::units::{Expiry, LIMITS, month_name, show_date};

/// A day on a label, or a month where the label gave no day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Day {
    date: Date,
    month_only: bool,
}

impl Day {
    /// The day itself; of a month its last one.
    pub fn date(self) -> Date {
        self.date
    }

    /// Whether the label gave the month alone.
    pub fn month_only(self) -> bool {
        self.month_only
    }

    /// The same as an expiry, with the precision of the label.
    pub fn as_expiry(self) -> Expiry {
        if self.month_only { Expiry::Month(self.date.first_of_month()) } else { Expiry::Day(self.date) }
    }

    /// As a person reads it: 30 Nov 2026, or Nov 2026.
    pub fn words(self) -> String {
        if self.month_only {
            format!("{} {}", month_name(self.date.month()), self.date.year())
        } else {
            show_date(self.date)
        }
    }

    /// A whole date.
    pub(super) fn exact(year: Option<i16>, month: i8, day: i8) -> Option<Self> {
        let date = Date::new(year?, month, day).ok()?;
        Some(Self { date, month_only: false })
    }

    /// A month without a day.
    pub(super) fn month(year: Option<i16>, month: i8) -> Option<Self> {
        let first = Date::new(year?, month, 1).ok()?;
        Some(Self { date: first.last_of_month(), month_only: true })
    }

    /// The so-manieth day of a year, counted from 1.
    pub(super) fn of_year(year: Option<i16>, day: i16) -> Option<Self> {
        let first = Date::new(year?, 1, 1).ok()?;
        let inside = (1..=first.days_in_year()).contains(&day);
        let date = first.checked_add(jiff::Span::new().days(day.checked_sub(1)?)).ok().filter(|_| inside)?;
        Some(Self { date, month_only: false })
    }
}

/// The year of two digits: the one in the century of the reference year, unless that lies 51 years or more after it or
/// 50 years or more before it (GS1 General Specifications 7.12).
///
/// `None` where no calendar has the year.
pub(super) fn century(two: i16, reference_year: i16) -> Option<i16> {
    let reference = i32::from(reference_year);
    let own = reference - reference.rem_euclid(100) + i32::from(two);
    let year = match own - reference {
        51.. => own - 100,
        ..=-50 => own + 100,
        _ => own,
    };
    i16::try_from(year).ok()
}

/// A year of four digits, within those that a label or a record of today carries.
pub(super) fn whole_year(year: i16) -> Option<i16> {
    (LIMITS.year.least..=LIMITS.year.most).contains(&i64::from(year)).then_some(year)
}

/// The number that a run of digits makes; `None` for anything else, and for what is over 32 767.
pub(super) fn number(digits: &str) -> Option<i16> {
    if digits.is_empty() || !digits.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    digits.parse().ok()
}

/// The same in a byte: a month, a day, an hour.
pub(super) fn small(digits: &str) -> Option<i8> {
    number(digits).and_then(|n| i8::try_from(n).ok())
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn two_digits_stand_for_the_year_nearest_to_the_reference() {
        // GS1 General Specifications 7.12: 51 and more after is the century before, 50 and more before the next one.
        for (two, reference, year) in [
            (77, 2026, 1977),
            (76, 2026, 2076),
            (0, 2026, 2000),
            (99, 2026, 1999),
            (26, 2026, 2026),
            (0, 2050, 2100),
            (1, 2050, 2001),
            (0, 2099, 2100),
            (48, 1999, 2048),
            (50, 1999, 1950),
        ] {
            assert_eq!(century(two, reference), Some(year), "{two} in {reference}");
        }
        assert_eq!(century(99, i16::MIN), None);
        assert_eq!(century(10, i16::MAX), None);
    }

    #[test]
    fn a_month_ends_on_its_last_day_and_stays_a_month() {
        let feb = Day::month(Some(2028), 2).unwrap();
        assert_eq!((feb.date(), feb.month_only()), (date(2028, 2, 29), true));
        assert_eq!(feb.as_expiry(), Expiry::Month(date(2028, 2, 1)));
        assert_eq!(feb.words(), "Feb 2028");
        let day = Day::exact(Some(2028), 2, 29).unwrap();
        assert_eq!(day.as_expiry(), Expiry::Day(date(2028, 2, 29)));
        assert_eq!(day.words(), "29 Feb 2028");
        assert_eq!(Day::month(Some(2028), 13), None);
        assert_eq!(Day::exact(Some(2027), 2, 29), None);
    }

    #[test]
    fn the_day_of_a_year_ends_with_the_year() {
        assert_eq!(Day::of_year(Some(2020), 366).map(Day::date), Some(date(2020, 12, 31)));
        for (year, day) in [(2021, 366), (2020, 0), (2020, 367), (2020, i16::MIN)] {
            assert_eq!(Day::of_year(Some(year), day), None, "{year} {day}");
        }
    }

    #[test]
    fn only_digits_are_a_number() {
        assert_eq!(number("007"), Some(7));
        for text in ["", "+1", "-1", "1 ", "٣", "99999"] {
            assert_eq!(number(text), None, "{text}");
        }
        assert_eq!(whole_year(2026), Some(2026));
        assert_eq!(whole_year(1969), None);
        assert_eq!(whole_year(9999), None);
    }
}
