//! Crown heights with where they count from; and a restoration that was entered.

use std::collections::BTreeMap;

use serde_json::{Value as Json, json};

use super::{restoration, tooth};
use crate::case::{Restoration, Sites, crown_from, from_the_platform};
use crate::cases::bridging::Entered;
use crate::units::{CaseNumber, Length, Tooth};

/// A height at each site.
pub fn by_site(all: &BTreeMap<Tooth, Length>) -> Json {
    all.iter().map(|(t, h)| (tooth(*t), json!(h.number()))).collect::<serde_json::Map<_, _>>().into()
}

/// Puts into a restoration's object from where its crown height counts, and what it is from the platform.
pub fn add_from(one: &mut Json, r: &Restoration, sites: &Sites) {
    let known = r.crown_height.known().copied();
    one["crown_height_from"] = known.map(|_| crown_from(r, sites).words()).into();
    one["crown_height_from_platform_mm"] = known.map(|h| by_site(&from_the_platform(r, sites, h))).into();
}

/// What was booked.
pub fn bridge_entered(case: &CaseNumber, entered: &Entered) -> Json {
    let mut one = restoration(&entered.restoration);
    add_from(&mut one, &entered.restoration, &entered.sites);
    json!({
        "case": case.as_str(), "restoration": one, "frame": entered.frame.part.code.as_str(),
        "built_on": entered.built_on.to_string(), "remarks": entered.remarks,
    })
}
