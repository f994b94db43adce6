//! One value, piece by piece: length, characters, check digit, day and time.

use jiff::civil::Time;

use super::part::{Part, Rule};
use super::table::Row;
use crate::scan::calendar::{self, Day};
use crate::scan::check::check_digit;
use crate::scan::reason::Fault;

/// Where a value stands, for what is said about it.
pub(super) struct Spot<'a> {
    /// The identifier.
    pub(super) name: &'a str,
    /// The character where the identifier begins.
    pub(super) at: usize,
    /// The character where the value begins.
    pub(super) value_at: usize,
}

/// What the pieces of a value say.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Read {
    pub(super) day: Option<Day>,
    pub(super) time: Option<Time>,
}

/// Reads a value.
pub(super) fn read(row: &Row, spot: &Spot<'_>, value: &str, reference_year: i16) -> Result<Read, Fault> {
    let (least, most) = row.lengths();
    let length = |expected: String| Fault::Length {
        ai: spot.name.to_owned(),
        at: spot.at,
        found: value.chars().count(),
        expected,
        lost: value.len() > most && row.predefined().is_none(),
    };
    if !(least..=most).contains(&value.len()) {
        return Err(length(if least == most { least.to_string() } else { format!("{least} to {most}") }));
    }
    let mut out = Read::default();
    let mut begins = 0;
    for part in row.parts {
        let rest = value.get(begins..).unwrap_or_default();
        if rest.is_empty() && part.optional {
            break;
        }
        // Only the last piece varies, so the first so many characters are this one's.
        let piece = rest.get(..part.most.min(rest.len())).unwrap_or(rest);
        if piece.len() < part.least {
            return Err(length(format!("{} more or none behind the first {begins}", part.least)));
        }
        let foreign = |c: char| !u8::try_from(c).is_ok_and(|b| part.set.has(b));
        if let Some((n, c)) = piece.char_indices().find(|(_, c)| foreign(*c)) {
            let at = spot.value_at + begins + n;
            return Err(Fault::character(format!("({})", spot.name), at, c, part.set.words()));
        }
        ruled(part, piece, spot, reference_year, &mut out)?;
        begins += piece.len();
    }
    if begins < value.len() {
        return Err(length(format!("{begins}")));
    }
    Ok(out)
}

/// Holds a piece against its rule and keeps the day and the time it says.
fn ruled(
    part: &Part,
    piece: &str,
    spot: &Spot<'_>,
    reference_year: i16,
    out: &mut Read,
) -> Result<(), Fault> {
    let none = |what: &'static str, form: &'static str| Fault::Date {
        place: format!("({})", spot.name),
        at: spot.at,
        value: piece.to_owned(),
        what,
        form,
    };
    let day = match part.rule {
        Rule::Free => return Ok(()),
        Rule::Check => return checked(piece, spot),
        Rule::Day => day(piece, reference_year).ok_or_else(|| none("day", "YYMMDD"))?,
        Rule::DayOrMonth => day_or_month(piece, reference_year)
            .ok_or_else(|| none("day", "YYMMDD, with 00 for the day where it is a whole month"))?,
        Rule::LongDay => long_day(piece).ok_or_else(|| none("day", "YYYYMMDD in the years 1970 to 2100"))?,
        Rule::Hour => return keep(clock(piece), out, || none("hour", "00 to 23")),
        Rule::HourMinute => return keep(clock(piece), out, || none("time", "HHMM, 0000 to 2359")),
        Rule::HourMinuteOrNone if piece == "9999" => return Ok(()),
        Rule::HourMinuteOrNone => {
            return keep(clock(piece), out, || none("time", "HHMM, 0000 to 2359, or 9999 for none"));
        }
        Rule::Minute => {
            let hour = out.time.map_or(0, Time::hour);
            return keep(clock(&format!("{hour:02}{piece}")), out, || none("time", "minutes, 00 to 59"));
        }
        Rule::Second => {
            let (hour, minute) = out.time.map_or((0, 0), |t| (t.hour(), t.minute()));
            let time = clock(&format!("{hour:02}{minute:02}{piece}"));
            return keep(time, out, || none("time", "seconds, 00 to 59"));
        }
        // A pack without a piece in it is a mistake of print or scanner, and nobody books what it may have meant.
        Rule::Pieces if piece.bytes().all(|b| b == b'0') => {
            return Err(Fault::NoPieces { place: format!("({}) at character {}", spot.name, spot.at) });
        }
        Rule::Pieces => return Ok(()),
    };
    // Of two days, as in a harvest, the first stands for the element.
    out.day = out.day.or(Some(day));
    Ok(())
}

fn checked(digits: &str, spot: &Spot<'_>) -> Result<(), Fault> {
    let Some((last, found)) = digits.char_indices().next_back() else { return Ok(()) };
    match check_digit(&digits[..last]) {
        Some(expected) if expected != found => Err(Fault::CheckDigit {
            ai: spot.name.to_owned(),
            at: spot.at,
            value: digits.to_owned(),
            expected,
            found,
        }),
        _ => Ok(()),
    }
}

fn keep(time: Option<Time>, out: &mut Read, none: impl FnOnce() -> Fault) -> Result<(), Fault> {
    out.time = Some(time.ok_or_else(none)?);
    Ok(())
}

/// HH, HHMM or HHMMSS.
fn clock(digits: &str) -> Option<Time> {
    let two = |n: usize| digits.get(n..n + 2).map_or(Some(0), calendar::small);
    Time::new(calendar::small(digits.get(..2)?)?, two(2)?, two(4)?, 0).ok()
}

fn day(digits: &str, reference_year: i16) -> Option<Day> {
    let year = calendar::century(calendar::number(digits.get(..2)?)?, reference_year);
    Day::exact(year, calendar::small(digits.get(2..4)?)?, calendar::small(digits.get(4..)?)?)
}

/// YYMMDD, where 00 for the day is the last day of the month (General Specifications 3.4).
pub(super) fn day_or_month(digits: &str, reference_year: i16) -> Option<Day> {
    match digits.strip_suffix("00").filter(|_| digits.len() == 6) {
        Some(month) => {
            let year = calendar::century(calendar::number(month.get(..2)?)?, reference_year);
            Day::month(year, calendar::small(month.get(2..)?)?)
        }
        None => day(digits, reference_year).filter(|_| digits.len() == 6),
    }
}

fn long_day(digits: &str) -> Option<Day> {
    let year = calendar::number(digits.get(..4)?).and_then(calendar::whole_year);
    Day::exact(year, calendar::small(digits.get(4..6)?)?, calendar::small(digits.get(6..)?)?)
}
