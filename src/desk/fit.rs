//! Fit: does the bridge still sit when these parts come in? For the laboratory, before a part leaves the drawer.
//!
//! The rules of [`crate::matching`] say whether a part fits what it stands on; the kernels of [`crate::fit`] say what
//! becomes of the bridge above it. A missing number makes 'not enough known', never a yes.

mod bridge;
mod change;
mod seated;
mod verdict;
mod words;

use jiff::civil::Date;
use thiserror::Error;

use super::lookup::{self, NotFound};
use super::swap::{Candidate, in_house};
use super::weakest::{AtOneSite, add_order};
use super::{Failing, editions, holding};
use crate::case::{Bands, Fitted, Restoration};
use crate::catalog::{Lean, Part, Position};
use crate::fit::moving::Moved;
use crate::fit::stack::Stack;
use crate::matching::{Judgement, Question, StandsOn, judge as judge_one, judge_set};
use crate::record::{RecordError, View, ViewError};
use crate::units::{CaseNumber, PartCode, Tooth, teeth};

pub use bridge::{Bridge, Carrier, FRICTION};
pub use change::{Change, Turned};
pub use seated::{Seated, Shutting, SiteSeated, Strain, seat};
pub use verdict::{ANSWERED, Judged};
pub use words::{NO_PERMISSION, NOTHING, add_gaps, apart, effort, percent, raised, shutting_words};

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
pub struct Asked<'a> {
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
    /// The record.
    #[error(transparent)]
    Record(#[from] RecordError),
}

impl From<ViewError> for FitError {
    fn from(e: ViewError) -> Self {
        Self::NotFound(e.into())
    }
}

impl Failing for FitError {
    fn is_view(&self) -> bool {
        matches!(self, Self::NotFound(NotFound::View(_)))
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
    /// What the record holds that differs from what the restoration was built on, at other sites.
    pub careful: Vec<String>,
}

/// A site that is asked about, with what comes in there.
struct Wanted {
    site: Tooth,
    position: Position,
    part: Part,
}

/// Answers.
pub fn answer(view: &View, asked: &Asked<'_>) -> Result<Fit, FitError> {
    let case = lookup::case(view, asked.case)?;
    let restorations = view.restorations(asked.case)?;
    let (restoration, wanted) = wanted(view, asked, &case, &restorations)?;
    let mut bridge = Bridge::of_record(view, &case, restoration)?;
    let turned = directions(&case, &wanted, "turned", asked.turned)?;
    let leans = directions(&case, &wanted, "lean", asked.leans)?;
    let judgements = judge(view, &bridge, &wanted)?;
    let mut exchanges = Vec::new();
    for (wanted, judgement) in wanted.into_iter().zip(judgements) {
        let Wanted { site, position, part } = wanted;
        let fitted = bridge.fitted(site, position).expect("wanted positions were looked up").clone();
        let change = (position == Position::Abutment).then(|| {
            let steps = turned.iter().find(|(t, _)| *t == site).map(|(_, steps)| *steps);
            let lean = leans.iter().find(|(t, _)| *t == site).map(|(_, lean)| *lean);
            change::change(site, &fitted, &part, Turned { steps, lean })
        });
        if let Some(change) = &change {
            bridge.changes(site, change.clone());
        }
        let in_house = editions::of_part(view, &part, in_house(view, &part.code)?)?;
        let held = holding::standing_on(view, &part.code, asked.today)?;
        let torque = Fitted::torque_asked(bridge.built_on(site), position, &part);
        exchanges.push(Exchange {
            site,
            position,
            fitted,
            candidate: Candidate { part, judgement, in_house, torque, held },
            change,
        });
    }
    what_breaks_next(view, &case, &bridge, &mut exchanges)?;
    let bands = view.bands()?.unwrap_or_else(Bands::usual);
    let seated = seat(&bridge).map(|s| s.drawn(&bridge, &bands));
    let judged = verdict::judge(&bridge, &exchanges, &seated, &bands);
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
        careful: bridge.careful(),
    })
}

