//! What another part does to the order at its site: a finding for whoever compares parts.

use super::loads::{Biting, LoadSaid};
use super::members::{Class, SitePart, site_parts};
use super::order::Order;
use super::{Site, Spread, margins, orders};
use crate::case::{CaseHead, Fitted, Restoration};
use crate::catalog::{Part, Position, Side};
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
    /// Or why nothing can be loaded.
    loads: Result<Vec<AtSite>, String>,
    site: Tooth,
}

impl AtOneSite {
    /// Of a restoration at one of its sites.
    pub fn of(case: &CaseHead, restoration: &Restoration, site: Tooth) -> Self {
        Self { loads: loads(case, restoration, site), site }
    }

    /// What breaks first at the site with this assembly, or why that is not told.
    fn order(&self, parts: Vec<SitePart>) -> Result<Order, String> {
        // An order from which a part dropped out for want of a number is no order.
        if let Some(missing) = parts.iter().find_map(|p| p.member.clone().err()) {
            return Err(missing);
        }
        let parts = Ok(margins(parts, self.loads.as_ref()?).map_err(|e| e.to_string())?);
        Ok(orders(&[Site { site: self.site, assembly: Vec::new(), parts }]).0)
    }

    /// The finding for an assembly in which parts were exchanged.
    fn finding(
        &self,
        view: &View,
        before: &[Fitted],
        after: &[Fitted],
    ) -> Result<Option<Finding>, ViewError> {
        let (old, new) = (site_parts(view, before)?, site_parts(view, after)?);
        let members = |parts: &[SitePart]| -> Vec<_> {
            parts.iter().map(|p| (p.class, p.below_mm, p.member.clone().ok())).collect()
        };
        if let Some(missing) = ring_lacking(before, after) {
            return Ok(Some(not_compared(&missing)));
        }
        let compared = match (old, new) {
            // What lacks a number in both and is else the same breaks as it did, wherever that is.
            (Ok(old), Ok(new)) if members(&old) == members(&new) => return Ok(None),
            (Err(_), Err(_)) => return Ok(None),
            (Ok(old), Ok(new)) => self.order(new).and_then(|new| Ok((self.order(old)?, new))),
            (Err(missing), _) | (_, Err(missing)) => Err(missing),
        };
        Ok(match compared {
            Ok((old, new)) => compare(&old, &new),
            Err(missing) => Some(not_compared(&missing)),
        })
    }
}

/// A number of a seat's ring that nobody stated of a part that goes or of one that comes. What it bears on has a ring as
/// well, but how much of that it covers is then not known.
fn ring_lacking(before: &[Fitted], after: &[Fitted]) -> Option<String> {
    let exchanged = before.iter().zip(after).filter(|(b, a)| b.part != a.part);
    let lacks = |part: &Part| {
        [(Side::Below, "lower"), (Side::Above, "upper")].into_iter().find_map(|(side, which)| {
            let seat = part.seat(side)?;
            let rings = [(&seat.outer, "outer"), (&seat.inner, "inner")];
            let (_, what) = rings.into_iter().find(|(ring, _)| ring.known().is_none())?;
            Some(format!("the {what} diameter of the {which} seat of {} is not on record", part.code))
        })
    };
    exchanged.flat_map(|(b, a)| [&a.part, &b.part]).find_map(lacks)
}

fn not_compared(missing: &str) -> Finding {
    let effect = format!("what would break next with it cannot be compared: {missing}");
    finding(Level::Change, String::new(), String::new(), effect)
}

/// The loads of every bite at one site.
fn loads(case: &CaseHead, restoration: &Restoration, site: Tooth) -> Result<Vec<AtSite>, String> {
    let height = restoration.crown_height.known();
    let height =
        height.ok_or_else(|| format!("the crown height of {} is not on record", restoration.span()))?;
    let biting =
        Biting::of(case, restoration, height.number(), LoadSaid::default()).map_err(|e| e.to_string())?;
    let sites_mm: Vec<[f64; 2]> = biting.places.sites.iter().map(|p| p.plane).collect();
    let at = biting.places.sites.iter().position(|p| p.site == site);
    let at = at.ok_or_else(|| format!("{site} does not carry {}", restoration.span()))?;
    Ok(Spread::of(&biting, &sites_mm).map_err(|e| e.to_string())?.at(at))
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
        return Some(finding(Level::Change, format!("first: {was}"), format!("first: {is}"), effect));
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
    with: &[(Position, &Part)],
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mechanics::margin::Factor;
    use crate::units::PartCode;

    fn order(all: &[(Class, f64)]) -> Order {
        let (site, code) = (Tooth::from_iso(25).unwrap(), PartCode::new("a-part").unwrap());
        let factor = |at: f64| Factor { at: [Some(at); 3], ruled_by: Some(0) };
        Order::of(all.iter().map(|(class, at)| (*class, site, &code, factor(*at))))
    }

    /// Whatever goes first instead, and however little else changes: somebody relies on which part that is.
    #[test]
    fn a_weakest_link_that_changes_is_never_only_a_note() {
        let abutment_first =
            order(&[(Class::OnePiece, 2.0), (Class::ProstheticScrew, 2.1), (Class::Neck, 4.0)]);
        let screw_first = order(&[(Class::OnePiece, 2.1), (Class::ProstheticScrew, 2.0), (Class::Neck, 4.0)]);
        let better = compare(&abutment_first, &screw_first).expect("the first part is another");
        assert_eq!((better.level, better.effect.as_str()), (Level::Change, "what breaks first here changes"));
        assert_eq!(
            (better.fitted.as_str(), better.candidate.as_str()),
            ("first: the one-piece abutment", "first: the prosthetic screw")
        );
        let worse = compare(&screw_first, &abutment_first).expect("the first part is another");
        assert_eq!(worse.level, Level::Change);
        assert_eq!(compare(&screw_first, &screw_first), None);
    }
}
