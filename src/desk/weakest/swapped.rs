//! What another part does to the order at its site: a finding for whoever compares parts.

use super::loads::{Biting, Said};
use super::members::{Class, SitePart, site_parts};
use super::order::Order;
use super::{Site, Spread, margins, orders};
use crate::case::{CaseHead, Fitted, Restoration};
use crate::catalog::Part;
use crate::matching::{Finding, Judgement, Level, Verdict};
use crate::mechanics::margin::AtSite;
use crate::record::{View, ViewError};
use crate::units::Tooth;

const RULE: &str = "weakest-link";
const SOURCE: &str = "the reachable screw over the abutment should go first, the implant never (common practice, no source); the factors by this tool's own model, 'spareseat weakest' prints what it rests on";
/// A reserve that falls by more than this part is loud.
const LOUD: f64 = 0.1;

/// The bites on a site of a restoration, to hold one part after another against.
pub struct AtOneSite {
    loads: Vec<AtSite>,
    site: Tooth,
}

impl AtOneSite {
    /// None where the restoration cannot be loaded: its crown height or its place is not on record.
    pub fn of(case: &CaseHead, restoration: &Restoration, site: Tooth) -> Option<Self> {
        let height_mm = restoration.crown_height.known()?.number();
        let biting = Biting::of(case, restoration, height_mm, Said::default()).ok()?;
        let sites_mm: Vec<[f64; 2]> = biting.places.sites.iter().map(|p| p.plane).collect();
        let n = biting.places.sites.iter().position(|p| p.site == site)?;
        Some(Self { loads: Spread::of(&biting, &sites_mm).ok()?.at(n), site })
    }

    /// What breaks first at the site with this assembly; none where nothing of it can be modelled.
    fn order(&self, parts: Vec<SitePart>) -> Option<Order> {
        let parts = Ok(margins(parts, &self.loads).ok()?);
        Some(orders(&[Site { site: self.site, assembly: Vec::new(), parts }]).0)
    }

    /// The finding for an assembly in which parts were exchanged.
    fn finding(
        &self,
        view: &View,
        before: &[Fitted],
        after: &[Fitted],
    ) -> Result<Option<Finding>, ViewError> {
        let (Ok(old), Ok(new)) = (site_parts(view, before)?, site_parts(view, after)?) else {
            return Ok(None);
        };
        let members = |parts: &[SitePart]| -> Vec<_> {
            parts.iter().map(|p| (p.class, p.below_mm, p.member.clone().ok())).collect()
        };
        if members(&old) == members(&new) {
            return Ok(None);
        }
        // An order from which a part dropped out for want of a number is no other order.
        let lacks = |parts: &[SitePart]| parts.iter().find_map(|p| p.member.clone().err());
        if let Some(missing) = lacks(&new).or_else(|| lacks(&old)) {
            let effect = format!("what would break next with it is not told: {missing}");
            return Ok(Some(finding(Level::Note, String::new(), String::new(), effect)));
        }
        let (Some(old), Some(new)) = (self.order(old), self.order(new)) else { return Ok(None) };
        Ok(compare(&old, &new))
    }
}

fn finding(level: Level, fitted: String, candidate: String, effect: String) -> Finding {
    Finding { rule: RULE, level, fitted, candidate, effect, source: SOURCE, steps: 0 }
}

fn compare(old: &Order, new: &Order) -> Option<Finding> {
    let [was, is] = [old, new].map(|o| o.first.words());
    let deeper = new.first.classes().iter().any(|c| c.is_deep() && !old.first.classes().contains(c));
    if deeper {
        let what = if new.first.classes().contains(&Class::Neck) {
            "the implant itself may go before a screw does: that is the one part that cannot be swapped"
        } else {
            "what goes first then sits in the implant, not over the abutment: the next failure costs more than a screw"
        };
        return Some(finding(
            Level::Change,
            format!("first: {was}"),
            format!("first: {is}"),
            what.to_owned(),
        ));
    }
    let falls = old.reserve().into_iter().zip(new.reserve()).filter_map(|(a, b)| Some(b? / a? - 1.0));
    if let Some(fall) = falls.reduce(f64::min).filter(|f| *f < -LOUD) {
        let effect = format!(
            "the reserve of the implant's neck over the weakest screw falls by {:.0} %: the screws protect the implant less",
            -fall * 100.0
        );
        return Some(finding(Level::Change, reserve(old), reserve(new), effect));
    }
    if old.first != new.first {
        let effect = "what breaks first here changes".to_owned();
        return Some(finding(Level::Note, format!("first: {was}"), format!("first: {is}"), effect));
    }
    None
}

fn reserve(order: &Order) -> String {
    let known = || order.reserve().into_iter().flatten();
    match (known().reduce(f64::min), known().reduce(f64::max)) {
        (Some(low), Some(high)) => {
            format!("the neck bears {low:.2} times to {high:.2} times what the weakest screw bears")
        }
        _ => "not modelled".to_owned(),
    }
}

/// Adds to a judgement what the part does to the order at its site; `with` are all parts that come in there.
pub fn add_order(
    view: &View,
    bites: Option<&AtOneSite>,
    assembly: &[Fitted],
    with: &[(crate::catalog::Position, &Part)],
    judgement: &mut Judgement,
) -> Result<(), ViewError> {
    let Some(bites) = bites.filter(|_| judgement.verdict != Verdict::DoesNotFit) else { return Ok(()) };
    let mut after = assembly.to_vec();
    for fitted in &mut after {
        if let Some((_, part)) = with.iter().find(|(position, _)| *position == fitted.position) {
            fitted.part = (*part).clone();
        }
    }
    if let Some(finding) = bites.finding(view, assembly, &after)? {
        judgement.add(finding);
    }
    Ok(())
}
