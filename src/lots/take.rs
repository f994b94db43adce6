//! From which drawer, or from which place apart, units of a lot are taken.

use thiserror::Error;

use crate::desk::{ExitClass, Refusal, lookup};
use crate::record::TakenFrom;
use crate::stock::{StockLine, Where};
use crate::units::{Lot, PartCode, PlaceId};

/// Where a lot is taken from is not clear, or does not hold it.
#[derive(Debug, Error)]
pub enum TakeError {
    /// Nobody has it.
    #[error("no lot {lot} of part {part} in the house.{} Nothing was booked", .lots.as_ref().map_or(String::new(), |l| format!(" In the house: {l}.")))]
    NoSuchLot {
        /// Which part.
        part: PartCode,
        /// Which lot.
        lot: Lot,
        /// What there is.
        lots: Option<String>,
    },
    /// It lies somewhere else.
    #[error(
        "place {place} holds {here} of lot {lot} of part {part}, {wanted} wanted. The lot lies in: {places}. Nothing was booked"
    )]
    NotEnough {
        /// Which part.
        part: PartCode,
        /// Which lot.
        lot: Lot,
        /// Which place.
        place: PlaceId,
        /// How many lie there.
        here: i64,
        /// How many were wanted.
        wanted: u32,
        /// Where the lot lies.
        places: String,
    },
    /// Not so many are kept apart, or are to be reprocessed.
    #[error(
        "{place} holds {here} of lot {lot} of part {part}, {wanted} wanted. The lot lies in: {places}. Nothing was booked"
    )]
    NotApart {
        /// Which part.
        part: PartCode,
        /// Which lot.
        lot: Lot,
        /// Which place.
        place: Where,
        /// How many lie there.
        here: i64,
        /// How many were wanted.
        wanted: u32,
        /// Where the lot lies.
        places: String,
    },
    /// It lies in several places.
    #[error("lot {lot} of part {part} lies in several places: {places}. Say which; nothing was booked")]
    WhichPlace {
        /// Which part.
        part: PartCode,
        /// Which lot.
        lot: Lot,
        /// Where it lies.
        places: String,
    },
}

impl Refusal for TakeError {
    fn class(&self) -> ExitClass {
        match self {
            Self::NoSuchLot { .. }
            | Self::NotEnough { .. }
            | Self::NotApart { .. }
            | Self::WhichPlace { .. } => ExitClass::Facts,
        }
    }
}

/// The place to take `wanted` of a lot from: the one named, or the only one that holds it.
pub fn take_from(
    lines: &[StockLine],
    part: &PartCode,
    lot: &Lot,
    place: Option<&PlaceId>,
    wanted: u32,
) -> Result<PlaceId, TakeError> {
    let there = |l: &&StockLine| l.quantity > 0 && l.place.house().is_some();
    let of_lot: Vec<&StockLine> = lines.iter().filter(|l| l.lot == *lot).filter(there).collect();
    let shown = |lines: &[&StockLine]| {
        lookup::list(lines.iter().map(|l| format!("{} ({})", l.place, lookup::pieces(l.quantity))))
    };
    let place = match (place, &of_lot[..]) {
        (Some(place), _) => place.clone(),
        (None, [only]) => only.place.house().cloned().expect("only drawers were kept"),
        (None, []) => {
            let mut lots: Vec<String> =
                lines.iter().filter(there).map(|l| format!("lot {}", l.lot)).collect();
            lots.dedup();
            let lots = (!lots.is_empty()).then(|| lots.join(", "));
            return Err(TakeError::NoSuchLot { part: part.clone(), lot: lot.clone(), lots });
        }
        (None, several) => {
            let places = shown(several);
            return Err(TakeError::WhichPlace { part: part.clone(), lot: lot.clone(), places });
        }
    };
    let here = of_lot.iter().find(|l| l.place == Where::House(place.clone())).map_or(0, |l| l.quantity);
    if here < i64::from(wanted) {
        let places = shown(&of_lot);
        return Err(TakeError::NotEnough {
            part: part.clone(),
            lot: lot.clone(),
            place,
            here,
            wanted,
            places,
        });
    }
    Ok(place)
}

/// Holds it against the record that a place outside the drawers holds so many.
pub fn take_apart(
    lines: &[StockLine],
    part: &PartCode,
    lot: &Lot,
    place: Where,
    wanted: u32,
) -> Result<Where, TakeError> {
    let of_lot = || lines.iter().filter(|l| l.lot == *lot && l.quantity > 0 && l.place.is_under_roof());
    let here = of_lot().find(|l| l.place == place).map_or(0, |l| l.quantity);
    if here < i64::from(wanted) {
        let places = lookup::list(of_lot().map(|l| format!("{} ({})", l.place, lookup::pieces(l.quantity))));
        return Err(TakeError::NotApart {
            part: part.clone(),
            lot: lot.clone(),
            place,
            here,
            wanted,
            places,
        });
    }
    Ok(place)
}

/// All units of a lot that lie in places of that sort.
pub fn left_of(lines: &[StockLine], lot: &Lot, sort: impl Fn(&Where) -> bool) -> Vec<TakenFrom> {
    let there = lines.iter().filter(|l| l.lot == *lot && l.quantity > 0 && sort(&l.place));
    let count = |n: i64| u32::try_from(n).unwrap_or(u32::MAX);
    there.map(|l| TakenFrom { from: l.place.clone(), quantity: count(l.quantity) }).collect()
}
