//! Where the sites lie, from the file of a scan or a measuring machine: CSV, read with every mistake and its line.
//!
//! A header names the columns: `site` (ISO 3950), `x`, `y`, `z` with the unit behind them (`x_mm`, `x_um`, `x_in`) or
//! without, and optionally `axis_x`, `axis_y`, `axis_z`, a direction from the implant outwards of any length. Cells are
//! separated by commas, or by semicolons, and then a decimal comma is read as well as a decimal point; never both in one
//! file. Coordinates are rounded to whole µm.

use std::collections::BTreeMap;

use super::Measured;
use crate::catalog::{Mistake, Mistakes};
use crate::units::{LIMITS, Length, Tooth, did_you_mean, printable, teeth};

/// The unit of a file's coordinates.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum MeasureUnit {
    Mm,
    Um,
    Inch,
}

impl MeasureUnit {
    /// Every unit with its word, as headers and commands write it.
    pub const ALL: [(Self, &'static str); 3] = [(Self::Mm, "mm"), (Self::Um, "um"), (Self::Inch, "in")];

    /// Its word.
    pub fn word(self) -> &'static str {
        Self::ALL.iter().find(|(unit, _)| *unit == self).map_or("", |(_, word)| word)
    }

    /// Its name on the screen.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Mm => "mm",
            Self::Um => "µm",
            Self::Inch => "inches",
        }
    }

    /// How many µm it has.
    pub const fn um(self) -> f64 {
        match self {
            Self::Mm => 1000.0,
            Self::Um => 1.0,
            // ISO 80000-3: exactly.
            Self::Inch => 25_400.0,
        }
    }

    fn from_suffix(word: &str) -> Option<Self> {
        let word = if word == "µm" || word == "μm" { "um" } else { word };
        Self::ALL.iter().find(|(_, w)| *w == word).map(|(unit, _)| *unit)
    }
}

/// A column and the unit behind its name.
type Column = (&'static str, Option<MeasureUnit>);

const COORDINATES: [&str; 3] = ["x", "y", "z"];
const AXIS: [&str; 3] = ["axis_x", "axis_y", "axis_z"];
/// A mouth has 32 teeth; beyond this a file is another kind of file.
const MOST_ROWS: usize = 64;

/// Reads a measuring file for a case with these sites; all mistakes at once. `unit` is what the person said of it.
pub fn read_measured(
    file: &str,
    text: &str,
    unit: Option<MeasureUnit>,
    sites: &[Tooth],
) -> Result<(Vec<Measured>, MeasureUnit), Mistakes> {
    let mut reader = Reader { file, sites, mistakes: Vec::new(), all: Vec::new() };
    let unit = reader.read(text.strip_prefix('\u{feff}').unwrap_or(text), unit);
    if reader.mistakes.is_empty() && reader.all.is_empty() {
        reader.mistake(1, "no site in it: expected a header and a line a site");
    }
    if let (true, Some(unit)) = (reader.mistakes.is_empty(), unit) {
        return Ok((reader.all.into_iter().map(|(_, m)| m).collect(), unit));
    }
    reader.mistakes.sort();
    Err(Mistakes(reader.mistakes))
}

struct Reader<'a> {
    file: &'a str,
    sites: &'a [Tooth],
    mistakes: Vec<Mistake>,
    /// With the line of each.
    all: Vec<(usize, Measured)>,
}

/// How numbers are written in a file.
#[derive(Clone, Copy)]
struct Numbers {
    unit: MeasureUnit,
    comma: bool,
}

