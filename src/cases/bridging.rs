//! A restoration by commands: what it is, how it is held, which frame it has, what it was built on; and that it ended.
//!
//! What is not said of it is not known, and nothing is filled in. What is on record on the day it was built is the measure
//! of every part that comes in under it.

mod frame;
mod measure;

use jiff::civil::Date;
use thiserror::Error;

use super::empty;
use crate::case::{
    CaseHead, CrownError, CrownFrom, Fitted, Restoration, Retention, Sites, Span, SpanError, Sure,
    TorqueRecord, stored_crown,
};
use crate::catalog::{HeadSeat, Position, Value};
use crate::desk::lookup::{self, NotFound, restoration_at};
use crate::desk::{Desk, DeskError, ExitClass, HomeError, Refusal, Refused};
use crate::record::{Booked, BridgeEntered, BridgeStep, BuiltThere, Entry, View, fits_a_row};
use crate::units::{Act, CaseNumber, Initials, InterfaceId, Length, Name, Note, Tooth, show_date, teeth};
pub use frame::read_shoulder;
use measure::{Past, past};

/// As many as a case file may have.
const MOST: usize = 16;

/// How a restoration is held, as it is typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum HeldBy {
    Abutments,
    Implants,
    Cement,
}

impl HeldBy {
    /// Every way with its word.
    pub const ALL: [(Self, &'static str); 3] = [
        (Self::Abutments, "screwed-to-abutments"),
        (Self::Implants, "screwed-to-implants"),
        (Self::Cement, "cemented"),
    ];
}

/// A restoration as it is said.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct BridgeAsk {
    pub case: CaseNumber,
    pub span: Span,
    pub held_by: HeldBy,
    pub cement: Option<Name>,
    pub cantilever_right: u8,
    pub cantilever_left: u8,
    pub frame_seat: Option<InterfaceId>,
    /// The shoulder in the frame that the screws' heads rest on.
    pub head_seat: Option<HeadSeat>,
    pub crown: Option<(Length, CrownFrom)>,
    /// When it was built; today where nobody says it.
    pub built_on: Option<Date>,
}

/// Why nothing was booked.
#[derive(Debug, Error)]
pub enum BridgeError {
    /// Something named is not on record.
    #[error(transparent)]
    NotFound(#[from] NotFound),
    /// The case is closed.
    #[error(
        "case {case} is closed since {} ({because}): nothing was booked. To open it again: 'spareseat --as INITIALS case reopen {case} --because REASON'", show_date(*.on)
    )]
    #[allow(missing_docs)]
    Closed { case: CaseNumber, on: Date, because: Note },
    /// The teeth do not hold together.
    #[error("{0}. Nothing was booked")]
    Span(#[from] SpanError),
    /// A tooth of another restoration.
    #[error(
        "{tooth} is part of {other} already: a tooth is in one restoration only. Nothing was booked. If that one is not in any more: 'spareseat --as INITIALS case bridge {case} \"{span}\" --end DATE'"
    )]
    #[allow(missing_docs)]
    Taken { case: CaseNumber, tooth: Tooth, other: String, span: String },
    /// A cement for what is screwed.
    #[error(
        "--cement names a cement, and the restoration is {0}: leave one of the two out. Nothing was booked"
    )]
    NotCemented(&'static str),
    /// A shoulder for what is cemented.
    #[error(
        "--head-seat says what the heads of screws rest on, and the restoration is cemented: leave one of the two out. Nothing was booked"
    )]
    NoHeads,
    /// In the future.
    #[error("{} lies after today, {}: nothing was booked", show_date(*.date), show_date(*.today))]
    #[allow(missing_docs)]
    Future { date: Date, today: Date },
    /// The height of its crowns.
    #[error("{0}. Nothing was booked")]
    Crown(#[from] CrownError),
    /// None of these sites.
    #[error("case {case} has no restoration on {}: nothing was booked. On record: {there}", teeth(.sites))]
    #[allow(missing_docs)]
    None { case: CaseNumber, sites: Vec<Tooth>, there: String },
    /// More than are kept.
    #[error("case {0} has {MOST} restorations: no more are kept. Nothing was booked")]
    TooMany(CaseNumber),
    /// More text than the record keeps.
    #[error("the texts of {0} are too long to be kept together: shorten the cement. Nothing was booked")]
    TooLong(String),
    /// The record as it was.
    #[error(transparent)]
    Home(#[from] HomeError),
}

impl Refusal for BridgeError {
    fn class(&self) -> ExitClass {
        match self {
            Self::NotFound(e) => e.class(),
            Self::Home(e) => e.class(),
            Self::Closed { .. } | Self::Taken { .. } | Self::TooMany(_) => ExitClass::Facts,
            Self::Span(_)
            | Self::NotCemented(_)
            | Self::NoHeads
            | Self::Future { .. }
            | Self::Crown(_)
            | Self::None { .. }
            | Self::TooLong(_) => ExitClass::Typed,
        }
    }
}

/// What was booked, and what the person should hear beside it.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Entered {
    pub restoration: Restoration,
    pub frame: Fitted,
    pub built_on: Date,
    /// What it was built on.
    pub sites: Sites,
    pub remarks: Vec<String>,
}

