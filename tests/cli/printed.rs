//! Reading a page that was printed: its drawings, its lines and their lengths.

use std::collections::BTreeMap;
use std::process::Output;

use serde_json::Value as Json;

use super::typed::{typed, words};
use crate::support::{Place, text};

pub const RAISED: &str = "fit 1047 --swap 25:abutment=plover-mua-4.1-c3.5";
pub const TURNED: &str = "fit 2210 --swap 35:abutment=dunlin-mua-4.2-a30-corner-c3.5 --turned 35=1";
pub const ALL_RAISED: &str = "fit 1047 --swap 24:abutment=plover-mua-4.1-c3.0 --swap 25:abutment=plover-mua-4.1-c4.0 --swap 27:abutment=plover-mua-5.0-c5.0";

pub fn sheet(place: &Place, line: &str) -> String {
    let out = typed(place, &format!("{line} --sheet sheet.html --over"));
    assert!(
        text(&out.stdout).ends_with("The sheet to print and sign lies in sheet.html.\n"),
        "{}",
        text(&out.stderr)
    );
    std::fs::read_to_string(place.folder().join("sheet.html")).unwrap()
}

pub fn json(place: &Place, line: &str) -> Json {
    let line = words(line);
    place.json(&line.iter().map(String::as_str).collect::<Vec<_>>())
}

/// Tags that are opened and closed, without those HTML leaves open.
pub fn balanced(page: &str) {
    let mut open: Vec<&str> = Vec::new();
    for tag in page.split('<').skip(1).map(|t| t.split('>').next().unwrap()) {
        let name = tag.trim_start_matches('/').split([' ', '/', '\n']).next().unwrap();
        assert_eq!(tag.matches('"').count() % 2, 0, "{tag}");
        if tag.starts_with('!') || tag.ends_with('/') || ["meta", "br"].contains(&name) {
            continue;
        }
        if tag.starts_with('/') {
            assert_eq!(open.pop(), Some(name), "{tag}");
        } else {
            open.push(name);
        }
    }
    assert_eq!(open, [""; 0]);
}

/// The drawings of a page, in order.
pub fn drawings(page: &str) -> Vec<&str> {
    page.split("<svg").skip(1).map(|d| d.split("</svg>").next().unwrap()).collect()
}

/// What stands in the elements of one kind.
pub fn all<'p>(drawing: &'p str, element: &str) -> Vec<BTreeMap<&'p str, &'p str>> {
    let start = format!("<{element} ");
    let one = |tag: &'p str| {
        let mut parts = tag.split('>').next().unwrap().split('"');
        let mut found = BTreeMap::new();
        while let (Some(name), Some(value)) = (parts.next(), parts.next()) {
            found.insert(name.trim().trim_end_matches('='), value);
        }
        found
    };
    drawing.split(start.as_str()).skip(1).map(one).collect()
}

pub fn number(of: &BTreeMap<&str, &str>, name: &str) -> f64 {
    of.get(name).unwrap_or_else(|| panic!("{name} in {of:?}")).parse().unwrap()
}

/// Lengths of the lines that run straight up and straight across, of one width.
pub fn lengths(drawing: &str, width: &str) -> Vec<f64> {
    all(drawing, "line")
        .iter()
        .filter(|l| l["stroke-width"] == width && !l.contains_key("stroke-dasharray"))
        .map(|l| (number(l, "x1") - number(l, "x2")).hypot(number(l, "y1") - number(l, "y2")))
        .collect()
}

pub fn has(lengths: &[f64], wanted: f64) -> bool {
    // The page is written to hundredths of a millimetre.
    lengths.iter().any(|l| (l - wanted).abs() < 0.021)
}

/// A made-up part like one on file, in a catalogue of the practice's own.
pub fn import(place: &Place, file: &str, code_: &str, change: fn(&str) -> Option<String>) -> Output {
    let own = include_str!("../../catalog/plover.toml");
    let (head, _) = own.split_once("[[part]]").unwrap();
    let part = own.split("[[part]]").find(|p| p.contains("code = \"plover-mua-4.1-c3.0\"")).unwrap();
    let part = part.replace("plover-mua-4.1-c3.0", code_);
    let lines: Vec<String> = part
        .lines()
        .filter(|l| !l.starts_with("replaced_by") && !l.starts_with("gtin"))
        .filter_map(change)
        .collect();
    std::fs::write(place.folder().join(file), format!("{head}[[part]]{}\n", lines.join("\n"))).unwrap();
    typed(place, &format!("part import {file}"))
}
