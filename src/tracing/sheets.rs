//! Sheets about a part that gave way: the label for the bag it lies in, the complaint to its maker.

use std::ops::ControlFlow;

use jiff::civil::Date;
use thiserror::Error;

use crate::case::{Event, Fitted, Happening, LoadSigns};
use crate::catalog::Part;
use crate::desk::lookup::{self, NotFound};
use crate::desk::{Desk, ExitClass, HomeError, Refusal, Refused};
use crate::logbook::{Head, Logbook};
use crate::record::{Entry, PieceRow, RecordError, Step, View, ViewError, VisitStep};
use crate::units::{CaseNumber, Name, Note, PracticeName, printable};

/// Why there is no sheet.
#[derive(Debug, Error)]
pub enum SheetError {
    /// Something named is not on record.
    #[error(transparent)]
    NotFound(#[from] NotFound),
    /// Nothing gave way.
    #[error(
        "case {0}: no broken piece is on record, so there is nothing to print. It comes on record with the tray of a visit: 'spareseat --as INITIALS use {0} --visit'"
    )]
    NoPiece(CaseNumber),
    /// Not by that entry.
    #[error("case {case}: no broken piece came out by entry {entry}. Broken pieces came out by {entries}")]
    NotBy {
        /// Whose.
        case: CaseNumber,
        /// What was asked.
        entry: u64,
        /// By which they did.
        entries: String,
    },
    /// The state before it.
    #[error(transparent)]
    Home(#[from] HomeError),
}

impl Refusal for SheetError {
    fn class(&self) -> ExitClass {
        match self {
            Self::NotFound(e) => e.class(),
            Self::Home(e) => e.class(),
            Self::NoPiece(_) | Self::NotBy { .. } => ExitClass::Facts,
        }
    }
}

/// A broken piece as every sheet names it.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Piece {
    pub made_up: bool,
    pub practice: Option<PracticeName>,
    pub case: CaseNumber,
    pub row: PieceRow,
    /// What it is, where the catalogue in force or the case knows it.
    pub description: Option<Name>,
    /// Who booked its removal.
    pub by: Option<String>,
}

/// What was reported when it gave way.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Report {
    pub on: Date,
    pub entry: u64,
    pub step: VisitStep,
}

/// What a maker is told.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Complaint {
    pub piece: Piece,
    pub maker: Option<Note>,
    /// Its numbers as they were when it was fitted.
    pub part: Option<Part>,
    pub days_in_mouth: Option<i32>,
    pub report: Option<Report>,
    /// What was noted about it while it was in the mouth.
    pub events: Vec<Event>,
    /// What was noted in its position before it was fitted there.
    pub before: Vec<Event>,
    /// What stood at the site before it came out, itself among it.
    pub assembly: Vec<Fitted>,
    pub load: LoadSigns,
    /// How many pieces of this code gave way before, and in how many cases; never in which.
    pub earlier: (usize, usize),
}

/// What the logbook alone says of the entry by which a piece came out.
#[derive(Default)]
struct History {
    by: Option<String>,
    report: Option<Report>,
}

fn history(
    logbook: &dyn Logbook,
    start: Head,
    case: &CaseNumber,
    entry: u64,
) -> Result<History, RecordError> {
    let mut found = History::default();
    logbook.read(&start, &mut |line, _| {
        if line.seq == entry {
            found.by = Some(printable(&line.by));
            return ControlFlow::Break(());
        }
        // Reading every entry whole would take seconds in a long record; its kind stands at its beginning.
        if line.entry.starts_with("{\"visit.1\"")
            && let Ok(Entry::Visit(step)) = Entry::parse(line.entry)
            && step.case == *case
        {
            found.report = match (step.step, found.report.take()) {
                (Step::Ended(_), _) => None,
                // The day it was reported stays when more is known.
                (Step::Narrowed, Some(first)) => Some(Report { step, ..first }),
                _ => Some(Report { on: line.on, entry: line.seq, step }),
            };
        }
        ControlFlow::Continue(())
    })?;
    Ok(found)
}

/// The broken pieces that came out by an entry, or by the last one that took any out.
fn broken(view: &View, case: &CaseNumber, entry: Option<u64>) -> Result<Vec<PieceRow>, Refused<SheetError>> {
    lookup::case(view, case)?;
    let mut all = view.pieces(case)?;
    all.retain(|p| p.removed.broken);
    let Some(last) = all.last().map(|p| p.entry) else {
        return Err(SheetError::NoPiece(case.clone()).into());
    };
    let wanted = entry.unwrap_or(last);
    if !all.iter().any(|p| p.entry == wanted) {
        let mut entries: Vec<u64> = all.iter().map(|p| p.entry).collect();
        entries.dedup();
        let entries = lookup::list(entries.iter().map(|e| format!("entry {e}")));
        return Err(SheetError::NotBy { case: case.clone(), entry: wanted, entries }.into());
    }
    all.retain(|p| p.entry == wanted);
    Ok(all)
}

