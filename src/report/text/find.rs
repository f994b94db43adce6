//! Which part a label belongs to, as text.

use std::fmt::Write as _;

use jiff::civil::Date;

use super::{apart, counted, held, stock};
use crate::lots::label::number;
use crate::shelf::finding::Found;
use crate::shelf::shelves::By;
use crate::units::visible;

/// The answer.
pub fn found(f: &Found, today: Date) -> String {
    let item = f.label.item().map_or(String::new(), |i| number(&i));
    let mut out = match &f.parts[..] {
        [] => format!("No part of the catalogue has item number {}.\n", visible(&item)),
        [one] => {
            format!("{} ({}): item number {}.\n", one.code, visible(one.description.as_str()), visible(&item))
        }
        several => format!(
            "{} have item number {}: say which one it is.\n",
            counted(several.len(), "part", "parts"),
            visible(&item)
        ),
    };
    if f.parts.len() > 1 {
        for part in &f.parts {
            let _ = writeln!(out, "  {} ({})", part.code, visible(part.description.as_str()));
        }
    }
    let _ = writeln!(out, "\nThe label says: {}.", says(f).join("; "));
    for careful in &f.careful {
        let _ = writeln!(out, "CAREFUL: {}.", visible(careful).trim_end_matches('.'));
    }
    if f.parts.is_empty() {
        out += "Nothing else of it is known, and nothing is invented: ask the maker for its numbers, then enter it with 'spareseat part import FILE.toml', with this item number as its gtin or hibc.\n";
        return out;
    }
    out.push('\n');
    if f.rows.is_empty() {
        out += "None of it lies in the house.\n";
    } else {
        out += &stock(&f.rows, By::Part, today);
    }
    out + &held(&f.held) + &apart(&f.apart)
}

fn says(f: &Found) -> Vec<String> {
    let label = &f.label;
    let lot = label.lot().map(|l| format!("lot {}", visible(l)));
    let serial = label.serial().map(|s| format!("serial number {}", visible(s)));
    let expiry = label.expiry().map_or("no expiry".to_owned(), |e| format!("expiry {e}"));
    let many = label.quantity().map(|n| counted(n as usize, "piece", "pieces"));
    lot.into_iter().chain(serial).chain([expiry]).chain(many).collect()
}
