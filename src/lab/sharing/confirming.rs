//! The practice takes a laboratory's answer: for the assembly it was computed on, and for no other.

use std::collections::BTreeSet;

use jiff::civil::Date;

use super::form::{AnswerFile, SharedSite, SharedStanding};
use super::{ShareTakeError, standing};
use crate::case::Fitted;
use crate::catalog::{Position, same_shape};
use crate::desk::Refused;
use crate::desk::lookup::restoration_at;
use crate::logbook::Sum;
use crate::record::{Entry, SwapConfirmed, View, ViewError};
use crate::units::{CaseNumber, Tooth};

/// The entry for an answer.
pub fn confirm(
    view: &View,
    file: &AnswerFile,
    sum: Sum,
    today: Date,
) -> Result<Entry, Refused<ShareTakeError>> {
    if file.origin.logbook != view.head().head.id {
        return Err(ShareTakeError::OtherLogbook(file.origin.clone()).into());
    }
    let case = &file.origin.case;
    if view.case(case)?.is_none() {
        return Err(ShareTakeError::NoCase(case.clone()).into());
    }
    if let Some(row) = view.confirmed(case)?.into_iter().find(|row| row.answer == sum) {
        return Err(ShareTakeError::TakenBefore { entry: row.entry, on: row.taken_on }.into());
    }
    if file.on > today {
        return Err(ShareTakeError::Future { date: file.on, today }.into());
    }
    let changed = changed(view, case, file)?;
    if !changed.is_empty() {
        return Err(ShareTakeError::Assembly { case: case.clone(), changed }.into());
    }
    Ok(Entry::Confirmed(SwapConfirmed {
        case: case.clone(),
        answer: sum,
        laboratory: file.laboratory.clone(),
        by: file.by.clone(),
        on: file.on,
        computed_on: file.sites.iter().map(SharedSite::site_sum).collect(),
        swaps: file.swaps.clone(),
        verdict: file.verdict,
        worst_gap: file.worst_gap_tenths_um,
        bands: file.bands_tenths_um,
    }))
}

/// What differs between what the answer was computed on and what is on record, a sentence a site.
fn changed(view: &View, case: &CaseNumber, file: &AnswerFile) -> Result<Vec<String>, ViewError> {
    let restorations = view.restorations(case)?;
    let mut needed: BTreeSet<Tooth> = BTreeSet::new();
    let mut out = Vec::new();
    for swap in &file.swaps {
        match restoration_at(&restorations, swap.site) {
            Some(r) => needed.extend(&r.sites),
            None => {
                needed.insert(swap.site);
            }
        }
    }
    let Some(head) = view.case(case)? else { return Ok(Vec::new()) };
    needed.extend(file.sites.iter().map(|s| s.standing.site));
    for tooth in needed {
        let there = file.sites.iter().find(|s| s.standing.site == tooth);
        match (there, head.sites.contains(&tooth)) {
            (None, _) => {
                out.push(format!("{tooth}: carries the restoration now, and the answer does not know it"))
            }
            (Some(_), false) => out.push(format!("{tooth}: is no site of the case any more")),
            (Some(then), true) => {
                let now = standing(view, &head, tooth)?;
                if now.sum != then.sum {
                    out.push(format!("{tooth}: {}", differences(&then.standing, &now.standing).join(", ")));
                }
            }
        }
    }
    Ok(out)
}

/// What differs at a site, in words; never empty.
fn differences(then: &SharedStanding, now: &SharedStanding) -> Vec<String> {
    let mut out = Vec::new();
    for position in Position::ALL {
        let words = position.words();
        let lot = |f: &Fitted| f.lot.as_ref().map_or("not recorded".to_owned(), ToString::to_string);
        match (Fitted::at(&then.assembly, position), Fitted::at(&now.assembly, position)) {
            (Some(a), Some(b)) if a == b => {}
            (Some(a), Some(b)) if a.part.code != b.part.code => {
                out.push(format!("{words} was {}, on record is {}", a.part.code, b.part.code));
            }
            (Some(a), Some(b)) if a.part != b.part => {
                out.push(format!("the numbers of {} ({words}) are not the same", a.part.code));
            }
            (Some(a), Some(b)) if a.lot != b.lot => {
                out.push(format!(
                    "{words} {} was of lot {}, on record is lot {}",
                    a.part.code,
                    lot(a),
                    lot(b)
                ));
            }
            (Some(a), Some(_)) => out.push(format!(
                "{words} {}: the day, the torque, the lean or how sure it is was entered anew",
                a.part.code
            )),
            (Some(a), None) => out.push(format!("{words} was {}, on record is none", a.part.code)),
            (None, Some(b)) => out.push(format!("{words} was none, on record is {}", b.part.code)),
            (None, None) => {}
        }
    }
    if then.measured != now.measured {
        out.push("where it lies was measured anew".to_owned());
    }
    if then.restoration != now.restoration {
        out.push("the restoration it carries is not the same".to_owned());
    }
    if then.built_on != now.built_on {
        out.push("what the restoration was built on is not the same".to_owned());
    }
    out
}

/// What the person should know about the parts of an answer: other numbers here, or none.
pub(super) fn part_remarks(view: &View, file: &AnswerFile) -> Result<Vec<String>, ViewError> {
    let mut out = Vec::new();
    for swap in &file.swaps {
        let code = &swap.part.code;
        match view.part(code)? {
            None => out.push(format!("part {code} of the answer is not in the catalogue here")),
            Some(ours) if !same_shape(&ours, &swap.part) => out.push(format!(
                "part {code} has OTHER NUMBERS in the catalogue here than in the answer: its verdict is not about the part in your drawer. Compare both with the maker's drawing"
            )),
            Some(_) => {}
        }
    }
    Ok(out)
}
