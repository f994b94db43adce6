//! Need: planned work that takes units on a day, shown with the stock that is there for it.

use std::collections::BTreeMap;

use jiff::civil::Date;
use thiserror::Error;

use crate::desk::lookup::{self, NotFound};
use crate::desk::{ExitClass, Refusal, Refused};
use crate::lots::in_house;
use crate::record::{Entry, NeedOff, Needed, View, ViewError};
use crate::stock::Need;
use crate::units::{CaseNumber, Note, PartCode, show_date};

/// Why nothing was planned or called off.
#[derive(Debug, Error)]
pub enum NeedError {
    /// Something named is not on record.
    #[error(transparent)]
    NotFound(#[from] NotFound),
    /// A day that is over.
    #[error("--date {on}: today is {today}, and work is planned ahead. Nothing was booked")]
    Past {
        /// What was said.
        on: Date,
        /// Which day it is.
        today: Date,
    },
    /// Nobody works on a closed case.
    #[error("case {case} is closed since {}: no work is planned for it. Open it first: 'spareseat case reopen {case}'; nothing was booked", show_date(*.since))]
    Closed {
        /// Which.
        case: CaseNumber,
        /// Since when.
        since: Date,
    },
    /// Nothing planned by it.
    #[error("entry {need} plans nothing for case {case}. Planned for it: {planned}. Nothing was booked")]
    NoSuchNeed {
        /// What was asked.
        need: u64,
        /// Whose.
        case: CaseNumber,
        /// What there is.
        planned: String,
    },
}

impl Refusal for NeedError {
    fn class(&self) -> ExitClass {
        match self {
            Self::NotFound(e) => e.class(),
            Self::Closed { .. } => ExitClass::Facts,
            Self::Past { .. } | Self::NoSuchNeed { .. } => ExitClass::Typed,
        }
    }
}

/// The entry that plans work.
pub fn plan(view: &View, needed: &Needed, today: Date) -> Result<Entry, Refused<NeedError>> {
    lookup::case(view, &needed.case)?;
    lookup::part(view, &needed.part)?;
    if let Some((since, _)) = view.state(&needed.case)?.closed {
        return Err(NeedError::Closed { case: needed.case.clone(), since }.into());
    }
    if needed.on < today {
        return Err(NeedError::Past { on: needed.on, today }.into());
    }
    Ok(Entry::Needed(needed.clone()))
}

/// The entry that calls planned work off.
pub fn call_off(
    view: &View,
    case: &CaseNumber,
    need: u64,
    because: Option<&Note>,
) -> Result<Entry, Refused<NeedError>> {
    lookup::case(view, case)?;
    let claims = view.claims()?;
    let all = || {
        let all = claims.iter().flat_map(|(part, claims)| claims.iter().map(move |c| (part, c.need())));
        all.filter_map(|(part, need)| Some((part, need?))).filter(|(_, n)| n.case == *case)
    };
    let Some((part, _)) = all().find(|(_, n)| n.entry == need) else {
        let planned = lookup::list(all().map(|(part, n)| {
            format!("{} ({} of {part} on {})", n.entry, lookup::pieces(n.quantity), show_date(n.on))
        }));
        return Err(NeedError::NoSuchNeed { need, case: case.clone(), planned }.into());
    };
    let (case, part, because) = (case.clone(), part.clone(), because.cloned());
    Ok(Entry::NeedOff(NeedOff { case, need, part, because }))
}

/// Planned work, with what is there for it.
#[derive(Debug, Clone, PartialEq, Eq)]
#[allow(missing_docs)]
pub struct Planned {
    pub part: PartCode,
    pub need: Need,
    /// How many units can be used on that day, set aside for no other case and taken by no earlier need.
    pub there: i64,
}

impl Planned {
    /// Not enough is there for it.
    pub fn is_short(&self) -> bool {
        self.there < i64::from(self.need.quantity)
    }
}

/// The work that is planned from today on, the next first; of all parts, or of one.
pub fn planned(view: &View, part: Option<&PartCode>, today: Date) -> Result<Vec<Planned>, ViewError> {
    let claims = match part {
        Some(part) => [(part.clone(), view.claims_of(part)?)].into(),
        None => view.claims()?,
    };
    let mut all = Vec::new();
    for (part, claims) in claims {
        let needs = claims.into_iter().filter_map(|c| c.need().cloned()).filter(|n| n.on >= today);
        all.extend(served(view, &part, needs.collect())?);
    }
    all.sort_by_key(|p: &Planned| (p.need.on, p.need.entry));
    Ok(all)
}

/// The needs of one part served in the order of their days, each first from what is held for its own case.
fn served(view: &View, part: &PartCode, mut needs: Vec<Need>) -> Result<Vec<Planned>, ViewError> {
    needs.sort_by_key(|n| (n.on, n.entry));
    let usable = |case: Option<&CaseNumber>, on: Date| -> Result<i64, ViewError> {
        // A hold of another case that lapses before that day is in nobody's way then.
        let lines = in_house::free(view, part, case, on)?;
        Ok(lines.iter().filter(|l| !l.expiry.is_over(on)).map(|l| l.quantity).sum())
    };
    let (mut from_all, mut from_own) = (0, BTreeMap::<CaseNumber, i64>::new());
    let mut all = Vec::new();
    for need in needs {
        let for_all = usable(None, need.on)?;
        let own = from_own.entry(need.case.clone()).or_default();
        let held = (usable(Some(&need.case), need.on)? - for_all - *own).max(0);
        let free = (for_all - from_all).max(0);
        let wanted = i64::from(need.quantity);
        let of_held = wanted.min(held);
        *own += of_held;
        from_all += (wanted - of_held).min(free);
        all.push(Planned { part: part.clone(), need, there: held + free });
    }
    Ok(all)
}
