//! Parts that come in together under one restoration, and all that is said of them: 'fit', and 'swap --with'.

use super::bridge::Bridge;
use super::change::{Change, Turned, change};
use super::one::{add_numbers, has_its_seat, other_than_built_on, two_records};
use super::seated::{Drawn, Seated, seat};
use super::verdict::{Judged, Numbers, judge as verdict};
use crate::case::{Bands, CaseHead, Fitted};
use crate::catalog::{Part, Position};
use crate::matching::{
    Judgement, Level, Question, Together, Verdict, Verification, contradiction, judge, judge_set,
};
use crate::record::{FitWord, View, ViewError};
use crate::units::Tooth;
use crate::weakest::{AtOneSite, add_order};

/// A part that comes in, looked up: the site carries the restoration, and something is on record in the position.
#[allow(missing_docs)]
#[derive(Debug, Clone)]
pub struct WantedPart {
    pub site: Tooth,
    pub position: Position,
    pub part: Part,
}

/// What is said of a set.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Set {
    pub judged: Judged,
    pub seated: Result<Seated, Vec<String>>,
    /// Of each part that comes in; how far its seat moves, where it carries one.
    pub parts: Vec<(Judgement, Option<Change>)>,
}

/// Judges parts that come in together; the bridge is left on its new seats.
pub fn come_in(
    view: &View,
    case: &CaseHead,
    bridge: &mut Bridge,
    wanted: &[WantedPart],
    turned: impl Fn(Tooth) -> Turned,
    bands: &Bands,
) -> Result<Set, ViewError> {
    let (mut changes, mut as_drawn) = (Vec::new(), true);
    for WantedPart { site, position, part } in wanted {
        let fitted = bridge.fitted(*site, *position).filter(|_| *position == Position::Abutment);
        as_drawn &= fitted.is_none_or(|fitted| has_its_seat(&fitted.part, part));
        let change = fitted.map(|fitted| change(*site, fitted, part, turned(*site)));
        if let Some(change) = &change {
            bridge.changes(*site, change.clone());
        }
        changes.push(change);
    }
    let is_abutment = |w: &&WantedPart| w.position == Position::Abutment;
    let abutments: Vec<(Tooth, &Part)> =
        wanted.iter().filter(is_abutment).map(|w| (w.site, &w.part)).collect();
    let seated = seat(bridge).map(|s| s.drawn(bridge, bands, &Drawn::default()));
    let numbers = Numbers::of(bridge, &abutments, &seated, bands);
    let mut judgements = by_the_rules(view, bridge, wanted, &numbers)?;
    what_breaks_next(view, case, bridge, wanted, &mut judgements)?;
    let parts: Vec<_> = wanted.iter().zip(&judgements).map(|(w, j)| (w.site, &w.part, j)).collect();
    let judged = verdict(bridge, &parts, &seated, &numbers, bands);
    let strays = bridge.careful_beside(&wanted.iter().map(|w| w.site).collect::<Vec<_>>());
    for (w, judgement) in wanted.iter().zip(&mut judgements) {
        if w.position == Position::Abutment && judgement.verdict <= Verdict::FitsWithChanges {
            add_numbers(&numbers, bridge.stands_on(), as_drawn, &strays, judgement);
        }
    }
    Ok(Set { judged, seated, parts: judgements.into_iter().zip(changes).collect() })
}

/// A part that comes in with what it is held against.
struct Held {
    fitted: Fitted,
    verifications: Vec<Verification>,
    /// Its site as the restoration was built on it and as it stands now, each with all that comes in there.
    built_on: Vec<Fitted>,
    now: Vec<Fitted>,
}

