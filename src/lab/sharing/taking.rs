//! The laboratory takes a case that was shared.

use jiff::civil::Date;
use thiserror::Error;

use super::form::{FileError, ShareFile};
use crate::case::{CaseHead, LoadSigns};
use crate::desk::lookup::list;
use crate::desk::{ExitClass, Refusal, Refused};
use crate::logbook::Sum;
use crate::record::{CaseTaken, Entry, Origin, View, ViewError, fits_a_row};
use crate::units::{CaseNumber, show_date};

/// Why a file was not taken.
#[derive(Debug, Error)]
pub enum ShareTakeError {
    /// The file itself.
    #[error(transparent)]
    File(#[from] FileError),
    /// Back where it came from.
    #[error(
        "this is case {0} of this very home: it is on record here. A share is for the laboratory's home; what comes back from there is its answer. Nothing was booked"
    )]
    OwnCase(CaseNumber),
    /// A patient among made-up ones.
    #[error("this home is made up, and case {} of {} is a real patient's: make a home for real cases, 'spareseat --home DIR new --practice NAME'. Nothing was booked", .0.case, .0.practice)]
    MadeUpHome(Origin),
    /// The number is somebody else's.
    #[error(
        "case {number} on record here is {whose}: take this one under a number of its own, --number N. Nothing was booked"
    )]
    NumberUsed {
        /// Which number.
        number: CaseNumber,
        /// Whose it is, in words.
        whose: String,
    },
    /// The same case is here already under a number.
    #[error("case {} of {} is on record here as case {here}: leave out --number, and it is replaced there. Nothing was booked", .origin.case, .origin.practice)]
    OtherNumber {
        /// Whose it is.
        origin: Origin,
        /// Its number here.
        here: CaseNumber,
    },
    /// In the future.
    #[error("the file is of {}, after today, {}: one of the two clocks is wrong. Nothing was booked", show_date(*.date), show_date(*.today))]
    Future {
        /// The day of the file.
        date: Date,
        /// Which day it is.
        today: Date,
    },
    /// For a case only.
    #[error(
        "--number is for a case that was shared; this file is a laboratory's answer, and says itself which case it is about. Nothing was booked"
    )]
    NumberOfAnswer,
    /// Somebody else's answer.
    #[error("this answer is about case {} of {} (logbook {}), and this is another logbook: nothing was booked", .0.case, .0.practice, &.0.logbook.to_string()[..8])]
    OtherLogbook(Origin),
    /// Gone.
    #[error("this answer is about case {0}, which is not on record here: nothing was booked")]
    NoCase(CaseNumber),
    /// Taken before.
    #[error("this answer was taken before, by entry {entry} on {}: nothing was booked now", show_date(*.on))]
    TakenBefore {
        /// By which entry.
        entry: u64,
        /// When.
        on: Date,
    },
    /// It says something about another assembly.
    #[error("the answer was computed on other facts than those on record in case {case}: {}. Share the case again and have it computed anew; nothing was booked", .changed.join("; "))]
    Assembly {
        /// Which case.
        case: CaseNumber,
        /// What differs, a site at a time.
        changed: Vec<String>,
    },
    /// More text than the record keeps.
    #[error("the texts of case {0} are too long to be kept together: nothing was booked")]
    TooLong(CaseNumber),
}

impl Refusal for ShareTakeError {
    fn class(&self) -> ExitClass {
        match self {
            Self::File(e) => e.class(),
            Self::NumberOfAnswer | Self::OtherNumber { .. } => ExitClass::Typed,
            Self::OwnCase(_)
            | Self::MadeUpHome(_)
            | Self::NumberUsed { .. }
            | Self::Future { .. }
            | Self::OtherLogbook(_)
            | Self::NoCase(_)
            | Self::TakenBefore { .. }
            | Self::Assembly { .. }
            | Self::TooLong(_) => ExitClass::Facts,
        }
    }
}

