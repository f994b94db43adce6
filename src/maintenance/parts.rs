//! Parts: check and import a catalogue, and record that another maker's part was tried on one of ours.

mod changed;

use jiff::civil::Date;
use thiserror::Error;

use crate::catalog::{Edition, Hole, Mistakes, Part, holes, read_files};
use crate::desk::lookup::{self, NotFound};
use crate::desk::{Desk, DeskError, ExitClass, Refusal, Refused};
use crate::logbook::{Logbook, LogbookError};
use crate::matching::Verification;
use crate::record::{
    Booked, CatalogueChanged, CatalogueCorrected, Entry, RecordError, VerificationEntered, View, fits_a_row,
};
use crate::units::{Act, CaseNumber, Initials, Note, PartCode, Tooth};
pub use changed::{Changed, NumberWasWrong};

/// Why the catalogue was not changed.
#[derive(Debug, Error)]
pub enum PartError {
    /// The files.
    #[error(transparent)]
    Mistakes(#[from] Mistakes),
    /// Something named is not on record.
    #[error(transparent)]
    NotFound(#[from] NotFound),
    /// A part with itself, or of the same maker.
    #[error("{0} and {1} are of one maker: a verification is for another maker's part")]
    SameMaker(PartCode, PartCode),
    /// Somebody else changed the catalogue meanwhile.
    #[error("the catalogue was changed by somebody else meanwhile: nothing was taken, try again")]
    Overtaken,
    /// More text than the record keeps.
    #[error("the two parts' descriptions are too long to be kept together: shorten them in the catalogue")]
    TooLong,
    /// Its numbers are what they were.
    #[error(
        "--number-was-wrong {0}: these files change no number of it, and no lot on record has other numbers than today's. Name a part whose numbers change; 'spareseat part import FILES' without the option says which those are. Nothing was imported"
    )]
    NothingWrong(PartCode),
    /// A row would be longer than the record keeps.
    #[error(
        "case {0}, {1}: with the new numbers the part there is too long to be kept: shorten its description in the catalogue. Nothing was imported"
    )]
    TooLongThere(CaseNumber, Tooth),
}

impl Refusal for PartError {
    fn class(&self) -> ExitClass {
        match self {
            Self::NotFound(e) => e.class(),
            Self::Mistakes(_)
            | Self::SameMaker(..)
            | Self::Overtaken
            | Self::TooLong
            | Self::NothingWrong(_)
            | Self::TooLongThere(..) => ExitClass::Typed,
        }
    }
}

/// The edition in force, whole.
pub fn edition(view: &View, logbook: &dyn Logbook) -> Result<Edition, RecordError> {
    let Some(id) = &view.head().edition else { return Ok(Edition::default()) };
    let mut content = Vec::new();
    let read = std::io::Read::read_to_end(&mut logbook.fetch(id)?, &mut content);
    let wrong = |why: String| RecordError::Logbook(LogbookError::Edition { edition: id.clone(), why });
    read.map_err(|e| wrong(e.to_string()))?;
    Edition::decode(&content).map_err(|e| wrong(e.to_string()))
}

/// Checks files on top of the edition in force; what the whole would be.
pub fn check<'a>(
    view: &View,
    logbook: &dyn Logbook,
    files: impl IntoIterator<Item = (&'a str, &'a str)>,
) -> Result<Edition, Refused<PartError>> {
    Ok(edition(view, logbook)?.with(read_files(files)).map_err(PartError::from)?)
}

/// What an import came to.
#[derive(Debug, Clone, PartialEq, Eq)]
#[allow(missing_docs)]
pub struct Imported {
    pub booked: Booked,
    pub parts: usize,
    pub added: u32,
    pub changed: u32,
    /// Whose numbers are others now, or were put right.
    pub changes: Vec<Changed>,
    /// What came in with holes.
    pub holes: Vec<PartHoles>,
}

/// A part that came in, and what must be known of it and is not.
#[derive(Debug, Clone, PartialEq, Eq)]
#[allow(missing_docs)]
pub struct PartHoles {
    pub part: PartCode,
    pub holes: Vec<Hole>,
}

/// The parts of these files of which something is missing that must be known, in the order they stand in.
pub fn holes_in<'a>(files: impl IntoIterator<Item = (&'a str, &'a str)>) -> Vec<PartHoles> {
    let parts = read_files(files).parts.into_iter();
    let with_holes = parts.map(|(part, ..)| PartHoles { holes: holes(&part), part: part.code });
    with_holes.filter(|p| !p.holes.is_empty()).collect()
}

