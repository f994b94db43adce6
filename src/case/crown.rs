//! From where a crown height is measured: the platform of the implant, or the seat of the abutment on it.
//!
//! One of the two is stored: from the seat of the abutment where the restoration stands on abutments, from the platform
//! where it stands on the implants. The other is computed where the heights of the abutments are known. Taking one for
//! the other makes what breaks next look better or worse than it is.

use std::collections::BTreeMap;
use std::fmt;

use serde::{Deserialize, Serialize};
use thiserror::Error;

use super::model::words;
use super::{Fitted, Restoration, Retention, Sites};
use crate::catalog::Position;
use crate::units::{LIMITS, Length, Tooth, teeth};

words! {
    /// From where a crown height is measured.
    CrownFrom { Platform "platform", Seat "seat", }
}

impl CrownFrom {
    /// As it is said behind the number.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Platform => "from the implant's platform",
            Self::Seat => "from the abutment's seat",
        }
    }
}

/// Why a crown height cannot be counted from where it is stored.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[allow(missing_docs)]
pub enum CrownError {
    /// There is no abutment.
    #[error(
        "{0} stands on no abutment: its crown height is measured from the implant's platform. Say --from platform"
    )]
    NoAbutment(String),
    /// The height of an abutment is not known.
    #[error(
        "the seat height of the abutment at {0} is not on record: a crown height from the implant's platform cannot be counted from the abutment's seat. Measure from the abutment's seat and say --from seat"
    )]
    NotKnown(Tooth),
    /// Several heights.
    #[error(
        "the abutments under {span} are not of one height ({heights}): from the implant's platform the crown height is another number at each. Measure from the abutment's seat and say --from seat"
    )]
    NotOne { span: String, heights: String },
    /// Shorter than its abutment.
    #[error(
        "a crown height of {typed} from the implant's platform leaves {left} over the abutment's seat at {site}, which stands {seat} above it: expected {expected} over the seat"
    )]
    TooLow { typed: Length, left: Length, site: Tooth, seat: Length, expected: String },
}

fn abutment<'s>(sites: &'s Sites, tooth: &Tooth) -> Option<&'s Fitted> {
    Fitted::at(sites.get(tooth)?, Position::Abutment)
}

/// From where the stored crown height of a restoration counts.
pub fn crown_from(restoration: &Restoration, sites: &Sites) -> CrownFrom {
    let on_abutments = restoration.sites.iter().any(|t| abutment(sites, t).is_some());
    let stands = |t: &Tooth| {
        let own = sites.get(t).map_or(&[][..], Vec::as_slice);
        [Position::Base, Position::Cylinder].iter().any(|p| Fitted::at(own, *p).is_some())
    };
    let on_implants =
        restoration.retention == Retention::ScrewedToImplants || restoration.sites.iter().any(stands);
    if on_abutments || !on_implants { CrownFrom::Seat } else { CrownFrom::Platform }
}

/// A crown height as it is stored, from what was measured.
pub fn stored_crown(
    restoration: &Restoration,
    sites: &Sites,
    typed: Length,
    from: CrownFrom,
) -> Result<Length, CrownError> {
    match (crown_from(restoration, sites), from) {
        (CrownFrom::Platform, CrownFrom::Seat) => Err(CrownError::NoAbutment(restoration.words())),
        (CrownFrom::Seat, CrownFrom::Platform) => over_the_seat(restoration, sites, typed),
        _ => Ok(typed),
    }
}

fn over_the_seat(r: &Restoration, sites: &Sites, typed: Length) -> Result<Length, CrownError> {
    let mut heights: Vec<(Tooth, Length)> = Vec::new();
    for tooth in &r.sites {
        let height = abutment(sites, tooth).and_then(|a| a.part.seat_height.known());
        heights.push((*tooth, *height.ok_or(CrownError::NotKnown(*tooth))?));
    }
    let [(site, seat), ..] = heights[..] else { return Ok(typed) };
    if heights.iter().any(|(_, h)| *h != seat) {
        let heights: Vec<String> = heights.iter().map(|(t, h)| format!("{t}: {h}")).collect();
        return Err(CrownError::NotOne { span: r.words(), heights: heights.join(", ") });
    }
    let left = Length::from_base(typed.base() - seat.base());
    let range = &LIMITS.crown_height;
    if i64::from(left.base()) < range.least {
        let expected = format!("at least {}", Length::from_base(range.least as i32));
        return Err(CrownError::TooLow { typed, left, site, seat, expected });
    }
    Ok(left)
}

/// The stored height from the other place, by site; empty where no abutment of known height stands there.
pub fn from_the_platform(
    restoration: &Restoration,
    sites: &Sites,
    stored: Length,
) -> BTreeMap<Tooth, Length> {
    if crown_from(restoration, sites) == CrownFrom::Platform {
        return BTreeMap::new();
    }
    let one = |t: &Tooth| {
        let seat = abutment(sites, t)?.part.seat_height.known()?;
        Some((*t, Length::from_base(stored.base() + seat.base())))
    };
    restoration.sites.iter().filter_map(one).collect()
}

/// A stored crown height in words, from both places where both are known.
pub fn crown_words(restoration: &Restoration, sites: &Sites, stored: Length) -> String {
    let from = crown_from(restoration, sites);
    let mut words = format!("{stored} {}", from.words());
    let other = from_the_platform(restoration, sites, stored);
    let Some(first) = other.values().next() else { return words };
    let all_alike = other.len() == restoration.sites.len() && other.values().all(|h| h == first);
    let told = if all_alike {
        first.to_string()
    } else {
        let mut groups: Vec<(Length, Vec<Tooth>)> = Vec::new();
        let mut along: Vec<(&Tooth, &Length)> = other.iter().collect();
        along.sort_by_key(|(t, _)| t.along_arch());
        for (tooth, height) in along {
            match groups.iter_mut().find(|(h, _)| h == height) {
                Some((_, sites)) => sites.push(*tooth),
                None => groups.push((*height, vec![*tooth])),
            }
        }
        groups.iter().map(|(h, sites)| format!("{h} at {}", teeth(sites))).collect::<Vec<_>>().join("; ")
    };
    words.push_str(&format!(" ({}: {told})", CrownFrom::Platform.words()));
    words
}
