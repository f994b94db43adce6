//! Every range allowed on input, in one table; messages and random generators read it too.
//!
//! The ranges are wide on purpose (common practice, no source): they catch a slipped decimal point, not an unusual part.

use thiserror::Error;

use super::decimal;

/// A closed range of base units, with the words to refuse what lies outside.
#[derive(Debug, Clone, Copy)]
pub struct Range {
    /// The name with its article: 'a torque'.
    pub what: &'static str,
    /// Least allowed, base units.
    pub least: i64,
    /// Most allowed, base units.
    pub most: i64,
    /// Decimal places between base unit and shown unit.
    pub places: u32,
    /// The shown unit, with the space before it.
    pub unit: &'static str,
}

/// A value outside its range.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("'{text}' is not {what}: expected {least} to {most}{unit}")]
pub struct OutOfRange {
    text: String,
    what: &'static str,
    least: String,
    most: String,
    unit: &'static str,
}

impl Range {
    /// Accepts `base` or says what was expected; `text` is what the person typed.
    pub fn check(&self, base: i64, text: &str) -> Result<(), OutOfRange> {
        if (self.least..=self.most).contains(&base) {
            return Ok(());
        }
        Err(OutOfRange {
            text: super::printable(text),
            what: self.what,
            least: decimal::shown(self.least, self.places, 0),
            most: decimal::shown(self.most, self.places, 0),
            unit: self.unit,
        })
    }

    /// Reads a whole number in this range.
    pub fn whole(&self, text: &str) -> Result<i64, super::QuantityError> {
        let value = decimal::scaled(text, 0)?;
        self.check(value, text)?;
        Ok(value)
    }
}

const fn mm(what: &'static str, least: i64, most: i64) -> Range {
    Range { what, least, most, places: 3, unit: " mm" }
}

const fn count(what: &'static str, least: i64, most: i64) -> Range {
    Range { what, least, most, places: 0, unit: "" }
}

/// The table's columns.
#[allow(missing_docs)]
pub struct Limits {
    pub seat_diameter: Range,
    pub seat_height: Range,
    pub collar: Range,
    pub offset: Range,
    pub width: Range,
    pub thread_diameter: Range,
    pub pitch: Range,
    pub thread_length: Range,
    pub screw_length: Range,
    pub head_diameter: Range,
    pub bore: Range,
    pub drive: Range,
    pub driver_length: Range,
    pub tolerance: Range,
    pub crown_height: Range,
    pub connector: Range,
    pub angle: Range,
    pub cone: Range,
    pub torque: Range,
    pub index_count: Range,
    pub quantity: Range,
    pub held: Range,
    pub count: Range,
    pub pack: Range,
    pub pieces: Range,
    pub cantilever: Range,
    pub days: Range,
    pub year: Range,
    pub coordinate: Range,
    pub band: Range,
}

/// The table.
pub const LIMITS: Limits = Limits {
    seat_diameter: mm("a seat diameter", 1_000, 20_000),
    seat_height: mm("a seat height", 0, 20_000),
    collar: mm("a collar height", 0, 15_000),
    offset: mm("a sideways offset", 0, 6_000),
    width: mm("a diameter", 500, 20_000),
    thread_diameter: mm("a thread diameter", 1_000, 6_000),
    pitch: mm("a pitch", 100, 1_500),
    thread_length: mm("a thread length", 200, 20_000),
    screw_length: mm("a screw length", 0, 25_000),
    head_diameter: mm("a head diameter", 500, 8_000),
    bore: mm("a bore", 500, 8_000),
    drive: mm("a drive size", 300, 6_000),
    driver_length: mm("a driver length", 3_000, 60_000),
    tolerance: mm("a length tolerance", 0, 500),
    crown_height: mm("a crown height", 1_000, 40_000),
    connector: mm("a connector size", 500, 30_000),
    angle: Range { what: "an angle", least: 0, most: 60_000, places: 3, unit: "°" },
    cone: Range { what: "a cone half-angle", least: 1_000, most: 89_000, places: 3, unit: "°" },
    torque: Range { what: "a torque", least: 100, most: 10_000, places: 2, unit: " Ncm" },
    index_count: count("an index count", 1, 24),
    quantity: count("a quantity", 1, 100_000),
    count: count("a count", 0, 100_000),
    // A hold remembers which entry took each of its units, within one row of the view.
    held: count("a quantity to set aside", 1, 200),
    pack: count("a pack size", 1, 10_000),
    pieces: count("a number of pieces", 1, 10_000),
    cantilever: count("a number of cantilever teeth", 0, 3),
    days: count("a number of days", 0, 365),
    year: count("a year", 1970, 2100),
    coordinate: mm("a coordinate", -100_000, 100_000),
    band: Range { what: "the width of a band", least: 1, most: 5_000, places: 0, unit: " µm" },
};
