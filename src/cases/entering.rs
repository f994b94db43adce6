//! Cases: enter one, by commands or from a file; show it.

mod mates;

use jiff::civil::Date;
use thiserror::Error;

use crate::case::{CaseFile, CaseHead, Event, Fitted, Grinding, LoadSigns, Restoration, Splint, read_case};
use crate::catalog::{Kind, Mistakes, Position, Value};
use crate::desk::lookup::{self, NotFound};
use crate::desk::{ExitClass, Refusal, Refused};
use crate::lots::editions;
use crate::record::{
    Became, CaseImported, CaseState, ConfirmedRow, Entry, FittedEntered, HappenedEntered, MeasuringRow,
    OriginRow, PieceRow, View, ViewError, fits_a_row,
};
use crate::units::{CaseNumber, Note, PartCode, Tooth};

/// Why the case was not changed.
#[derive(Debug, Error)]
pub enum CaseError {
    /// Something named is not on record.
    #[error(transparent)]
    NotFound(#[from] NotFound),
    /// The file.
    #[error(transparent)]
    Mistakes(#[from] Mistakes),
    /// There is one of that number, and no file to put in its place.
    #[error("case {0} is on record already: nothing was changed. See 'spareseat case show {0}'")]
    OnRecord(CaseNumber),
    /// There is one of that number.
    #[error(
        "case {0} is on record already: nothing was changed. To put this file in its place add --replace"
    )]
    Exists(CaseNumber),
    /// A kind that has no business in that position.
    #[error("part {part} is a {kind}: it does not go in position {}. Nothing was changed", .position.slug())]
    WrongKind {
        /// Which part.
        part: PartCode,
        /// What it is.
        kind: Kind,
        /// Where it should go.
        position: Position,
    },
    /// Straight parts do not lean.
    #[error("part {0} is straight: leave out --lean")]
    Straight(PartCode),
    /// In the future.
    #[error("{date} lies after today, {today}")]
    Future {
        /// What was said.
        date: Date,
        /// What day it is.
        today: Date,
    },
    /// More text than the record keeps.
    #[error("the texts of {0} are too long to be kept together: shorten them")]
    TooLong(String),
}

impl Refusal for CaseError {
    fn class(&self) -> ExitClass {
        match self {
            Self::NotFound(e) => e.class(),
            Self::Mistakes(_)
            | Self::OnRecord(_)
            | Self::Exists(_)
            | Self::WrongKind { .. }
            | Self::Straight(_)
            | Self::Future { .. }
            | Self::TooLong(_) => ExitClass::Typed,
        }
    }
}

/// A case as it is shown.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct CaseShown {
    pub head: CaseHead,
    pub sites: Vec<(Tooth, Vec<Fitted>)>,
    pub restorations: Vec<Restoration>,
    pub events: Vec<Event>,
    pub state: CaseState,
    /// What came out of this patient and was kept.
    pub kept: Vec<PieceRow>,
    /// When and from what its sites were measured.
    pub measurings: Vec<MeasuringRow>,
    /// Where it came from, when it was taken from a share.
    pub origin: Option<OriginRow>,
    /// What laboratories answered.
    pub confirmed: Vec<ConfirmedRow>,
}

/// Everything on record about a case.
pub fn show(view: &View, number: &CaseNumber) -> Result<CaseShown, Refused<CaseError>> {
    let head = lookup::case(view, number)?;
    let mut sites = Vec::new();
    for tooth in &head.sites {
        sites.push((*tooth, view.assembly(number, *tooth)?));
    }
    let mut events = view.events(number)?;
    events.sort_by_key(|e| e.on);
    let (restorations, state) = (view.restorations(number)?, view.state(number)?);
    let mut kept = view.pieces(number)?;
    kept.retain(|p| p.removed.became == Became::Kept);
    let (origin, confirmed) = (view.origin(number)?, view.confirmed(number)?);
    let measurings = view.measurings(number)?;
    Ok(CaseShown { restorations, head, sites, events, state, kept, measurings, origin, confirmed })
}

/// The entry for an empty case.
pub fn new(
    view: &View,
    number: &CaseNumber,
    grinding: Grinding,
    splint: Splint,
    signs: Option<Note>,
    against: Option<Note>,
) -> Result<Entry, Refused<CaseError>> {
    if view.case(number)?.is_some() {
        return Err(CaseError::OnRecord(number.clone()).into());
    }
    let load = LoadSigns { grinding, signs, splint, against };
    let made_up = view.head().made_up;
    let case = CaseHead { number: number.clone(), made_up, load, sites: Vec::new(), measured: Vec::new() };
    Ok(Entry::Case(CaseImported {
        case,
        restorations: Vec::new(),
        assemblies: Vec::new(),
        events: Vec::new(),
    }))
}

/// The entry for a case file.
pub fn import(
    view: &View,
    file: &str,
    text: &str,
    replace: bool,
    today: Date,
) -> Result<Entry, Refused<CaseError>> {
    let CaseFile { mut head, mut sites, restorations, events } =
        read_case(file, text, today, &|code| lookup::part(view, code).map_err(|e| e.to_string()))
            .map_err(CaseError::from)?;
    if !replace && view.case(&head.number)?.is_some() {
        return Err(CaseError::Exists(head.number).into());
    }
    head.made_up |= view.head().made_up;
    let mut assemblies: Vec<Vec<Fitted>> =
        head.sites.iter().map(|t| sites.remove(t).unwrap_or_default()).collect();
    // Of a lot that the house knows the numbers are those it came with, whatever the catalogue says today.
    for fitted in assemblies.iter_mut().flatten().filter(|f| f.part.made.is_none()) {
        if let Some(lot) = &fitted.lot {
            fitted.part = editions::of_lot(view, &fitted.part.code, lot)?;
        }
    }
    for (tooth, assembly) in head.sites.iter().zip(&assemblies) {
        if !assembly.iter().all(fits_a_row) {
            return Err(CaseError::TooLong(tooth.to_string()).into());
        }
    }
    if !fits_a_row(&head) || !restorations.iter().all(fits_a_row) {
        return Err(CaseError::TooLong(format!("case {}", head.number)).into());
    }
    Ok(Entry::Case(CaseImported { case: head, restorations, assemblies, events }))
}

