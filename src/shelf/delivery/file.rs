//! A delivery note as a file: CSV, a line a lot, read before anything is booked.
//!
//! Cells are separated by commas or by semicolons: part, lot, quantity, place, and optionally expiry and label, in this
//! order, or in any order below a header with these names. An empty expiry is not said; beside a label, part, lot and
//! quantity may be empty too. A file whose first line is a label has a label on every line, as a scanner writes them
//! one below the other.

use thiserror::Error;

use super::DeliveryLine;
use crate::scan::is_label;
use crate::units::{Expiry, LIMITS, Lot, PartCode, PlaceId, RawLabel, did_you_mean, printable};

/// The columns in the order in which they stand without a header.
const COLUMNS: [&str; 6] = ["part", "lot", "quantity", "place", "expiry", "label"];
const PLACE: usize = 3;
const LABEL: usize = 5;
/// How many of them a line without a label must have.
const NEEDED: usize = 4;
const COLUMNS_MEANT: &str = "a comma or a semicolon stands in this label: where there are more columns than the label, the first line names them, such as label;place;quantity";
const NO_PLACE: &str = "no place is named: into which drawer? Say it in the line, or --place for all";
/// An entry has its limit, and a delivery of more lines is two.
const MOST_LINES: usize = 1000;

/// Why a delivery cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum DeliveryError {
    /// Nothing in it.
    #[error(
        "no line in the delivery: expected part, lot, quantity, place and, where known, expiry, or a label on each. Nothing was booked"
    )]
    Empty,
    /// Too long.
    #[error("the delivery has more than {MOST_LINES} lines: book it in parts. Nothing was booked")]
    TooLong,
    /// A header with a column that is not known.
    #[error(
        "the header names '{column}'.{hint} Columns: part, lot, quantity, place, expiry, label. Nothing was booked"
    )]
    Column {
        /// What stands there.
        column: String,
        /// What is near.
        hint: String,
    },
    /// A header without a column that is needed, or with one twice.
    #[error(
        "the header has the column '{0}' twice: expected part, lot, quantity, place, expiry, label, each once at most. Nothing was booked"
    )]
    Twice(&'static str),
    /// A header that leaves out what every line needs.
    #[error(
        "the header has no column '{0}': expected part, lot and quantity, or label; and place, unless --place says it for all. Nothing was booked"
    )]
    Missing(&'static str),
    /// A line with too few or too many cells.
    #[error("line {line} of the delivery has {found} cell{}: expected {expected}. No line of it was booked", if *.found == 1 { "" } else { "s" })]
    Cells {
        /// Which, from 1, a header not counted.
        line: usize,
        /// How many it has.
        found: usize,
        /// How many it should have.
        expected: String,
    },
    /// A cell that cannot be read.
    #[error("line {line} of the delivery: {why}. No line of it was booked")]
    Cell {
        /// Which, from 1, a header not counted.
        line: usize,
        /// What is wrong.
        why: String,
    },
}

/// Where lines go that do not say it, and whether drawers are made.
#[derive(Debug, Clone, Copy)]
struct Into<'a> {
    place: Option<&'a PlaceId>,
    new_place: bool,
}

/// Reads a delivery; `place` is where lines go that name no place, `new_place` is said of all of them.
pub fn read(
    text: &str,
    place: Option<&PlaceId>,
    new_place: bool,
) -> Result<Vec<DeliveryLine>, DeliveryError> {
    let into = Into { place, new_place };
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let first = text.lines().find(|l| !l.trim().is_empty()).ok_or(DeliveryError::Empty)?;
    if is_label(first) {
        return labels(text, into);
    }
    let separator = if first.contains(';') { b';' } else { b',' };
    let mut reader = csv::ReaderBuilder::new();
    reader.has_headers(false).flexible(true).trim(csv::Trim::All).delimiter(separator);
    let mut order: Option<Vec<usize>> = None;
    let mut lines = Vec::new();
    for (n, record) in reader.from_reader(text.as_bytes()).into_records().enumerate() {
        let line = lines.len() + 1;
        let record = record.map_err(|e| DeliveryError::Cell { line, why: printable(&e.to_string()) })?;
        let cells: Vec<&str> = record.iter().collect();
        if cells.iter().all(|c| c.is_empty()) {
            continue;
        }
        // No part is called 'part', and no label 'label'.
        let names = |column: usize| cells.iter().any(|c| c.eq_ignore_ascii_case(COLUMNS[column]));
        // A line of a delivery has a number in it; words alone are heads, known or not.
        let only_words = || cells.iter().all(|c| !c.bytes().any(|b| b.is_ascii_digit()));
        if n == 0 && (names(0) || names(LABEL) || only_words()) {
            order = Some(header(&cells, into)?);
            continue;
        }
        if lines.len() == MOST_LINES {
            return Err(DeliveryError::TooLong);
        }
        lines.push(one(&cells, order.as_deref(), line, into)?);
    }
    if lines.is_empty() { Err(DeliveryError::Empty) } else { Ok(lines) }
}

