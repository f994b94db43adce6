//! The visit: from what broke to the drawer.
//!
//! It only reads. The answer comes in the order in which it is needed at the chair: what to take, what to do before
//! the first turn, what is fitted, what to undo, the tray, when to stop, and what then.

mod tray;
mod way;
mod words;

use jiff::civil::Date;
use thiserror::Error;

use super::Failing;
use super::lookup::{self, NotFound};
use super::swap::judge_one;
use crate::case::{CaseHead, Event, Fitted, Grinding, Happening, Restoration, Retention, Sites};
use crate::catalog::{Port, Position, Side, mate_below};
use crate::matching::{StandsOn, Verdict};
use crate::record::{RecordError, View, ViewError};
use crate::units::{CaseNumber, PartCode, Tooth, show_date};
pub use tray::{Missing, TrayRow, Use};
use tray::{Need, alternatives, lay_out};
pub use words::{Broken, Left, teeth, usable_on};

/// What is asked.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct VisitQuestion {
    pub case: CaseNumber,
    pub site: String,
    pub broken: Broken,
    pub left: Left,
}

/// Why there is no answer.
#[derive(Debug, Error)]
pub enum VisitError {
    /// Something named is not on record.
    #[error(transparent)]
    NotFound(#[from] NotFound),
    /// The two things reported exclude each other.
    #[error("{}: {}. Say again what broke and what stayed behind", .broken.report(), .why)]
    Contradiction {
        /// What broke.
        broken: Broken,
        /// Why that cannot be.
        why: String,
    },
    /// The record.
    #[error(transparent)]
    Record(#[from] RecordError),
}

impl From<ViewError> for VisitError {
    fn from(e: ViewError) -> Self {
        Self::NotFound(e.into())
    }
}

impl Failing for VisitError {
    fn is_view(&self) -> bool {
        matches!(self, Self::NotFound(NotFound::View(_)))
    }
}

/// A part in the mouth as the answer names it.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct FittedRow {
    pub site: Tooth,
    pub fitted: Fitted,
}

/// A step on the way to the broken part.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct UndoRow {
    pub sites: Vec<Tooth>,
    pub what: String,
    /// Which driver, and where it lies, when the drive is known.
    pub driver: String,
    /// Whether such a driver lies in the house.
    pub in_house: bool,
}

/// A part on record that is not as the one the restoration was built on.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Stray {
    pub site: Tooth,
    pub position: Position,
    pub now: PartCode,
    pub built_on: PartCode,
    pub verdict: Verdict,
    pub why: String,
}

/// The answer.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Visit {
    pub today: Date,
    pub case: CaseNumber,
    pub made_up: bool,
    pub site: Tooth,
    pub span: String,
    pub broken: Broken,
    pub left: Left,
    pub answer: Vec<String>,
    pub strays: Vec<Stray>,
    pub before: Vec<String>,
    pub fitted: Vec<FittedRow>,
    pub undo: Vec<UndoRow>,
    /// Drivers without which nothing can be opened.
    pub tools_missing: Vec<String>,
    pub fragment: Vec<String>,
    pub tray: Vec<TrayRow>,
    pub missing: Vec<Missing>,
    pub stop_rule: String,
    pub if_fragment_stays: Vec<TrayRow>,
    /// What that step needs: where, in which position, which part is fitted there.
    pub if_fragment_stays_needs: Vec<(Tooth, Position, PartCode)>,
    pub if_fragment_stays_words: Vec<String>,
    pub rest_of_bridge: Vec<String>,
    pub after: Vec<String>,
    pub cautions: Vec<String>,
}

impl Visit {
    /// Whether everything for the first choice lies in the house.
    pub fn is_complete(&self) -> bool {
        self.missing.is_empty() && self.tools_missing.is_empty() && !self.tray.is_empty()
    }
}

/// What the record says around the site.
struct Scene<'v> {
    view: &'v View,
    case: CaseHead,
    site: Tooth,
    sites: Sites,
    /// The same as the restoration was built on them.
    measures: Sites,
    /// The broken one first: what runs short goes there; then along the arch.
    order: Vec<Tooth>,
    restoration: Option<Restoration>,
}

