//! What a restoration that was entered, or that ended, does to the view; and what it was built on, once a position of it
//! is empty.

use super::{fit, happened};
use crate::case::{Event, Fitted, Happening, Restoration};
use crate::catalog::Position;
use crate::record::entry::{BridgeEntered, BridgeStep};
use crate::record::key;
use crate::record::view::{BuiltOn, View, ViewError};
use crate::units::{CaseNumber, Note, Tooth};

pub(super) fn bridge(view: &mut View, seq: u64, e: BridgeEntered) -> Result<(), ViewError> {
    let case = e.case;
    match e.step {
        BridgeStep::Made { restoration, frame, measure, .. } => {
            for site in &restoration.sites {
                fit(view, &case, *site, (*frame).clone(), false)?;
                let there = measure.iter().filter(|m| m.site == *site);
                let there = there.map(|m| BuiltOn { position: m.position, part: m.part.clone() });
                *view.open_list::<BuiltOn>(key::built_on(&case, *site))? = there.collect();
            }
            view.open_list::<Restoration>(key::restorations(&case))?.push(restoration);
            Ok(())
        }
        BridgeStep::Ended { sites, on } => {
            let ended = {
                let mut all = view.open_list::<Restoration>(key::restorations(&case))?;
                all.iter().position(|r| r.sites == sites).map(|at| all.remove(at))
            };
            for site in &sites {
                // Nothing has to be filled there any more.
                let assembly = view.open_list::<Fitted>(key::fitted(&case, *site))?.clone();
                view.open_list::<BuiltOn>(key::built_on(&case, *site))?
                    .retain(|b| Fitted::at(&assembly, b.position).is_some());
            }
            let Some(ended) = ended else { return Ok(()) };
            let event = Event {
                on,
                tooth: None,
                position: None,
                what: Happening::Noted,
                note: Note::new(&format!("{} is not in any more; its parts stay on record", ended.words()))
                    .ok(),
                kept: None,
            };
            happened(view, seq, &case, event)
        }
    }
}

/// A position of a restoration is empty now: what stood there stays what the restoration was built on.
pub(super) fn emptied(
    view: &mut View,
    case: &CaseNumber,
    site: Tooth,
    position: Position,
) -> Result<(), ViewError> {
    let carries =
        view.open_list::<Restoration>(key::restorations(case))?.iter().any(|r| r.sites.contains(&site));
    let is_temporary = matches!(position, Position::HealingCap | Position::CoverScrew);
    let mut assembly = view.open_list::<Fitted>(key::fitted(case, site))?;
    let stood = Fitted::at(&assembly, position).map(|f| f.part.clone());
    assembly.retain(|f| f.position != position);
    let mut built = view.open_list::<BuiltOn>(key::built_on(case, site))?;
    if !carries || is_temporary {
        built.retain(|b| b.position != position);
    } else if let Some(part) = stood.filter(|_| !built.iter().any(|b| b.position == position)) {
        built.push(BuiltOn { position, part });
    }
    Ok(())
}