/// What is asked, looked up and checked: one restoration, no place twice.
fn wanted<'r>(
    view: &View,
    asked: &Asked<'_>,
    case: &crate::case::CaseHead,
    restorations: &'r [Restoration],
) -> Result<(&'r Restoration, Vec<Wanted>), FitError> {
    let mut bridge: Option<(&Restoration, Tooth)> = None;
    let mut all: Vec<Wanted> = Vec::new();
    for incoming in asked.incoming {
        let (site, position) = (lookup::site(case, &incoming.site)?, incoming.position);
        if position == Position::Implant {
            return Err(FitError::Implant(site));
        }
        if position.is_inside_bridge() {
            return Err(FitError::Inside { case: case.number.clone(), site, position });
        }
        let own = lookup::restoration_at(restorations, site).ok_or(FitError::NoRestoration(site))?;
        match bridge {
            Some((first, at)) if first != own => return Err(FitError::OtherRestoration(site, at)),
            _ => bridge = Some((own, site)),
        }
        if all.iter().any(|w| w.site == site && w.position == position) {
            return Err(FitError::Twice(position, site));
        }
        let assembly = view.assembly(&case.number, site)?;
        lookup::fitted(&case.number, site, &assembly, position)?;
        all.push(Wanted { site, position, part: lookup::part(view, &incoming.part)? });
    }
    bridge.map(|(bridge, _)| (bridge, all)).ok_or(FitError::Nothing)
}

/// Directions by site, each for an abutment that comes in.
fn directions<T: Copy>(
    case: &crate::case::CaseHead,
    wanted: &[Wanted],
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

/// Every part that comes in, judged among its mates as they will be; abutments together, as a set.
fn judge(view: &View, bridge: &Bridge, wanted: &[Wanted]) -> Result<Vec<Judgement>, ViewError> {
    let mut assemblies = Vec::new();
    for one in wanted {
        let mut assembly = bridge.built_on(one.site).to_vec();
        let fitted = Fitted::at(&assembly, one.position).expect("looked up before").clone();
        for other in wanted.iter().filter(|o| o.site == one.site && o.position != one.position) {
            for f in assembly.iter_mut().filter(|f| f.position == other.position) {
                f.part = other.part.clone();
            }
        }
        let verifications = view.verifications(&fitted.part.code)?;
        assemblies.push((fitted, assembly, verifications));
    }
    let others: Vec<Vec<_>> =
        assemblies.iter().zip(wanted).map(|((_, a, _), w)| Fitted::others(a, w.position)).collect();
    let question = |n: usize| Question {
        position: wanted[n].position,
        fitted: &assemblies[n].0.part,
        lean: &assemblies[n].0.lean,
        others: &others[n],
        stands_on: bridge.stands_on(),
        candidate: &wanted[n].part,
        verifications: &assemblies[n].2,
    };
    let (abutments, rest): (Vec<usize>, Vec<usize>) =
        (0..wanted.len()).partition(|n| wanted[*n].position == Position::Abutment);
    let set: Vec<Question<'_>> = abutments.iter().map(|n| question(*n)).collect();
    let mut judged: Vec<(usize, Judgement)> =
        abutments.iter().copied().zip(judge_set(&set, abutments.len() == bridge.carriers.len())).collect();
    judged.extend(rest.into_iter().map(|n| (n, judge_one(&question(n)))));
    judged.sort_by_key(|(n, _)| *n);
    Ok(judged.into_iter().map(|(_, judgement)| judgement).collect())
}

/// At each site once, by everything that comes in there: what breaks next, where that is another part than before.
fn what_breaks_next(
    view: &View,
    case: &crate::case::CaseHead,
    bridge: &Bridge,
    exchanges: &mut [Exchange],
) -> Result<(), ViewError> {
    for n in 0..exchanges.len() {
        let site = exchanges[n].site;
        if exchanges[n + 1..].iter().any(|later| later.site == site) {
            continue;
        }
        let parts: Vec<(Position, Part)> = exchanges[..=n]
            .iter()
            .filter(|e| e.site == site)
            .map(|e| (e.position, e.candidate.part.clone()))
            .collect();
        let with: Vec<_> = parts.iter().map(|(position, part)| (*position, part)).collect();
        let bites = AtOneSite::of(case, &bridge.restoration, site);
        let judgement = &mut exchanges[n].candidate.judgement;
        add_order(view, bites.as_ref(), bridge.built_on(site), &with, judgement)?;
    }
    Ok(())
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