fn piece(
    view: &View,
    case: &CaseNumber,
    row: PieceRow,
    by: Option<String>,
) -> Result<Piece, Refused<SheetError>> {
    let head = lookup::case(view, case)?;
    let description = view.part(&row.removed.part)?.map(|p| p.description);
    let made_up = head.made_up || view.head().made_up;
    let practice = view.head().practice.clone();
    Ok(Piece { made_up, practice, case: case.clone(), row, description, by })
}

/// The labels for the bags: one for every piece that gave way.
pub fn bag(
    desk: &mut Desk,
    case: &CaseNumber,
    entry: Option<u64>,
) -> Result<Vec<Piece>, Refused<SheetError>> {
    let rows = desk.ask(|view| broken(view, case, entry))?;
    let start = Head::start(desk.view().head().head.id);
    let mut labels = Vec::new();
    for row in rows {
        let by = history(desk.record().logbook(), start, case, row.entry)?.by;
        labels.push(desk.ask(|view| piece(view, case, row.clone(), by.clone()))?);
    }
    Ok(labels)
}

/// The complaints to the maker: one for every piece that gave way; `earlier` opens the record after an entry.
pub fn complaint(
    desk: &mut Desk,
    case: &CaseNumber,
    entry: Option<u64>,
    maker: Option<&Note>,
    earlier: impl Fn(u64) -> Result<Desk, HomeError>,
) -> Result<Vec<Complaint>, Refused<SheetError>> {
    let rows = desk.ask(|view| broken(view, case, entry))?;
    let start = Head::start(desk.view().head().head.id);
    let mut sheets = Vec::new();
    for row in rows {
        // The part is gone from the assembly now, and others may have gone with it.
        let assembly = earlier(row.entry.saturating_sub(1))?.view().assembly(case, row.removed.site)?;
        let history = history(desk.record().logbook(), start, case, row.entry)?;
        sheets.push(desk.ask(|view| sheet(view, case, &row, &assembly, &history, maker))?);
    }
    Ok(sheets)
}

fn sheet(
    view: &View,
    case: &CaseNumber,
    row: &PieceRow,
    assembly: &[Fitted],
    history: &History,
    maker: Option<&Note>,
) -> Result<Complaint, Refused<SheetError>> {
    let removed = &row.removed;
    let part = Fitted::at(assembly, removed.position).filter(|f| f.part.code == removed.part);
    let part = part.map(|f| f.part.clone());
    let mut piece = piece(view, case, row.clone(), history.by.clone())?;
    if let Some(part) = &part {
        piece.description = Some(part.description.clone());
    }
    let gave_way = |e: &Event| matches!(e.what, Happening::Broken | Happening::Loosened | Happening::Worn);
    let here = |e: &Event| {
        e.tooth == Some(removed.site) && e.position.is_none_or(|p| p == removed.position) && e.on <= row.on
    };
    let mut events = view.events(case)?;
    events.retain(|e| gave_way(e) && here(e));
    events.sort_by_key(|e| e.on);
    // On the day it was fitted it was the one before that had given way.
    let (before, events) = events.into_iter().partition(|e| removed.since.is_some_and(|since| e.on <= since));
    Ok(Complaint {
        maker: maker.cloned(),
        part,
        days_in_mouth: removed.since.map(|since| (row.on - since).get_days()),
        report: history.report.clone(),
        events,
        before,
        assembly: assembly.to_vec(),
        load: lookup::case(view, case)?.load,
        earlier: earlier_failures(view, row)?,
        piece,
    })
}

/// How many pieces of the same code gave way by earlier entries, and in how many cases.
fn earlier_failures(view: &View, row: &PieceRow) -> Result<(usize, usize), ViewError> {
    let (mut pieces, mut cases) = (0, 0);
    for case in view.cases()? {
        let same =
            |p: &PieceRow| p.removed.broken && p.removed.part == row.removed.part && p.entry < row.entry;
        let here = view.pieces(&case.number)?.into_iter().filter(same).count();
        pieces += here;
        cases += usize::from(here > 0);
    }
    Ok((pieces, cases))
}
