//! The two files that go between practice and laboratory, and how they are sealed.
//!
//! A file is JSON with `sum` as its last line: SHA-256 of the bytes before `,` and that line. Whatever is changed or cut
//! is found; somebody who recomputes the sum is not.

use jiff::civil::Date;
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use serde_json::Value as Json;
use serde_json::error::Category;
use thiserror::Error;

use crate::case::{Fitted, Grinding, Measured, Restoration, Splint};
use crate::catalog::{Interface, Part, Position, System};
use crate::desk::{ExitClass, Refusal};
use crate::logbook::{LogbookId, Sum};
use crate::record::{AnswerSwap, FitBands, FitWord, Origin, SiteSum};
use crate::units::{CaseNumber, Initials, Name, PracticeName, Tooth, printable};

/// The newest form that this program reads: a part states its maker. What has no such part in it is written in form 2,
/// where an interface says whether it is flat or a cone, or in form 1 as ever.
pub const FORM: u32 = 3;
/// The most bytes a file may have: what is taken becomes one line of the logbook.
pub const MOST_BYTES: usize = 1 << 20;
/// What a shared case says it is.
pub const SHARE: &str = "spareseat case share";
/// What an answer says it is.
pub const ANSWER: &str = "spareseat laboratory answer";

const BEFORE_SUM: &str = ",\n  \"sum\": \"";
const AFTER_SUM: &str = "\"\n}\n";

/// Why a file is not taken.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[allow(missing_docs)]
pub enum FileError {
    #[error("{file} has {len} bytes: at most {MOST_BYTES} are read. Nothing was taken")]
    TooLong { file: String, len: u64 },
    #[error(
        "{file} is no whole JSON ({why}): it was cut off or changed on its way. Ask for it again; nothing was taken"
    )]
    NotJson { file: String, why: String },
    #[error("{file} is neither a case that was shared nor a laboratory's answer. Nothing was taken")]
    NotOurs { file: String },
    #[error(
        "{file} ({what}) is of form {form}; this program reads forms up to {FORM}: use the newer spareseat. Nothing was taken"
    )]
    Newer { file: String, what: &'static str, form: u64 },
    #[error(
        "{file} ({what}) says it is of form 0, which there never was. Ask for it again; nothing was taken"
    )]
    FormZero { file: String, what: &'static str },
    #[error("{file} is not as it was written: its sum does not match. Ask for it again; nothing was taken")]
    Changed { file: String },
    #[error("{file} cannot be read: {why}. Nothing was taken")]
    Form { file: String, why: String },
    #[error("{file} contradicts itself: {why}. Ask for it again; nothing was taken")]
    Facts { file: String, why: String },
}

impl Refusal for FileError {
    fn class(&self) -> ExitClass {
        match self {
            Self::TooLong { .. } | Self::NotOurs { .. } => ExitClass::Typed,
            Self::NotJson { .. }
            | Self::Newer { .. }
            | Self::FormZero { .. }
            | Self::Changed { .. }
            | Self::Form { .. }
            | Self::Facts { .. } => ExitClass::Facts,
        }
    }
}

/// A site as it stands, and as the restoration was built on it; raw labels are left at home.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct SharedStanding {
    pub site: Tooth,
    /// Where it lies, as far as somebody measured it.
    pub measured: Option<Measured>,
    /// The sum of the restoration it carries: another one over the same parts is another question.
    pub restoration: Option<Sum>,
    /// From the implant up.
    pub assembly: Vec<Fitted>,
    /// The measure of every candidate, where something else stands now.
    pub built_on: Vec<Measure>,
}

impl SharedStanding {
    /// Every part it names.
    pub(super) fn parts(&self) -> impl Iterator<Item = &Part> {
        self.assembly.iter().map(|f| &f.part).chain(self.built_on.iter().map(|m| &m.part))
    }
}

/// SHA-256 of the compact JSON of a restoration.
pub(super) fn restoration_sum(restoration: &Restoration) -> Sum {
    Sum::of(&serde_json::to_vec(restoration).expect("a restoration is plain data with text keys"))
}

/// A part that the restoration was built on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct Measure {
    pub position: Position,
    pub part: Part,
}

impl SharedStanding {
    /// SHA-256 of its compact JSON, keys in the order of the fields.
    pub fn sum(&self) -> Sum {
        Sum::of(&serde_json::to_vec(self).expect("a site is plain data with text keys"))
    }
}

/// A site with its sum.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct SharedSite {
    pub standing: SharedStanding,
    pub sum: Sum,
}

impl SharedSite {
    /// Its site with its sum, as the record keeps them.
    pub fn site_sum(&self) -> SiteSum {
        SiteSum { site: self.standing.site, sum: self.sum }
    }
}

