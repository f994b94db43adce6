//! Swap: which part may take the place of the one that is fitted.

use jiff::civil::Date;
use thiserror::Error;

use super::candidate::Candidate;
use super::fit::{Among, At, Bridge, Judging, Turned, WantedPart, come_in};
use super::laboratory;
use crate::case::{Bands, CaseHead, Fitted, Restoration, Sites};
use crate::cases::empty::{Empty, empties_at};
use crate::catalog::{Part, Port, Position};
use crate::desk::lookup::{self, NotFound};
use crate::desk::{ExitClass, Refusal, Refused};
use crate::lots::in_house::in_house;
use crate::matching::{Judgement, Question, StandsOn, Verdict, judge};
use crate::record::{View, ViewError};
use crate::units::{CaseNumber, PartCode, Tooth};

/// Beyond this many, parts that do not fit are only counted.
const SHOWN_THAT_DO_NOT_FIT: usize = 20;

/// Why there is no answer.
#[derive(Debug, Error)]
pub enum SwapError {
    /// Something named is not on record.
    #[error(transparent)]
    NotFound(#[from] NotFound),
    /// A set is judged for one restoration.
    #[error("{0} is not under the same restoration as {1}: a set is judged for one bridge")]
    OtherRestoration(Tooth, Tooth),
    /// The same site twice in a set.
    #[error("{0} stands twice in the set")]
    Twice(Tooth),
}

impl Refusal for SwapError {
    fn class(&self) -> ExitClass {
        match self {
            Self::NotFound(e) => e.class(),
            Self::OtherRestoration(..) | Self::Twice(_) => ExitClass::Typed,
        }
    }
}

/// The answer to a swap question.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Swap {
    pub case: CaseNumber,
    pub site: Tooth,
    pub position: Position,
    /// What the restoration was built on there: the measure of every candidate.
    pub fitted: Fitted,
    /// What is on record at this site by guess.
    pub guessed: Vec<(Tooth, Position)>,
    /// What stands there now, when that is something else.
    pub stands_there: Option<PartCode>,
    /// Nothing stands there now, and the restoration needs a part there.
    pub empty: Option<Empty>,
    pub stands_on: StandsOn,
    /// Something stands on the abutment, and no restoration is on record.
    pub restoration_not_on_record: bool,
    /// It is inside the bridge: what the laboratory needs to know.
    pub laboratory_work: Option<String>,
    /// What the laboratory needs for it.
    pub to_laboratory: Vec<String>,
    pub candidates: Vec<Candidate>,
    /// How many more do not fit.
    pub not_shown: usize,
}

impl Swap {
    /// Whether something puts the bridge back where it was.
    pub fn puts_it_back(&self) -> bool {
        self.candidates.iter().any(|c| c.judgement.verdict.puts_it_back())
    }
}

/// The parts of a kind whose system or interface meets one of the mates, and what the maker names.
fn codes(view: &View, fitted: &Fitted, others: &[(Position, &Part)]) -> Result<Vec<PartCode>, ViewError> {
    let mut codes = vec![fitted.part.code.clone()];
    codes.extend(fitted.part.replaced_by.clone());
    let mut systems = vec![&fitted.part.system];
    systems.extend(others.iter().map(|(_, p)| &p.system));
    systems.sort();
    systems.dedup();
    let seats = |part: &Part| -> Vec<_> {
        let seat = |p: &Port| if let Port::Seat(s) = p { Some(s.interface.clone()) } else { None };
        part.ports.iter().filter_map(seat).collect()
    };
    for kind in fitted.position.kinds() {
        for system in &systems {
            codes.extend(view.codes_by_system(*kind, system)?);
        }
        for interface in seats(&fitted.part) {
            codes.extend(view.codes_by_interface(*kind, &interface)?);
        }
    }
    codes.sort();
    codes.dedup();
    Ok(codes)
}

/// What the rules say of a part in place of the fitted one, among what the restoration was built on.
pub fn by_the_rules(
    view: &View,
    fitted: &Fitted,
    assembly: &[Fitted],
    stands_on: StandsOn,
    part: &Part,
) -> Result<Judgement, ViewError> {
    Ok(judge(&Question {
        position: fitted.position,
        fitted: &fitted.part,
        lean: &fitted.lean,
        others: &Fitted::others(assembly, fitted.position),
        stands_on,
        candidate: part,
        verifications: &view.verifications(&fitted.part.code)?,
    }))
}

