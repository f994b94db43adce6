//! What is said beside the factors: what is not modelled, what to look at first, what is taken for granted.

use super::loads::Biting;
use super::members::RANKED_AT;
use super::{RHO_MM, Shift, Site};
use crate::case::{CaseHead, Fitted, TorqueRecord};
use crate::catalog::Disagree;
use crate::mechanics::margin::Member;
use crate::mechanics::neck::NOTCH_FACTOR;
use crate::mechanics::preload::FRICTION;
use crate::mechanics::section::ALTERNATING_LIMIT_MPA;
use crate::units::{Tooth, teeth};

/// A quantity under this many newtons was not there.
const NOTHING_N: f64 = 1.0;

/// Lines about sites; sites of which the same is said stand together.
#[derive(Default)]
struct BySites(Vec<(String, Vec<Tooth>)>);

impl BySites {
    fn add(&mut self, site: Tooth, text: String) {
        match self.0.iter_mut().find(|(t, _)| *t == text) {
            Some((_, sites)) if !sites.contains(&site) => sites.push(site),
            Some(_) => {}
            None => self.0.push((text, vec![site])),
        }
    }

    fn lines(self) -> Vec<String> {
        self.0.into_iter().map(|(text, sites)| format!("{}: {text}", teeth(&sites))).collect()
    }
}

/// Part by part, what is missing.
pub(super) fn not_modelled(sites: &[Site]) -> Vec<String> {
    let mut all = BySites::default();
    for site in sites {
        let parts = match &site.parts {
            Ok(parts) => parts,
            Err(missing) => {
                all.add(site.site, format!("nothing there: {missing}"));
                continue;
            }
        };
        for (part, _) in parts {
            match &part.member {
                Err(missing) => all.add(site.site, format!("{}: {missing}", part.class.words())),
                // Its margin is that of its seat: no rule here says what breaks the screw itself.
                Ok(Member::Cone(_)) if part.screw.is_some() => {
                    all.add(
                        site.site,
                        format!(
                            "{}: when it breaks; over a cone only when it is pulled slack",
                            part.class.words()
                        ),
                    );
                }
                Ok(_) => {}
            }
        }
    }
    all.lines()
}

/// What to know before the order is read.
pub(super) fn careful(sites: &[Site], far_outside: bool) -> Vec<String> {
    let mut all = BySites::default();
    for site in sites {
        for (part, margin) in site.parts.iter().flatten() {
            let Some(screw) = &part.screw else { continue };
            if let Some(Disagree { own, partner, other }) = &screw.disagree {
                all.add(site.site, format!(
                    "{} and {partner} ask for different torques, {own} and {other}: the lower one is worked with",
                    screw.code
                ));
            }
            if let Some(share) = screw.share_of_yield(FRICTION[0]).filter(|s| *s > 1.0) {
                all.add(site.site, format!(
                    "at a friction of {:.2}, the least that was measured, {} on {} takes up {:.0} % of the least yield strength of its material",
                    FRICTION[0], screw.torque, screw.code, share * 100.0
                ));
            }
            let set = Fitted::at(&site.assembly, part.position).map(|f| f.torque);
            if let Some(TorqueRecord::Measured(set)) =
                set.filter(|t| *t != TorqueRecord::Measured(screw.torque))
            {
                all.add(
                    site.site,
                    format!(
                        "{} was tightened to {set}; what is asked for, {}, is worked with",
                        screw.code, screw.torque
                    ),
                );
            }
            let opens = margin.and_then(|m| m.opens).map(|f| f.at);
            if opens.is_some_and(|at| at.iter().flatten().any(|l| *l < 1.0)) {
                all.add(
                    site.site,
                    format!("the seat of the {} opens before the whole bite is on it", part.class.words()),
                );
            }
        }
    }
    let mut all = all.lines();
    if far_outside {
        all.push(
            "a hanging end lies further out than twice the reach of the sites: no joint is made for that"
                .to_owned(),
        );
    }
    all
}

/// Everything that is taken for granted.
pub(super) fn assumed(biting: &Biting, case: &CaseHead) -> Vec<String> {
    let mut all = vec![biting.source.clone()];
    let [steep, oblique] =
        [biting.bites.first(), biting.bites.last()].map(|b| b.map_or(0.0, |b| b.angle_deg));
    all.push(format!(
        "bites at {steep}° on each end and at {oblique}° on each site, to both sides, {} mm above the seats",
        biting.height_mm
    ));
    if biting.places.is_assumed() {
        all.push(format!(
            "where the sites are is ASSUMED: nobody measured {}, so the mean arch of the jaw is taken (Noroozi 2001, Angle Orthod 71:386; crown widths from memory). 'spareseat case measured {} FILE.csv' enters true places",
            teeth(&biting.places.lacking), case.number
        ));
    }
    let [low, middle, high] = RANKED_AT;
    all.push(format!(
        "friction {low:.2}, {middle:.2} and {high:.2}, the same at all joints; what was measured runs from {:.2} to {:.2}. The torque is the one that is asked for, and settling takes a tenth of the preload",
        FRICTION[0], FRICTION[1]
    ));
    all.push(format!(
        "a screw breaks where {ALTERNATING_LIMIT_MPA:.0} MPa come and go at its worst edge (80 to 130 would be defended as well: an assumption); a neck by Goodman's line with a notch of {NOTCH_FACTOR} (an assumption), at the platform and 3 mm below it, bone lost"
    ));
    all.push(format!(
        "the bridge is rigid, on equal supports, and each joint bears {RHO_MM} mm against tipping (3 to 6, an assumption): an upper bound of the leverage. Left out: what bridge and bone give, the lean of angled abutments, what a part has been through before"
    ));
    all.push("a comparison of one assembly with another under the same bite, not a prediction of how long anything lasts; a factor under 1 says that the bite taken here, over and over, is more than the part's limit".to_owned());
    all
}

impl Shift {
    /// What happened to a quantity, as a factor where it was there before.
    fn words([before, after]: [f64; 2], what: &str) -> Option<String> {
        match (before, after) {
            (b, a) if b < NOTHING_N && a < NOTHING_N => None,
            (b, a) if b < NOTHING_N => Some(format!("{a:.0} N {what}, none before")),
            (b, a) => Some(format!("{:.1} times {what} ({b:.0} N before, {a:.0} N now)", a / b)),
        }
    }

    /// In words, sideways first: that is what bends.
    pub fn in_words(&self) -> Vec<String> {
        [(self.sideways, "the sideways load"), (self.pulled, "the pull"), (self.pressed, "the pressing")]
            .into_iter()
            .filter_map(|(v, what)| Self::words(v, what))
            .collect()
    }
}
