//! A restoration that was entered, or that ended.

use crate::case::{Span, crown_words};
use crate::cases::bridging::Entered;
use crate::catalog::{Port, Value};
use crate::record::{BridgeEntered, BridgeStep};
use crate::units::{CaseNumber, show_date, teeth};
use jiff::civil::Date;

/// What was booked.
pub fn bridge_entered(case: &CaseNumber, e: &Entered) -> String {
    let r = &e.restoration;
    let mut out = format!(
        "case {case}: {} is on record, {}, built on what stood there on {}.",
        r.words(),
        r.retention,
        show_date(e.built_on)
    );
    let known: Vec<&str> = e.frame.part.ports.iter().map(Port::words).collect();
    let known = if known.is_empty() { "nothing".to_owned() } else { known.join(" and ") };
    out.push_str(&format!("\nFrame {} at {}; known of it: {known}.", e.frame.part.code, teeth(&r.sites)));
    if let Value::Known(height) = r.crown_height {
        out.push_str(&format!("\nCrown height: {}.", crown_words(r, &e.sites, height)));
    }
    out
}

/// It is not in any more.
pub fn bridge_ended(case: &CaseNumber, span: &Span, on: Date) -> String {
    format!(
        "case {case}: the restoration on {} is not in any more since {}; its parts stay on record. What came out: 'spareseat return'.",
        teeth(&span.sites),
        show_date(on)
    )
}

/// The entry, in a sentence.
pub(super) fn told_bridge(e: &BridgeEntered) -> String {
    match &e.step {
        BridgeStep::Made { restoration: r, frame, built_on, .. } => {
            format!(
                "case {}: {} entered, {}, frame {}, built on what stood there on {}",
                e.case,
                r.words(),
                r.retention,
                frame.part.code,
                show_date(*built_on)
            )
        }
        BridgeStep::Ended { sites, on } => format!(
            "case {}: the restoration on {} is not in any more since {}",
            e.case,
            teeth(sites),
            show_date(*on)
        ),
    }
}
