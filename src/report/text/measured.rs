//! Where the sites of a case lie.

use crate::bench::measuring::Taken;
use crate::case::{CaseHead, Measured, Restoration, places};
use crate::record::{MeasuringRow, SitesMeasured};
use crate::units::{CaseNumber, Tooth, show_date, teeth};

/// What was booked, after the number of its entry.
pub fn measured(case: &CaseNumber, taken: &Taken, from: &str) -> String {
    let sites: Vec<Tooth> = taken.measured.iter().map(|m| m.site).collect();
    let stands = if sites.len() == 1 { "stands" } else { "stand" };
    format!("case {case}: it is on record now where {} {stands}, {from}.", teeth(&sites))
}

/// The entry, in a sentence.
pub fn told_measured(e: &SitesMeasured) -> String {
    let sites: Vec<Tooth> = e.measured.iter().map(|m| m.site).collect();
    let because = e.because.as_ref().map_or(String::new(), |n| format!("; reason: {n}"));
    format!("case {}, {} measured: {}{because}", e.case, teeth(&sites), e.source)
}

/// A site's coordinates with when and from what, in a line; nothing where nobody measured it.
pub fn place(head: &CaseHead, rows: &[MeasuringRow], site: Tooth) -> String {
    let Some(Measured { position: [x, y, z], axis, .. }) = head.measured.iter().find(|m| m.site == site)
    else {
        return String::new();
    };
    let axis = axis.map_or(String::new(), |a| {
        let [x, y, z] = a.map(|n| f64::from(n) / 1e6);
        format!(", axis outwards {x:.3}, {y:.3}, {z:.3}")
    });
    let when =
        rows.iter().find(|r| r.sites.contains(&site)).map_or("as the case was entered".to_owned(), |r| {
            let because = r.because.as_ref().map_or(String::new(), |n| format!("; reason: {n}"));
            format!("{} (entry {}), {}{because}", show_date(r.on), r.entry, r.source)
        });
    format!("  measured: x {x}, y {y}, z {z}{axis}; {when}\n")
}

/// Where a bridge's sites are taken from, as the end of its line; nothing for a crown, where it does not matter.
pub fn taken_from(head: &CaseHead, r: &Restoration) -> String {
    if r.sites.len() < 2 {
        return String::new();
    }
    match places(head, &r.sites) {
        Ok(found) if found.is_assumed() => {
            format!(
                "; where its sites are: ASSUMED, the default arch (nobody measured {})",
                teeth(&found.lacking)
            )
        }
        Ok(_) => "; where its sites are: measured".to_owned(),
        Err(e) => format!("; where its sites are: not known ({e})"),
    }
}
