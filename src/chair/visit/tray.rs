//! The tray: what to lay out, from which drawer, and what is not in the house.

use jiff::civil::Date;

use super::scene::{Need, Scene};
use crate::bench::candidate::Candidate;
use crate::bench::fit::Among;
use crate::bench::fit::Judging;
use crate::bench::swap::judge_all;
use crate::catalog::{Part, Position, TorqueAsked};
use crate::lots::holds::{self, Standing};
use crate::lots::in_house;
use crate::matching::{Finding, Judgement, Level, RECORD, Verdict};
use crate::record::{Shown, View, ViewError};
use crate::stock::{Pick, StockLine, pick};
use crate::units::{CaseNumber, Tooth};

/// What to do with a row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TrayUse {
    /// Lay it out.
    Take,
    /// Serves as well, should the first not do.
    Instead,
    /// Leave it in the drawer: it is listed so that nobody takes it by mistake.
    Leave,
}

impl TrayUse {
    /// The word on the screen.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Take => "take",
            Self::Instead => "or instead",
            Self::Leave => "leave",
        }
    }
}

/// A lot of a part in a drawer.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct TrayRow {
    pub usage: TrayUse,
    pub position: Position,
    pub sites: Vec<Tooth>,
    pub part: Part,
    /// What to set on the wrench.
    pub torque: TorqueAsked,
    pub judgement: Judgement,
    /// How many to take: none of what stays in the drawer.
    pub quantity: u32,
    pub pick: Pick,
}

impl TrayRow {
    /// Its units, one a site.
    pub fn units(&self) -> impl Iterator<Item = Shown> + '_ {
        self.sites.iter().map(|site| Shown {
            site: *site,
            position: self.position,
            part: self.part.code.clone(),
            lot: self.pick.lot.clone(),
            place: self.pick.place.clone(),
        })
    }
}

/// Something that is not in the house.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Missing {
    pub sites: Vec<Tooth>,
    pub position: Position,
    /// The part that is fitted there.
    pub fitted: Part,
    /// For which sites with the same need there was one.
    pub served: Vec<Tooth>,
    /// What comes nearest, in the house first; nothing that does not fit.
    pub nearest: Vec<Candidate>,
    /// What would do and lies in the house, set aside for other cases.
    pub held: Vec<Standing>,
    /// Why what lies in the house is not taken, where the record says two things of these sites.
    pub doubt: Option<String>,
}

/// The contradiction in the record that keeps a part in its drawer.
fn doubt(candidates: &[Candidate]) -> Option<String> {
    let here = candidates.iter().filter(|c| !c.in_house.is_empty());
    let finding = here.flat_map(|c| &c.judgement.findings).find(|f| f.rule == RECORD);
    finding.map(|f| f.effect.clone())
}

/// How many substitutes are worth reading with a patient in the chair.
const NEAREST: usize = 4;

