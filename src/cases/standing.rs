//! How a case stands: closed or not, when it is checked next, which visits have not ended.

use jiff::ToSpan as _;
use jiff::civil::Date;
use thiserror::Error;

use crate::desk::lookup::{self, NotFound};
use crate::desk::{ExitClass, Refusal, Refused};
use crate::record::{CaseClosed, CheckSet, Entry, OpenVisit, View};
use crate::units::{CaseNumber, Note, Tooth, show_date};

/// How far ahead a check may be set: beyond it a year was mistyped.
const MOST_YEARS: i32 = 10;

/// Why nothing was booked.
#[derive(Debug, Error)]
pub enum StandingError {
    /// Something named is not on record.
    #[error(transparent)]
    NotFound(#[from] NotFound),
    /// Closed already.
    #[error("case {case} is closed already, since {}: {why}. Nothing was booked", show_date(*.since))]
    ClosedAlready {
        /// Which case.
        case: CaseNumber,
        /// Since when.
        since: Date,
        /// Why.
        why: Note,
    },
    /// Open already.
    #[error("case {0} is not closed: nothing was booked")]
    NotClosed(CaseNumber),
    /// Somebody is in the middle of it.
    #[error(
        "case {case} has a visit that has not ended: at {site} ({}), begun on {} (entry {entry}). End the visit first, 'spareseat --as INITIALS visit {case} --end HOW'; nothing was booked",
        .site.words(), show_date(*.on)
    )]
    VisitOpen {
        /// Which case.
        case: CaseNumber,
        /// Where.
        site: Tooth,
        /// The day it began.
        on: Date,
        /// The entry it began with.
        entry: u64,
    },
    /// A closed case is not checked.
    #[error(
        "case {case} is closed since {}: open it again first, 'spareseat case reopen {case} --because REASON'. Nothing was booked",
        show_date(*.since)
    )]
    Closed {
        /// Which case.
        case: CaseNumber,
        /// Since when.
        since: Date,
    },
    /// A day that is over.
    #[error(
        "{} lies before today, {}: a check is set for today or a later day. Nothing was booked",
        show_date(*.due), show_date(*.today)
    )]
    Past {
        /// What was said.
        due: Date,
        /// Which day it is.
        today: Date,
    },
    /// A day that nobody here plans for.
    #[error(
        "{} lies more than {MOST_YEARS} years ahead: a check is set for {} at the latest. Nothing was booked",
        show_date(*.due), show_date(*.last)
    )]
    FarAhead {
        /// What was said.
        due: Date,
        /// The last day allowed.
        last: Date,
    },
    /// There is none.
    #[error("case {0} has no check set: there is nothing to call off. Nothing was booked")]
    NoCheck(CaseNumber),
}

impl Refusal for StandingError {
    fn class(&self) -> ExitClass {
        match self {
            Self::NotFound(e) => e.class(),
            Self::ClosedAlready { .. }
            | Self::NotClosed(_)
            | Self::VisitOpen { .. }
            | Self::Closed { .. }
            | Self::NoCheck(_) => ExitClass::Facts,
            Self::Past { .. } | Self::FarAhead { .. } => ExitClass::Typed,
        }
    }
}

/// The entry that closes a case, or opens it again.
pub fn close(
    view: &View,
    case: &CaseNumber,
    closed: bool,
    because: &Note,
) -> Result<Entry, Refused<StandingError>> {
    lookup::case(view, case)?;
    let state = view.state(case)?;
    match (state.closed, closed) {
        (Some((since, why)), true) => {
            return Err(StandingError::ClosedAlready { case: case.clone(), since, why }.into());
        }
        (None, false) => return Err(StandingError::NotClosed(case.clone()).into()),
        _ => {}
    }
    if let Some(OpenVisit { site, on, entry, .. }) = state.visit.filter(|_| closed) {
        return Err(StandingError::VisitOpen { case: case.clone(), site, on, entry }.into());
    }
    Ok(Entry::CaseClosed(CaseClosed { case: case.clone(), closed, because: because.clone() }))
}

/// The entry that sets the next check of a case; without a day it is called off.
pub fn check(
    view: &View,
    case: &CaseNumber,
    due: Option<Date>,
    because: &Note,
    today: Date,
) -> Result<Entry, Refused<StandingError>> {
    lookup::case(view, case)?;
    let state = view.state(case)?;
    match due {
        None if state.check.is_none() => return Err(StandingError::NoCheck(case.clone()).into()),
        None => {}
        Some(due) => {
            if let Some((since, _)) = state.closed {
                return Err(StandingError::Closed { case: case.clone(), since }.into());
            }
            if due < today {
                return Err(StandingError::Past { due, today }.into());
            }
            let last = today.saturating_add(MOST_YEARS.years());
            if due > last {
                return Err(StandingError::FarAhead { due, last }.into());
            }
        }
    }
    Ok(Entry::CheckSet(CheckSet { case: case.clone(), due, because: because.clone() }))
}

/// A case that is to be checked.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Check {
    pub case: CaseNumber,
    pub due: Date,
    pub why: Note,
}

impl Check {
    /// Days from today; below zero when it is overdue.
    pub fn days_left(&self, today: Date) -> i32 {
        (self.due - today).get_days()
    }
}

/// What waits for somebody.
#[derive(Debug, Clone)]
pub struct Due {
    /// Checks that are set, the longest overdue first.
    pub checks: Vec<Check>,
    /// Visits that have begun and not ended, the oldest first.
    pub visits: Vec<(CaseNumber, OpenVisit)>,
    /// Checks of closed cases: not listed.
    pub closed: usize,
}

/// What waits for somebody: checks due within so many days, or all that are set, and visits that have not ended.
pub fn due(view: &View, within: Option<i32>, today: Date) -> Result<Due, Refused<StandingError>> {
    let mut all = Due { checks: Vec::new(), visits: Vec::new(), closed: 0 };
    for (case, state) in view.states()? {
        if let Some((due, why)) = state.check {
            let check = Check { case: case.clone(), due, why };
            if within.is_some_and(|days| check.days_left(today) > days) {
                // Not yet.
            } else if state.closed.is_some() {
                all.closed += 1;
            } else {
                all.checks.push(check);
            }
        }
        all.visits.extend(state.visit.map(|visit| (case, visit)));
    }
    all.checks.sort_by(|a, b| (a.due, &a.case).cmp(&(b.due, &b.case)));
    all.visits.sort_by_key(|(_, visit)| visit.entry);
    Ok(all)
}
