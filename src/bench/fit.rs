//! Fit: does the bridge still sit when these parts come in? For the laboratory, before a part leaves the drawer.
//!
//! The rules of [`crate::matching`] say whether a part fits what it stands on; the kernels of [`crate::fit`] say what
//! becomes of the bridge above it. A missing number makes 'not enough known', never a yes.

mod bridge;
mod change;
mod one;
mod seated;
mod set;
mod verdict;
mod words;

use jiff::civil::Date;
use thiserror::Error;

use crate::bench::candidate::Candidate;
use crate::case::{Bands, Fitted, Restoration};
use crate::catalog::{Lean, Position};
use crate::desk::lookup::{self, NotFound, guessed};
use crate::desk::{ExitClass, Refusal, Refused};
use crate::fit::moving::Moved;
use crate::fit::stack::Stack;
use crate::lots::editions;
use crate::lots::holds;
use crate::lots::in_house::in_house;
use crate::matching::StandsOn;
use crate::record::View;
use crate::units::{CaseNumber, PartCode, Tooth, teeth};

pub use bridge::{Bridge, Carrier};
pub use change::{Change, Turned};
pub use one::{Among, At, FIT, Judging};
pub use seated::{Seated, Shutting, SiteSeated, Strain, seat};
pub use set::{Set, WantedPart, come_in};
pub use verdict::{ANSWERED, Judged, Numbers};
pub use words::{NO_PERMISSION, NOTHING, apart, effort, percent, raised, shutting_words};

/// One part that is to come in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Incoming {
    /// At which site, as typed.
    pub site: String,
    /// Where it stands.
    pub position: Position,
    /// Which part.
    pub part: PartCode,
}

/// What is asked.
#[derive(Debug, Clone, Copy)]
pub struct FitQuestion<'a> {
    /// Whose bridge.
    pub case: &'a CaseNumber,
    /// What is to come in; judged together, as a set.
    pub incoming: &'a [Incoming],
    /// Angled parts that are put in turned by so many index steps from where the fitted one leaned.
    pub turned: &'a [(String, i8)],
    /// Angled parts that are put in leaning this way.
    pub leans: &'a [(String, Lean)],
    /// Which holds stand hangs on the day.
    pub today: Date,
}

/// Why there is no answer.
#[derive(Debug, Error)]
pub enum FitError {
    /// Something named is not on record.
    #[error(transparent)]
    NotFound(#[from] NotFound),
    /// Nothing is asked.
    #[error(
        "say what is to come in: --swap SITE:POSITION=PART, such as --swap 25:abutment=plover-mua-4.1-c3.0"
    )]
    Nothing,
    /// The same place twice.
    #[error("{0} at {1} stands twice in the set")]
    Twice(Position, Tooth),
    /// No bridge there.
    #[error("no restoration is on record at {0} ({words}): nothing there can lose its fit. 'spareseat swap' says whether a part fits what it stands on", words = .0.words())]
    NoRestoration(Tooth),
    /// A bridge there, and nobody entered it.
    #[error("NOT KNOWN: what else holds the bridge at {site} ({words}), which other screws? No restoration is on record there. Enter it first: 'spareseat --as INITIALS case bridge {case} TEETH --retention HOW'", words = .site.words())]
    #[allow(missing_docs)]
    NotOnRecord { case: CaseNumber, site: Tooth },
    /// Two bridges.
    #[error("{0} is not under the same restoration as {1}: a set is judged for one bridge")]
    OtherRestoration(Tooth, Tooth),
    /// Inside the bridge.
    #[error("the {position} at {site} is inside the bridge: laboratory work. 'spareseat swap {case} {number} {slug}' says what the laboratory needs", number = .site.iso(), slug = .position.slug())]
    #[allow(missing_docs)]
    Inside { case: CaseNumber, site: Tooth, position: Position },
    /// An implant.
    #[error("the implant at {0} is not a part that can be swapped: refer")]
    Implant(Tooth),
    /// A direction for a site where nothing comes in.
    #[error("--{option} names {site}, and no abutment is to come in there: expected one of {expected}")]
    #[allow(missing_docs)]
    NothingThere { option: &'static str, site: Tooth, expected: String },
}

impl Refusal for FitError {
    fn class(&self) -> ExitClass {
        match self {
            Self::NotFound(e) => e.class(),
            Self::NoRestoration(_) | Self::NotOnRecord { .. } | Self::Inside { .. } | Self::Implant(_) => {
                ExitClass::Facts
            }
            Self::Nothing | Self::Twice(..) | Self::OtherRestoration(..) | Self::NothingThere { .. } => {
                ExitClass::Typed
            }
        }
    }
}

/// A part that is to come in, and what it does.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Exchange {
    pub site: Tooth,
    pub position: Position,
    /// What the restoration was built on there.
    pub fitted: Fitted,
    /// What would come in, judged among what stands there and what comes in with it.
    pub candidate: Candidate,
    /// How far the seat moves; none when it does not carry a seat, an error when not enough is known.
    pub change: Option<Change>,
}

/// The answer.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Fit {
    pub case: CaseNumber,
    pub made_up: bool,
    pub span: String,
    pub stands_on: StandsOn,
    pub restoration: Restoration,
    pub exchanges: Vec<Exchange>,
    pub judged: Judged,
    /// The numbers, where enough is known.
    pub seated: Option<Seated>,
    pub bands: Bands,
    /// What is on record at these sites by guess.
    pub guessed: Vec<(Tooth, Position)>,
    /// What the record holds that differs from what the restoration was built on, at other sites.
    pub careful: Vec<String>,
}

