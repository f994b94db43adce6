//! A delivery note as a file: CSV, a line a lot, read before anything is booked.
//!
//! Cells are separated by commas or by semicolons: part, lot, quantity, place, and optionally expiry and label, in this
//! order, or in any order below a header with these names. An empty expiry is not said.

use thiserror::Error;

use super::receiving::Receive;
use crate::units::{Expiry, LIMITS, Lot, PartCode, PlaceId, RawLabel, did_you_mean, printable};

/// The columns in the order in which they stand without a header.
const COLUMNS: [&str; 6] = ["part", "lot", "quantity", "place", "expiry", "label"];
/// How many of them every line must have.
const NEEDED: usize = 4;
/// An entry has its limit, and a delivery of more lines is two.
const MOST_LINES: usize = 1000;

/// Why a delivery cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum DeliveryError {
    /// Nothing in it.
    #[error(
        "no line in the delivery: expected part, lot, quantity, place and, where known, expiry. Nothing was booked"
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
        "the header has {times} the column '{column}': expected part, lot, quantity, place and, where known, expiry, label, each once. Nothing was booked"
    )]
    Header {
        /// Which.
        column: &'static str,
        /// 'not' or 'twice'.
        times: &'static str,
    },
    /// A line with too few or too many cells.
    #[error("line {line} of the delivery has {found} cells: expected {expected}. No line of it was booked")]
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

/// Reads a delivery; `new_place` is said of all its lines.
pub fn read(text: &str, new_place: bool) -> Result<Vec<Receive>, DeliveryError> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let first = text.lines().find(|l| !l.trim().is_empty()).ok_or(DeliveryError::Empty)?;
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
        // No part is called 'part'.
        if n == 0 && cells.iter().any(|c| c.eq_ignore_ascii_case(COLUMNS[0])) {
            order = Some(header(&cells)?);
            continue;
        }
        if lines.len() == MOST_LINES {
            return Err(DeliveryError::TooLong);
        }
        lines.push(one(&cells, order.as_deref(), line, new_place)?);
    }
    if lines.is_empty() { Err(DeliveryError::Empty) } else { Ok(lines) }
}

/// Which column stands in which place.
fn header(cells: &[&str]) -> Result<Vec<usize>, DeliveryError> {
    let mut order = Vec::new();
    for cell in cells {
        let word = cell.to_ascii_lowercase();
        let Some(column) = COLUMNS.iter().position(|c| *c == word) else {
            let hint = did_you_mean(&word, COLUMNS.into_iter());
            return Err(DeliveryError::Column { column: printable(cell), hint });
        };
        if order.contains(&column) {
            return Err(DeliveryError::Header { column: COLUMNS[column], times: "twice" });
        }
        order.push(column);
    }
    match (0..NEEDED).find(|c| !order.contains(c)) {
        Some(missing) => Err(DeliveryError::Header { column: COLUMNS[missing], times: "not" }),
        None => Ok(order),
    }
}

fn one(
    cells: &[&str],
    order: Option<&[usize]>,
    line: usize,
    new_place: bool,
) -> Result<Receive, DeliveryError> {
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
    let quantity = LIMITS.quantity.whole(cell(2)).map_err(|e| wrong(&e))?;
    Ok(Receive {
        part: PartCode::new(cell(0)).map_err(|e| wrong(&e))?,
        lot: Lot::new(cell(1)).map_err(|e| wrong(&e))?,
        quantity: u32::try_from(quantity).map_err(|e| wrong(&e))?,
        place: PlaceId::new(cell(3)).map_err(|e| wrong(&e))?,
        new_place,
        expiry: said(4).map(Expiry::parse).transpose().map_err(|e| wrong(&e))?,
        label: said(5).map(RawLabel::new).transpose().map_err(|e| wrong(&e))?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(text: &str) -> String {
        match read(text, false) {
            Ok(all) => all
                .iter()
                .map(|l| {
                    format!(
                        "{} {} {} {} {:?};",
                        l.part,
                        l.lot,
                        l.quantity,
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
        assert!(said("part,lot,quantity\n").starts_with("the header has not the column 'place'"));
        assert!(said("part,lot,quantity,place,lot\n").starts_with("the header has twice the column 'lot'"));
        assert_eq!(said(&"a-1,L1,4,drawer-1\n".repeat(1001)), DeliveryError::TooLong.to_string());
    }
}
