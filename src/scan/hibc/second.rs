//! The second part of an HIBC label: quantity, expiry, lot or serial number, and what may follow behind '/'.

use crate::scan::calendar::{self, Day};
use crate::scan::reason::Fault;
use crate::units::printable;

/// How an HIBC date is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// A month without a day.
    MonthYear,
    /// Month, day, year.
    MonthDayYear,
    /// Year, month, day.
    YearMonthDay,
    /// Year, month, day, hour.
    YearMonthDayHour,
    /// Year and the day of the year.
    YearDay,
    /// Year, day of the year, hour.
    YearDayHour,
    /// Year of four digits, month, day.
    LongDay,
}

/// The digit before a date and the form it names.
const FORMS: &[(char, Form)] = &[
    ('2', Form::MonthDayYear),
    ('3', Form::YearMonthDay),
    ('4', Form::YearMonthDayHour),
    ('5', Form::YearDay),
    ('6', Form::YearDayHour),
];

impl Form {
    /// As the standard writes it: M month, D day, J day of the year, H hour.
    pub fn written(self) -> &'static str {
        match self {
            Self::MonthYear => "MMYY",
            Self::MonthDayYear => "MMDDYY",
            Self::YearMonthDay => "YYMMDD",
            Self::YearMonthDayHour => "YYMMDDHH",
            Self::YearDay => "YYJJJ",
            Self::YearDayHour => "YYJJJHH",
            Self::LongDay => "YYYYMMDD",
        }
    }

    /// How many digits it has, no more and no fewer.
    fn digits(self) -> usize {
        self.written().len()
    }

    /// What is expected where it is none.
    fn asked(self) -> &'static str {
        match self {
            Self::MonthYear => "MMYY, a month without a day",
            Self::MonthDayYear => "MMDDYY",
            Self::YearMonthDay => "YYMMDD",
            Self::YearMonthDayHour => "YYMMDDHH, the hour 00 to 23",
            Self::YearDay => "YYJJJ, the year and its day 001 to 365 or 366",
            Self::YearDayHour => "YYJJJHH, the year, its day and the hour 00 to 23",
            Self::LongDay => "the 8 digits YYYYMMDD in the years 1970 to 2100",
        }
    }
}

/// Until when, as an HIBC label says it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HibcExpiry {
    day: Day,
    hour: Option<u8>,
    raw: String,
    form: Form,
    without_flag: bool,
}

impl HibcExpiry {
    /// The day, or the month.
    pub fn day(&self) -> Day {
        self.day
    }

    /// The hour of that day, Greenwich time, where the label says one.
    pub fn hour_gmt(&self) -> Option<u8> {
        self.hour
    }

    /// The digits as they stand.
    pub fn raw(&self) -> &str {
        &self.raw
    }

    /// How they are written.
    pub fn form(&self) -> Form {
        self.form
    }

    /// The oldest form: five digits of year and day without any flag before them.
    pub fn without_flag(&self) -> bool {
        self.without_flag
    }

    fn read(raw: &str, form: Form, without_flag: bool, reference_year: i16) -> Result<Self, Fault> {
        let none = || Fault::HibcDate { value: printable(raw), form: form.asked() };
        if raw.len() != form.digits() {
            return Err(none());
        }
        let two = |at: usize| raw.get(at..at + 2).and_then(calendar::small);
        let year = |at: usize| {
            let two = raw.get(at..at + 2).and_then(calendar::number)?;
            calendar::century(two, reference_year)
        };
        let exact = |y: usize, m: usize, d: usize| Day::exact(year(y), two(m)?, two(d)?);
        let of_year = || Day::of_year(year(0), raw.get(2..5).and_then(calendar::number)?);
        let (day, hour) = match form {
            Form::MonthYear => (two(0).and_then(|month| Day::month(year(2), month)), None),
            Form::MonthDayYear => (exact(4, 0, 2), None),
            Form::YearMonthDay => (exact(0, 2, 4), None),
            Form::YearMonthDayHour => (exact(0, 2, 4), Some(two(6))),
            Form::YearDay => (of_year(), None),
            Form::YearDayHour => (of_year(), Some(two(5))),
            Form::LongDay => (long_day(raw), None),
        };
        let day = day.ok_or_else(none)?;
        let hour = match hour {
            None => None,
            Some(hour) => {
                let hour = hour.and_then(|h| u8::try_from(h).ok()).filter(|h| *h < 24);
                Some(hour.ok_or_else(none)?)
            }
        };
        Ok(Self { day, hour, raw: raw.to_owned(), form, without_flag })
    }
}

/// YYYYMMDD.
fn long_day(digits: &str) -> Option<Day> {
    let year = calendar::number(digits.get(..4)?).and_then(calendar::whole_year);
    Day::exact(year, calendar::small(digits.get(4..6)?)?, calendar::small(digits.get(6..)?)?)
}

/// What was read of it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Second {
    pub(super) lot: Option<String>,
    pub(super) serial: Option<String>,
    pub(super) expiry: Option<HibcExpiry>,
    pub(super) manufactured: Option<Day>,
    pub(super) quantity: Option<u32>,
}

impl Second {
    /// Reads everything between the first part, or the `+`, and the end.
    pub(super) fn read(data: &str, reference_year: i16) -> Result<Self, Fault> {
        let mut segments = data.split('/');
        let mut out = Self::default();
        out.flagged(segments.next().unwrap_or_default(), reference_year)?;
        let mut behind_quantity = false;
        for segment in segments {
            if behind_quantity {
                return Err(Fault::BehindQuantity(printable(segment)));
            }
            behind_quantity = segment.starts_with('Q');
            out.further(segment, reference_year)?;
        }
        if out == Self::default() { Err(Fault::NothingSecond) } else { Ok(out) }
    }

