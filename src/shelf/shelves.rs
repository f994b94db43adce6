//! Stock: what lies where in the house, what is low, what expires.

use jiff::civil::Date;
use thiserror::Error;

use super::planning::{self, Planned};
use crate::desk::lookup::{self, NotFound};
use crate::desk::{ExitClass, Refusal, Refused};
use crate::lots::called_back::called_back;
use crate::lots::holds::{self, Standing};
use crate::record::View;
use crate::stock::{Claim, Where};
use crate::units::{Expiry, Lot, PartCode, PlaceId};

/// One lot in one drawer.
#[derive(Debug, Clone, PartialEq, Eq)]
#[allow(missing_docs)]
pub struct Row {
    pub part: PartCode,
    pub lot: Lot,
    pub place: PlaceId,
    pub quantity: i64,
    pub expiry: Expiry,
    /// The lot was called back by that entry, and lies in a drawer all the same.
    pub called_back: Option<u64>,
}

/// What to list.
#[derive(Debug, Clone, Default)]
#[allow(missing_docs)]
pub struct StockFilter {
    pub part: Option<PartCode>,
    pub place: Option<PlaceId>,
    /// Only what can be used for at most so many days more.
    pub expires_within: Option<i32>,
}

/// Why there is no list.
#[derive(Debug, Error)]
pub enum StockError {
    /// Something named is not on record.
    #[error(transparent)]
    NotFound(#[from] NotFound),
}

impl Refusal for StockError {
    fn class(&self) -> ExitClass {
        match self {
            Self::NotFound(e) => e.class(),
        }
    }
}

/// What comes first in a list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum By {
    /// The part, then its expiry.
    Part,
    /// The drawer, as somebody goes from one to the next.
    Place,
    /// What has to be used first; what never expires, or is not known to, comes last.
    Expiry,
}

impl By {
    /// The words of the command.
    pub const ALL: [(Self, &'static str); 3] =
        [(Self::Part, "part"), (Self::Place, "place"), (Self::Expiry, "expiry")];

    /// Puts the rows in order.
    pub fn sort(self, rows: &mut [Row]) {
        let expiry = |r: &Row| (r.expiry.last_day().is_none(), r.expiry.last_day(), r.expiry);
        rows.sort_by_cached_key(|r| (r.part.clone(), expiry(r), r.lot.clone(), r.place.clone()));
        match self {
            Self::Part => {}
            Self::Place => rows.sort_by_cached_key(|r| r.place.clone()),
            Self::Expiry => rows.sort_by_key(expiry),
        }
    }
}

/// What lies in the house, by part, then expiry.
pub fn list(view: &View, which: &StockFilter, today: Date) -> Result<Vec<Row>, Refused<StockError>> {
    if let Some(place) = &which.place {
        lookup::place(view, place)?;
    }
    let stock = match &which.part {
        Some(part) => {
            let lines = view.stock_of(part)?;
            if lines.is_empty() {
                lookup::part(view, part)?;
            }
            [(part.clone(), lines)].into()
        }
        None => view.stock()?,
    };
    let mut rows = Vec::new();
    for (part, lines) in stock {
        let claims = if lines.is_empty() { Vec::new() } else { view.claims_of(&part)? };
        for line in lines {
            let Some(place) = line.place.house().filter(|_| line.quantity != 0) else { continue };
            let soon = which
                .expires_within
                .is_none_or(|d| line.expiry.days_left(today).is_some_and(|left| left <= d));
            if soon && which.place.as_ref().is_none_or(|p| p == place) {
                let called_back = claims.iter().find_map(|c| match c {
                    Claim::CalledBack { entry, lot, .. } if *lot == line.lot => Some(*entry),
                    _ => None,
                });
                rows.push(Row {
                    part: part.clone(),
                    lot: line.lot,
                    place: place.clone(),
                    quantity: line.quantity,
                    expiry: line.expiry,
                    called_back,
                });
            }
        }
    }
    By::Part.sort(&mut rows);
    Ok(rows)
}

/// Units that are under this roof and in no drawer: kept apart, or to be reprocessed.
#[derive(Debug, Clone, PartialEq, Eq)]
#[allow(missing_docs)]
pub struct Apart {
    pub part: PartCode,
    pub lot: Lot,
    pub place: Where,
    pub quantity: i64,
    /// The lot was called back by that entry.
    pub called_back: Option<u64>,
}

/// What is in no drawer: nothing where only a drawer or what expires is asked about.
pub fn apart(view: &View, which: &StockFilter) -> Result<Vec<Apart>, Refused<StockError>> {
    if which.place.is_some() || which.expires_within.is_some() {
        return Ok(Vec::new());
    }
    let stock = match &which.part {
        Some(part) => [(part.clone(), view.stock_of(part)?)].into(),
        None => view.stock()?,
    };
    let mut all = Vec::new();
    for (part, lines) in stock {
        for line in lines {
            let is_apart = line.place.is_under_roof() && line.place.house().is_none();
            if is_apart && line.quantity != 0 {
                let called_back = called_back(view, &part, &line.lot)?;
                let (part, lot, place, quantity) = (part.clone(), line.lot, line.place, line.quantity);
                all.push(Apart { part, lot, place, quantity, called_back });
            }
        }
    }
    Ok(all)
}

/// What is set aside of it: nothing where only a drawer or what expires is asked about.
pub fn held(view: &View, which: &StockFilter, today: Date) -> Result<Vec<Standing>, Refused<StockError>> {
    Ok(match which {
        StockFilter { place: None, expires_within: None, part: None } => holds::standing(view, today)?,
        StockFilter { place: None, expires_within: None, part: Some(part) } => {
            holds::standing_on(view, part, today)?
        }
        _ => Vec::new(),
    })
}

/// The work that is planned with it: nothing where only a drawer or what expires is asked about.
pub fn needed(view: &View, which: &StockFilter, today: Date) -> Result<Vec<Planned>, Refused<StockError>> {
    if which.place.is_some() || which.expires_within.is_some() {
        return Ok(Vec::new());
    }
    Ok(planning::planned(view, which.part.as_ref(), today)?)
}
