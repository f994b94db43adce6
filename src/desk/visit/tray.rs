//! The tray: what to lay out, from which drawer, and what is not in the house.

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::super::fit::add_gaps;
use super::super::swap::{Candidate, judge_all};
use super::super::weakest::{AtOneSite, add_order};
use super::scene::Scene;
use crate::case::{Bands, Fitted};
use crate::catalog::{Part, Position, TorqueSpec};
use crate::matching::{Finding, Judgement, Level, StandsOn, Verdict};
use crate::record::{Shown, View, ViewError};
use crate::stock::{Pick, pick};
use crate::units::{PartCode, Tooth};

/// A part that must be new.
pub(super) struct Need<'a> {
    pub site: Tooth,
    /// What stands there now: its drive is the one to undo.
    pub fitted: &'a Fitted,
    /// What the restoration was built on: a new part is held against this.
    pub measure: &'a Fitted,
    pub assembly: &'a [Fitted],
    pub stands_on: StandsOn,
}

/// What to do with a row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Use {
    /// Lay it out.
    Take,
    /// Serves as well, should the first not do.
    Instead,
    /// Leave it in the drawer: it is listed so that nobody takes it by mistake.
    Leave,
}

impl Use {
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
    pub usage: Use,
    pub position: Position,
    pub sites: Vec<Tooth>,
    pub part: Part,
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

    /// What to set on the wrench.
    pub fn torque(&self) -> &TorqueSpec {
        &self.part.torque
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
}

/// How many substitutes are worth reading with a patient in the chair.
const NEAREST: usize = 4;

/// For every need the best part of which enough lies in the house; what is left over is missing.
pub(super) fn lay_out(
    view: &View,
    needs: &[Need<'_>],
    today: Date,
) -> Result<(Vec<TrayRow>, Vec<Missing>), ViewError> {
    let mut taken: BTreeMap<PartCode, u32> = BTreeMap::new();
    let mut groups: Vec<(Candidate, Position, Vec<Tooth>)> = Vec::new();
    let mut missing: Vec<Missing> = Vec::new();
    for need in needs {
        let candidates = judge_all(view, need.measure, need.assembly, need.stands_on)?;
        let left = |c: &Candidate| c.usable(today) > taken.get(&c.part.code).copied().unwrap_or(0);
        let Some(best) = candidates.iter().find(|c| c.judgement.verdict.puts_it_back() && left(c)) else {
            let position = need.fitted.position;
            let same = |m: &&mut Missing| m.position == position && m.fitted == need.measure.part;
            match missing.iter_mut().find(same) {
                Some(m) => m.sites.push(need.site),
                None => missing.push(short_of(need, candidates, &groups)),
            }
            continue;
        };
        *taken.entry(best.part.code.clone()).or_default() += 1;
        let same = |(c, at, _): &&mut (Candidate, Position, Vec<Tooth>)| {
            c.part.code == best.part.code && c.judgement == best.judgement && *at == need.fitted.position
        };
        match groups.iter_mut().find(same) {
            Some((.., sites)) => sites.push(need.site),
            None => groups.push((best.clone(), need.fitted.position, vec![need.site])),
        }
    }
    Ok((rows_of(groups, today), missing))
}

/// What is missing for a need, with the substitutes that are left for it.
fn short_of(
    need: &Need<'_>,
    candidates: Vec<Candidate>,
    groups: &[(Candidate, Position, Vec<Tooth>)],
) -> Missing {
    let position = need.fitted.position;
    let on_tray = |c: &Candidate| groups.iter().any(|(g, ..)| g.part.code == c.part.code);
    let served = groups.iter().filter(|(_, at, _)| *at == position).filter(|(g, ..)| {
        candidates.iter().any(|c| c.part.code == g.part.code && c.judgement.verdict.puts_it_back())
    });
    let served = served.flat_map(|(.., sites)| sites.iter().copied()).collect();
    let mut nearest: Vec<Candidate> = candidates.into_iter().filter(|c| !on_tray(c)).collect();
    nearest.retain(|c| c.judgement.verdict != Verdict::DoesNotFit);
    nearest.sort_by_key(|c| c.in_house.is_empty());
    nearest.truncate(NEAREST);
    Missing { sites: vec![need.site], position, fitted: need.measure.part.clone(), served, nearest }
}

/// The groups as rows, a row a lot and drawer.
fn rows_of(groups: Vec<(Candidate, Position, Vec<Tooth>)>, today: Date) -> Vec<TrayRow> {
    let mut rows = Vec::new();
    let mut given: BTreeMap<PartCode, u32> = BTreeMap::new();
    for (candidate, position, sites) in groups {
        // The same part may serve two groups: the second continues where the first stopped.
        let before = given.entry(candidate.part.code.clone()).or_default();
        let wanted = sites.len() as u32;
        let mut skip = *before;
        *before += wanted;
        let mut sites = sites.into_iter();
        for mut pick in pick(&candidate.in_house, skip + wanted, today) {
            let passed = skip.min(pick.take);
            skip -= passed;
            pick.take -= passed;
            if pick.take > 0 {
                let sites = sites.by_ref().take(pick.take as usize).collect();
                let (part, judgement) = (candidate.part.clone(), candidate.judgement.clone());
                rows.push(TrayRow {
                    usage: Use::Take,
                    position,
                    sites,
                    part,
                    judgement,
                    quantity: pick.take,
                    pick,
                });
            }
        }
    }
    rows
}

/// Goes into the same implant: worth a line even if it does not fit, lest somebody takes it by mistake.
fn could_be_mistaken(c: &Candidate) -> bool {
    let meets_nothing = |f: &Finding| f.level == Level::Against && f.rule == "mates";
    c.judgement.verdict != Verdict::DoesNotFit || !c.judgement.findings.iter().any(meets_nothing)
}

/// Every candidate in the house for one need, the first that puts the bridge back to be taken.
///
/// What would move a seat of the bridge says how far the bridge would gape; what would change what breaks next says so.
pub(super) fn alternatives(scene: &Scene<'_>, need: &Need<'_>) -> Result<Vec<TrayRow>, ViewError> {
    let (view, bridge) = (scene.view, scene.bridge());
    let bites = scene.restoration.as_ref().and_then(|r| AtOneSite::of(&scene.case, r, need.site));
    let bands = view.bands()?.unwrap_or_else(Bands::usual);
    let mut rows = Vec::new();
    let mut found = false;
    for mut candidate in
        judge_all(view, need.measure, need.assembly, need.stands_on)?.into_iter().filter(could_be_mistaken)
    {
        let Some(pick) = pick(&candidate.in_house, 1, scene.today).into_iter().next() else { continue };
        if let Some(bridge) = &bridge {
            add_gaps(bridge, need.site, need.measure, &mut candidate, &bands);
        }
        let swapped = (need.measure.position, &candidate.part);
        add_order(view, bites.as_ref(), need.assembly, &[swapped], &mut candidate.judgement)?;
        let fits = candidate.judgement.verdict.puts_it_back();
        let usage = match (fits, found) {
            (true, false) => Use::Take,
            (true, true) => Use::Instead,
            (false, _) => Use::Leave,
        };
        found |= fits;
        rows.push(TrayRow {
            usage,
            position: need.fitted.position,
            sites: vec![need.site],
            part: candidate.part,
            judgement: candidate.judgement,
            quantity: u32::from(usage == Use::Take),
            pick,
        });
    }
    Ok(rows)
}