    /// The segment that begins with a flag.
    fn flagged(&mut self, text: &str, reference_year: i16) -> Result<(), Fault> {
        if let Some(rest) = text.strip_prefix("$$+") {
            let rest = self.dated(rest, reference_year)?;
            return if rest.is_empty() { Ok(()) } else { self.serial_is(rest) };
        }
        if let Some(rest) = text.strip_prefix("$$") {
            let (rest, counted) = self.counted(rest)?;
            if counted && rest.is_empty() {
                return Ok(());
            }
            let rest = self.dated(rest, reference_year)?;
            return if rest.is_empty() { Ok(()) } else { self.lot_is(rest) };
        }
        if let Some(rest) = text.strip_prefix("$+") {
            return self.serial_is(rest);
        }
        if let Some(rest) = text.strip_prefix('$') {
            return self.lot_is(rest);
        }
        match text.split_at_checked(5) {
            Some((day, rest)) if day.bytes().all(|b| b.is_ascii_digit()) => {
                self.expiry = Some(HibcExpiry::read(day, Form::YearDay, true, reference_year)?);
                if rest.is_empty() { Ok(()) } else { self.lot_is(rest) }
            }
            _ if text.is_empty() => Err(Fault::NothingSecond),
            _ => Err(Fault::Second(printable(text))),
        }
    }

    /// Takes 8 and two digits, or 9 and five, off the front.
    fn counted<'a>(&mut self, text: &'a str) -> Result<(&'a str, bool), Fault> {
        let (len, expected) = match text.as_bytes().first() {
            Some(b'8') => (2, "two digits behind the 8"),
            Some(b'9') => (5, "five digits behind the 9"),
            _ => return Ok((text, false)),
        };
        let digits = text.get(1..=len).unwrap_or(&text[1..]);
        self.quantity_is(digits, len, expected)?;
        Ok((&text[1 + len..], true))
    }

    /// Takes the date off the front: a digit for its form and the date itself; 7 stands for none.
    fn dated<'a>(&mut self, text: &'a str, reference_year: i16) -> Result<&'a str, Fault> {
        let mut take = |form: Form, from: usize| {
            let raw = text.get(from..from + form.digits()).unwrap_or(&text[from..]);
            self.expiry_is(HibcExpiry::read(raw, form, false, reference_year)?)?;
            Ok(&text[from + raw.len()..])
        };
        match text.chars().next() {
            None => Err(Fault::NothingSecond),
            // No flag of its own: it is the first digit of the month.
            Some('0' | '1') => take(Form::MonthYear, 0),
            Some('7') => Ok(&text[1..]),
            Some(flag) => match FORMS.iter().find(|(f, _)| *f == flag) {
                Some((_, form)) => take(*form, 1),
                None => Err(Fault::DateForm(printable(text))),
            },
        }
    }

    /// A segment behind '/'.
    fn further(&mut self, text: &str, reference_year: i16) -> Result<(), Fault> {
        if let Some(rest) = text.strip_prefix('S') {
            return self.serial_is(rest);
        }
        if let Some(rest) = text.strip_prefix('Q') {
            return self.quantity_is(rest, rest.len().clamp(1, 5), "one to five digits behind the Q");
        }
        if let Some(raw) = text.strip_prefix("14D") {
            return self.expiry_is(HibcExpiry::read(raw, Form::LongDay, false, reference_year)?);
        }
        if let Some(raw) = text.strip_prefix("16D") {
            let day = HibcExpiry::read(raw, Form::LongDay, false, reference_year)?.day;
            let words = |d: &Day| d.date().to_string();
            return once(&mut self.manufactured, day, "the day it was made", words);
        }
        Err(Fault::Further(printable(text)))
    }

    fn lot_is(&mut self, text: &str) -> Result<(), Fault> {
        once(&mut self.lot, number("lot", text)?, "the lot", Clone::clone)
    }

    fn serial_is(&mut self, text: &str) -> Result<(), Fault> {
        once(&mut self.serial, number("serial number", text)?, "the serial number", Clone::clone)
    }

    fn quantity_is(&mut self, digits: &str, len: usize, expected: &'static str) -> Result<(), Fault> {
        let whole = digits.len() == len && digits.bytes().all(|b| b.is_ascii_digit());
        let quantity = digits.parse().ok().filter(|_| whole);
        let quantity = quantity.ok_or_else(|| Fault::Quantity { value: printable(digits), expected })?;
        if quantity == 0 {
            return Err(Fault::NoPieces { place: "the quantity of the HIBC label".to_owned() });
        }
        once(&mut self.quantity, quantity, "the quantity", ToString::to_string)
    }

    fn expiry_is(&mut self, expiry: HibcExpiry) -> Result<(), Fault> {
        if self.expiry.as_ref().is_some_and(|e| e.day == expiry.day) {
            return Ok(());
        }
        once(&mut self.expiry, expiry, "the expiry", |e| e.day.words())
    }
}

/// A lot or serial number.
fn number(what: &'static str, text: &str) -> Result<String, Fault> {
    let good = (1..=18).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_alphanumeric());
    if good { Ok(text.to_owned()) } else { Err(Fault::Number { what, value: printable(text) }) }
}

/// Sets what is not set, or set to the same.
fn once<T: PartialEq>(
    slot: &mut Option<T>,
    value: T,
    what: &str,
    words: impl Fn(&T) -> String,
) -> Result<(), Fault> {
    match slot {
        Some(first) if *first != value => {
            Err(Fault::Twice { what: what.to_owned(), first: words(first), second: words(&value) })
        }
        _ => {
            *slot = Some(value);
            Ok(())
        }
    }
}
