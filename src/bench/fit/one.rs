//! One part that comes in, and all that is said of it: the rules, what breaks next, the fit.
//!
//! `swap`, `fit` and `visit` take it from here, so that they say one thing of one part.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

use super::bridge::Bridge;
use super::change::{Turned, change};
use super::seated::{Drawn, seat};
use super::verdict::{ANSWERED, Numbers};
use super::words::gaps_finding;
use crate::bench::candidate::Candidate;
use crate::case::{Bands, CaseHead, Fitted, Restoration, Sites};
use crate::catalog::{Part, Position};
use crate::lots::editions::{self, Numbered};
use crate::lots::in_house::in_house;
use crate::matching::{
    Finding, Judgement, Level, Question, RECORD, StandsOn, Verdict, Verification, contradiction, judge, rank,
};
use crate::record::{FitWord, View, ViewError};
use crate::stock::StockLine;
use crate::units::{PartCode, Tooth};
use crate::weakest::{AtOneSite, add_order};

/// The rule of what the fit comes to.
pub const FIT: &str = "fit";

/// How many reasons of the fit stand in its sentence.
pub const REASONS: usize = 3;

/// A restoration, or none, under which parts are judged one by one.
pub struct Judging<'a> {
    view: &'a View,
    case: &'a CaseHead,
    restoration: Option<&'a Restoration>,
    bridge: Option<Bridge>,
    bands: Bands,
    drawn: Drawn,
    lines: RefCell<BTreeMap<PartCode, Vec<StockLine>>>,
    numbered: RefCell<BTreeMap<PartCode, Rc<Vec<Numbered>>>>,
}

/// A position at one of its sites.
pub struct At<'a> {
    judging: &'a Judging<'a>,
    site: Tooth,
    /// What the restoration was built on there.
    fitted: &'a Fitted,
    /// The whole assembly as the restoration was built on it.
    built_on: &'a [Fitted],
    /// The assembly as it stands there now.
    now: &'a [Fitted],
    stands_on: StandsOn,
    verifications: Vec<Verification>,
    bites: Option<AtOneSite>,
}

impl<'a> Judging<'a> {
    /// Under `restoration`, whose sites have these assemblies.
    pub fn of(
        view: &'a View,
        case: &'a CaseHead,
        restoration: Option<&'a Restoration>,
        now: &Sites,
        built_on: &Sites,
    ) -> Result<Self, ViewError> {
        let bridge = restoration.map(|r| Bridge::of(case, r, now, built_on));
        Self::new(view, case, restoration, bridge)
    }

    /// As the view has it.
    pub fn of_record(
        view: &'a View,
        case: &'a CaseHead,
        restoration: Option<&'a Restoration>,
    ) -> Result<Self, ViewError> {
        let bridge = restoration.map(|r| Bridge::of_record(view, case, r)).transpose()?;
        Self::new(view, case, restoration, bridge)
    }

    fn new(
        view: &'a View,
        case: &'a CaseHead,
        restoration: Option<&'a Restoration>,
        bridge: Option<Bridge>,
    ) -> Result<Self, ViewError> {
        let bands = view.bands()?.unwrap_or_else(Bands::usual);
        Ok(Self {
            view,
            case,
            restoration,
            bridge,
            bands,
            drawn: Drawn::default(),
            lines: RefCell::default(),
            numbered: RefCell::default(),
        })
    }

    /// A part by the numbers that it and its lots have, with what lies in the house: looked up once an answer.
    fn numbered(&self, code: &PartCode, among: Among) -> Result<Rc<Vec<Numbered>>, ViewError> {
        if let Some(known) = self.numbered.borrow().get(code) {
            return Ok(Rc::clone(known));
        }
        let known = self.lines.borrow().get(code).cloned();
        let lines = known.map_or_else(|| in_house(self.view, code), Ok)?;
        if among == Among::House && lines.is_empty() {
            self.lines.borrow_mut().insert(code.clone(), lines);
            return Ok(Rc::default());
        }
        let found = Rc::new(editions::by_numbers(self.view, code, lines)?);
        self.numbered.borrow_mut().insert(code.clone(), Rc::clone(&found));
        Ok(found)
    }

