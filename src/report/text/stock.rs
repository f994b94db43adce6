//! What lies where.

use std::fmt::Write as _;

use jiff::civil::Date;

use super::super::table::table;
use super::pieces;
use crate::desk::shelves::Row;
use crate::desk::visit::usable_on;

/// What lies where.
pub fn stock(rows: &[Row], today: Date) -> String {
    if rows.is_empty() {
        return "Nothing in the house.\n".to_owned();
    }
    let all: i64 = rows.iter().map(|r| r.quantity).sum();
    let expired = rows.iter().filter(|r| r.expiry.is_over(today)).count();
    let lines = if rows.len() == 1 { "1 line".to_owned() } else { format!("{} lines", rows.len()) };
    let mut out = format!("{} in the house, {lines}", pieces(all));
    if expired > 0 {
        let _ = write!(out, "; {expired} of these EXPIRED");
    }
    out.push_str(".\n\n");
    let shown = rows.iter().map(|r| {
        let usable = if r.expiry.is_over(today) {
            format!("EXPIRED {}", r.expiry)
        } else {
            usable_on(r.expiry, today)
        };
        vec![r.part.to_string(), format!("lot {}", r.lot), r.place.to_string(), pieces(r.quantity), usable]
    });
    out.push_str(&table(&["part", "lot", "place", "quantity", "usable"], shown));
    out
}