/// Answers.
pub fn answer(view: &View, asked: &FitQuestion<'_>) -> Result<Fit, Refused<FitError>> {
    let case = lookup::case(view, asked.case)?;
    let restorations = view.restorations(asked.case)?;
    let (restoration, wanted) = wanted(view, asked, &case, &restorations)?;
    let mut bridge = Bridge::of_record(view, &case, restoration)?;
    let turned = directions(&case, &wanted, "turned", asked.turned)?;
    let leans = directions(&case, &wanted, "lean", asked.leans)?;
    let turned = |site: Tooth| Turned {
        steps: turned.iter().find(|(t, _)| *t == site).map(|(_, steps)| *steps),
        lean: leans.iter().find(|(t, _)| *t == site).map(|(_, lean)| *lean),
    };
    let bands = view.bands()?.unwrap_or_else(Bands::usual);
    let guessed = guessed(wanted.iter().map(|w| (w.site, bridge.now(w.site))));
    let Set { judged, seated, parts } = come_in(view, &case, &mut bridge, &wanted, turned, &bands)?;
    let mut exchanges = Vec::new();
    for (WantedPart { site, position, part }, (judgement, change)) in wanted.into_iter().zip(parts) {
        let fitted = bridge.fitted(site, position).expect("wanted positions were looked up").clone();
        let in_house = editions::of_part(view, &part, in_house(view, &part.code)?)?;
        let held = holds::standing_on(view, &part.code, asked.today)?;
        let torque = Fitted::torque_asked(bridge.built_on(site), position, &part);
        let candidate = Candidate { part, judgement, in_house, torque, held };
        exchanges.push(Exchange { site, position, fitted, candidate, change });
    }
    Ok(Fit {
        case: case.number.clone(),
        made_up: case.made_up,
        span: restoration.span(),
        stands_on: restoration.stands_on(),
        restoration: restoration.clone(),
        exchanges,
        judged,
        seated: seated.ok(),
        bands,
        guessed,
        careful: bridge.careful(),
    })
}

/// What is asked, looked up and checked: one restoration, no place twice.
fn wanted<'r>(
    view: &View,
    asked: &FitQuestion<'_>,
    case: &crate::case::CaseHead,
    restorations: &'r [Restoration],
) -> Result<(&'r Restoration, Vec<WantedPart>), Refused<FitError>> {
    let mut bridge: Option<(&Restoration, Tooth)> = None;
    let mut all: Vec<WantedPart> = Vec::new();
    for incoming in asked.incoming {
        let (site, position) = (lookup::site(case, &incoming.site)?, incoming.position);
        if position == Position::Implant {
            return Err(FitError::Implant(site).into());
        }
        if position.is_inside_bridge() {
            return Err(FitError::Inside { case: case.number.clone(), site, position }.into());
        }
        let Some(own) = lookup::restoration_at(restorations, site) else {
            let there = lookup::has_a_bridge(&view.assembly(&case.number, site)?);
            return Err(match there {
                true => FitError::NotOnRecord { case: case.number.clone(), site },
                false => FitError::NoRestoration(site),
            }
            .into());
        };
        match bridge {
            Some((first, at)) if first != own => return Err(FitError::OtherRestoration(site, at).into()),
            _ => bridge = Some((own, site)),
        }
        if all.iter().any(|w| w.site == site && w.position == position) {
            return Err(FitError::Twice(position, site).into());
        }
        let assembly = view.assembly(&case.number, site)?;
        lookup::fitted(&case.number, site, &assembly, position)?;
        all.push(WantedPart { site, position, part: lookup::part(view, &incoming.part)? });
    }
    bridge.map(|(bridge, _)| (bridge, all)).ok_or(FitError::Nothing.into())
}

/// Directions by site, each for an abutment that comes in.
fn directions<T: Copy>(
    case: &crate::case::CaseHead,
    wanted: &[WantedPart],
    option: &'static str,
    given: &[(String, T)],
) -> Result<Vec<(Tooth, T)>, FitError> {
    let abutments: Vec<Tooth> =
        wanted.iter().filter(|w| w.position == Position::Abutment).map(|w| w.site).collect();
    given
        .iter()
        .map(|(typed, value)| {
            let site = lookup::site(case, typed)?;
            if abutments.contains(&site) {
                return Ok((site, *value));
            }
            let expected = if abutments.is_empty() { "none".to_owned() } else { teeth(&abutments) };
            Err(FitError::NothingThere { option, site, expected })
        })
        .collect()
}

/// How far the seat of a site moves, and how certain its height is.
#[derive(Debug, Clone, PartialEq)]
pub struct SeatChange {
    /// The seat, as the bridge sees it.
    pub moved: Moved,
    /// The height along the implant.
    pub height: Stack,
    /// The length tolerance of the old part and of the new one, mm; a part whose tolerance nobody states by its code.
    pub tolerances: [Result<f64, PartCode>; 2],
    /// Which way the old part and the new one lean, round the implant's axis from buccal by way of mesial, radians; none
    /// for one that does not lean.
    pub leans: [Option<f64>; 2],
}
