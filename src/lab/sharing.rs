//! Between practice and laboratory: a case is shared, a laboratory takes it, answers, and the practice takes the answer.
//!
//! Sharing only reads the record. What is left at home: every other case, stock, events, raw labels, and all that was
//! told about the patient in words (signs of load, what bites against it); grinding and splint go along as words of a
//! fixed list, since the laboratory builds for them.

mod answering;
mod checked;
mod confirming;
mod form;
mod taking;

use std::collections::BTreeSet;

use jiff::civil::Date;
use thiserror::Error;

use crate::case::{CaseHead, Fitted};
use crate::catalog::{Interface, Part, Port};
use crate::desk::lookup::{self, NotFound};
use crate::desk::{ExitClass, PaperError, Refusal, Refused};
use crate::logbook::Sum;
use crate::record::{Origin, View, ViewError};
use crate::units::{CaseNumber, InterfaceId, Name, SystemId, Tooth};
pub use answering::{Answer, AnswerError, Answering, write_answer};
pub use confirming::confirm;
use form::restoration_sum;
pub use form::{
    ANSWER, AnswerFile, FORM, FileError, MOST_BYTES, Measure, Opened, SHARE, ShareFile, SharedSite,
    SharedStanding, seal,
};
pub use taking::{ShareTakeError, take};

/// Why a case was not shared.
#[derive(Debug, Error)]
pub enum ShareError {
    /// Something named is not on record.
    #[error(transparent)]
    NotFound(#[from] NotFound),
    /// Nothing in it.
    #[error(
        "case {0} has no sites on record: there is nothing to share. Enter what is fitted first, 'spareseat case found {0} --site TOOTH …'"
    )]
    NoSites(CaseNumber),
    /// Taken from somebody else.
    #[error("case {case} is case {} of {}: share it from there. To send them what was found, 'spareseat fit {case} … --answer FILE'", .origin.case, .origin.practice)]
    NotOurs {
        /// Its number here.
        case: CaseNumber,
        /// Whose it is.
        origin: Origin,
    },
    /// Larger than what is read.
    #[error(
        "case {case} would make a file of {len} bytes: at most {MOST_BYTES} are read. Nothing was written"
    )]
    TooLong {
        /// Which case.
        case: CaseNumber,
        /// How long.
        len: usize,
    },
    /// The file.
    #[error(transparent)]
    Paper(#[from] PaperError),
}

impl Refusal for ShareError {
    fn class(&self) -> ExitClass {
        match self {
            Self::NotFound(e) => e.class(),
            Self::Paper(e) => e.class(),
            Self::NoSites(_) | Self::NotOurs { .. } | Self::TooLong { .. } => ExitClass::Facts,
        }
    }
}

/// A case ready to be written to a file.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Shared {
    pub file: ShareFile,
    /// The file's bytes.
    pub text: String,
    /// Its sum.
    pub sum: Sum,
}

/// This program with its version, as files name it.
fn tool() -> Name {
    Name::new(concat!("spareseat ", env!("CARGO_PKG_VERSION"))).expect("a short name")
}

