//! A day of the made-up practice, played by demo/day/play: what it shows, and what stands in the record after it.
//!
//! `SPARESEAT_REFRESH=1 cargo test --test suite day` writes demo/day/played.txt anew: read the difference.

use std::fs;
use std::path::Path;

use serde_json::json;

use super::bare_numbers::bare_numbers;
use super::booking::{pieces, whole};
use crate::support::{Place, code, eased, program, text};

const SCREW: &str = "plover-prosthetic-screw-1.4";

#[test]
fn the_day_is_as_it_was_played() {
    let place = Place::empty();
    let day = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo/day");
    let out = eased("bash")
        .arg(day.join("play"))
        .arg(place.home())
        .env("SPARESEAT", program())
        .env_remove("SPARESEAT_HOME")
        .output()
        .expect("bash starts");
    assert_eq!((code(&out), text(&out.stderr)), (0, String::new()), "{}", text(&out.stdout));
    let shown = text(&out.stdout);
    let said = shown.lines().filter(|l| !l.starts_with(['$', '#', '(']) && !l.starts_with("spareseat: "));
    assert_eq!(said.flat_map(bare_numbers).collect::<Vec<_>>(), Vec::<String>::new());
    let file = day.join("played.txt");
    if std::env::var_os("SPARESEAT_REFRESH").is_some() {
        fs::write(&file, &shown).unwrap();
    }
    let played = fs::read_to_string(&file).unwrap();
    for (n, (shown, played)) in shown.lines().zip(played.lines()).enumerate() {
        assert_eq!(shown, played, "demo/day/played.txt, line {}", n + 1);
    }
    assert_eq!(shown.lines().count(), played.lines().count());

    // 14 packs in one entry, read off their labels.
    let labels = fs::read_to_string(day.join("delivery.csv")).unwrap();
    let log = fs::read_to_string(place.home().join("logbook.jsonl")).unwrap();
    let delivery: Vec<&str> =
        log.lines().filter(|l| l.contains("\"receive.1\"") && l.contains("PS-1203")).collect();
    assert_eq!(delivery.len(), 1);
    let labels: Vec<&str> = labels.lines().skip(1).map(|l| l.split(';').next().unwrap()).collect();
    assert_eq!(labels.len(), 14);
    for label in labels {
        assert!(delivery[0].contains(&format!("\"label\":\"{label}\"")), "{label}");
    }
    // The expired lot is gone, and what was counted stands.
    assert_eq!(pieces(&place, "dunlin-abutment-screw", "DS-0702", "cabinet-3-drawer-2"), 0);
    assert_eq!(pieces(&place, SCREW, "PS-1120", "cabinet-2-drawer-1"), 2);
    // Of nine units of the lot that was called back one is in a mouth and eight are apart: none lies in a drawer.
    let lot = &place.json(&["trace", "--lot", "PS-1203"])["lots"][0];
    assert_eq!(lot["in_mouths"].as_array().unwrap().len(), 1);
    assert_eq!((&lot["in_mouths"][0]["case"], &lot["in_mouths"][0]["site"]), (&json!("1047"), &json!("25")));
    let places = json!([{ "place": "cases", "quantity": 1 }, { "place": "quarantine", "quantity": 8 }]);
    let mut found: Vec<_> = lot["places"].as_array().unwrap().clone();
    found.retain(|p| p["quantity"].as_i64() > Some(0));
    assert_eq!(json!(found), places);
    whole(&place);
}