/// Enters a restoration; `earlier` opens the record as it was after an entry.
///
/// Gives the booking, and what was booked unless the same act had booked it before.
pub fn enter(
    desk: &mut Desk,
    by: Option<&Initials>,
    act: Act,
    ask: &BridgeAsk,
    earlier: impl Fn(u64) -> Result<Desk, HomeError>,
) -> Result<(Booked, Option<Entered>), DeskError<BridgeError>> {
    let today = desk.today();
    let past = past(desk, ask, today, earlier)?;
    let mut entered = None;
    let booked = desk.book(by, act, |view| {
        let (entry, what) = decide(view, ask, &past, today)?;
        entered = Some(what);
        Ok::<_, Refused<BridgeError>>(entry)
    })?;
    if let Some(entered) = &mut entered {
        // It is booked: a view that fails now takes nothing of that back.
        let view = desk.view();
        let case = view.case(&ask.case).ok().flatten();
        let empty = case.and_then(|case| empty::remarks(view, &case, ask.span.sites[0]).ok());
        entered.remarks.extend(empty.into_iter().flatten());
    }
    Ok((booked, entered))
}

fn open_case(view: &View, number: &CaseNumber) -> Result<CaseHead, Refused<BridgeError>> {
    let case = lookup::case(view, number)?;
    match view.state(number)?.closed {
        Some((on, because)) => Err(BridgeError::Closed { case: number.clone(), on, because }.into()),
        None => Ok(case),
    }
}

/// The entry for a restoration.
fn decide(
    view: &View,
    ask: &BridgeAsk,
    past: &Past,
    today: Date,
) -> Result<(Entry, Entered), Refused<BridgeError>> {
    let case = open_case(view, &ask.case)?;
    let built_on = ask.built_on.unwrap_or(today);
    if built_on > today {
        return Err(BridgeError::Future { date: built_on, today }.into());
    }
    let mut restoration = restoration(ask)?;
    let all = view.restorations(&ask.case)?;
    free(ask, &all)?;
    let mut sites = Sites::new();
    for site in &restoration.sites {
        let site = lookup::site(&case, &site.iso().to_string())?;
        sites.insert(site, view.assembly(&ask.case, site)?);
    }
    let (measure, mut remarks) = measure::measure(&sites, past, built_on);
    let as_built = measure::as_built(&sites, &measure);
    if let Some((height, from)) = ask.crown {
        restoration.crown_height =
            Value::Known(stored_crown(&restoration, &as_built, height, from).map_err(BridgeError::from)?);
    }
    let frame = Fitted {
        position: Position::Framework,
        part: frame::frame(ask, &restoration),
        lot: None,
        label: None,
        on: ask.built_on,
        torque: TorqueRecord::NotRecorded,
        lean: Value::NotApplicable,
        driver: None,
        sure: Sure::Label,
    };
    let whole = sites.values().all(|own| own.iter().chain([&frame]).all(fits_a_row));
    if !whole || !fits_a_row(&restoration) || all.len() >= MOST {
        return Err(match all.len() {
            MOST.. => BridgeError::TooMany(ask.case.clone()),
            _ => BridgeError::TooLong(restoration.words()),
        }
        .into());
    }
    remarks.extend(frame::remarks(ask, &restoration, &sites, &frame.part));
    let entry = Entry::Bridge(BridgeEntered {
        case: ask.case.clone(),
        step: BridgeStep::Made {
            restoration: restoration.clone(),
            frame: Box::new(frame.clone()),
            built_on,
            measure,
        },
    });
    Ok((entry, Entered { restoration, frame, built_on, sites: as_built, remarks }))
}