impl Scene<'_> {
    fn stands_on(&self) -> StandsOn {
        self.restoration.as_ref().map_or(StandsOn::Nothing, Restoration::stands_on)
    }

    fn assembly(&self, tooth: Tooth) -> &[Fitted] {
        self.sites.get(&tooth).map_or(&[], Vec::as_slice)
    }

    fn need(&self, tooth: Tooth, position: Position) -> Option<Need<'_>> {
        let measure = self.measures.get(&tooth).map_or(&[][..], Vec::as_slice);
        Some(Need {
            site: tooth,
            fitted: Fitted::at(self.assembly(tooth), position)?,
            measure: Fitted::at(measure, position)?,
            assembly: measure,
            stands_on: self.stands_on(),
        })
    }

    fn all(&self, position: Position) -> Vec<Need<'_>> {
        self.order.iter().filter_map(|tooth| self.need(*tooth, position)).collect()
    }

    fn is_cemented(&self) -> bool {
        self.restoration.as_ref().is_some_and(|r| matches!(r.retention, Retention::Cemented { .. }))
    }
}

/// Answers a call.
pub fn answer(view: &View, ask: &VisitQuestion, today: Date) -> Result<Visit, VisitError> {
    let case = lookup::case(view, &ask.case)?;
    let site = lookup::site(&case, &ask.site)?;
    let restorations = view.restorations(&ask.case)?;
    let restoration = lookup::restoration_at(&restorations, site).cloned();
    let mut around: Vec<Tooth> = restoration.as_ref().map_or(vec![site], |r| r.sites.clone());
    around.sort_by_key(|t| (*t != site, t.along_arch()));
    let (mut sites, mut measures) = (Sites::new(), Sites::new());
    for tooth in &around {
        let assembly = view.assembly(&ask.case, *tooth)?;
        measures.insert(*tooth, lookup::built_on(view, &ask.case, *tooth, &assembly)?);
        sites.insert(*tooth, assembly);
    }
    let scene = Scene { view, case, site, sites, measures, order: around, restoration };
    let own = scene.assembly(site).to_vec();
    let angled = own.iter().find(|f| f.part.is_angled());
    let broken = lookup::fitted(&ask.case, site, &own, ask.broken.position())?;
    ask.left.check(ask.broken).map_err(|why| VisitError::Contradiction { broken: ask.broken, why })?;
    let events = view.events(&ask.case)?;

    let wanted = first_choice(&scene, ask.broken);
    let (tray, missing) = lay_out(view, &wanted, today)?;
    let next = next_step(&scene, ask);
    let mut if_fragment_stays = Vec::new();
    for need in &next {
        if_fragment_stays.extend(alternatives(view, need, today)?);
    }
    let undo = way::undo(&scene, ask.broken, ask.left)?;
    let visit = Visit {
        today,
        case: ask.case.clone(),
        made_up: scene.case.made_up,
        site,
        span: scene.restoration.as_ref().map_or(site.iso().to_string(), Restoration::span),
        broken: ask.broken,
        left: ask.left,
        answer: Vec::new(),
        strays: strays(&scene)?,
        before: words::before(ask.broken, ask.left, scene.is_cemented(), angled, &tray),
        fitted: own.iter().map(|f| FittedRow { site, fitted: f.clone() }).collect(),
        tools_missing: way::tools_missing(view, &undo, &tray)?,
        undo,
        fragment: way::fragment(&scene, ask, broken, next.first())?,
        stop_rule: words::stop_rule(!next.is_empty()),
        if_fragment_stays_needs: next
            .iter()
            .map(|n| (n.site, n.fitted.position, n.measure.part.code.clone()))
            .collect(),
        if_fragment_stays_words: way::next_step(&scene, &next, ask.left)?,
        rest_of_bridge: rest_of_bridge(&scene, ask.broken, &events),
        after: words::after(&ask.case, (site, ask.broken.position()), &tray, scene.stands_on()),
        cautions: words::cautions(ask.broken, ask.left, scene.is_cemented(), &tray, &if_fragment_stays),
        tray,
        missing,
        if_fragment_stays,
    };
    Ok(Visit { answer: words::answer(&visit), ..visit })
}

