//! A visit on record: begun, narrowed, ended; a patient who walks in becomes a case by it.

use jiff::civil::Date;
use thiserror::Error;

use crate::case::{Broken, Calls, Ends, Left};
use crate::cases::empty;
use crate::chair::visit::{self, NotThere, Reply, VisitError, VisitQuestion};
use crate::desk::lookup::{self, NotFound};
use crate::desk::{ExitClass, Refusal, Refused};
use crate::record::{
    CaseState, Entry, OpenVisit, Outcome, Shown, Step, View, ViewError, VisitStep, fits_a_row,
};
use crate::units::{CaseNumber, Note, Tooth, show_date};

/// Why it was not booked.
#[derive(Debug, Error)]
pub enum VisitingError {
    /// Something named is not on record.
    #[error(transparent)]
    NotFound(#[from] NotFound),
    /// There is no answer to put on record.
    #[error(transparent)]
    Visit(#[from] VisitError),
    /// The part the report is about is not there.
    #[error("{}. Nothing was booked", .0.sentence.trim_end_matches('.'))]
    NotThere(Box<NotThere>),
    /// One at a time.
    #[error(
        "a visit is open on case {case} already: {}, {}, since {} (entry {}). Narrow it with --narrow, or end it first with --end; nothing was booked", .open.site, .open.broken.report(), show_date(.open.on), .open.entry
    )]
    IsOpen {
        /// Whose.
        case: CaseNumber,
        /// Which.
        open: Box<OpenVisit>,
    },
    /// None to narrow or end.
    #[error(
        "no visit is open on case {0}: begin one with --site TOOTH --broken WHAT --open; nothing was booked"
    )]
    NoneOpen(CaseNumber),
    /// The number is taken.
    #[error(
        "case {0} is on record already: a walk-in needs a number of its own. Leave out --new if it is this patient; nothing was booked"
    )]
    Taken(CaseNumber),
    /// Narrowed at another site.
    #[error("the open visit of case {case} is at {open}: it is not narrowed to {asked}. End it first, or say --site {}; nothing was booked", .open.iso())]
    OtherSite {
        /// Whose.
        case: CaseNumber,
        /// Where it is.
        open: Tooth,
        /// What was asked.
        asked: Tooth,
    },
    /// Nothing new is known, and what was to be done for it is done.
    #[error(
        "case {case}: the tray for just this report was booked already, as entry {entry}: there is nothing to narrow. For another tray end the visit and begin a new one; nothing was booked"
    )]
    Booked {
        /// Whose.
        case: CaseNumber,
        /// By which entry.
        entry: u64,
    },
    /// What is reported does not go back.
    #[error(
        "case {case}: the report of this visit is '{report}': nothing goes back on that. Narrow the report first, or end it with --end referred; nothing was booked"
    )]
    DoesNotGoBack {
        /// Whose.
        case: CaseNumber,
        /// What is reported.
        report: &'static str,
    },
    /// More units than a row keeps.
    #[error("case {0}: the tray is too long to be kept together; nothing was booked")]
    TooLong(CaseNumber),
}

impl Refusal for VisitingError {
    fn class(&self) -> ExitClass {
        match self {
            Self::NotFound(e) => e.class(),
            Self::Visit(e) => e.class(),
            Self::OtherSite { .. } | Self::TooLong(_) => ExitClass::Typed,
            Self::NotThere(_)
            | Self::IsOpen { .. }
            | Self::NoneOpen(_)
            | Self::Taken(_)
            | Self::Booked { .. }
            | Self::DoesNotGoBack { .. } => ExitClass::Facts,
        }
    }
}

/// The entry that begins a visit, with the tray as it is shown.
pub fn begin(
    view: &View,
    ask: &VisitQuestion,
    note: Option<&Note>,
    today: Date,
) -> Result<Entry, Refused<VisitingError>> {
    lookup::case(view, &ask.case)?;
    if let Some(open) = view.state(&ask.case)?.visit {
        return Err(VisitingError::IsOpen { case: ask.case.clone(), open: Box::new(open) }.into());
    }
    step(view, ask, Step::Begun { new_case: false }, note, today)
}

/// The entry that puts what is known by now in place of what was reported first.
pub fn narrow(
    view: &View,
    ask: &VisitQuestion,
    note: Option<&Note>,
    today: Date,
) -> Result<Entry, Refused<VisitingError>> {
    let case = lookup::case(view, &ask.case)?;
    let Some(open) = view.state(&ask.case)?.visit else {
        return Err(VisitingError::NoneOpen(ask.case.clone()).into());
    };
    if let Some(typed) = &ask.site {
        let asked = lookup::site(&case, typed)?;
        if asked != open.site {
            // The same restoration: the report was of another of its teeth.
            let restorations = view.restorations(&ask.case)?;
            let own = lookup::restoration_at(&restorations, open.site);
            if own.is_none_or(|r| !r.sites.contains(&asked)) {
                return Err(
                    VisitingError::OtherSite { case: ask.case.clone(), open: open.site, asked }.into()
                );
            }
        }
    }
    step(view, ask, Step::Narrowed, note, today)
}

