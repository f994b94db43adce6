//! Answers in the exchange form HL7 FHIR R5 (5.0.0), as JSON: one `Bundle` of type collection an answer.
//!
//! What maps to what, and what is left out, stands in DEVELOPERS.md ('Exchange form'). Element names, how often each may
//! stand, and the codes that are required are those of <https://hl7.org/fhir/R5/>; `tests/fhir` holds every bundle against
//! them.
//! What is not on record is left out. Nothing here reads a clock: the same record and the same day give the same bytes.

mod bundle;
mod definition;
mod device;
mod items;
mod terms;

use serde_json::Value as Json;

use crate::tracing::exchange::{Bundled, OnShelf, under_roof};
use crate::tracing::trace::{CaseTrace, LotTrace};
use bundle::Bundle;
use device::Stands;

/// What lies where; `only` says what the list leaves out.
pub fn stock(shelves: &[OnShelf], only: Option<&str>, exchange: &Bundled) -> Json {
    let mut bundle = Bundle::new(exchange);
    items::report(&mut bundle, "stock", shelves, only);
    bundle.finish()
}

/// Where the units of a lot are: those under this roof, those in mouths, those that were.
pub fn lots(all: &[LotTrace], exchange: &Bundled) -> Json {
    let mut bundle = Bundle::new(exchange);
    let lot = all.first().map_or("", |t| t.lot.as_str());
    let parts: Vec<&str> = all.iter().map(|t| t.part.as_str()).collect();
    let only = format!("Not the whole stock: only lot {lot} of part {}.", parts.join(", "));
    items::report(&mut bundle, "trace", &under_roof(all), Some(&only));
    for trace in all {
        for unit in &trace.in_mouths {
            let entry = unit.booked.as_ref().map(|b| b.entry);
            device::stands(
                &mut bundle,
                &Stands { case: &unit.case, site: unit.site, fitted: &unit.fitted, entry },
            );
        }
        trace.taken_out.iter().for_each(|t| device::out(&mut bundle, t));
    }
    bundle.finish()
}

/// What a patient has and had.
pub fn case(trace: &CaseTrace, exchange: &Bundled) -> Json {
    let mut bundle = Bundle::new(exchange);
    device::patient(&mut bundle, &trace.case);
    for (site, fitted, booked) in &trace.now {
        let entry = booked.as_ref().map(|b| b.entry);
        device::stands(&mut bundle, &Stands { case: &trace.case, site: *site, fitted, entry });
    }
    trace.taken_out.iter().for_each(|t| device::out(&mut bundle, t));
    bundle.finish()
}
