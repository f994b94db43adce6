//! What stands on a label.

use std::fmt::Write as _;

use super::super::table::table;
use super::section;
use crate::scan::{Day, Element, Hibc, Item, Label, Standard, Verdict};
use crate::units::{show_date, visible};

/// The answer of `scan`; two digits of a year were near to `reference_year`.
pub fn scanned(label: &Label, reference_year: i16, why: bool) -> String {
    let mut out = match label.verdict() {
        Verdict::Ok => format!("{}: {}.\n", standard(label), said(label)),
        Verdict::Warn => format!("{}, with a doubt: {}.\n", standard(label), said(label)),
        Verdict::Error => format!("Refused: {}.\n", label.reasons().join("; ")),
        Verdict::NotGs1 => format!("Not read: {}.\n", label.reasons().join("; ")),
    };
    if label.verdict() == Verdict::Warn {
        section(&mut out, "Doubts", &label.reasons());
    }
    if !label.elements().is_empty() {
        let head = ["", "what", "value", "day"];
        let _ = write!(out, "\n{}", table(&head, label.elements().iter().map(row)));
    }
    if let Some(hibc) = label.hibc() {
        let _ = write!(out, "\n{}", table(&["what", "value"], rows(hibc)));
    }
    if why {
        let _ = write!(
            out,
            "\nWorking\n  two digits of a year are those near to {reference_year}: at most 50 years after it, fewer than 50 before\n  day 00 of a GS1 date is the whole month\n  source: {}\n",
            match label.standard() {
                Some(Standard::Hibc) =>
                    "ANSI/HIBC 2.6; the century as in GS1 General Specifications 7.12, since HIBC names none",
                _ =>
                    "GS1 General Specifications 3 (identifiers), 7.8 (separators), 7.9 (check digits), 7.12 (century)",
            }
        );
    }
    out
}

fn standard(label: &Label) -> &'static str {
    match label.standard() {
        Some(Standard::Hibc) => "HIBC label",
        _ => "GS1 label",
    }
}

/// What a person looks for, in one line.
fn said(label: &Label) -> String {
    let mut all = Vec::new();
    match label.item() {
        Some(Item::Gtin(gtin)) => all.push(format!("item {gtin}")),
        Some(Item::Hibc { lic, pcn, unit }) => {
            all.push(format!("item {pcn} of labeler {lic}, unit of measure {unit}"));
        }
        None => all.push("no item".to_owned()),
    }
    all.extend(label.lot().map(|lot| format!("lot {}", visible(lot))));
    all.extend(label.serial().map(|serial| format!("serial number {}", visible(serial))));
    all.extend(label.expiry().map(|expiry| format!("expiry {expiry}")));
    all.extend(label.made_on().map(|day| format!("made on {}", day.words())));
    all.extend(label.quantity().map(|quantity| format!("quantity {quantity}")));
    all.join(", ")
}

fn row(e: &Element) -> Vec<String> {
    let day = match (e.moment(), e.day()) {
        (Some(moment), _) => format!("{} {}", show_date(moment.date()), moment.time().strftime("%H:%M")),
        (None, Some(day)) if day.month_only() => format!("{}, no day", day.words()),
        (None, Some(day)) => day.words(),
        (None, None) => String::new(),
    };
    vec![format!("({})", e.ai()), e.words().to_owned(), e.value().to_owned(), day]
}

fn rows(h: &Hibc) -> Vec<Vec<String>> {
    let mut all = Vec::new();
    let mut put = |what: &str, value: Option<String>| {
        all.extend(value.map(|value| vec![what.to_owned(), value]));
    };
    put("labeler", h.item().map(|i| i.lic().to_owned()));
    put("catalogue number", h.item().map(|i| i.pcn().to_owned()));
    put("unit of measure", h.item().map(|i| i.unit().to_string()));
    put("lot", h.lot().map(ToOwned::to_owned));
    put("serial number", h.serial().map(ToOwned::to_owned));
    put(
        "expiry",
        h.expiry().map(|e| {
            let hour = e.hour_gmt().map_or(String::new(), |hour| format!(" {hour:02}:00 Greenwich time"));
            let no_day = if e.day().month_only() { ", no day" } else { "" };
            format!("{}{hour}{no_day}, from {} as {}", e.day().words(), e.raw(), e.form().written())
        }),
    );
    put("made on", h.manufactured().map(Day::words));
    put("quantity", h.quantity().map(|q| q.to_string()));
    put("first part ends in", h.link().map(|c| format!("'{c}'")));
    put("check character", Some(format!("'{}'", h.check())));
    all
}