/// A label on every line.
fn labels(text: &str, into: Into<'_>) -> Result<Vec<DeliveryLine>, DeliveryError> {
    let all: Vec<&str> = text.lines().filter(|l| !l.trim().is_empty()).collect();
    if all.len() > MOST_LINES {
        return Err(DeliveryError::TooLong);
    }
    let line = |(n, text): (usize, &&str)| {
        let wrong = |why: String| DeliveryError::Cell { line: n + 1, why };
        let place = into.place.cloned().ok_or_else(|| wrong(NO_PLACE.to_owned()))?;
        if text.contains([',', ';']) {
            return Err(wrong(COLUMNS_MEANT.to_owned()));
        }
        let label = Some(RawLabel::new(text).map_err(|e| wrong(e.to_string()))?);
        let (part, lot, quantity, expiry) = (None, None, None, None);
        Ok(DeliveryLine { part, lot, quantity, place, new_place: into.new_place, expiry, label })
    };
    all.iter().enumerate().map(line).collect()
}

/// Which column stands in which place.
fn header(cells: &[&str], into: Into<'_>) -> Result<Vec<usize>, DeliveryError> {
    let mut order = Vec::new();
    for cell in cells {
        let word = cell.to_ascii_lowercase();
        let Some(column) = COLUMNS.iter().position(|c| *c == word) else {
            let hint = did_you_mean(&word, COLUMNS);
            return Err(DeliveryError::Column { column: printable(cell), hint });
        };
        if order.contains(&column) {
            return Err(DeliveryError::Twice(COLUMNS[column]));
        }
        order.push(column);
    }
    let by_label = order.contains(&LABEL);
    let needed = |c: usize| if c == PLACE { into.place.is_none() } else { !by_label };
    match (0..NEEDED).find(|c| needed(*c) && !order.contains(c)) {
        Some(missing) => Err(DeliveryError::Missing(COLUMNS[missing])),
        None => Ok(order),
    }
}

/// A lot as printed; a label in its column is somebody's mistake.
fn typed_lot(text: &str) -> Result<Lot, String> {
    if is_label(text) {
        return Err(format!("'{}' is a label, not a lot: it goes into the column 'label'", printable(text)));
    }
    Lot::new(text).map_err(|e| e.to_string())
}

