//! Laboratory work: what is inside a restoration, and what the laboratory needs to make it again.

use std::collections::BTreeMap;

use semver::Version;

use crate::case::{Fitted, LoadSigns, Restoration, Retention, Sites};
use crate::catalog::{Kind, Made, Part, Position, Side, Value};
use crate::record::{View, ViewError};
use crate::units::{InterfaceId, PartCode, SystemId, Tooth, teeth};

/// What goes to the laboratory with a restoration, a line each; what is not on record is said.
pub fn needs(
    view: &View,
    restoration: Option<&Restoration>,
    sites: &Sites,
    load: &LoadSigns,
) -> Result<Vec<String>, ViewError> {
    let all: Vec<(Tooth, &Fitted)> =
        sites.iter().flat_map(|(t, assembly)| assembly.iter().map(|f| (*t, f))).collect();
    let mut lines = made_parts(&all);
    if lines.is_empty() {
        let by = restoration.and_then(|r| Some((r.laboratory.known()?, r.job.known())));
        lines.push(match by {
            Some((laboratory, Some(job))) => format!("Made by {laboratory}, job {job}."),
            Some((laboratory, None)) => format!("Made by {laboratory}; the job is not on record."),
            None => "Which laboratory made it, and under which job, is not on record.".to_owned(),
        });
    }
    lines.extend(analogs(view, sites)?);
    lines.extend(bonded(&all));
    if let Some(r) = restoration {
        lines.extend(looks(r));
    }
    if let Some(against) = &load.against {
        lines.push(format!("It bites against: {against}."));
    }
    lines.push("A bite record and a photograph; what broke, if something did, in its bag.".to_owned());
    Ok(lines)
}

/// The parts made for this patient, each job once.
fn made_parts(all: &[(Tooth, &Fitted)]) -> Vec<String> {
    let mut made: Vec<(&Part, &Made, Vec<Tooth>)> = Vec::new();
    for (tooth, fitted) in all {
        let Some(m) = &fitted.part.made else { continue };
        match made.iter_mut().find(|(p, ..)| p.code == fitted.part.code) {
            Some((.., at)) => at.push(*tooth),
            None => made.push((&fitted.part, m, vec![*tooth])),
        }
    }
    made.into_iter()
        .map(|(part, m, at)| {
            let file = match &m.file {
                Value::Known(file) => format!("file {file}"),
                _ => "no file on record".to_owned(),
            };
            let days = match &m.days {
                Value::Known(1) => "1 day to make it again".to_owned(),
                Value::Known(days) => format!("{days} days to make it again"),
                _ => "how long it takes to make it again is not on record".to_owned(),
            };
            format!("{} ({}): {}, job {}; {file}; {days}.", part.code, teeth(&at), m.laboratory, m.job)
        })
        .collect()
}

/// An analog for every place where the restoration comes down, of the system of what carries it there.
fn analogs(view: &View, sites: &Sites) -> Result<Vec<String>, ViewError> {
    let mut wanted: BTreeMap<(&InterfaceId, &SystemId, Option<&Version>), Vec<Tooth>> = BTreeMap::new();
    let mut unknown = Vec::new();
    for (tooth, assembly) in sites {
        // An abutment made for this patient has no analog: it comes off with the restoration.
        let stays = |at: &Position| Fitted::at(assembly, *at).filter(|f| f.part.made.is_none());
        let carrier = [Position::Abutment, Position::Implant].iter().find_map(stays);
        let key = carrier.and_then(|f| {
            let seat = f.part.seat(Side::Above)?;
            Some((&seat.interface, &f.part.system, seat.offers.known()))
        });
        match key {
            Some(carrier) => wanted.entry(carrier).or_default().push(*tooth),
            None => unknown.push(*tooth),
        }
    }
    let mut lines = Vec::new();
    for ((interface, system, offers), at) in wanted {
        let mut named = Vec::new();
        for code in view.codes_by_interface(Kind::Analog, interface)? {
            let part = view.part(&code)?.filter(|p| p.system == *system);
            let seat = part.as_ref().and_then(|p| p.seat(Side::Above)).filter(|s| s.interface == *interface);
            // What mates with another revision only would make a model on which nothing fits.
            let accepted = seat.map(|s| Some(s.accepts.known()?.matches(offers?)));
            let doubt = match accepted {
                Some(Some(true)) => "",
                Some(None) => ", whether it is of the same revision is not known",
                Some(Some(false)) | None => continue,
            };
            named.push(format!("{code} ({} here{doubt})", in_house(view, &code)?));
        }
        let which = match &named[..] {
            [] => "none of this system in the catalogue".to_owned(),
            some => some.join(" or "),
        };
        lines.push(format!("Analogs for interface {interface}, {}: {which}.", teeth(&at)));
    }
    if !unknown.is_empty() {
        lines.push(format!(
            "Which analog belongs to {} is not known: take an impression there.",
            teeth(&unknown)
        ));
    }
    Ok(lines)
}

fn in_house(view: &View, code: &PartCode) -> Result<i64, ViewError> {
    let lines = view.stock_of(code)?;
    Ok(lines.iter().filter(|l| l.place.house().is_some()).map(|l| l.quantity.max(0)).sum())
}

/// What is bonded inside it.
fn bonded(all: &[(Tooth, &Fitted)]) -> Vec<String> {
    let inside = all.iter().filter(|(_, f)| matches!(f.position, Position::Base | Position::Cylinder));
    let mut groups: Vec<(&Part, Vec<Tooth>)> = Vec::new();
    for (tooth, fitted) in inside {
        match groups.iter_mut().find(|(p, _)| p.code == fitted.part.code) {
            Some((_, at)) => at.push(*tooth),
            None => groups.push((&fitted.part, vec![*tooth])),
        }
    }
    let one = |(part, at): (&Part, Vec<Tooth>)| {
        format!(
            "Bonded in: {}, {}. A new one is bonded in on the model, never at the chair.",
            part.code,
            teeth(&at)
        )
    };
    groups.into_iter().map(one).collect()
}

/// Material, shade, mould, cement.
fn looks(r: &Restoration) -> Vec<String> {
    let mut known = Vec::new();
    let mut missing = Vec::new();
    let named =
        [("material", &r.material), ("facing", &r.facing), ("shade", &r.shade), ("tooth mould", &r.mould)];
    for (what, value) in named {
        match value {
            Value::Known(v) => known.push(format!("{what} {v}")),
            Value::Unknown => missing.push(what),
            Value::NotApplicable => {}
        }
    }
    if let Retention::Cemented { cement, .. } = &r.retention {
        match cement {
            Value::Known(cement) => known.push(format!("cement {cement}")),
            _ => missing.push("cement"),
        }
    }
    let mut lines = Vec::new();
    if !known.is_empty() {
        lines.push(format!("On record: {}.", known.join(", ")));
    }
    if !missing.is_empty() {
        lines.push(format!("Not on record: {}.", missing.join(", ")));
    }
    lines
}
