//! What is set aside, for whom, and what became free again.

use crate::lots::holds::Standing;
use crate::record::{Released, SetAside};
use crate::shelf::shelves::Apart;
use crate::units::show_date;

use super::super::table::table;
use super::pieces;

/// What was set aside, in a sentence.
pub(super) fn told_set_aside(e: &SetAside) -> String {
    let lots: Vec<String> =
        e.lots.iter().map(|l| format!("{} of lot {}", pieces(l.quantity), l.lot)).collect();
    let because = e.because.as_ref().map_or(String::new(), |n| format!("; {n}"));
    format!(
        "case {}: {} of {} set aside until {}{because}",
        e.case,
        lots.join(", "),
        e.part,
        show_date(e.until)
    )
}

pub(super) fn told_released(e: &Released) -> String {
    let holds: Vec<String> =
        e.holds.iter().map(|h| format!("hold {} of case {} on {}", h.hold, h.case, h.part)).collect();
    let because = e.because.as_ref().map_or(String::new(), |n| format!("; {n}"));
    format!("let go of {}{because}", holds.join(", "))
}

/// What is in no drawer; nothing where nothing is.
pub fn apart(all: &[Apart]) -> String {
    if all.is_empty() {
        return String::new();
    }
    let rows = all.iter().map(|a| {
        let called = a.called_back.map_or(String::new(), |e| format!("CALLED BACK, entry {e}"));
        vec![a.part.to_string(), format!("lot {}", a.lot), a.place.to_string(), pieces(a.quantity), called]
    });
    format!("\nKept apart, never laid out\n{}", table(&["part", "lot", "where", "quantity", "note"], rows))
}

/// A unit that a fact has taken away is missing: said in one word that is looked for.
fn state(s: &Standing) -> String {
    if s.is_short() { format!("SHORT: {} there", pieces(s.covered)) } else { "there".to_owned() }
}

/// What is set aside; nothing where nothing is.
pub fn held(all: &[Standing]) -> String {
    if all.is_empty() {
        return String::new();
    }
    let rows = all.iter().map(|s| {
        vec![
            format!("hold {}", s.hold.entry),
            format!("case {}", s.hold.case),
            s.part.to_string(),
            format!("lot {}", s.hold.lot),
            pieces(s.hold.left()),
            format!("until {}", show_date(s.hold.until)),
            state(s),
        ]
    });
    format!("\nHeld\n{}", table(&["hold", "for", "part", "lot", "quantity", "until", "in the house"], rows))
}
