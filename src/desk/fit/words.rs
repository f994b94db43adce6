//! Gaps in words, and as a finding for whoever compares parts.

use super::bridge::Bridge;
use super::change::{Turned, change};
use super::seated::{SiteSeated, Strain, seat};
use crate::case::{Bands, Fitted};
use crate::catalog::{Part, Position};
use crate::matching::{Finding, Level, StandsOn};
use crate::units::Tooth;

/// Printed wherever it is said that screws could shut a gap.
pub const NO_PERMISSION: &str = "What a screw could pull shut it must not: the strain stays in screws, frame and implants. This is no permission to pull a bridge down.";

/// A distance in the unit it is read in: µm below a millimetre.
pub fn apart(mm: f64) -> String {
    let um = (mm * 1000.0).round();
    if um < 1000.0 { format!("{um:.0} µm") } else { format!("{:.2} mm", mm) }
}

/// A share of one.
pub fn percent(share: f64) -> String {
    format!("{:.1} %", share * 100.0)
}

impl SiteSeated {
    /// What becomes of this site, as one line.
    pub fn words(&self, bands: &Bands) -> String {
        let worst = self.worst();
        let [keeps, check] = [bands.keeps, bands.check].map(|b| b.number());
        let open = match worst {
            w if w <= 0.5e-3 => "closed".to_owned(),
            w if w <= keeps => "closed within what is called a fit".to_owned(),
            w if w <= check => "a little open: look at it at try-in".to_owned(),
            _ => "stands open".to_owned(),
        };
        match self.strain.as_ref().filter(|_| worst > keeps).and_then(Strain::share) {
            Some([least, _]) if least > 1.0 => format!("{open}; its screw cannot shut it"),
            Some([_, most]) if most <= 1.0 => {
                format!("{open}; its screw could shut it, at {} of its clamp or less", percent(most))
            }
            Some(_) => format!("{open}; its screw may or may not shut it"),
            None => open,
        }
    }
}

/// What the gaps of a bridge say against a part that moves a seat; nothing when it does not, or when a number for it is
/// not known: the rule that found the seat elsewhere then stands alone.
pub fn gaps_finding(
    bridge: &Bridge,
    site: Tooth,
    fitted: &Fitted,
    part: &Part,
    bands: &Bands,
) -> Option<Finding> {
    if fitted.position != Position::Abutment || bridge.stands_on() != StandsOn::Bridge {
        return None;
    }
    let mut bridge = bridge.clone();
    bridge.changes(site, change(site, fitted, part, Turned::NOT));
    let seated = seat(&bridge).ok()?;
    let (worst, end) = seated.worst();
    let moved = seated.sites.iter().find(|s| s.site == site)?.moved;
    let mut said = Vec::new();
    if worst.worst() > bands.keeps.number() {
        said.push(format!(
            "opens by {} at {} when the screw at tooth {} alone is tightened",
            apart(worst.worst()),
            worst.site,
            seated.ends()[end].iso()
        ));
    }
    if moved.sideways > bands.keeps.number() {
        said.push(format!("is asked {} sideways at {site}", apart(moved.sideways)));
    }
    if moved.tilt > 0.002 {
        said.push(format!("meets a seat tilted by {:.1}° at {site}", moved.tilt.to_degrees()));
    }
    if said.is_empty() {
        return None;
    }
    let places = if seated.places.is_assumed() { " (where the sites are is assumed)" } else { "" };
    Some(Finding {
        rule: "gaps",
        level: Level::Against,
        fitted: String::new(),
        candidate: String::new(),
        effect: format!("the bridge {}{places}", said.join(", ")),
        source: "geometry: a rigid bridge that was passive as built, on flat rings",
        steps: 0,
    })
}
