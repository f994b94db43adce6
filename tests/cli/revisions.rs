//! Interface revisions on the shipped catalogue: what mates, what does not, and what is said of it.

use std::fs;

use serde_json::Value as Json;

use super::typed::typed;
use crate::support::{Place, code, text};

fn against(answer: &Json) -> Vec<String> {
    let findings = answer["candidates"][0]["findings"].as_array().unwrap();
    let against = findings.iter().filter(|f| f["level"] == "against");
    against.map(|f| f["effect"].as_str().unwrap().to_owned()).collect()
}

#[test]
fn the_top_has_a_patch_a_minor_and_a_major_step() {
    let place = Place::demo();
    let shown = place.json(&["interface", "show", "top-4.8"]);
    let revisions = shown["interfaces"][0]["revisions"].as_array().unwrap();
    let steps: Vec<&str> = revisions.iter().map(|r| r["revision"].as_str().unwrap()).collect();
    assert_eq!(steps, ["1.0.0", "1.1.0", "1.1.1", "2.0.0"]);
}

#[test]
fn a_major_step_does_not_mate_and_a_patch_is_only_noted() {
    let place = Place::demo();
    let swap = |part: &str| place.json(&["swap", "1047", "25", "abutment", part]);
    let major = swap("plover-mua-4.1-c3.0-r2");
    assert_eq!(
        against(&major),
        [
            "does not mate with the framework: interface top-4.8: the upper part accepts revision ^1, the other is revision 2.0.0"
        ]
    );
    assert_eq!(major["candidates"][0]["verdict"], "does not fit");
    // The collar is another, so it does not fit; its patch step is paper only and says so.
    let patch = swap("plover-mua-4.1-c4.0");
    assert!(against(&patch).iter().all(|e| !e.contains("revision")), "{patch:#}");
    let notes = patch["candidates"][0]["findings"].as_array().unwrap();
    assert!(
        notes.iter().any(|f| f["level"] == "note"
            && f["effect"] == "interface top-4.8: another revision on paper, the same part"),
        "{patch:#}"
    );
}

/// A case whose cylinder, on abutments that offer `top`, was made to accept only what has the index mark.
fn indexed(place: &Place, abutment: &str) {
    let case = format!(
        r#"form = 1
case = "88"
numbering = "iso-3950"
[[site]]
tooth = 11
[[site.fitted]]
position = "implant"
part = "dunlin-implant-4.2x10"
sure = "label"
[[site.fitted]]
position = "abutment"
part = "{abutment}"
sure = "label"
[[site.fitted]]
position = "cylinder"
part = "plover-cylinder-4.8-indexed"
sure = "label"
[[restoration]]
sites = [11]
retention = "screwed to abutments"
"#
    );
    fs::write(place.folder().join("88.toml"), case).unwrap();
    let out = typed(place, "case import 88.toml --replace");
    assert_eq!(code(&out), 0, "{}", text(&out.stderr));
}

#[test]
fn what_asks_for_the_minor_step_takes_nothing_older() {
    let place = Place::demo();
    indexed(&place, "plover-mua-4.1-c2.0");
    let older = place.json(&["swap", "88", "11", "abutment", "dunlin-mua-4.2-c2.0"]);
    let says = "does not mate with the cylinder: interface top-4.8: the upper part accepts revision ^1.1, the other is revision 1.0.0";
    assert!(against(&older).contains(&says.to_owned()), "{older:#}");
    // The same cylinder takes 1.1.0 and 1.1.1.
    for newer in ["plover-mua-4.1-c2.0", "plover-mua-4.1-c4.0"] {
        let fits = place.json(&["swap", "88", "11", "abutment", newer]);
        assert!(against(&fits).iter().all(|e| !e.contains("top-4.8")), "{newer}: {fits:#}");
    }
    // A part with ^1 takes the older one too: what changed within a major step still mates.
    let shown = place.json(&["part", "show", "plover-cylinder-4.8"]);
    let lower = shown["ports"].as_array().unwrap().iter().find(|p| p["interface"] == "top-4.8").unwrap();
    assert_eq!((lower["offers"].as_str(), lower["accepts"].as_str()), (Some("1.1.0"), Some("^1")));
}