/// Under which number the case is taken.
fn number_here(
    view: &View,
    origin: &Origin,
    asked: Option<&CaseNumber>,
) -> Result<CaseNumber, Refused<ShareTakeError>> {
    let origins = view.origins()?;
    if let Some((here, _)) = origins.iter().find(|(_, row)| row.origin.is(origin)) {
        return match asked {
            Some(asked) if asked != here => {
                Err(ShareTakeError::OtherNumber { origin: origin.clone(), here: here.clone() }.into())
            }
            _ => Ok(here.clone()),
        };
    }
    let number = asked.unwrap_or(&origin.case).clone();
    if view.case(&number)?.is_none() {
        return Ok(number);
    }
    let whose = match origins.iter().find(|(n, _)| *n == number) {
        Some((_, row)) => format!("case {} of {}", row.origin.case, row.origin.practice),
        None => "a case of this home".to_owned(),
    };
    Err(ShareTakeError::NumberUsed { number, whose }.into())
}

/// The entry for a case that was shared.
pub fn take(
    view: &View,
    file: &ShareFile,
    sum: Sum,
    number: Option<&CaseNumber>,
    today: Date,
) -> Result<Entry, Refused<ShareTakeError>> {
    let origin = file.origin();
    if file.logbook == view.head().head.id {
        return Err(ShareTakeError::OwnCase(origin.case).into());
    }
    if view.head().made_up && !file.made_up {
        return Err(ShareTakeError::MadeUpHome(origin).into());
    }
    if file.on > today {
        return Err(ShareTakeError::Future { date: file.on, today }.into());
    }
    let number = number_here(view, &origin, number)?;
    let load = LoadSigns { grinding: file.grinding, signs: None, splint: file.splint, against: None };
    let case = CaseHead {
        number,
        made_up: file.made_up,
        load,
        sites: file.sites.iter().map(|s| s.standing.site).collect(),
        measured: file.sites.iter().filter_map(|s| s.standing.measured.clone()).collect(),
    };
    if !fits_a_row(&case) {
        return Err(ShareTakeError::TooLong(case.number).into());
    }
    Ok(Entry::taken(CaseTaken {
        origin,
        as_of: file.as_of,
        shared_on: file.on,
        file: sum,
        sums: file.sites.iter().map(|s| s.site_sum()).collect(),
        case,
        restorations: file.restorations.clone(),
        assemblies: file.sites.iter().map(|s| s.standing.assembly.clone()).collect(),
        built_on: file
            .sites
            .iter()
            .map(|s| s.standing.built_on.iter().map(|b| (b.position, b.part.clone())).collect())
            .collect(),
        systems: file.systems.clone(),
        interfaces: file.interfaces.clone(),
    }))
}

/// What the person should know about a case that is taken: older than what stands here, joints unknown here.
pub(super) fn case_remarks(view: &View, file: &ShareFile) -> Result<Vec<String>, ViewError> {
    let mut out = Vec::new();
    let origin = file.origin();
    let before = view.origins()?.into_iter().find(|(_, row)| row.origin.is(&origin));
    if let Some((number, row)) = before
        && file.as_of < row.as_of
    {
        out.push(format!(
            "this file is OLDER than what was on record as case {number}: as of entry {} of that logbook, before it was entry {}. Ask for a new one",
            file.as_of, row.as_of
        ));
    }
    let (mut strange, mut newer) = (Vec::new(), Vec::new());
    for theirs in &file.interfaces {
        match view.interface(&theirs.id)? {
            None => strange.push(theirs.id.to_string()),
            Some(ours) => {
                let lacks = theirs
                    .revisions
                    .iter()
                    .filter(|r| !ours.revisions.iter().any(|o| o.revision == r.revision));
                newer.extend(lacks.map(|r| format!("{} revision {}", theirs.id, r.revision)));
            }
        }
    }
    if !strange.is_empty() {
        out.push(format!(
            "the catalogue here does not have the interfaces {}: no part can be looked up for those joints until one is imported",
            list(strange.into_iter())
        ));
    }
    if !newer.is_empty() {
        out.push(format!(
            "the catalogue here does not have {}: ask which of the two catalogues is behind",
            list(newer.into_iter())
        ));
    }
    Ok(out)
}