/// Every candidate for the position of `fitted`, best first.
pub fn judge_all(
    view: &View,
    fitted: &Fitted,
    assembly: &[Fitted],
    at: &At<'_>,
    among: Among,
) -> Result<Vec<Candidate>, ViewError> {
    let others = Fitted::others(assembly, fitted.position);
    let mut candidates = Vec::new();
    for code in codes(view, fitted, &others)? {
        candidates.extend(at.judge_code(&code, among)?);
    }
    // What the fit and the order of failure add settles the verdict; among equals the rules' own order stays.
    candidates.sort_by_cached_key(|(rank, c)| {
        (c.judgement.verdict, *rank, c.in_house.is_empty(), c.part.code.clone())
    });
    Ok(candidates.into_iter().map(|(_, candidate)| candidate).collect())
}

/// The answer for a set of swaps under one bridge: site, fitted part, and the candidate for it.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct SwapSet {
    pub case: CaseNumber,
    pub position: Position,
    pub span: String,
    pub swaps: Vec<(Tooth, Fitted, Candidate)>,
    /// What is on record at these sites by guess.
    pub guessed: Vec<(Tooth, Position)>,
    /// What stands under this bridge now that it was not built on.
    pub careful: Vec<String>,
}

impl SwapSet {
    /// Whether the whole set puts the bridge back where it was.
    pub fn puts_it_back(&self) -> bool {
        self.swaps.iter().all(|(_, _, c)| c.judgement.verdict.puts_it_back())
    }
}

/// Judges swaps in one position at several sites of a bridge together.
pub fn answer_set(
    view: &View,
    number: &CaseNumber,
    position: Position,
    wanted: &[(String, PartCode)],
    today: Date,
) -> Result<SwapSet, Refused<SwapError>> {
    let case = lookup::case(view, number)?;
    let restorations = view.restorations(number)?;
    let mut wanted_parts: Vec<WantedPart> = Vec::new();
    let mut held: Vec<(Fitted, Vec<Fitted>, Vec<Fitted>)> = Vec::new();
    let mut bridge: Option<&Restoration> = None;
    for (site, code) in wanted {
        let site = lookup::site(&case, site)?;
        let own = lookup::restoration_at(&restorations, site);
        if let Some(first) = wanted_parts.first() {
            if bridge != own || own.is_none() {
                return Err(SwapError::OtherRestoration(site, first.site).into());
            }
            if wanted_parts.iter().any(|w| w.site == site) {
                return Err(SwapError::Twice(site).into());
            }
        }
        bridge = own;
        let now = view.assembly(number, site)?;
        let assembly = lookup::built_on(view, number, site, &now)?;
        let fitted = lookup::fitted(number, site, &assembly, position)?.clone();
        wanted_parts.push(WantedPart { site, position, part: lookup::part(view, code)? });
        held.push((fitted, assembly, now));
    }
    let guessed = lookup::guessed(wanted_parts.iter().zip(&held).map(|(w, (.., now))| (w.site, &now[..])));
    let mut careful = Vec::new();
    let judgements: Vec<Judgement> = match bridge {
        Some(restoration) => {
            let mut bridge = Bridge::of_record(view, &case, restoration)?;
            careful = bridge.careful();
            let bands = view.bands()?.unwrap_or_else(Bands::usual);
            let set = come_in(view, &case, &mut bridge, &wanted_parts, |_| Turned::NOT, &bands)?;
            set.parts.into_iter().map(|(judgement, _)| judgement).collect()
        }
        None => {
            let judging = Judging::of_record(view, &case, None)?;
            let mut judgements = Vec::new();
            for (w, (fitted, assembly, now)) in wanted_parts.iter().zip(&held) {
                let stands_on = lookup::stands_on(None, assembly);
                let at = judging.at(w.site, fitted, assembly, now, stands_on)?;
                judgements.push(at.judge(w.part.clone())?.1.judgement);
            }
            judgements
        }
    };
    let mut swaps = Vec::new();
    for ((w, judgement), (fitted, assembly, _)) in wanted_parts.into_iter().zip(judgements).zip(held) {
        let in_house = in_house(view, &w.part.code)?;
        let torque = Fitted::torque_asked(&assembly, position, &w.part);
        let candidate = Candidate { part: w.part, judgement, in_house, torque, held: Vec::new() };
        swaps.push((w.site, fitted, candidate.with_held(view, today)?));
    }
    let span = bridge.map_or(String::new(), Restoration::span);
    Ok(SwapSet { case: number.clone(), position, span, swaps, guessed, careful })
}