/// For every need the best part of which enough lies in the house; what is left over is missing.
pub(super) fn lay_out(
    scene: &Scene<'_>,
    judging: &Judging<'_>,
    needs: &[Need<'_>],
) -> Result<(Vec<TrayRow>, Vec<Missing>), ViewError> {
    let (view, case, today) = (scene.view, &scene.case.number, scene.today);
    let mut chosen: Vec<Chosen> = Vec::new();
    let mut missing: Vec<Missing> = Vec::new();
    for need in needs {
        let candidates = free_candidates(scene, judging, need, Among::House)?;
        let taken = |c: &Candidate| chosen.iter().filter(|(g, ..)| g.part == c.part).count() as u32;
        let left = |c: &Candidate| c.usable(today) > taken(c);
        let Some(best) = candidates.iter().find(|c| c.judgement.verdict.puts_it_back() && left(c)) else {
            let position = need.fitted.position;
            let doubt = doubt(&candidates);
            let same = |m: &&mut Missing| {
                m.position == position && m.fitted == need.measure.part && m.doubt == doubt
            };
            match missing.iter_mut().find(same) {
                Some(m) => m.sites.push(need.site),
                None => {
                    let candidates = free_candidates(scene, judging, need, Among::Catalogue)?;
                    let held = held_for_others(view, case, &candidates, today)?;
                    missing.push(Missing { doubt, ..short_of(need, candidates, held, &chosen) });
                }
            }
            continue;
        };
        let chosen_one = (best.clone(), need.fitted.position, need.site, need.torque(&best.part));
        chosen.push(chosen_one);
    }
    Ok((rows_of(chosen, today), missing))
}

/// What goes where, in the order of the needs.
type Chosen = (Candidate, Position, Tooth, TorqueAsked);

/// Every candidate for a need, with what may be taken of it for this case.
fn free_candidates(
    scene: &Scene<'_>,
    judging: &Judging<'_>,
    need: &Need<'_>,
    among: Among,
) -> Result<Vec<Candidate>, ViewError> {
    let at = judging.at(need.site, need.measure, need.assembly, need.now, need.stands_on)?;
    let mut all = judge_all(scene.view, need.measure, need.assembly, &at, among)?;
    for candidate in all.iter_mut().filter(|c| !c.in_house.is_empty()) {
        let mut free =
            in_house::free(scene.view, &candidate.part.code, Some(&scene.case.number), scene.today)?;
        // Other lots of this part may have other numbers, and stand as a candidate of their own.
        free.retain(|l| candidate.in_house.iter().any(|its| its.lot == l.lot));
        candidate.in_house = free;
    }
    Ok(all)
}

/// Of what would put the bridge back: what is set aside for other cases.
fn held_for_others(
    view: &View,
    case: &CaseNumber,
    candidates: &[Candidate],
    today: Date,
) -> Result<Vec<Standing>, ViewError> {
    let mut held = Vec::new();
    for candidate in candidates.iter().filter(|c| c.judgement.verdict.puts_it_back()) {
        held.extend(holds::standing_on(view, &candidate.part.code, today)?);
    }
    held.retain(|s: &Standing| s.hold.case != *case && s.covered > 0);
    Ok(held)
}

/// What is missing for a need, with the substitutes that are left for it.
fn short_of(need: &Need<'_>, candidates: Vec<Candidate>, held: Vec<Standing>, chosen: &[Chosen]) -> Missing {
    let position = need.fitted.position;
    let on_tray = |c: &Candidate| chosen.iter().any(|(g, ..)| g.part.code == c.part.code);
    let served = chosen.iter().filter(|(_, at, ..)| *at == position).filter(|(g, ..)| {
        candidates.iter().any(|c| c.part.code == g.part.code && c.judgement.verdict.puts_it_back())
    });
    let served = served.map(|(_, _, site, _)| *site).collect();
    let mut nearest: Vec<Candidate> = candidates.into_iter().filter(|c| !on_tray(c)).collect();
    nearest.retain(|c| c.judgement.verdict != Verdict::DoesNotFit);
    nearest.sort_by_key(|c| c.in_house.is_empty());
    nearest.truncate(NEAREST);
    let (sites, fitted) = (vec![need.site], need.measure.part.clone());
    Missing { sites, position, fitted, served, nearest, held, doubt: None }
}

/// A row for each lot and drawer of what goes where; the sites that come first get what is taken first.
///
/// A set is one part in one position: its lots are chosen together, since nobody can tell them apart on the tray.
fn rows_of(chosen: Vec<Chosen>, today: Date) -> Vec<TrayRow> {
    let mut sets: Vec<(&Part, Position, Vec<Pick>)> = Vec::new();
    for (candidate, position, ..) in &chosen {
        let is_it = |part: &Part, at: Position| (part, at) == (&candidate.part, *position);
        if sets.iter().any(|(part, at, _)| is_it(part, *at)) {
            continue;
        }
        let wanted = chosen.iter().filter(|(c, at, ..)| is_it(&c.part, *at)).count() as u32;
        let gone = sets.iter().filter(|(part, ..)| *part == &candidate.part).flat_map(|(.., picks)| picks);
        let lines = without(&candidate.in_house, gone);
        sets.push((&candidate.part, *position, pick(&lines, wanted, today)));
    }
    let mut sets: Vec<(Part, Position, Vec<Pick>)> =
        sets.into_iter().map(|(part, at, picks)| (part.clone(), at, picks)).collect();
    let mut rows: Vec<TrayRow> = Vec::new();
    for (Candidate { part, judgement, .. }, position, site, torque) in chosen {
        let set = sets.iter_mut().filter(|(p, at, _)| (p, *at) == (&part, position));
        // As many as there are needs were found usable before.
        let Some(next) = set.flat_map(|(.., picks)| picks).find(|p| p.take > 0) else { continue };
        next.take -= 1;
        let same = |r: &&mut TrayRow| {
            (&r.part, r.position, &r.judgement, &r.torque) == (&part, position, &judgement, &torque)
                && (&r.pick.lot, &r.pick.place) == (&next.lot, &next.place)
        };
        match rows.iter_mut().find(same) {
            Some(row) => {
                row.sites.push(site);
                row.quantity += 1;
                row.pick.take += 1;
            }
            None => {
                let pick = Pick { take: 1, ..next.clone() };
                let (usage, sites) = (TrayUse::Take, vec![site]);
                rows.push(TrayRow { usage, position, sites, part, torque, judgement, quantity: 1, pick });
            }
        }
    }
    rows
}

/// What is left of a part's lines when another set has taken its units.
fn without<'p>(lines: &[StockLine], gone: impl Iterator<Item = &'p Pick>) -> Vec<StockLine> {
    let mut lines = lines.to_vec();
    for pick in gone {
        let its = |l: &&mut StockLine| l.lot == pick.lot && l.place.house() == Some(&pick.place);
        if let Some(line) = lines.iter_mut().find(its) {
            line.quantity -= i64::from(pick.take);
            line.own = (line.own - i64::from(pick.take)).max(0);
        }
    }
    lines
}

/// Goes into the same implant: worth a line even if it does not fit, lest somebody takes it by mistake.
fn could_be_mistaken(c: &Candidate) -> bool {
    let meets_nothing = |f: &Finding| f.level == Level::Against && f.rule == "mates";
    c.judgement.verdict != Verdict::DoesNotFit || !c.judgement.findings.iter().any(meets_nothing)
}

/// Every candidate in the house for one need, the first that puts the bridge back to be taken.
pub(super) fn alternatives(
    scene: &Scene<'_>,
    judging: &Judging<'_>,
    need: &Need<'_>,
) -> Result<Vec<TrayRow>, ViewError> {
    let mut rows = Vec::new();
    let mut found = false;
    for candidate in
        free_candidates(scene, judging, need, Among::House)?.into_iter().filter(could_be_mistaken)
    {
        let Some(pick) = pick(&candidate.in_house, 1, scene.today).into_iter().next() else { continue };
        let fits = candidate.judgement.verdict.puts_it_back();
        let usage = match (fits, found) {
            (true, false) => TrayUse::Take,
            (true, true) => TrayUse::Instead,
            (false, _) => TrayUse::Leave,
        };
        found |= fits;
        rows.push(TrayRow {
            usage,
            position: need.fitted.position,
            sites: vec![need.site],
            torque: need.torque(&candidate.part),
            part: candidate.part,
            judgement: candidate.judgement,
            quantity: u32::from(usage == TrayUse::Take),
            pick,
        });
    }
    Ok(rows)
}