fn step(
    view: &View,
    ask: &VisitQuestion,
    step: Step,
    note: Option<&Note>,
    today: Date,
) -> Result<Entry, Refused<VisitingError>> {
    let visit = match visit::answer(view, ask, today).map_err(Refused::lift)? {
        Reply::Visit(visit) => visit,
        Reply::NotThere(why) => return Err(VisitingError::NotThere(Box::new(why)).into()),
    };
    // Else the same tray could be booked a second time.
    if let Some(entry) = visit.booked() {
        return Err(VisitingError::Booked { case: ask.case.clone(), entry }.into());
    }
    let entry = VisitStep {
        case: ask.case.clone(),
        step,
        site: visit.asked.site,
        broken: visit.asked.broken,
        left: visit.asked.left,
        tray: visit.shown(),
        note: note.cloned(),
    };
    // As the fold will keep it: a row that is too long would be found out only after the entry stands.
    let open = OpenVisit {
        entry: u64::MAX,
        on: today,
        site: entry.site,
        broken: entry.broken,
        left: entry.left,
        tray: entry.tray.clone(),
        booked: Some(u64::MAX),
    };
    let before = view.state(&ask.case)?;
    if !fits_a_row(&CaseState { visit: Some(open), ..before }) {
        return Err(VisitingError::TooLong(ask.case.clone()).into());
    }
    Ok(Entry::Visit(entry))
}

/// A patient who is not on record.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct WalkIn {
    pub case: CaseNumber,
    pub site: Tooth,
    pub broken: Broken,
    pub left: Option<Left>,
    pub note: Option<Note>,
}

/// The entry that makes a case of a patient who walked in, and begins the visit.
pub fn walk_in(view: &View, ask: &WalkIn) -> Result<Entry, Refused<VisitingError>> {
    if view.case(&ask.case)?.is_some() {
        return Err(VisitingError::Taken(ask.case.clone()).into());
    }
    // Nothing is known of the assembly: the row that holds for any is the one the answer will be read off.
    let call = Calls::shipped().row(ask.broken, |_| false).ok_or(VisitError::NotSaid(ask.case.clone()));
    let call = call.map_err(VisitingError::from)?;
    // What contradicts itself is refused now: once the case stands, the answer could only fail.
    let left = visit::left_behind(call, ask.left).map_err(VisitingError::from)?;
    Ok(Entry::Visit(VisitStep {
        case: ask.case.clone(),
        step: Step::Begun { new_case: true },
        site: ask.site,
        broken: ask.broken,
        left,
        tray: Vec::<Shown>::new(),
        note: ask.note.clone(),
    }))
}

/// The entry that ends a visit.
pub fn end(
    view: &View,
    number: &CaseNumber,
    outcome: Outcome,
    note: Option<&Note>,
) -> Result<Entry, Refused<VisitingError>> {
    lookup::case(view, number)?;
    let Some(open) = view.state(number)?.visit else {
        return Err(VisitingError::NoneOpen(number.clone()).into());
    };
    let refer = Calls::shipped().row(open.broken, |_| false).is_some_and(|c| c.ends == Ends::Refer);
    if refer && outcome == Outcome::BackIn {
        return Err(
            VisitingError::DoesNotGoBack { case: number.clone(), report: open.broken.report() }.into()
        );
    }
    Ok(Entry::Visit(VisitStep {
        case: number.clone(),
        step: Step::Ended(outcome),
        site: open.site,
        broken: open.broken,
        left: open.left,
        tray: Vec::new(),
        note: note.cloned(),
    }))
}

/// What the person should hear when a visit ends: what is on record is not always what was done.
pub fn remarks(view: &View, number: &CaseNumber, outcome: Outcome) -> Result<Vec<String>, ViewError> {
    let Some(open) = view.state(number)?.visit else { return Ok(Vec::new()) };
    if outcome != Outcome::BackIn {
        return Ok(Vec::new());
    }
    let mut lines = Vec::new();
    if open.booked.is_none() && !open.tray.is_empty() {
        lines.push(format!(
            "no tray was booked for this visit: by the record the old parts are still in at {}",
            open.site
        ));
    }
    if let Some(case) = view.case(number)? {
        lines.extend(empty::remarks(view, &case, open.site)?);
    }
    Ok(lines)
}
