//! How the eleventh logbook was made: lots received under two editions of the catalogue, and a number in it that had been
//! wrong.
//!
//! Run only when tests/museum/logbook-11 is gone: a logbook in the museum is never written again.

use std::path::Path;

use spareseat::cases::entering;
use spareseat::maintenance::parts::{self, NumberWasWrong};
use spareseat::units::PartCode;

use super::make::{DAY, whole};

const CASE: &str = include_str!("case.toml");
const CATALOGUE: &str = include_str!("catalogue.toml");

/// Makes the logbook, and takes away what is no part of the record.
pub fn eleventh_logbook(folder: &Path) {
    whole(folder, 0x0DE0, |maker| {
        maker.case(|view| entering::import(view, "case.toml", CASE, false, DAY));
        maker.receive("heron-mua-17", "A-17", 1, "drawer-2", None, None);
        maker.receive("heron-screw", "S-1", 5, "drawer-1", Some("2027-09"), None);
        let torque = CATALOGUE.replace("widest = 4.1\nneck = 4.1", "widest = 4.2\nneck = 4.2");
        assert_ne!(torque, CATALOGUE);
        let wrong = |parts: &[&str]| NumberWasWrong {
            all: false,
            parts: parts.iter().map(|code| PartCode::new(code).unwrap()).collect(),
        };
        // The article changed; then the number of the implant turns out to have been wrong; and of all that change.
        let texts = [
            (text(CATALOGUE, "heron-screw"), wrong(&[])),
            (torque, wrong(&["heron-implant"])),
            (text(CATALOGUE, "heron-screw"), NumberWasWrong { all: true, parts: Vec::new() }),
        ];
        for (text, said) in texts {
            let files = [("catalogue.toml".to_owned(), text)];
            let (act, by) = (maker.act(), maker.by.clone());
            parts::import_saying(&mut maker.desk, Some(&by), act, &files, &said).unwrap();
            let lot = format!("S-{}", maker.last());
            maker.receive("heron-screw", &lot, 2, "drawer-1", Some("2028-09"), None);
        }
    });
}

/// The catalogue with another material of a part.
fn text(catalogue: &str, code: &str) -> String {
    let at = catalogue.find(&format!("code = \"{code}\"\n")).unwrap();
    let (before, its) = catalogue.split_at(at);
    let changed = its.replacen("material = \"", "material = \"another ", 1);
    assert_ne!(changed, its);
    format!("{before}{changed}")
}
