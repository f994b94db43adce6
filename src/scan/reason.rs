//! Why a label is refused, read with a doubt, or not read at all; every sentence says what, where, what was expected and
//! what to do. Places are counted in characters of the label, from 1.

use jiff::civil::Date;
use thiserror::Error;

use super::MOST;
use crate::units::{printable, show_date};

/// What to do when a label cannot be read.
const AGAIN: &str = "; scan it again, and if it stays so type item, lot and expiry as printed";

/// Why a label is refused.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Fault {
    /// Nothing there.
    #[error("the label is empty: expected what the scanner sent{again}", again = AGAIN)]
    Empty,
    /// A symbology identifier, or separators, and nothing behind.
    #[error("nothing is in the label but '{0}': expected application identifiers with their values{again}", again = AGAIN)]
    NoElements(String),
    /// More than is read.
    #[error("the label has {0} bytes: at most {most} are read; scan one symbol at a time", most = MOST)]
    TooLong(usize),
    /// The same text twice.
    #[error("the same label stands there twice: expected it once; scan one symbol at a time")]
    PastedTwice,
    /// Two labels in one text.
    #[error(
        "a second label begins at character {at}, with '{begins}': expected one; scan one symbol at a time"
    )]
    TwoLabels {
        /// Where the second one begins.
        at: usize,
        /// Its first characters, made visible.
        begins: String,
    },
    /// No identifier of the table.
    #[error(
        "'{begins}' at character {at} is no GS1 application identifier: expected one such as 01, 10, 17 or 21, and a separator behind every value of free length{again}",
        again = AGAIN
    )]
    UnknownIdentifier {
        /// Where it stands.
        at: usize,
        /// The first characters there, made visible.
        begins: String,
    },
    /// A value too short or too long.
    #[error(
        "({ai}) at character {at} has {found} characters: expected {expected}{lost}{again}",
        lost = if *.lost { "; the separator behind it may be lost" } else { "" },
        again = AGAIN
    )]
    Length {
        /// The identifier.
        ai: String,
        /// Where it stands.
        at: usize,
        /// How many there are.
        found: usize,
        /// How many there may be.
        expected: String,
        /// It is too long, and a separator would have ended it.
        lost: bool,
    },
    /// A character that must not stand there.
    #[error("{shown} at character {at} must not stand in {place}: expected {expected}{again}", again = AGAIN)]
    Character {
        /// What it is in.
        place: String,
        /// Where it stands.
        at: usize,
        /// The character, made visible.
        shown: String,
        /// What may stand there.
        expected: &'static str,
    },
    /// The check digit is another one.
    #[error(
        "({ai}) at character {at}, {value}, ends in {found}: its other digits ask for {expected}{again}",
        again = AGAIN
    )]
    CheckDigit {
        /// The identifier.
        ai: String,
        /// Where it stands.
        at: usize,
        /// The digits.
        value: String,
        /// The one that belongs there.
        expected: char,
        /// The one that is there.
        found: char,
    },
    /// No such day or time.
    #[error("'{value}' in {place} at character {at} is no {what}: expected {form}{again}", again = AGAIN)]
    Date {
        /// What it is in.
        place: String,
        /// Where that stands.
        at: usize,
        /// The digits.
        value: String,
        /// Day or time.
        what: &'static str,
        /// How it is written.
        form: &'static str,
    },
    /// Two values for one thing.
    #[error("the label gives two values for {what}, '{first}' and '{second}': expected one{again}", again = AGAIN)]
    Twice {
        /// What is there twice.
        what: String,
        /// The first value.
        first: String,
        /// The second value.
        second: String,
    },
    /// The check character of an HIBC text is another one.
    #[error("the label ends in the check character '{found}': the text before it asks for '{expected}'{again}", again = AGAIN)]
    CheckCharacter {
        /// The one that belongs there.
        expected: char,
        /// The one that is there.
        found: char,
    },
    /// An HIBC text without room for anything.
    #[error("'{0}' is too short for an HIBC label: expected '+', data and a check character{again}", again = AGAIN)]
    TooShort(String),
    /// The first part of an HIBC text has another form.
    #[error(
        "'{0}' is no HIBC item: expected a labeler's code of four beginning with a letter, a catalogue number of 1 to 18 letters and digits, and one digit for the unit of measure{again}",
        again = AGAIN
    )]
    Primary(String),
    /// A '/' or a '$' with nothing behind.
    #[error(
        "nothing stands in the second part of the HIBC label: expected a lot, a serial number, an expiry or a quantity{again}",
        again = AGAIN
    )]
    NothingSecond,
    /// The second part of an HIBC text begins with something unknown.
    #[error(
        "'{0}' does not begin the second part of an HIBC label: expected $, $+, $$, $$+ or the five digits of year and day{again}",
        again = AGAIN
    )]
    Second(String),
    /// No such day or hour in an HIBC label.
    #[error("'{value}' in the HIBC label is no day: expected {form}{again}", again = AGAIN)]
    HibcDate {
        /// The digits.
        value: String,
        /// How they are written.
        form: &'static str,
    },
    /// No kind of date.
    #[error("'{0}' in the HIBC label names no form of date: expected 0 to 7, or after $$ 8 or 9 and a quantity before it{again}", again = AGAIN)]
    DateForm(String),
    /// A quantity that is none.
    #[error("'{value}' is no quantity of the HIBC label: expected {expected}{again}", again = AGAIN)]
    Quantity {
        /// What stands there.
        value: String,
        /// How many digits belong there.
        expected: &'static str,
    },
    /// A quantity of none.
    #[error(
        "{place} says 0 pieces: expected 1 or more; count the pieces, then type item, lot, expiry and how many there are"
    )]
    NoPieces {
        /// Which quantity, and where it stands.
        place: String,
    },
    /// A lot or serial number of another form.
    #[error("'{value}' is no {what} of an HIBC label: expected 1 to 18 letters and digits{again}", again = AGAIN)]
    Number {
        /// Lot or serial number.
        what: &'static str,
        /// What stands there.
        value: String,
    },
    /// A further part that nobody knows.
    #[error(
        "'/{0}' is no further part of an HIBC label: expected /14D or /16D with YYYYMMDD, /S with a serial number, or /Q with a quantity{again}",
        again = AGAIN
    )]
    Further(String),
    /// A quantity with something behind it.
    #[error("'/{0}' stands behind the quantity of the HIBC label: expected the quantity last{again}", again = AGAIN)]
    BehindQuantity(String),
}