/// A case for a laboratory.
pub fn share(view: &View, number: &CaseNumber, today: Date) -> Result<Shared, Refused<ShareError>> {
    let head = lookup::case(view, number)?;
    if let Some(row) = view.origin(number)? {
        return Err(ShareError::NotOurs { case: number.clone(), origin: row.origin }.into());
    }
    if head.sites.is_empty() {
        return Err(ShareError::NoSites(number.clone()).into());
    }
    let sites: Vec<SharedSite> =
        head.sites.iter().map(|t| standing(view, &head, *t)).collect::<Result<_, _>>()?;
    let (systems, interfaces) = in_use(&sites);
    let interfaces: Vec<Interface> =
        interfaces.iter().filter_map(|id| view.interface(id).transpose()).collect::<Result<_, _>>()?;
    let own = view.head();
    let origin = own_origin(view, number)?;
    let CaseHead { made_up, load, .. } = head;
    let file = ShareFile {
        file: Name::new(SHARE).expect("a short name"),
        form: form::form(&interfaces, sites.iter().flat_map(|s| s.standing.parts())),
        tool: tool(),
        practice: origin.practice,
        logbook: origin.logbook,
        as_of: own.head.seq,
        on: today,
        case: origin.case,
        made_up,
        grinding: load.grinding,
        splint: load.splint,
        restorations: view.restorations(number)?,
        sites,
        systems: systems.iter().filter_map(|id| view.system(id).transpose()).collect::<Result<_, _>>()?,
        interfaces,
    };
    let (text, sum) = seal(&file);
    if text.len() > MOST_BYTES {
        return Err(ShareError::TooLong { case: number.clone(), len: text.len() }.into());
    }
    Ok(Shared { file, text, sum })
}

/// Reads a file that was shared or answered, whole and strictly, and holds its facts against each other.
pub fn open(name: &str, text: &str) -> Result<Opened, FileError> {
    let opened = form::open(name, text)?;
    match &opened {
        Opened::Share(file, _) => checked::share(name, file)?,
        Opened::Answer(file, _) => checked::answer(name, file)?,
    }
    Ok(opened)
}

/// What the person should know beside what is booked.
pub fn remarks(view: &View, opened: &Opened) -> Result<Vec<String>, ViewError> {
    match opened {
        Opened::Share(file, _) => taking::case_remarks(view, file),
        Opened::Answer(file, _) => confirming::part_remarks(view, file),
    }
}

/// This home's own case of that number, as an origin.
fn own_origin(view: &View, number: &CaseNumber) -> Result<Origin, ViewError> {
    let head = view.head();
    // Every logbook names its practice in the first line; a view of none yet has no cases.
    let practice = head.practice.clone().ok_or(ViewError::Logbook(crate::logbook::LogbookError::Missing))?;
    Ok(Origin { practice, logbook: head.head.id, case: number.clone() })
}

/// A site as an answer depends on it, with its sum.
fn standing(view: &View, case: &CaseHead, tooth: Tooth) -> Result<SharedSite, ViewError> {
    let number = &case.number;
    let restorations = view.restorations(number)?;
    let mut assembly = view.assembly(number, tooth)?;
    assembly.sort_by_key(|f| f.position);
    assembly.iter_mut().for_each(|f| f.label = None);
    let mut built_on: Vec<Measure> = view
        .built_on(number, tooth)?
        .into_iter()
        .map(|b| Measure { position: b.position, part: b.part })
        .collect();
    built_on.sort_by_key(|b| b.position);
    let standing = SharedStanding {
        site: tooth,
        measured: case.measured.iter().find(|m| m.site == tooth).cloned(),
        restoration: lookup::restoration_at(&restorations, tooth).map(restoration_sum),
        assembly,
        built_on,
    };
    let sum = standing.sum();
    Ok(SharedSite { standing, sum })
}

/// The systems and interfaces of the parts that stand there or are the measure.
fn in_use(sites: &[SharedSite]) -> (BTreeSet<SystemId>, BTreeSet<InterfaceId>) {
    let fitted =
        |s: &SharedSite| s.standing.assembly.iter().map(|f: &Fitted| f.part.clone()).collect::<Vec<_>>();
    let built = |s: &SharedSite| s.standing.built_on.iter().map(|b| b.part.clone()).collect::<Vec<_>>();
    let parts: Vec<Part> = sites.iter().flat_map(|s| fitted(s).into_iter().chain(built(s))).collect();
    let seats = parts.iter().flat_map(|p| &p.ports).filter_map(|port| match port {
        Port::Seat(seat) => Some(seat.interface.clone()),
        _ => None,
    });
    (parts.iter().map(|p| p.system.clone()).collect(), seats.collect())
}