impl Reader<'_> {
    fn mistake(&mut self, line: usize, what: impl Into<String>) {
        self.mistakes.push(Mistake { file: self.file.to_owned(), line, what: what.into() });
    }

    /// Reads all lines; none where the header was not understood or the reading was broken off.
    fn read(&mut self, text: &str, said: Option<MeasureUnit>) -> Option<MeasureUnit> {
        let header = text.lines().find(|l| !l.trim().is_empty()).unwrap_or_default();
        let separator = match (header.contains(','), header.contains(';')) {
            (true, true) => {
                let what = "the header has commas and semicolons: expected one of the two between all cells";
                return self.broken_off(1, what);
            }
            (_, semicolon) => {
                if semicolon {
                    b';'
                } else {
                    b','
                }
            }
        };
        let mut csv = csv::ReaderBuilder::new();
        let mut csv = csv
            .delimiter(separator)
            .flexible(true)
            .has_headers(false)
            .trim(csv::Trim::All)
            .from_reader(text.as_bytes());
        let mut columns: Option<(BTreeMap<usize, &'static str>, Numbers)> = None;
        for (n, record) in csv.records().enumerate() {
            let Ok(record) = record else { return self.broken_off(1, "it is not text in UTF-8") };
            let line = record.position().map_or(1, |p| p.line() as usize);
            if n > MOST_ROWS {
                return self.broken_off(line, format!("more than {MOST_ROWS} lines: a mouth has 32 teeth"));
            }
            let Some((columns, numbers)) = &columns else {
                let (found, unit) = self.header(line, &record, said)?;
                // Only where a comma does not part cells it can stand in a number, and then in no file with points.
                let comma = separator == b';' && text.contains(',');
                if comma && text.contains('.') {
                    let what = "decimal points and decimal commas in one file: which of them parts thousands is a guess; expected one of the two";
                    return self.broken_off(line, what);
                }
                columns = Some((found, Numbers { unit, comma }));
                continue;
            };
            let width = columns.len();
            if record.len() != width {
                let comma = separator == b',' && record.len() > width;
                let hint = if comma {
                    "; a file with decimal commas needs semicolons between its cells"
                } else {
                    ""
                };
                self.mistake(
                    line,
                    format!("{} cells: expected {width}, as in the header{hint}", record.len()),
                );
                continue;
            }
            let cells = columns.iter().map(|(at, name)| (*name, &record[*at])).collect();
            self.row(line, &cells, *numbers);
        }
        columns.map(|(_, numbers)| numbers.unit)
    }

    fn broken_off<T>(&mut self, line: usize, what: impl Into<String>) -> Option<T> {
        self.mistake(line, what);
        None
    }

    /// Which column stands where, and the unit.
    fn header(
        &mut self,
        line: usize,
        record: &csv::StringRecord,
        said: Option<MeasureUnit>,
    ) -> Option<(BTreeMap<usize, &'static str>, MeasureUnit)> {
        let before = self.mistakes.len();
        let mut columns = BTreeMap::new();
        let mut units = Vec::new();
        for (at, name) in record.iter().enumerate() {
            match column(name) {
                Ok((column, unit)) => {
                    if columns.values().any(|c| *c == column) {
                        self.mistake(line, format!("column '{column}' stands twice"));
                    }
                    if COORDINATES.contains(&column) {
                        units.push(unit);
                    }
                    columns.insert(at, column);
                }
                Err(what) => self.mistake(line, what),
            }
        }
        let lacks = |names: &[&str]| -> Vec<String> {
            names.iter().filter(|n| !columns.values().any(|c| c == *n)).map(|n| format!("'{n}'")).collect()
        };
        let missing = lacks(&["site", "x", "y", "z"]);
        if !missing.is_empty() {
            let what = format!(
                "no column {}: expected site, x_mm, y_mm, z_mm, and axis_x, axis_y, axis_z where axes were measured",
                missing.join(", ")
            );
            self.mistake(line, what);
        }
        let axis = lacks(&AXIS);
        if !axis.is_empty() && axis.len() < 3 {
            self.mistake(
                line,
                format!("no column {}: an axis needs axis_x, axis_y and axis_z", axis.join(", ")),
            );
        }
        units.dedup();
        let unit = match (&units[..], said) {
            ([Some(unit)], None) => Ok(*unit),
            ([Some(unit)], Some(said)) if *unit == said => Ok(said),
            ([Some(unit)], Some(said)) => Err(format!(
                "the header says {}, --unit says {}: which of the two is right?", unit.word(), said.word()
            )),
            ([None], Some(said)) => Ok(said),
            ([None], None) => Err("the unit is not named: expected x_mm, x_um or x_in in the header (y and z alike), or --unit mm, um or in".to_owned()),
            _ => Err("x, y and z have not one unit: expected the same behind all three".to_owned()),
        };
        let unit = unit
            .map_err(|what| {
                if missing.is_empty() {
                    self.mistake(line, what)
                }
            })
            .ok()?;
        (self.mistakes.len() == before).then_some((columns, unit))
    }

    fn row(&mut self, line: usize, cells: &BTreeMap<&str, &str>, numbers: Numbers) {
        let site = self.site(line, cells.get("site").copied().unwrap_or_default());
        let mut position = Vec::new();
        for name in COORDINATES {
            match coordinate(cells.get(name).copied().unwrap_or_default(), numbers) {
                Ok(length) => position.push(length),
                Err(what) => self.mistake(line, format!("{name}: {what}")),
            }
        }
        let axis = match axis(cells, numbers) {
            Ok(axis) => axis,
            Err(what) => return self.mistake(line, what),
        };
        let (Some(site), Ok(position)) = (site, <[Length; 3]>::try_from(position)) else { return };
        if let Some((first, other)) = self.all.iter().find(|(_, m)| m.position == position) {
            let what = format!(
                "{site} lies at the same point as {} in line {first}: expected a point a site",
                other.site
            );
            return self.mistake(line, what);
        }
        self.all.push((line, Measured { site, position, axis }));
    }

    fn site(&mut self, line: usize, cell: &str) -> Option<Tooth> {
        let site = match Tooth::parse(cell) {
            Ok(site) => site,
            Err(e) => {
                self.mistake(line, format!("site: {e}"));
                return None;
            }
        };
        if !self.sites.contains(&site) {
            let what = format!(
                "site: {site} ({}) is no site of the case; its sites: {}",
                site.words(),
                teeth(self.sites)
            );
            self.mistake(line, what);
            return None;
        }
        if let Some((first, _)) = self.all.iter().find(|(_, m)| m.site == site) {
            self.mistake(line, format!("site: {site} stands in line {first} already"));
            return None;
        }
        Some(site)
    }
}