/// What must be new for the first choice: what broke, and every screw that comes out on the way to it.
fn first_choice<'s>(scene: &'s Scene<'_>, broken: Broken) -> Vec<Need<'s>> {
    let prosthetic = scene.all(Position::ProstheticScrew);
    let own = |position| scene.need(scene.site, position);
    match broken {
        Broken::ProstheticScrew => prosthetic,
        Broken::AbutmentScrew => {
            let straight_on_implants =
                scene.restoration.as_ref().is_some_and(|r| r.retention == Retention::ScrewedToImplants);
            let mut wanted = if straight_on_implants {
                scene.all(Position::AbutmentScrew)
            } else {
                own(Position::AbutmentScrew).into_iter().collect()
            };
            wanted.extend(prosthetic);
            wanted
        }
        Broken::Abutment => {
            let mut wanted: Vec<Need<'_>> = own(Position::Abutment).into_iter().collect();
            wanted.extend(own(Position::AbutmentScrew));
            wanted.extend(prosthetic);
            wanted
        }
    }
}

/// What to lay out beside it in case the fragment does not come out: the part that holds it, and its own screw.
fn next_step<'s>(scene: &'s Scene<'_>, ask: &VisitQuestion) -> Vec<Need<'s>> {
    if ask.broken != Broken::ProstheticScrew || ask.left == Left::Nothing {
        return Vec::new();
    }
    let assembly = scene.assembly(scene.site);
    let screw = Fitted::at(assembly, Position::ProstheticScrew);
    let others = Fitted::others(assembly, Position::ProstheticScrew);
    let thread = screw
        .and_then(|s| s.part.ports.iter().find(|p| matches!(p, Port::Thread(t) if t.side == Side::Below)));
    let holder =
        thread.and_then(|port| mate_below(Position::ProstheticScrew, port, &others)).map(|(at, ..)| at);
    let mut next: Vec<Need<'_>> =
        scene.need(scene.site, holder.unwrap_or(Position::Abutment)).into_iter().collect();
    // Whatever else is loosened on the way is new as well.
    if holder == Some(Position::Abutment) {
        next.extend(scene.need(scene.site, Position::AbutmentScrew));
    }
    next
}

fn strays(scene: &Scene<'_>) -> Result<Vec<Stray>, ViewError> {
    let mut out = Vec::new();
    for tooth in &scene.order {
        let measures = scene.measures.get(tooth).map_or(&[][..], Vec::as_slice);
        for measure in measures {
            let now = Fitted::at(scene.assembly(*tooth), measure.position).filter(|f| f.part != measure.part);
            let Some(now) = now else { continue };
            let judged =
                judge_one(scene.view, measure, measures, scene.stands_on(), now.part.clone())?.judgement;
            if !judged.verdict.puts_it_back() {
                let why = judged.findings.first().map_or(String::new(), |f| f.effect.clone());
                let (now, built_on) = (now.part.code.clone(), measure.part.code.clone());
                out.push(Stray {
                    site: *tooth,
                    position: measure.position,
                    now,
                    built_on,
                    verdict: judged.verdict,
                    why,
                });
            }
        }
    }
    Ok(out)
}

fn rest_of_bridge(scene: &Scene<'_>, broken: Broken, events: &[Event]) -> Vec<String> {
    let mut lines = Vec::new();
    let others: Vec<Tooth> = scene.order.iter().copied().filter(|t| *t != scene.site).collect();
    if !others.is_empty() {
        let screwed = !scene.all(Position::ProstheticScrew).is_empty();
        let set = if screwed { ", and change the bridge's prosthetic screws as a set" } else { "" };
        lines.push(format!(
            "What holds the bridge at {} carried the load of {} meanwhile: check each joint for loosening and wear{set}.",
            teeth(&others),
            scene.site
        ));
    }
    let before: Vec<&Event> = events
        .iter()
        .filter(|e| e.tooth == Some(scene.site) && e.position == Some(broken.position()))
        .filter(|e| matches!(e.what, Happening::Broken | Happening::Loosened))
        .collect();
    if let Some(last) = before.iter().max_by_key(|e| e.on) {
        let times = if before.len() == 1 { "once".to_owned() } else { format!("{} times", before.len()) };
        lines.push(format!(
            "On record at {} in this position: broken or loose {times} before, last on {}.",
            scene.site,
            show_date(last.on)
        ));
    }
    if matches!(scene.case.load.grinding, Grinding::Possible | Grinding::Probable | Grinding::Definite) {
        let signs = scene.case.load.signs.as_ref().map_or(String::new(), |s| format!(" ({s})"));
        lines.push(format!(
            "Grinding: {}{signs}; splint: {}. There will be a next time.",
            scene.case.load.grinding, scene.case.load.splint
        ));
    }
    lines
}