/// A case as a laboratory needs it: no other patient, nothing told about this one but grinding and splint.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct ShareFile {
    /// [`SHARE`].
    pub file: Name,
    /// Up to [`FORM`].
    pub form: u32,
    /// Which program wrote it.
    pub tool: Name,
    pub practice: PracticeName,
    pub logbook: LogbookId,
    /// As of which entry of that logbook.
    pub as_of: u64,
    pub on: Date,
    pub case: CaseNumber,
    pub made_up: bool,
    pub grinding: Grinding,
    pub splint: Splint,
    pub restorations: Vec<Restoration>,
    pub sites: Vec<SharedSite>,
    pub systems: Vec<System>,
    pub interfaces: Vec<Interface>,
}

impl ShareFile {
    /// Whose case it is.
    pub fn origin(&self) -> Origin {
        Origin { practice: self.practice.clone(), logbook: self.logbook, case: self.case.clone() }
    }
}

/// What a laboratory answers about swaps in a case.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct AnswerFile {
    /// [`ANSWER`].
    pub file: Name,
    /// Up to [`FORM`].
    pub form: u32,
    /// Which program wrote it.
    pub tool: Name,
    /// Whose case it is.
    pub origin: Origin,
    pub laboratory: PracticeName,
    pub by: Initials,
    pub on: Date,
    /// What it was computed on: every site of the restorations that the swaps are in.
    pub sites: Vec<SharedSite>,
    /// Judged as a set.
    pub swaps: Vec<AnswerSwap>,
    pub verdict: FitWord,
    /// The widest edge gap, in tenths of µm.
    pub worst_gap_tenths_um: Option<u32>,
    pub bands_tenths_um: FitBands,
    /// How it was computed, for people: nothing here reads it.
    pub working: Json,
}

/// A file that was read: which of the two, and its sum.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Opened {
    /// A case that was shared.
    Share(Box<ShareFile>, Sum),
    /// A laboratory's answer.
    Answer(Box<AnswerFile>, Sum),
}

/// The form that a file with these interfaces and parts is written in.
pub(super) fn form<'a>(interfaces: &[Interface], mut parts: impl Iterator<Item = &'a Part>) -> u32 {
    match interfaces.iter().any(|i| !i.form.is_unknown()) {
        _ if parts.any(|p| !p.maker.is_unknown()) => FORM,
        true => 2,
        false => 1,
    }
}

/// A file as it is written, and its sum.
pub fn seal<T: Serialize>(content: &T) -> (String, Sum) {
    let text = serde_json::to_string_pretty(content).expect("plain data with text keys");
    let body = text.strip_suffix("\n}").unwrap_or(&text);
    let sum = Sum::of(body.as_bytes());
    (format!("{body}{BEFORE_SUM}{sum}{AFTER_SUM}"), sum)
}

#[derive(Deserialize)]
struct Head {
    file: String,
    form: u64,
}

fn said(e: &serde_json::Error) -> String {
    let text = e.to_string();
    let words = text.split(" at line ").next().unwrap_or_default();
    format!("line {}, column {}: {}", e.line(), e.column(), printable(words))
}

/// Reads a file of either kind: its size, its form, its sum, every field; not yet whether its facts agree.
pub fn open(file: &str, text: &str) -> Result<Opened, FileError> {
    let name = || file.to_owned();
    if text.len() > MOST_BYTES {
        return Err(FileError::TooLong { file: name(), len: text.len() as u64 });
    }
    let head: Head = serde_json::from_str(text).map_err(|e| match e.classify() {
        Category::Data => FileError::NotOurs { file: name() },
        _ => FileError::NotJson { file: name(), why: said(&e) },
    })?;
    let what = match head.file.as_str() {
        SHARE => "a shared case",
        ANSWER => "a laboratory's answer",
        _ => return Err(FileError::NotOurs { file: name() }),
    };
    match head.form {
        0 => return Err(FileError::FormZero { file: name(), what }),
        form if form <= u64::from(FORM) => {}
        form => return Err(FileError::Newer { file: name(), what, form }),
    }
    let changed = || FileError::Changed { file: name() };
    let (body, sum) = text
        .strip_suffix(AFTER_SUM)
        .and_then(|t| t.rsplit_once(BEFORE_SUM))
        .and_then(|(body, hex)| Some((body, Sum::parse(hex.as_bytes())?)))
        .ok_or_else(changed)?;
    if Sum::of(body.as_bytes()) != sum {
        return Err(changed());
    }
    if head.file == SHARE {
        Ok(Opened::Share(Box::new(strictly(file, body)?), sum))
    } else {
        Ok(Opened::Answer(Box::new(strictly(file, body)?), sum))
    }
}

fn strictly<T: DeserializeOwned>(file: &str, body: &str) -> Result<T, FileError> {
    serde_json::from_str(&format!("{body}\n}}"))
        .map_err(|e| FileError::Form { file: file.to_owned(), why: said(&e) })
}
