//! What lies where.

use std::fmt::Write as _;

use jiff::civil::Date;

use super::super::table::table;
use super::{counted, pieces};
use crate::chair::visit::usable_on;
use crate::shelf::low::Low;
use crate::shelf::shelves::{By, Row};

/// What lies where.
pub fn stock(rows: &[Row], by: By, today: Date) -> String {
    if rows.is_empty() {
        return "Nothing of what was asked for lies in a drawer.\n".to_owned();
    }
    let all: i64 = rows.iter().map(|r| r.quantity).sum();
    let expired: i64 = rows.iter().filter(|r| r.expiry.is_over(today)).map(|r| r.quantity).sum();
    let lines = if rows.len() == 1 { "1 line".to_owned() } else { format!("{} lines", rows.len()) };
    let mut out = format!("{} in the house, {lines}", pieces(all));
    if expired > 0 {
        let _ = write!(out, "; {} of these EXPIRED", pieces(expired));
    }
    out.push_str(".\n\n");
    // What the list is by stands in front.
    let first = match by {
        By::Part => 0,
        By::Place => 2,
        By::Expiry => 4,
    };
    let shown = rows.iter().map(|r| {
        let usable = if let Some(entry) = r.called_back {
            format!("CALLED BACK, entry {entry}: keep it apart")
        } else if r.expiry.is_over(today) {
            format!("EXPIRED {}", r.expiry)
        } else {
            usable_on(r.expiry, today)
        };
        let mut cells = vec![
            r.part.to_string(),
            format!("lot {}", r.lot),
            r.place.to_string(),
            pieces(r.quantity),
            usable,
        ];
        cells[..=first].rotate_right(1);
        cells
    });
    let mut heads = ["part", "lot", "place", "quantity", "usable"];
    heads[..=first].rotate_right(1);
    out.push_str(&table(&heads, shown));
    out
}

/// What is low, and why.
pub fn low(all: &[Low]) -> String {
    const STANDS_IN: &str =
        "A part that could stand in is not counted: 'spareseat swap CASE SITE POSITION' shows those.\n";
    if all.is_empty() {
        return format!(
            "Nothing is low: what one visit takes is there, with what is planned and set aside.\n{STANDS_IN}"
        );
    }
    let rows = all.iter().map(|l| {
        let visit = l.one_visit.as_ref().map(|v| {
            let others = match l.cases {
                1 => String::new(),
                n => format!(", and {} it", counted(n - 1, "more case has", "more cases have")),
            };
            format!("{} at one visit (case {}, {}){others}", pieces(v.quantity), v.case, v.at)
        });
        let promised = (l.promised > 0).then(|| format!("{} planned or set aside", pieces(l.promised)));
        let why: Vec<String> = visit.into_iter().chain(promised).collect();
        vec![l.part.to_string(), pieces(l.there), pieces(l.wanted()), why.join("; ")]
    });
    let table = table(&["part", "usable", "wanted", "for what"], rows);
    format!(
        "{} low: fewer are there than will be asked for.\n\n{table}\n{STANDS_IN}",
        counted(all.len(), "part is", "parts are")
    )
}
