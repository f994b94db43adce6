//! Trace: where every unit of a lot went, and which lots a patient has and had. Only reads.
//!
//! What lies where and what stands in whom is the view's to say; who did it and when stands in the logbook.

mod steps;

use std::collections::BTreeSet;

use jiff::civil::Date;
use thiserror::Error;

use crate::case::{Fitted, TorqueRecord};
use crate::catalog::Position;
use crate::desk::lookup::{self, NotFound};
use crate::desk::reading::NotComplete;
use crate::desk::{ExitClass, Refusal, Refused};
use crate::logbook::Logbook;
use crate::lots::called_back::called_back;
use crate::record::{View, ViewError};
use crate::stock::Where;
use crate::units::{CaseNumber, Expiry, Lot, PartCode, Tooth, did_you_mean};
use steps::Read;
pub use steps::{Happened, TakenOut, TraceStep};

/// Why there is no trace.
#[derive(Debug, Error)]
pub enum TraceError {
    /// Something named is not on record.
    #[error(transparent)]
    NotFound(#[from] NotFound),
    /// A lot that nobody has seen.
    #[error(
        "lot {lot}{} is not on record: no unit of it was received, counted or fitted here.{hint} Lots are kept as printed: small and capital letters and zeros in front count",
        .part.as_ref().map_or(String::new(), |p| format!(" of part {p}"))
    )]
    NeverSeen {
        /// Which lot.
        lot: Lot,
        /// Of which part, when that was said.
        part: Option<PartCode>,
        /// What is near.
        hint: String,
    },
}

impl Refusal for TraceError {
    fn class(&self) -> ExitClass {
        match self {
            Self::NotFound(e) => e.class(),
            Self::NeverSeen { .. } => ExitClass::Typed,
        }
    }
}

/// Who booked something, and when.
#[derive(Debug, Clone, PartialEq, Eq)]
#[allow(missing_docs)]
pub struct EntryOf {
    pub entry: u64,
    pub on: Date,
    pub by: String,
}

/// A unit that is in a mouth now.
#[derive(Debug, Clone, PartialEq, Eq)]
#[allow(missing_docs)]
pub struct InMouth {
    pub case: CaseNumber,
    pub site: Tooth,
    pub position: Position,
    pub since: Option<Date>,
    pub torque: TorqueRecord,
    /// The entry that says so.
    pub booked: Option<EntryOf>,
    /// All that is on record of it.
    pub fitted: Fitted,
}

/// Where the units of a lot are, and how they came there.
#[derive(Debug, Clone, PartialEq, Eq)]
#[allow(missing_docs)]
pub struct LotTrace {
    pub part: PartCode,
    pub lot: Lot,
    pub expiry: Expiry,
    /// The entry by which it was called back.
    pub called_back: Option<u64>,
    /// In the house and out of it, what is not zero.
    pub places: Vec<(Where, i64)>,
    pub in_mouths: Vec<InMouth>,
    /// What was in a mouth and is not any more.
    pub taken_out: Vec<TakenOut>,
    /// Every movement, oldest first.
    pub steps: Vec<TraceStep>,
}

impl LotTrace {
    /// Units that went into patients, by the ledger, and stand in no mouth on record: somebody has to ask for them.
    pub fn astray(&self) -> i64 {
        let fitted: i64 = self.places.iter().filter(|(p, _)| *p == Where::Cases).map(|(_, n)| *n).sum();
        (fitted - i64::try_from(self.in_mouths.len()).unwrap_or(i64::MAX)).max(0)
    }
}

/// The lots of one name.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct LotTraces {
    pub lots: Vec<LotTrace>,
    /// Where the logbook could not be read to its end: movements and who booked are told as far as it was.
    pub not_complete: Option<NotComplete>,
}

/// Units of a lot, before the logbook is asked.
#[derive(Debug, Clone)]
struct Found {
    part: PartCode,
    expiry: Expiry,
    places: Vec<(Where, i64)>,
    in_mouths: Vec<InMouth>,
}

/// Where a lot is, of every part that has a lot of that name, or of one.
pub fn lot(
    view: &View,
    logbook: &dyn Logbook,
    lot: &Lot,
    part: Option<&PartCode>,
) -> Result<LotTraces, Refused<TraceError>> {
    let found = find(view, lot, part)?;
    let mut read = Read::of_lot(lot);
    let not_complete = read.all(logbook, view.head().head)?;
    let lots = found
        .into_iter()
        .map(|f| {
            let Found { part, expiry, places, mut in_mouths } = f;
            for unit in &mut in_mouths {
                unit.booked = read.put_there(&unit.case, unit.site, unit.position, &part);
            }
            let called_back = called_back(view, &part, lot)?;
            let steps = read.steps_of(&part);
            let mut taken_out = read.taken_out();
            taken_out.retain(|t| t.part == part);
            Ok(LotTrace { part, lot: lot.clone(), expiry, called_back, places, in_mouths, taken_out, steps })
        })
        .collect::<Result<_, Refused<TraceError>>>()?;
    Ok(LotTraces { lots, not_complete })
}

