//! What was taken back.

use std::fmt::Write as _;

use super::told;
use crate::case::Fitted;
use crate::record::{Countered, Entry};

/// What a counter did, and what stands at each site again.
pub fn countered(e: &Countered) -> String {
    let mut out = format!("{}.", told(&Entry::Countered(e.clone())));
    for (site, position) in &e.fitted_at {
        let before = e.restored.iter().find(|s| s.site == *site);
        let now = before.and_then(|s| Fitted::at(&s.fitted, *position));
        let stands = now.map_or("nothing on record, as before".to_owned(), |f| {
            let lot = f.lot.as_ref().map_or("lot not recorded".to_owned(), |l| format!("lot {l}"));
            format!("{}, {lot}, as before", f.part.code)
        });
        let _ = write!(out, "\n  {site} ({}), {}: {stands}.", site.words(), position.words());
    }
    out
}
