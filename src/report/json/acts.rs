//! Acts that changed more than one thing.

use serde_json::{Value as Json, json};

use super::tooth;
use crate::case::Fitted;
use crate::record::Countered;

/// What a counter did.
pub fn countered(e: &Countered) -> Json {
    let stands = |(site, position): &(crate::units::Tooth, crate::catalog::Position)| {
        let before = e.restored.iter().find(|s| s.site == *site);
        let now = before.and_then(|s| Fitted::at(&s.fitted, *position));
        json!({
            "site": tooth(*site), "site_words": site.words(), "position": position.slug(),
            "part": now.map(|f| f.part.code.as_str()), "lot": now.and_then(|f| f.lot.as_ref()).map(|l| l.as_str()),
        })
    };
    json!({
        "countered": e.entry, "on": e.on.to_string(), "case": e.case.as_ref().map(|c| c.as_str()),
        "because": e.because.as_ref().map(|n| n.as_str()),
        "moved_back": e.moved_back.iter().map(|m| json!({
            "part": m.part.as_str(), "lot": m.lot.as_str(), "quantity": m.quantity,
            "from": m.from.to_string(), "to": m.to.to_string(),
        })).collect::<Json>(),
        "restored": e.fitted_at.iter().map(stands).collect::<Json>(),
    })
}