/// Every part that comes in, judged among its mates as they will be; abutments together, as a set.
fn by_the_rules(
    view: &View,
    bridge: &Bridge,
    wanted: &[WantedPart],
    numbers: &Numbers,
) -> Result<Vec<Judgement>, ViewError> {
    let mut held = Vec::new();
    for one in wanted {
        let with = |assembly: &[Fitted]| {
            let mut assembly = assembly.to_vec();
            for other in wanted.iter().filter(|o| o.site == one.site && o.position != one.position) {
                for f in assembly.iter_mut().filter(|f| f.position == other.position) {
                    f.part = other.part.clone();
                }
            }
            assembly
        };
        let (built_on, now) = (with(bridge.built_on(one.site)), with(bridge.now(one.site)));
        let fitted = Fitted::at(&built_on, one.position).expect("looked up before").clone();
        let verifications = view.verifications(&fitted.part.code)?;
        held.push(Held { fitted, verifications, built_on, now });
    }
    let mut built = among(bridge, wanted, &held, |h| &h.built_on, numbers);
    let strays: Vec<_> =
        held.iter().zip(wanted).map(|(h, w)| other_than_built_on(&h.built_on, &h.now, w.position)).collect();
    if strays.iter().any(|s| !s.is_empty()) {
        let now = among(bridge, wanted, &held, |h| &h.now, numbers);
        for (n, stands) in strays.iter().enumerate().filter(|(_, s)| !s.is_empty()) {
            let says = |why: &str| two_records(wanted[n].site, stands, why);
            built[n] = contradiction(built[n].clone(), &now[n], says);
        }
    }
    Ok(built)
}

/// All of them among the parts of one record.
fn among(
    bridge: &Bridge,
    wanted: &[WantedPart],
    held: &[Held],
    record: impl Fn(&Held) -> &Vec<Fitted>,
    numbers: &Numbers,
) -> Vec<Judgement> {
    let others: Vec<Vec<_>> =
        held.iter().zip(wanted).map(|(h, w)| Fitted::others(record(h), w.position)).collect();
    let question = |n: usize| Question {
        position: wanted[n].position,
        fitted: &held[n].fitted.part,
        lean: &held[n].fitted.lean,
        others: &others[n],
        stands_on: bridge.stands_on(),
        candidate: &wanted[n].part,
        verifications: &held[n].verifications,
    };
    let (abutments, rest): (Vec<usize>, Vec<usize>) =
        (0..wanted.len()).partition(|n| wanted[*n].position == Position::Abutment);
    let set: Vec<Question<'_>> = abutments.iter().map(|n| question(*n)).collect();
    let sites: Vec<Tooth> = abutments.iter().map(|n| wanted[*n].site).collect();
    let axes = bridge.axes(&sites);
    let fit = match numbers.verdict {
        FitWord::KeepsTheFit | FitWord::CheckAtTryIn => Level::Change,
        FitWord::NotEnoughKnown => Level::Unknown,
        FitWord::DoesNotKeepTheFit => Level::Against,
    };
    let together = Together { whole: abutments.len() == bridge.carriers.len(), axes: axes.as_deref(), fit };
    let mut judged: Vec<(usize, Judgement)> =
        abutments.iter().copied().zip(judge_set(&set, &together)).collect();
    judged.extend(rest.into_iter().map(|n| (n, judge(&question(n)))));
    judged.sort_by_key(|(n, _)| *n);
    judged.into_iter().map(|(_, judgement)| judgement).collect()
}

/// At each site once, by everything that comes in there: what breaks next, where that is another part than before.
fn what_breaks_next(
    view: &View,
    case: &CaseHead,
    bridge: &Bridge,
    wanted: &[WantedPart],
    judgements: &mut [Judgement],
) -> Result<(), ViewError> {
    for (n, one) in wanted.iter().enumerate() {
        if wanted[n + 1..].iter().any(|later| later.site == one.site) {
            continue;
        }
        let with: Vec<(Position, &Part)> =
            wanted[..=n].iter().filter(|w| w.site == one.site).map(|w| (w.position, &w.part)).collect();
        let bites = AtOneSite::of(case, &bridge.restoration, one.site);
        add_order(view, Some(&bites), bridge.built_on(one.site), &with, &mut judgements[n])?;
    }
    Ok(())
}