/// The restoration that is said; what nobody said of it is not known.
fn restoration(ask: &BridgeAsk) -> Result<Restoration, BridgeError> {
    let cement = ask.cement.clone().map_or(Value::Unknown, Value::Known);
    let retention = match ask.held_by {
        HeldBy::Abutments => Retention::ScrewedToAbutments,
        HeldBy::Implants => Retention::ScrewedToImplants,
        HeldBy::Cement => Retention::Cemented { cement, screw_axis: Value::Unknown },
    };
    match (ask.held_by, &ask.cement, &ask.head_seat) {
        (HeldBy::Abutments, Some(_), _) => return Err(BridgeError::NotCemented("screwed to abutments")),
        (HeldBy::Implants, Some(_), _) => return Err(BridgeError::NotCemented("screwed to implants")),
        (HeldBy::Cement, _, Some(_)) => return Err(BridgeError::NoHeads),
        _ => {}
    }
    Ok(Restoration {
        sites: ask.span.sites.clone(),
        pontics: ask.span.between(ask.cantilever_right, ask.cantilever_left)?,
        retention,
        material: Value::Unknown,
        facing: Value::Unknown,
        connector_height: Value::Unknown,
        connector_width: Value::Unknown,
        cantilever_right: ask.cantilever_right,
        cantilever_left: ask.cantilever_left,
        crown_height: Value::Unknown,
        shade: Value::Unknown,
        mould: Value::Unknown,
        laboratory: Value::Unknown,
        job: Value::Unknown,
    })
}

/// No tooth of it is part of another restoration.
fn free(ask: &BridgeAsk, all: &[Restoration]) -> Result<(), BridgeError> {
    for tooth in ask.span.sites.iter().chain(&ask.span.pontics) {
        if let Some(other) = all.iter().find(|r| r.sites.contains(tooth) || r.pontics.contains(tooth)) {
            let (case, tooth) = (ask.case.clone(), *tooth);
            return Err(BridgeError::Taken { case, tooth, other: other.words(), span: other.span() });
        }
    }
    Ok(())
}

/// The entry that says that a restoration is not in any more; its parts stay on record.
pub fn end(
    view: &View,
    number: &CaseNumber,
    span: &Span,
    on: Date,
    today: Date,
) -> Result<Entry, Refused<BridgeError>> {
    open_case(view, number)?;
    let all = view.restorations(number)?;
    let is_it = |r: &&Restoration| {
        let mut sites = r.sites.clone();
        sites.sort_by_key(|t| t.along_arch());
        sites == span.sites
    };
    let Some(restoration) = restoration_at(&all, span.sites[0]).filter(is_it) else {
        let there = lookup::list(all.iter().map(Restoration::words));
        return Err(BridgeError::None { case: number.clone(), sites: span.sites.clone(), there }.into());
    };
    if on > today {
        return Err(BridgeError::Future { date: on, today }.into());
    }
    let step = BridgeStep::Ended { sites: restoration.sites.clone(), on };
    Ok(Entry::Bridge(BridgeEntered { case: number.clone(), step }))
}