/// What is found in a patient.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Enter {
    pub case: CaseNumber,
    pub site: Tooth,
    pub part: PartCode,
    /// The rest, with a part of the same code in it filled in from the catalogue.
    pub fitted: FittedWithout,
}

/// A fitted part before its numbers are known.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct FittedWithout {
    pub position: Position,
    pub lot: Option<crate::units::Lot>,
    pub label: Option<crate::units::RawLabel>,
    pub on: Option<Date>,
    pub torque: crate::case::TorqueRecord,
    pub lean: Option<crate::catalog::Lean>,
    pub driver: Option<PartCode>,
    pub sure: crate::case::Sure,
}

/// Whether what is entered is more about the unit that stands there: the same part, and no other lot.
fn is_that_unit(old: &Fitted, ask: &Enter) -> bool {
    old.part.code == ask.part && (ask.fitted.lot.is_none() || old.lot.is_none() || ask.fitted.lot == old.lot)
}

/// What the record loses sight of: a unit with a lot that this one stands in place of, and nobody said where it went.
fn replaced(view: &View, ask: &Enter) -> Result<Option<String>, ViewError> {
    let assembly = view.assembly(&ask.case, ask.site)?;
    let old = Fitted::at(&assembly, ask.fitted.position).filter(|old| !is_that_unit(old, ask));
    Ok(old.and_then(|old| Some((old, old.lot.as_ref()?))).map(|(old, lot)| {
        format!(
            "part {}, lot {lot}, stood there on record and does not any more; where that unit went is not on record: if it came out, 'spareseat return' says so, before the new one is entered; if this is a mistake, enter it again",
            old.part.code
        )
    }))
}

/// What the person should hear about a part that is entered.
pub fn remarks(view: &View, ask: &Enter) -> Result<Vec<String>, ViewError> {
    let mut lines: Vec<String> = replaced(view, ask)?.into_iter().collect();
    lines.extend(mates::remarks(view, ask)?);
    Ok(lines)
}

/// The entry for a part found in a patient; no stock moves.
pub fn enter(view: &View, ask: &Enter, today: Date) -> Result<Entry, Refused<CaseError>> {
    lookup::case(view, &ask.case)?;
    // What nobody says of the part that stands there already stays as it is on record: its lot above all, and with the lot
    // the numbers it came with.
    let assembly = view.assembly(&ask.case, ask.site)?;
    let same = Fitted::at(&assembly, ask.fitted.position).filter(|old| is_that_unit(old, ask));
    let part = match ask.fitted.lot.as_ref().or(same.and_then(|old| old.lot.as_ref())) {
        Some(lot) => editions::of_lot(view, &ask.part, lot)?,
        None => lookup::part(view, &ask.part)?,
    };
    let f = &ask.fitted;
    if !f.position.kinds().contains(&part.kind) {
        return Err(CaseError::WrongKind { part: part.code, kind: part.kind, position: f.position }.into());
    }
    if f.lean.is_some() && !part.is_angled() {
        return Err(CaseError::Straight(part.code).into());
    }
    if let Some(date) = f.on.filter(|d| *d > today) {
        return Err(CaseError::Future { date, today }.into());
    }
    if let Some(driver) = &f.driver {
        lookup::part(view, driver)?;
    }
    let lean = match (f.lean, same) {
        (Some(lean), _) => Value::Known(lean),
        (None, Some(old)) => old.lean,
        (None, None) if part.is_angled() => Value::Unknown,
        (None, None) => Value::NotApplicable,
    };
    let torque =
        if f.torque == crate::case::TorqueRecord::NotRecorded { same.map(|old| old.torque) } else { None };
    let fitted = Fitted {
        position: f.position,
        part,
        lot: f.lot.clone().or_else(|| same?.lot.clone()),
        label: f.label.clone().or_else(|| same?.label.clone()),
        on: f.on.or_else(|| same?.on),
        torque: torque.unwrap_or(f.torque),
        lean,
        driver: f.driver.clone().or_else(|| same?.driver.clone()),
        sure: f.sure,
    };
    Ok(Entry::Fitted(FittedEntered { case: ask.case.clone(), site: ask.site, fitted }))
}

/// The entry for something that happened.
pub fn happened(
    view: &View,
    number: &CaseNumber,
    site: Option<&str>,
    event: Event,
    today: Date,
) -> Result<Entry, Refused<CaseError>> {
    let case = lookup::case(view, number)?;
    let tooth = site.map(|s| tooth_of(view, &case, s)).transpose()?;
    if event.on > today {
        return Err(CaseError::Future { date: event.on, today }.into());
    }
    Ok(Entry::Happened(HappenedEntered { case: number.clone(), event: Event { tooth, ..event } }))
}

/// A tooth that something can happen to: a site, or one that hangs in a restoration, whose facing breaks as well.
fn tooth_of(view: &View, case: &CaseHead, typed: &str) -> Result<Tooth, NotFound> {
    if let Ok(tooth) = Tooth::parse(typed)
        && view.restorations(&case.number)?.iter().any(|r| r.pontics.contains(&tooth))
    {
        return Ok(tooth);
    }
    lookup::site(case, typed)
}