    /// In the position of `fitted`.
    pub fn at(
        &'a self,
        site: Tooth,
        fitted: &'a Fitted,
        built_on: &'a [Fitted],
        now: &'a [Fitted],
        stands_on: StandsOn,
    ) -> Result<At<'a>, ViewError> {
        let verifications = self.view.verifications(&fitted.part.code)?;
        let bites = self.restoration.map(|r| AtOneSite::of(self.case, r, site));
        Ok(At { judging: self, site, fitted, built_on, now, stands_on, verifications, bites })
    }
}

/// Which parts are judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Among {
    /// All there are.
    Catalogue,
    /// Those of which something lies in the house, expired or not.
    House,
}

/// Where a candidate stands in a list, by what the rules alone say of it.
pub type Rank = (Verdict, [usize; 4], u64, usize);

impl At<'_> {
    /// What is said of `part` in this position, and its rank.
    pub fn judge(&self, part: Part) -> Result<(Rank, Candidate), ViewError> {
        let lines = in_house(self.judging.view, &part.code)?;
        self.judge_with(part, lines)
    }

    /// What is said of a part by today's numbers, and by those that lots of it in the house came under.
    pub fn judge_code(&self, code: &PartCode, among: Among) -> Result<Vec<(Rank, Candidate)>, ViewError> {
        let numbered = self.judging.numbered(code, among)?;
        let judged = numbered.iter().filter(|n| among == Among::Catalogue || !n.lines.is_empty());
        let one = |n: &Numbered| {
            let (rank, mut candidate) = self.judge_with(n.part.clone(), n.lines.clone())?;
            let earlier = n.edition.map(|edition| editions::came_earlier(edition, &n.lines));
            earlier.into_iter().for_each(|finding| candidate.judgement.add(finding));
            Ok((rank, candidate))
        };
        judged.map(one).collect()
    }

    /// The same of one set of a part's numbers, with what lies in the house of it.
    fn judge_with(&self, part: Part, in_house: Vec<StockLine>) -> Result<(Rank, Candidate), ViewError> {
        let view = self.judging.view;
        let mut judgement = self.by_the_rules(&part);
        let rank = rank(&judgement);
        let position = self.fitted.position;
        // The very same part breaks as the very same part does.
        if judgement.verdict != Verdict::SamePart {
            add_order(view, self.bites.as_ref(), self.built_on, &[(position, &part)], &mut judgement)?;
        }
        self.add_fit(&part, &mut judgement);
        let torque = Fitted::torque_asked(self.built_on, position, &part);
        Ok((rank, Candidate { part, judgement, in_house, torque, held: Vec::new() }))
    }

    fn by_the_rules(&self, part: &Part) -> Judgement {
        let position = self.fitted.position;
        let among = |assembly: &[Fitted]| {
            let others = Fitted::others(assembly, position);
            judge(&Question {
                position,
                fitted: &self.fitted.part,
                lean: &self.fitted.lean,
                others: &others,
                stands_on: self.stands_on,
                candidate: part,
                verifications: &self.verifications,
            })
        };
        let built = among(self.built_on);
        let stands = other_than_built_on(self.built_on, self.now, position);
        if stands.is_empty() {
            return built;
        }
        contradiction(built, &among(self.now), |why| two_records(self.site, &stands, why))
    }

    fn add_fit(&self, part: &Part, judgement: &mut Judgement) {
        if self.fitted.position != Position::Abutment || self.stands_on == StandsOn::Nothing {
            return;
        }
        let may_go_in = judgement.verdict <= Verdict::FitsWithChanges;
        let Some(bridge) = &self.judging.bridge else {
            if may_go_in {
                add_numbers(&not_on_record(self.site), self.stands_on, false, &[], judgement);
            }
            return;
        };
        let moves = |f: &Finding| f.level == Level::Against && ANSWERED.contains(&f.rule);
        let moved = judgement.findings.iter().rposition(moves);
        if !may_go_in && moved.is_none() {
            return;
        }
        let mut bridge = bridge.clone();
        bridge.changes(self.site, change(self.site, self.fitted, part, Turned::NOT));
        let seated = seat(&bridge);
        if may_go_in {
            let seated = seated.map(|s| s.drawn(&bridge, &self.judging.bands, &self.judging.drawn));
            let numbers = Numbers::of(&bridge, &[(self.site, part)], &seated, &self.judging.bands);
            let as_drawn = has_its_seat(&self.fitted.part, part);
            add_numbers(&numbers, self.stands_on, as_drawn, &bridge.careful_beside(&[self.site]), judgement);
        } else if let (Some(last), Ok(seated)) = (moved, seated)
            && self.stands_on == StandsOn::Bridge
            && let Some(gaps) = gaps_finding(&seated, self.site, &self.judging.bands)
        {
            judgement.findings.insert(last + 1, gaps);
        }
    }
}

