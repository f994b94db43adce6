//! The rows of tests/vectors/gs1.json and tests/vectors/hibc.json as they stand, each with its source, held against what
//! the kernel reads and the report prints.

use serde_json::Value;
use spareseat::report::json::scanned;
use spareseat::scan::{Content, Doubt, Fault, Label, read};

/// The rows of a file and the year its two-digit years are near to.
pub fn rows(text: &str) -> (Vec<Value>, i16) {
    let mut file: Value = serde_json::from_str(text).expect("the file is JSON");
    let year = file["meta"]["reference_year"].as_i64().and_then(|y| i16::try_from(y).ok());
    let Value::Array(rows) = file["vectors"].take() else { panic!("no rows") };
    (rows, year.expect("a year"))
}

pub const GS1: &str = include_str!("../vectors/gs1.json");
pub const HIBC: &str = include_str!("../vectors/hibc.json");

fn text<'a>(row: &'a Value, key: &str) -> &'a str {
    row[key].as_str().unwrap_or_else(|| panic!("{row}: no {key}"))
}

/// What the file calls the reason.
fn kind(label: &Label) -> &'static str {
    match label.content() {
        Content::Refused(fault) => match fault {
            Fault::CheckDigit { .. } => "check_digit",
            Fault::Date { .. } => "date",
            Fault::Length { .. } => "length",
            Fault::Character { .. } => "charset",
            Fault::UnknownIdentifier { .. } => "unknown_ai",
            Fault::NoElements(_) => "empty_message",
            _ => "another",
        },
        _ => match label.doubts() {
            [Doubt::Separators { .. }, ..] => "double_separator",
            [Doubt::Lacks { .. }, ..] => "association",
            _ => "another",
        },
    }
}

#[test]
fn every_gs1_row_comes_out_as_it_stands() {
    let (rows, year) = rows(GS1);
    assert_eq!(rows.len(), 34);
    for row in rows {
        let id = text(&row, "id");
        let label = read(text(&row, "input"), year);
        let said = scanned(&label);
        let expected = &row["expected"];
        assert_eq!(said["verdict"], expected["verdict"], "{id}: {:?}", label.reasons());
        if let Some(elements) = expected.get("elements") {
            assert_eq!(&said["elements"], elements, "{id}");
        } else {
            assert!(label.elements().is_empty(), "{id}: nothing is taken from it");
        }
        if let Some(named) = expected["error_kind"].as_str() {
            assert_eq!(kind(&label), named, "{id}: {:?}", label.reasons());
        }
        assert_eq!(label.reasons().is_empty(), expected["verdict"] == "ok", "{id}");
    }
}

/// What the file calls the fault of an HIBC text.
fn hibc_kind(fault: &Fault) -> String {
    match fault {
        Fault::CheckCharacter { expected, found } => {
            format!("check character: expected '{expected}', got '{found}'")
        }
        Fault::Character { .. } => "bad character".to_owned(),
        Fault::Primary(_) => "bad primary structure".to_owned(),
        Fault::HibcDate { .. } => "bad date".to_owned(),
        Fault::BehindQuantity(_) => "quantity not last".to_owned(),
        Fault::Further(_) => "unknown supplemental identifier".to_owned(),
        Fault::NothingSecond | Fault::Second(_) => "unknown secondary flag".to_owned(),
        Fault::TooShort(_) => "too short".to_owned(),
        other => other.to_string(),
    }
}

#[test]
fn every_hibc_row_comes_out_as_it_stands() {
    let (rows, year) = rows(HIBC);
    assert_eq!(rows.len(), 61);
    for row in rows {
        let id = text(&row, "id");
        let label = read(text(&row, "input"), year);
        let said = scanned(&label);
        assert_eq!(said["standard"], "hibc", "{id}");
        if text(&row, "expect") == "ok" {
            assert_eq!(said["verdict"], "ok", "{id}: {:?}", label.reasons());
            assert_eq!(said["parsed"], row["parsed"], "{id}");
            continue;
        }
        assert_eq!(said["verdict"], "error", "{id}");
        assert!(said.get("parsed").is_none(), "{id}: nothing is taken from it");
        let Content::Refused(fault) = label.content() else { panic!("{id}: {label:?}") };
        if id == "b-22" {
            // Two symbols in one text: the row names the sum that comes out wrong, the answer what happened.
            assert_eq!(*fault, Fault::TwoLabels { at: 16, begins: "+$$52001".to_owned() });
        } else {
            assert_eq!(hibc_kind(fault), text(&row, "error"), "{id}");
        }
    }
}
