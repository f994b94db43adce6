//! One bundle of each look-up, kept word for word under tests/cli/expected/fhir.
//!
//! `SPARESEAT_REFRESH=1 cargo test --test suite fhir::kept` writes them anew: read the difference before it is committed.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use super::practice::{SCREW, busy};
use crate::cli::snapshots::first_difference;
use crate::cli::typed::typed;
use crate::support::{code, text};

#[test]
fn one_bundle_of_each_look_up_is_as_it_was_read_and_approved() {
    let place = busy();
    let lines = [
        ("trace-lot", "trace --lot BACK-1 --fhir".to_owned()),
        ("trace-case", "trace --case 1047 --fhir".to_owned()),
        ("stock", format!("stock --part {SCREW} --fhir")),
    ];
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cli/expected/fhir");
    let mut differ = Vec::new();
    for (name, line) in &lines {
        let out = typed(&place, line);
        assert_eq!((code(&out), text(&out.stderr)), (0, String::new()), "{line}");
        let (file, shown) = (folder.join(format!("{name}.json")), text(&out.stdout));
        if std::env::var_os("SPARESEAT_REFRESH").is_some() {
            fs::create_dir_all(&folder).unwrap();
            fs::write(&file, &shown).unwrap();
        }
        let expected = fs::read_to_string(&file).unwrap_or_default();
        differ.extend(first_difference(&shown, &expected).map(|d| format!("{name}.json ({line}): {d}")));
    }
    assert!(differ.is_empty(), "{}\nSPARESEAT_REFRESH=1 writes them anew", differ.join("\n"));
    let kept: BTreeSet<String> = fs::read_dir(&folder)
        .unwrap()
        .map(|e| e.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    assert_eq!(kept, lines.iter().map(|(name, _)| format!("{name}.json")).collect());
}
