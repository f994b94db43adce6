//! The laboratory's answer as a file.

use std::collections::BTreeSet;

use jiff::civil::Date;
use serde_json::Value as Json;
use thiserror::Error;

use super::form::{ANSWER, AnswerFile, MOST_BYTES, SharedSite, form, seal};
use super::{checked, own_origin, standing, tool};
use crate::desk::lookup::{self, NotFound, restoration_at};
use crate::desk::{ExitClass, Refusal, Refused};
use crate::logbook::Sum;
use crate::record::{AnswerSwap, FitBands, FitWord, View};
use crate::units::{CaseNumber, Initials, Name, PracticeName, Tooth};

/// The most bytes of working in an answer.
const MOST_WORKING: usize = 128 * 1024;

/// Why there is no answer.
#[derive(Debug, Error)]
pub enum AnswerError {
    /// Something named is not on record.
    #[error(transparent)]
    NotFound(#[from] NotFound),
    /// A gap or a band that is no number of µm.
    #[error("{what} is {value} µm: expected 0 to 200000. No answer was written")]
    NotAGap {
        /// Which number.
        what: &'static str,
        /// What it is.
        value: f64,
    },
    /// It does not hold together.
    #[error("no answer was written: {0}")]
    Facts(String),
    /// More working than fits.
    #[error("the answer would have {len} bytes of {what}: at most {most} are kept. No answer was written")]
    TooLong {
        /// Of what.
        what: &'static str,
        /// How many.
        len: usize,
        /// How many fit.
        most: usize,
    },
}

impl Refusal for AnswerError {
    fn class(&self) -> ExitClass {
        match self {
            Self::NotFound(e) => e.class(),
            Self::Facts(_) => ExitClass::Facts,
            Self::NotAGap { .. } | Self::TooLong { .. } => ExitClass::Typed,
        }
    }
}

/// What was found about swaps in a case.
#[derive(Debug, Clone)]
pub struct Answering {
    /// Which, judged as a set.
    pub swaps: Vec<AnswerSwap>,
    /// In a word.
    pub verdict: FitWord,
    /// The widest edge gap, µm; none where it could not be computed. Kept in tenths.
    pub worst_gap_um: Option<f64>,
    /// Up to which gap it keeps the fit, and up to which it is checked at try-in, µm. Kept in tenths.
    pub bands_um: (f64, f64),
    /// How it was computed, for people; at most 128 KiB as JSON.
    pub working: Json,
    /// Who answers.
    pub by: Initials,
    /// The day.
    pub on: Date,
    /// Which laboratory; left out: whose home this is.
    pub laboratory: Option<PracticeName>,
}

/// An answer ready to be written to a file.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Answer {
    pub file: AnswerFile,
    /// The file's bytes.
    pub text: String,
    /// Its sum.
    pub sum: Sum,
}

fn tenths(what: &'static str, um: f64) -> Result<u32, AnswerError> {
    let value = (um * 10.0).round();
    if value.is_finite() && (0.0..=f64::from(checked::MOST_GAP)).contains(&value) {
        return Ok(value as u32);
    }
    Err(AnswerError::NotAGap { what, value: um })
}

/// The answer of a laboratory about swaps in a case, on what stands in this view.
///
/// A case that was taken from a share is answered to whoever shared it, any other one to this home itself.
///
/// # Errors
/// When the case or one of the sites is not on record, a part has no business in its position or a number outside the
/// table of ranges, a gap is no number from 0 to 200 000 µm, 'keeps the fit' is said of a gap beyond its band, or the
/// working is larger than 128 KiB.
pub fn write_answer(
    view: &View,
    number: &CaseNumber,
    ask: Answering,
) -> Result<Answer, Refused<AnswerError>> {
    let case = lookup::case(view, number)?;
    let restorations = view.restorations(number)?;
    let mut on: BTreeSet<Tooth> = BTreeSet::new();
    for swap in &ask.swaps {
        lookup::site(&case, &swap.site.iso().to_string())?;
        match restoration_at(&restorations, swap.site) {
            Some(r) => on.extend(&r.sites),
            None => {
                on.insert(swap.site);
            }
        }
    }
    let sites: Vec<SharedSite> = case
        .sites
        .iter()
        .filter(|t| on.contains(t))
        .map(|t| standing(view, &case, *t))
        .collect::<Result<_, _>>()?;
    let own = own_origin(view, number)?;
    let laboratory = ask.laboratory.unwrap_or_else(|| own.practice.clone());
    let origin = view.origin(number)?.map_or(own, |row| row.origin);
    let working = serde_json::to_string(&ask.working).unwrap_or_default().len();
    if working > MOST_WORKING {
        return Err(AnswerError::TooLong { what: "working", len: working, most: MOST_WORKING }.into());
    }
    let parts = sites.iter().flat_map(|s| s.standing.parts()).chain(ask.swaps.iter().map(|s| &s.part));
    let file = AnswerFile {
        file: Name::new(ANSWER).expect("a short name"),
        form: form(&[], parts),
        tool: tool(),
        origin,
        laboratory,
        by: ask.by,
        on: ask.on,
        sites,
        swaps: ask.swaps,
        verdict: ask.verdict,
        worst_gap_tenths_um: ask.worst_gap_um.map(|g| tenths("the widest gap", g)).transpose()?,
        bands_tenths_um: FitBands {
            keeps: tenths("the band 'keeps the fit'", ask.bands_um.0)?,
            try_in: tenths("the band 'check at try-in'", ask.bands_um.1)?,
        },
        working: ask.working,
    };
    checked::swaps(&file.swaps, &file.sites).map_err(AnswerError::Facts)?;
    checked::verdict(file.verdict, file.worst_gap_tenths_um, file.bands_tenths_um)
        .map_err(AnswerError::Facts)?;
    let (text, sum) = seal(&file);
    if text.len() > MOST_BYTES {
        return Err(AnswerError::TooLong { what: "text", len: text.len(), most: MOST_BYTES }.into());
    }
    Ok(Answer { file, text, sum })
}