fn one(
    cells: &[&str],
    order: Option<&[usize]>,
    line: usize,
    into: Into<'_>,
) -> Result<DeliveryLine, DeliveryError> {
    let fits = match order {
        Some(order) => cells.len() == order.len(),
        None => (NEEDED..=COLUMNS.len()).contains(&cells.len()),
    };
    if !fits {
        let expected = order
            .map_or(format!("{NEEDED} to {}", COLUMNS.len()), |o| format!("{}, as the header has", o.len()));
        return Err(DeliveryError::Cells { line, found: cells.len(), expected });
    }
    let cell = |column: usize| {
        let at = order.map_or(Some(column), |o| o.iter().position(|c| *c == column));
        at.and_then(|at| cells.get(at)).copied().unwrap_or_default()
    };
    let wrong = |e: &dyn ToString| DeliveryError::Cell { line, why: e.to_string() };
    let said = |column: usize| Some(cell(column)).filter(|c| !c.is_empty());
    let label = said(LABEL).map(RawLabel::new).transpose().map_err(|e| wrong(&e))?;
    // What the label may say, a line without one must.
    let needed = |column: usize| if label.is_some() { said(column) } else { Some(cell(column)) };
    let quantity = needed(2).map(|n| LIMITS.quantity.whole(n)).transpose().map_err(|e| wrong(&e))?;
    Ok(DeliveryLine {
        part: needed(0).map(PartCode::new).transpose().map_err(|e| wrong(&e))?,
        lot: needed(1).map(typed_lot).transpose().map_err(|e| wrong(&e))?,
        quantity: quantity.map(u32::try_from).transpose().map_err(|e| wrong(&e))?,
        place: match (said(PLACE), into.place) {
            (Some(place), _) => PlaceId::new(place).map_err(|e| wrong(&e))?,
            (None, Some(place)) => place.clone(),
            (None, None) => return Err(wrong(&NO_PLACE)),
        },
        new_place: into.new_place,
        expiry: said(4).map(Expiry::parse).transpose().map_err(|e| wrong(&e))?,
        label,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(text: &str) -> String {
        match read(text, None, false) {
            Ok(all) => all
                .iter()
                .map(|l| {
                    format!(
                        "{} {} {} {} {:?};",
                        l.part.as_ref().map_or("?", |p| p.as_str()),
                        l.lot.as_ref().map_or("?", |l| l.as_str()),
                        l.quantity.map_or("?".to_owned(), |n| n.to_string()),
                        l.place,
                        l.expiry.and_then(Expiry::code)
                    )
                })
                .collect(),
            Err(e) => e.to_string(),
        }
    }

    #[test]
    fn a_delivery_is_read_with_and_without_a_header() {
        let plain = "a-1,L1,4,drawer-1,2029-06\n\nb-2,L2,1,drawer-2\n";
        assert_eq!(said(plain), "a-1 L1 4 drawer-1 Some(\"2029-06\");b-2 L2 1 drawer-2 None;");
        let named =
            "\u{feff}Lot;part;place;quantity;expiry\r\nL1;a-1;drawer-1;4;none\r\nL2;b-2;drawer-2;1;\r\n";
        assert_eq!(said(named), "a-1 L1 4 drawer-1 Some(\"none on the label\");b-2 L2 1 drawer-2 None;");
    }

    #[test]
    fn a_label_stands_in_place_of_part_lot_and_quantity() {
        let file =
            "label,place,quantity\n(01)09521234000648(10)L1,drawer-1,\n(01)09521234000648(10)L2,drawer-2,3\n";
        assert_eq!(said(file), "? ? ? drawer-1 None;? ? 3 drawer-2 None;");
        let scanned = "]d20109521234000648172906301\u{30}L1\r\n\r\n(01)09521234000648(10)L2-x\r\n";
        assert!(said(scanned).starts_with("line 1 of the delivery: no place is named"), "{}", said(scanned));
        let place = PlaceId::new("drawer-1").unwrap();
        let lines = read(scanned, Some(&place), false).unwrap();
        let labels: Vec<&str> = lines.iter().map(|l| l.label.as_ref().unwrap().as_raw()).collect();
        assert_eq!(labels, ["]d201095212340006481729063010L1", "(01)09521234000648(10)L2-x"]);
        assert_eq!(read("part,lot,quantity\na-1,L1,4\n", Some(&place), false).unwrap().len(), 1);
    }

    #[test]
    fn what_is_wrong_is_named_with_its_line() {
        let good = "a-1,L1,4,drawer-1\n".repeat(8);
        for (last, says) in [
            (
                "a-1,L1,0,drawer-1",
                "line 9 of the delivery: '0' is not a quantity: expected 1 to 100000. No line of it was booked",
            ),
            (
                "A 1,L1,4,drawer-1",
                "line 9 of the delivery: 'A 1' is not a part code: expected small letters, digits, '-' and '.', such as plover-mua-3.0. No line of it was booked",
            ),
            ("a-1,L1,4", "line 9 of the delivery has 3 cells: expected 4 to 6. No line of it was booked"),
            (
                "a-1,L1,4,drawer-1,June",
                "line 9 of the delivery: 'June' is not an expiry: expected YYYY-MM-DD, YYYY-MM or 'none'. No line of it was booked",
            ),
        ] {
            assert_eq!(said(&format!("{good}{last}\n")), says);
            assert_eq!(
                said(&format!("part,lot,quantity,place\n{good}{last}\n")),
                if last.starts_with("a-1,L1,4,") || last == "a-1,L1,4" {
                    let found = last.split(',').count();
                    format!(
                        "line 9 of the delivery has {found} cells: expected 4, as the header has. No line of it was booked"
                    )
                } else {
                    says.to_owned()
                }
            );
        }
        assert_eq!(said(" \n"), DeliveryError::Empty.to_string());
        assert_eq!(said("part,lot,quantity,place\n"), DeliveryError::Empty.to_string());
        assert_eq!(
            said("part,lot,quantity,plase\n"),
            "the header names 'plase'. Did you mean place? Columns: part, lot, quantity, place, expiry, label. Nothing was booked"
        );
        assert!(said("part,lot,quantity\n").starts_with("the header has no column 'place'"));
        assert!(said("part,place\n").starts_with("the header has no column 'lot'"));
        assert!(said("part,lot,quantity,place,lot\n").starts_with("the header has the column 'lot' twice"));
        assert_eq!(said(&"a-1,L1,4,drawer-1\n".repeat(1001)), DeliveryError::TooLong.to_string());
    }
}