impl Fault {
    /// A character where it must not be, put in words.
    pub(super) fn character(place: String, at: usize, c: char, expected: &'static str) -> Self {
        let shown = if c == ' ' { "a space".to_owned() } else { format!("'{}'", printable(&c.to_string())) };
        Self::Character { place, at, shown, expected }
    }
}

/// Why a label is read and looked at once more.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Doubt {
    /// More separators than one in a row.
    #[error(
        "{count} separators stand in a row at character {at}, where one is allowed: hold the label against what was read"
    )]
    Separators {
        /// Where they begin.
        at: usize,
        /// How many.
        count: usize,
    },
    /// What must stand beside it is not there.
    #[error("({ai}) stands without {missing}: expected it on the same label; scan the other symbol as well")]
    Lacks {
        /// The identifier.
        ai: String,
        /// Those of which one is needed.
        missing: String,
    },
    /// Two that exclude each other.
    #[error("({ai}) and ({other}) must not stand on one label: hold the label against what was read")]
    Clash {
        /// The first.
        ai: String,
        /// The second.
        other: String,
    },
    /// A value that ends as an expiry would.
    #[error(
        "{what} '{value}' ends in 17 and a day, {shown}: perhaps the scanner lost a separator, the {what} is '{shorter}' and that day the expiry; hold it against the label",
        shown = show_date(*.day)
    )]
    LostSeparator {
        /// Lot or serial number.
        what: &'static str,
        /// As it was read.
        value: String,
        /// As it would be.
        shorter: String,
        /// The last day of use it would be.
        day: Date,
    },
}

/// Why a text is not read as a label.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum NotRead {
    /// A symbol that carries something else.
    #[error(
        "the symbol says by '{0}' that it carries no GS1 application identifiers: expected ]C1, ]d2, ]Q3, ]e0 or ]J1, or an HIBC text, which begins with +; scan the other symbol on the label"
    )]
    Symbol(String),
    /// A bare item number.
    #[error(
        "'{0}' is an item number and nothing else: it says no lot and no expiry; scan the other symbol on the label"
    )]
    ItemAlone(String),
    /// Neither of the two.
    #[error(
        "'{0}' is neither GS1 nor HIBC: expected digits or brackets of GS1 application identifiers, or an HIBC text, which begins with +; type item, lot and expiry as printed"
    )]
    Neither(String),
}