/// What the numbers come to, as a finding: of another part it lowers the verdict, the very same part stays the same.
///
/// So does another code whose seat is by its drawing exactly where the fitted part's is (`as_drawn`).
///
/// Where even the same part does not keep the fit because of what stands at other sites now (`strays`), the record says of
/// one bridge that it sits and that it cannot.
pub(super) fn add_numbers(
    numbers: &Numbers,
    stands_on: StandsOn,
    as_drawn: bool,
    strays: &[String],
    judgement: &mut Judgement,
) {
    let same = judgement.verdict == Verdict::SamePart;
    let level = match numbers.verdict {
        _ if same => Level::Note,
        // By its drawing its seat is where the fitted one's is: it is as likely to keep the fit as another piece of that.
        FitWord::CheckAtTryIn if as_drawn && judgement.verdict == Verdict::LikeForLike => Level::Note,
        FitWord::KeepsTheFit => Level::Note,
        FitWord::CheckAtTryIn => Level::Change,
        FitWord::NotEnoughKnown => Level::Unknown,
        FitWord::DoesNotKeepTheFit => Level::Against,
    };
    if same && numbers.verdict == FitWord::DoesNotKeepTheFit && !strays.is_empty() {
        judgement.add(of_record(format!("the record contradicts itself: {}", strays.join("; "))));
    }
    let test = match stands_on {
        StandsOn::Bridge => "; one-screw test before the second screw goes in",
        _ => "",
    };
    judgement.add(Finding {
        rule: FIT,
        level,
        fitted: String::new(),
        candidate: String::new(),
        effect: format!("the fit: {}{test}", numbers.sentence(REASONS)),
        source: "geometry: a rigid bridge that was passive as built, on flat rings; 'spareseat fit' prints the numbers",
        steps: 0,
    });
}

/// Whether both seats stand, by their drawings, in exactly one place.
pub(super) fn has_its_seat(fitted: &Part, part: &Part) -> bool {
    fitted.seat_height.same(&part.seat_height) == Some(true)
        && fitted.offset.same(&part.offset) == Some(true)
        && fitted.angle.same(&part.angle) == Some(true)
}

/// Something stands on it, and nobody recorded what.
fn not_on_record(site: Tooth) -> Numbers {
    Numbers {
        verdict: FitWord::NotEnoughKnown,
        judged_by: None,
        because: vec![format!(
            "not known: which restoration stands at {site}, and on which other sites: record it first"
        )],
    }
}

/// The parts beside `position` that are not those the restoration was built on: what it was built on, what stands now.
pub(super) fn other_than_built_on<'f>(
    built_on: &'f [Fitted],
    now: &'f [Fitted],
    position: Position,
) -> Vec<(&'f Fitted, &'f Fitted)> {
    let pairs = now.iter().filter_map(|n| Some((Fitted::at(built_on, n.position)?, n)));
    pairs.filter(|(built, now)| now.position != position && !built.part.is_same_as(&now.part)).collect()
}

/// The record says two things of one site.
pub(super) fn two_records(site: Tooth, stands: &[(&Fitted, &Fitted)], why: &str) -> Finding {
    let each: Vec<String> = stands
        .iter()
        .map(|(built, now)| {
            format!(
                "as {} at {site} {} is on record now, and the restoration was built on {}",
                now.position.words(),
                now.part.code,
                built.part.code
            )
        })
        .collect();
    of_record(format!(
        "the record contradicts itself: {}; with the one, {why}. Look at what stands there and correct the record",
        each.join("; ")
    ))
}

fn of_record(effect: String) -> Finding {
    Finding {
        rule: RECORD,
        level: Level::Unknown,
        fitted: String::new(),
        candidate: String::new(),
        effect,
        source: "our own rule: nothing fits on missing data",
        steps: 0,
    }
}