/// Makes a new edition from files on top of the one in force, as if every article had changed whose numbers do.
pub fn import(
    desk: &mut Desk,
    by: Option<&Initials>,
    act: Act,
    files: &[(String, String)],
) -> Result<Imported, DeskError<PartError>> {
    import_saying(desk, by, act, files, &NumberWasWrong::default())
}

/// Makes a new edition from files on top of the one in force: the edition is kept first, then the entry that names it.
pub fn import_saying(
    desk: &mut Desk,
    by: Option<&Initials>,
    act: Act,
    files: &[(String, String)],
    said: &NumberWasWrong,
) -> Result<Imported, DeskError<PartError>> {
    if by.is_none() {
        return Err(DeskError::NoInitials);
    }
    // The catalogue may change between the check and the entry: then all of it is done again.
    loop {
        let record = desk.record();
        record.refresh()?;
        let before = edition(record.view(), record.logbook())?;
        // The same act again gives the earlier answer, whatever stands in the files by now.
        if let Some(seq) = record.view().entry_of(act).map_err(RecordError::from)? {
            let booked = Booked { seq, before: true, entry: None };
            return Ok(Imported {
                booked,
                parts: before.parts.len(),
                added: 0,
                changed: 0,
                changes: Vec::new(),
                holes: Vec::new(),
            });
        }
        let base = record.view().head().edition.clone();
        let files = files.iter().map(|(f, t)| (f.as_str(), t.as_str()));
        let whole = before
            .clone()
            .with(read_files(files.clone()))
            .map_err(|e| DeskError::Refused(PartError::from(e)))?;
        let (added, changed, pairs) = difference(&before, &whole);
        let parts = whole.parts.len();
        let mut changes = Vec::new();
        let kept = record.logbook().keep(&whole.encode()).map_err(RecordError::from)?;
        let from = Note::new(&format!("{} parts added, {} changed", added, changed))?;
        let entry = CatalogueChanged { edition: kept, parts: whole.parts.len() as u32, added, changed, from };
        let booked = desk.book(by, act, |view| {
            if view.head().edition != base {
                return Err(PartError::Overtaken.into());
            }
            changes = changed::changed(view, &pairs, said, &whole.parts)?;
            let wrong = changes.iter().filter(|c| c.wrong).map(|c| c.put_right(view));
            let wrong = wrong.collect::<Result<Vec<_>, _>>()?;
            if wrong.is_empty() {
                return Ok(Entry::Catalogue(entry.clone()));
            }
            let CatalogueChanged { edition, parts, added, changed, from } = entry.clone();
            Ok(Entry::CatalogueCorrected(CatalogueCorrected { edition, parts, added, changed, from, wrong }))
        });
        match booked {
            Err(DeskError::Refused(PartError::Overtaken)) => continue,
            other => {
                let holes = holes_in(files);
                return other.map(|booked| Imported { booked, parts, added, changed, changes, holes });
            }
        }
    }
}

/// How many parts are new and how many others; those with other numbers, as they were and as they are.
fn difference(before: &Edition, after: &Edition) -> (u32, u32, Vec<(Part, Part)>) {
    let old: std::collections::HashMap<&PartCode, &Part> =
        before.parts.iter().map(|p| (&p.code, p)).collect();
    let (mut added, mut changed, mut pairs) = (0, 0, Vec::new());
    for part in &after.parts {
        match old.get(&part.code) {
            None => added += 1,
            Some(was) if *was != part => {
                changed += 1;
                if !was.is_same_as(part) {
                    pairs.push(((*was).clone(), part.clone()));
                }
            }
            Some(_) => {}
        }
    }
    pairs.sort_by(|(a, _), (b, _)| a.code.cmp(&b.code));
    (added, changed, pairs)
}

/// The entry for a verification of another maker's part.
pub fn verify(
    view: &View,
    fitted: &PartCode,
    candidate: &PartCode,
    pieces: u32,
    how: &Note,
    by: &Initials,
    on: Date,
) -> Result<Entry, Refused<PartError>> {
    let fitted = lookup::part(view, fitted)?;
    let candidate = lookup::part(view, candidate)?;
    if fitted.code == candidate.code || fitted.maker.same(&candidate.maker) == Some(true) {
        return Err(PartError::SameMaker(fitted.code, candidate.code).into());
    }
    let verification = Verification { fitted, candidate, pieces, how: how.clone(), by: by.clone(), on };
    if !fits_a_row(&verification) {
        return Err(PartError::TooLong.into());
    }
    Ok(Entry::Verification(VerificationEntered { verification }))
}
