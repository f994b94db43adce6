//! Gaps in words, and as a finding for whoever compares parts.

use super::seated::{Seated, Shutting, SiteSeated, Strain};
use crate::case::Bands;
use crate::matching::{Finding, Level};
use crate::units::Tooth;

/// Printed wherever it is said that screws could shut a gap.
pub const NO_PERMISSION: &str = "What a screw could pull shut it must not: the strain stays in screws, frame and implants. This is no permission to pull a bridge down.";

/// A distance in the unit it is read in: µm below a millimetre.
pub fn apart(mm: f64) -> String {
    let um = (mm * 1000.0).round();
    if um < 1000.0 { format!("{um:.0} µm") } else { format!("{:.2} mm", mm) }
}

/// A share of one; what is not nothing is not shown as nothing.
pub fn percent(share: f64) -> String {
    match share * 100.0 {
        0.0 => "0 %".to_owned(),
        p if p < 0.05 => "under 0.1 %".to_owned(),
        p if (99.95..100.0).contains(&p) => "over 99.9 %".to_owned(),
        100.0 => "100 %".to_owned(),
        p => format!("{p:.1} %"),
    }
}

/// Less than this is nothing anybody could see or measure, mm.
pub const NOTHING: f64 = 0.5e-3;

/// A change of height with its direction.
pub fn raised(mm: f64) -> String {
    match mm {
        _ if mm.abs() <= NOTHING => "as before".to_owned(),
        mm if mm > 0.0 => format!("{} higher", apart(mm)),
        mm => format!("{} lower", apart(-mm)),
    }
}

/// A multiple: nobody acts on the digits of a large one.
fn times(share: f64) -> String {
    match share {
        s if s < 1.0 => percent(s),
        s if s <= 100.0 => format!("{s:.1} times"),
        _ => "over 100 times".to_owned(),
    }
}

/// What a pull or a moment comes to for seats that turn / for seats that hold; a large one to two digits, as it is an
/// upper bound.
pub fn effort(ends: [f64; 2], unit: &str) -> String {
    let [turning, flat] = ends.map(|v| {
        let step = 10_f64.powf(v.max(1.0).log10().floor() - 1.0);
        if v < 1000.0 { v } else { (v / step).round() * step }
    });
    format!("{turning:.0} / {flat:.0} {unit}")
}

impl Strain {
    /// What the screw clamps with and what that holds as a moment, by its friction.
    pub fn gives_words(&self) -> String {
        self.preload.map_or("not known".to_owned(), |band| {
            let moment = [band.low_n, band.high_n].map(|n| n * self.radius);
            format!("{:.0} to {:.0} N, {:.0} to {:.0} Nmm", band.low_n, band.high_n, moment[0], moment[1])
        })
    }

    /// Its share for seats that turn / for seats that hold.
    pub fn share_words(&self) -> String {
        self.share().map_or("not known".to_owned(), |[a, b]| format!("{} / {}", times(a), times(b)))
    }
}

/// Whether the screws could shut it, as a sentence without an end mark.
pub fn shutting_words(seated: &Seated) -> String {
    seated.shutting().map_or(
        "Whether its screws could shut it is not known: a number of one of them is missing".to_owned(),
        Shutting::words,
    )
}

impl SiteSeated {
    /// What becomes of this site, as one line.
    pub fn words(&self, bands: &Bands) -> String {
        let worst = self.worst();
        let [keeps, check] = [bands.keeps, bands.check].map(|b| b.number());
        match worst {
            w if w <= NOTHING => "closed".to_owned(),
            w if w <= keeps => "closed within what is called a fit".to_owned(),
            w if w <= check => "a little open: look at it at try-in".to_owned(),
            _ => "stands open".to_owned(),
        }
    }
}

impl Shutting {
    /// As a sentence without an end mark.
    pub fn words(self) -> String {
        match self {
            Self::No(share) => format!(
                "Take it that its screws cannot shut it: to close it all round, the one that is asked most would need {} what it gives at best",
                times(share)
            ),
            Self::MayBe => "Whether its screws could shut it hangs on their friction".to_owned(),
            Self::Yes(share) => {
                format!(
                    "Its screws could shut it, and the one that is asked most would lose {} of its clamp",
                    percent(share)
                )
            }
        }
    }
}

/// What the gaps of a bridge say against a part that moves a seat; nothing where they lie within the bands.
pub(super) fn gaps_finding(seated: &Seated, site: Tooth, bands: &Bands) -> Option<Finding> {
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