/// The parts that have a lot of that name, in stock or in a mouth; refused where there is none.
pub(super) fn parts_with(
    view: &View,
    lot: &Lot,
    part: Option<&PartCode>,
) -> Result<Vec<PartCode>, Refused<TraceError>> {
    Ok(find(view, lot, part)?.into_iter().map(|f| f.part).collect())
}

fn find(view: &View, lot: &Lot, part: Option<&PartCode>) -> Result<Vec<Found>, Refused<TraceError>> {
    let stock = match part {
        Some(part) => [(part.clone(), view.stock_of(part)?)].into(),
        None => view.stock()?,
    };
    let mut found: Vec<Found> = Vec::new();
    let mut others: BTreeSet<Lot> = BTreeSet::new();
    for (part, lines) in stock {
        let mut places = Vec::new();
        let mut expiry = None;
        for line in lines {
            if line.lot == *lot {
                expiry = Some(line.expiry);
                places.extend((line.quantity != 0).then_some((line.place, line.quantity)));
            } else {
                others.insert(line.lot);
            }
        }
        found.extend(expiry.map(|expiry| Found { part, expiry, places, in_mouths: Vec::new() }));
    }
    for (unit, code, its) in in_mouths(view)? {
        if part.is_some_and(|p| *p != code) {
            continue;
        }
        if its != *lot {
            others.insert(its);
            continue;
        }
        match found.iter_mut().find(|f| f.part == code) {
            Some(f) => f.in_mouths.push(unit),
            None => {
                let expiry = Expiry::NotRecorded;
                found.push(Found { part: code, expiry, places: Vec::new(), in_mouths: vec![unit] });
            }
        }
    }
    if found.is_empty() {
        if let Some(part) = part {
            lookup::part(view, part)?;
        }
        let hint = did_you_mean(lot.as_str(), others.iter().map(Lot::as_str));
        return Err(TraceError::NeverSeen { lot: lot.clone(), part: part.cloned(), hint }.into());
    }
    found.sort_by(|a, b| a.part.cmp(&b.part));
    Ok(found)
}

/// Every part with a lot that stands in a patient.
fn in_mouths(view: &View) -> Result<Vec<(InMouth, PartCode, Lot)>, ViewError> {
    let mut all = Vec::new();
    for case in view.cases()? {
        for site in &case.sites {
            for fitted in view.assembly(&case.number, *site)? {
                let Some(lot) = fitted.lot.clone() else { continue };
                let code = fitted.part.code.clone();
                let unit = InMouth {
                    case: case.number.clone(),
                    site: *site,
                    position: fitted.position,
                    since: fitted.on,
                    torque: fitted.torque,
                    booked: None,
                    fitted,
                };
                all.push((unit, code, lot));
            }
        }
    }
    Ok(all)
}

/// What stands in a patient, and what was put in and taken out.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct CaseTrace {
    pub case: CaseNumber,
    /// What stands there now, with the entry that says so.
    pub now: Vec<(Tooth, Fitted, Option<EntryOf>)>,
    /// What was in the mouth and is not any more, as far as its lot was recorded.
    pub taken_out: Vec<TakenOut>,
    /// What was booked, oldest first.
    pub steps: Vec<TraceStep>,
    /// Where the logbook could not be read to its end.
    pub not_complete: Option<NotComplete>,
}

/// Which lots a patient has and had.
pub fn case(
    view: &View,
    logbook: &dyn Logbook,
    number: &CaseNumber,
) -> Result<CaseTrace, Refused<TraceError>> {
    let head = lookup::case(view, number)?;
    let mut read = Read::of_case(number);
    let not_complete = read.all(logbook, view.head().head)?;
    let mut now = Vec::new();
    for site in head.sites {
        for fitted in view.assembly(number, site)? {
            let booked = read.put_there(number, site, fitted.position, &fitted.part.code);
            now.push((site, fitted, booked));
        }
    }
    let taken_out = read.taken_out();
    Ok(CaseTrace { case: number.clone(), now, taken_out, steps: read.steps(), not_complete })
}