/// What a name in the header means.
fn column(name: &str) -> Result<Column, String> {
    let lower = name.to_lowercase();
    for known in ["site"].iter().chain(&AXIS).chain(&COORDINATES) {
        if lower == *known {
            return Ok((known, None));
        }
    }
    if let Some((axis, unit)) = lower.split_once('_')
        && let Some(known) = COORDINATES.iter().find(|k| **k == axis)
    {
        return match MeasureUnit::from_suffix(unit) {
            Some(unit) => Ok((known, Some(unit))),
            None => Err(format!(
                "column '{}': '{}' is no unit known here: expected mm, um or in",
                printable(name),
                printable(unit)
            )),
        };
    }
    let all = ["site", "x_mm", "y_mm", "z_mm", "axis_x", "axis_y", "axis_z"];
    Err(format!(
        "column '{}' is not known here: expected {}.{}",
        printable(name),
        all.join(", "),
        did_you_mean(&lower, all)
    ))
}

fn number(cell: &str, comma: bool) -> Result<f64, String> {
    let plain =
        cell.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'.' | b',' | b'-' | b'+' | b'e' | b'E'));
    let point = if comma { cell.replace(',', ".") } else { cell.to_owned() };
    match point.parse::<f64>() {
        Ok(value) if plain && value.is_finite() => Ok(value),
        _ => Err(format!(
            "'{}' is not a number: expected one such as {}",
            printable(cell),
            if comma { "12,345" } else { "12.345" }
        )),
    }
}

fn coordinate(cell: &str, numbers: Numbers) -> Result<Length, String> {
    let um = (number(cell, numbers.comma)? * numbers.unit.um()).round();
    let range = &LIMITS.coordinate;
    if um.abs() > range.most as f64 {
        let unit = numbers.unit.name();
        // Saturating: whatever lies so far out is refused by its range.
        let said = range.check(um as i64, cell).map_or_else(|e| e.to_string(), |()| String::new());
        return Err(format!("{said}. It was read as {unit}: is that the unit?"));
    }
    Ok(Length::from_base(um as i32))
}

/// Millionths of a direction of length one; none where all three cells are empty.
fn axis(cells: &BTreeMap<&str, &str>, numbers: Numbers) -> Result<Option<[i32; 3]>, String> {
    let given = AXIS.map(|name| cells.get(name).copied().unwrap_or_default());
    if given.iter().all(|cell| cell.is_empty()) {
        return Ok(None);
    }
    let mut axis = [0.0; 3];
    for ((name, cell), out) in AXIS.iter().zip(given).zip(&mut axis) {
        *out = number(cell, numbers.comma).map_err(|what| format!("{name}: {what}"))?;
    }
    millionths(axis).map(Some).ok_or_else(|| "axis_x, axis_y, axis_z: 0, 0, 0 is no direction".to_owned())
}

/// A direction in millionths of its length; none when it has none.
pub fn millionths(axis: [f64; 3]) -> Option<[i32; 3]> {
    // Divided by the largest first, so that no square is too large or too small for a number.
    let largest = axis.iter().fold(0.0_f64, |most, a| most.max(a.abs()));
    let axis = axis.map(|a| a / largest);
    let unit = crate::fit::space::unit(axis).filter(|_| largest > 0.0 && largest.is_finite())?;
    Some(unit.map(|a| (a * 1e6).round() as i32))
}

#[cfg(test)]
mod tests;
