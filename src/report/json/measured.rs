//! Where the sites of a case lie.

use serde_json::{Value as Json, json};

use super::{teeth, tooth};
use crate::bench::measuring::{MeasuredFrom, Measuring, Taken};
use crate::case::{CaseHead, Measured, Restoration, places};
use crate::record::MeasuringRow;
use crate::units::{CaseNumber, Length, Tooth};

/// What was booked.
pub fn measured(case: &CaseNumber, taken: &Taken, ask: &Measuring) -> Json {
    let source = match &ask.source {
        MeasuredFrom::File { name, .. } => name.as_str(),
        MeasuredFrom::Typed { .. } => "typed",
    };
    let one = |m: &Measured| {
        let mut one = point(m);
        one["site"] = tooth(m.site).into();
        one["site_words"] = m.site.words().into();
        one
    };
    json!({
        "case": case.as_str(), "source": source, "because": ask.because.as_ref().map(|n| n.as_str()),
        "measured": taken.measured.iter().map(one).collect::<Json>(), "lacking": teeth(&taken.lacking),
        "looks_wrong": taken.odd, "cannot_be_told": taken.untold, "assumed": taken.assumed,
    })
}

fn point(m: &Measured) -> Json {
    json!({
        "position_mm": m.position.map(Length::number), "axis": m.axis.map(|a| a.map(|n| f64::from(n) / 1e6)),
    })
}

/// A site's coordinates with when and from what; null where nobody measured it.
pub fn place(head: &CaseHead, rows: &[MeasuringRow], site: Tooth) -> Json {
    let Some(measured) = head.measured.iter().find(|m| m.site == site) else { return Json::Null };
    let row = rows.iter().find(|r| r.sites.contains(&site));
    let mut place = point(measured);
    place["on"] = row.map(|r| r.on.to_string()).into();
    place["entry"] = row.map(|r| r.entry).into();
    place["source"] = row.map(|r| r.source.as_str()).into();
    place["because"] = row.and_then(|r| r.because.as_ref()).map(|n| n.as_str()).into();
    place
}

/// Puts where a restoration's sites are taken from into its object: measured, assumed or not known.
pub fn add_places(restoration: &mut Json, head: &CaseHead, r: &Restoration) {
    let found = places(head, &r.sites);
    restoration["places"] = match &found {
        Ok(found) if found.is_assumed() => "assumed",
        Ok(_) => "measured",
        Err(_) => "not known",
    }
    .into();
    restoration["places_lacking"] = found.map_or(Json::Null, |found| teeth(&found.lacking).into());
}
