//! What holds of every label that was read, whatever the text.

use spareseat::report::json::scanned;
use spareseat::scan::{Content, Label, MOST, Verdict, read};

/// Reads the text and holds the answer against what must be true of any.
pub fn read_and_held(text: &str, year: i16) -> Label {
    let label = read(text, year);
    let reasons = label.reasons();
    assert_eq!(label.verdict() == Verdict::Ok, reasons.is_empty(), "{text:?}: {reasons:?}");
    for reason in &reasons {
        // No sentence carries what would move a cursor, and none grows with the text.
        assert!(reason.len() < 800 && !reason.chars().any(char::is_control), "{text:?}: {reason}");
    }
    match label.content() {
        Content::Gs1(elements) => {
            assert!(!elements.is_empty(), "{text:?}");
            for e in elements {
                assert!(text.contains(e.value()) && text.contains(e.ai()), "{text:?}: {e:?} is invented");
            }
        }
        Content::Hibc(hibc) => {
            let parts = [hibc.item().map(|i| i.di()), hibc.lot(), hibc.serial()];
            assert!(parts.into_iter().flatten().all(|p| text.contains(p)), "{text:?}: {hibc:?}");
        }
        Content::Refused(_) | Content::NotRead(_) => {
            let taken = [label.lot(), label.serial()];
            assert!(taken == [None, None] && label.item().is_none() && label.expiry().is_none(), "{text:?}");
        }
    }
    if text.trim_end_matches(['\r', '\n']).len() > MOST {
        assert_eq!(label.verdict(), Verdict::Error, "a label of {} bytes", text.len());
    }
    assert_eq!(scanned(&label)["verdict"], label.verdict().word());
    label
}