/// What stands in the position of `measure`, when it is not that part.
pub fn differs(assembly: &[Fitted], measure: &Fitted) -> Option<PartCode> {
    let now = Fitted::at(assembly, measure.position)?;
    (now.part != measure.part).then(|| now.part.code.clone())
}

/// Answers for one part, or for all there are.
pub fn answer(
    view: &View,
    number: &CaseNumber,
    site: &str,
    position: Position,
    only: Option<&PartCode>,
    today: Date,
) -> Result<Swap, Refused<SwapError>> {
    let case = lookup::case(view, number)?;
    let site = lookup::site(&case, site)?;
    let assembly = view.assembly(number, site)?;
    let measure = lookup::built_on(view, number, site, &assembly)?;
    let mut all =
        if Fitted::at(&assembly, position).is_some() { Vec::new() } else { empties_at(view, &case, site)? };
    let empty = all.iter().position(|e| e.site == site && e.position == position).map(|n| all.swap_remove(n));
    let fitted = match empty.as_ref().and_then(|e| e.known.fitted()) {
        Some(known) => known,
        None => {
            lookup::fitted(number, site, &assembly, position)?;
            lookup::fitted(number, site, &measure, position)?
        }
    };
    let stands_there = differs(&assembly, fitted);
    let restorations = view.restorations(number)?;
    let own = lookup::restoration_at(&restorations, site);
    let stands_on = lookup::stands_on(own, &measure);
    let restoration_not_on_record = own.is_none() && lookup::has_a_bridge(&measure);
    let judging = Judging::of_record(view, &case, own)?;
    let at = judging.at(site, fitted, &measure, &assembly, stands_on)?;
    let mut not_shown = 0;
    let mut candidates = match only {
        Some(code) => {
            lookup::part(view, code)?;
            let mut all = at.judge_code(code, Among::Catalogue)?;
            all.sort_by_cached_key(|(rank, c)| (c.judgement.verdict, *rank, c.in_house.is_empty()));
            all.into_iter().map(|(_, candidate)| candidate).collect()
        }
        None => {
            let mut all = judge_all(view, fitted, &measure, &at, Among::Catalogue)?;
            let fits = all.iter().filter(|c| c.judgement.verdict != Verdict::DoesNotFit).count();
            not_shown = all.len().saturating_sub(fits + SHOWN_THAT_DO_NOT_FIT);
            all.truncate(fits + SHOWN_THAT_DO_NOT_FIT);
            all
        }
    };
    if let Some(empty) = &empty {
        candidates.iter_mut().for_each(|c| empty.lower(&mut c.judgement));
    }
    let held = candidates.into_iter().map(|c| c.with_held(view, today));
    let candidates = held.collect::<Result<_, _>>()?;
    let inside = position.is_inside_bridge();
    let laboratory_work = match &fitted.part.made {
        Some(made) if inside => Some(format!(
            "laboratory work: this part is inside the bridge. {} made it, job {}; send the bridge with an analog for every abutment",
            made.laboratory, made.job
        )),
        None if inside => Some("laboratory work: this part is bonded inside the bridge. Send the bridge with an analog for every abutment".to_owned()),
        Some(made) if only.is_none() => Some(format!(
            "laboratory work: this part was made for this patient. {} makes it again under job {}",
            made.laboratory, made.job
        )),
        _ => None,
    };
    let to_laboratory = match laboratory_work {
        Some(_) => to_laboratory(view, &case, &restorations, site)?,
        None => Vec::new(),
    };
    Ok(Swap {
        case: number.clone(),
        site,
        position,
        fitted: fitted.clone(),
        guessed: lookup::guessed([(site, &assembly[..])].into_iter()),
        stands_there,
        empty: empty.clone(),
        stands_on,
        restoration_not_on_record,
        laboratory_work,
        to_laboratory,
        candidates,
        not_shown,
    })
}

/// What the laboratory needs for the restoration at a site, or for what stands there without one.
fn to_laboratory(
    view: &View,
    case: &CaseHead,
    restorations: &[Restoration],
    site: Tooth,
) -> Result<Vec<String>, Refused<SwapError>> {
    let restoration = lookup::restoration_at(restorations, site);
    let mut sites = Sites::new();
    for tooth in restoration.map_or(vec![site], |r| r.sites.clone()) {
        sites.insert(tooth, view.assembly(&case.number, tooth)?);
    }
    Ok(laboratory::needs(view, restoration, &sites, &case.load)?)
}
