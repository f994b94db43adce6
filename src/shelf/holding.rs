//! Hold and release: stock set aside for a case until a day, and free again.
//!
//! A hold is a promise: it never exceeds what is free. A fact that takes units away later is booked all the same, and
//! the hold is short.

use jiff::civil::Date;
use thiserror::Error;

use crate::desk::lookup::{self, NotFound};
use crate::desk::{ExitClass, Refusal, Refused};
use crate::lots::holds::{Standing, standing_on};
use crate::lots::in_house::free;
use crate::lots::pack::Pack;
use crate::record::{Entry, HeldLot, Released, ReleasedHold, SetAside, View};
use crate::stock::{StockLine, pick};
use crate::units::{CaseNumber, Expiry, Lot, Note, PartCode, PlaceId, show_date};

/// What is to be set aside.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct SetItAside {
    pub case: CaseNumber,
    pub part: PartCode,
    /// Of this lot; else of the lots that are used up first.
    pub lot: Option<Lot>,
    pub quantity: u32,
    /// The last day it counts.
    pub until: Date,
    /// Of what lies there.
    pub place: Option<PlaceId>,
    pub because: Option<Note>,
}

/// Why nothing was set aside or let go of.
#[derive(Debug, Error)]
pub enum HoldError {
    /// Something named is not on record.
    #[error(transparent)]
    NotFound(#[from] NotFound),
    /// A day that is over.
    #[error("--until {until}: today is {today}, and nothing is held for the past. Nothing was booked")]
    Past {
        /// What was said.
        until: Date,
        /// Which day it is.
        today: Date,
    },
    /// Nobody works on a closed case.
    #[error(
        "case {case} is closed since {}: nothing is held for it. Open it first: 'spareseat case reopen {case}'; nothing was booked",
        show_date(*.since)
    )]
    Closed {
        /// Which.
        case: CaseNumber,
        /// Since when.
        since: Date,
    },
    /// No such lot.
    #[error("no lot {lot} of part {part} in the house. In the house: {there}. Nothing was booked")]
    NoSuchLot {
        /// Which part.
        part: PartCode,
        /// Which lot.
        lot: Lot,
        /// What there is.
        there: String,
    },
    /// It could not be used on the day it is held for.
    #[error(
        "lot {lot} of part {part} cannot be used after {}, so it is not held until {}. Hold it until {} at most, or another lot; nothing was booked",
        .last.map_or("the day on its label".to_owned(), show_date), show_date(*.until), .last.map_or("that day".to_owned(), show_date)
    )]
    Longer {
        /// Which part.
        part: PartCode,
        /// Which lot.
        lot: Lot,
        /// Its last day of use.
        last: Option<Date>,
        /// Until when it was to be held.
        until: Date,
    },
    /// It cannot be used at all.
    #[error("lot {lot} of part {part} is EXPIRED, {expiry}: it is held for nobody. Nothing was booked")]
    Over {
        /// Which part.
        part: PartCode,
        /// Which lot.
        lot: Lot,
        /// Its last day of use.
        expiry: Expiry,
    },
    /// Not so many are free.
    #[error(
        "{} of part {part} wanted, {free} free to be held until {}. In the house: {there}. Held: {held}. Nothing was booked",
        lookup::pieces(*.wanted), show_date(*.until)
    )]
    NotFree {
        /// Which part.
        part: PartCode,
        /// How many were wanted.
        wanted: u32,
        /// How many are free.
        free: u32,
        /// Until when.
        until: Date,
        /// Where it lies.
        there: String,
        /// For whom it is set aside.
        held: String,
    },
    /// Nothing is held by it.
    #[error("entry {hold} holds nothing. Holds: {holds}. Nothing was booked")]
    NoSuchHold {
        /// What was asked.
        hold: u64,
        /// What there is.
        holds: String,
    },
}

impl Refusal for HoldError {
    fn class(&self) -> ExitClass {
        match self {
            Self::NotFound(e) => e.class(),
            Self::Closed { .. }
            | Self::NoSuchLot { .. }
            | Self::Longer { .. }
            | Self::Over { .. }
            | Self::NotFree { .. } => ExitClass::Facts,
            Self::Past { .. } | Self::NoSuchHold { .. } => ExitClass::Typed,
        }
    }
}

fn shown(lines: &[StockLine]) -> String {
    let there = lines.iter().filter(|l| l.quantity > 0 && l.place.house().is_some());
    lookup::list(there.map(|l| {
        let expiry = match l.expiry {
            Expiry::Day(_) | Expiry::Month(_) => format!("until {}", l.expiry),
            other => other.to_string(),
        };
        format!("{} of lot {} in {}, {expiry}", lookup::pieces(l.quantity), l.lot, l.place)
    }))
}

/// What a label says of its expiry counts as what the record has: nothing is held longer than it can be used.
pub fn check_printed(pack: &Pack, until: Date, today: Date) -> Result<(), HoldError> {
    let (Some(lot), Some(expiry)) = (&pack.lot, pack.expiry.filter(|e| e.is_over(until))) else {
        return Ok(());
    };
    let (part, lot) = (pack.part.clone(), lot.clone());
    if expiry.is_over(today) {
        return Err(HoldError::Over { part, lot, expiry });
    }
    Err(HoldError::Longer { part, lot, last: expiry.last_day(), until })
}

/// The entry that sets stock aside.
pub fn set_aside(view: &View, ask: &SetItAside, today: Date) -> Result<Entry, Refused<HoldError>> {
    let SetItAside { case, part, quantity, until, .. } = ask;
    lookup::case(view, case)?;
    lookup::part(view, part)?;
    if let Some((since, _)) = view.state(case)?.closed {
        return Err(HoldError::Closed { case: case.clone(), since }.into());
    }
    if let Some(place) = &ask.place {
        lookup::place(view, place)?;
    }
    if *until < today {
        return Err(HoldError::Past { until: *until, today }.into());
    }
    let lines = view.stock_of(part)?;
    if let Some(lot) = &ask.lot {
        let of_lot = lines.iter().find(|l| l.lot == *lot && l.quantity > 0 && l.place.house().is_some());
        let Some(line) = of_lot else {
            return Err(
                HoldError::NoSuchLot { part: part.clone(), lot: lot.clone(), there: shown(&lines) }.into()
            );
        };
        if line.expiry.is_over(today) {
            return Err(HoldError::Over { part: part.clone(), lot: lot.clone(), expiry: line.expiry }.into());
        }
        if line.expiry.is_over(*until) {
            let (part, lot, last) = (part.clone(), lot.clone(), line.expiry.last_day());
            return Err(HoldError::Longer { part, lot, last, until: *until }.into());
        }
    }
    let mut free = free(view, part, None, today)?;
    free.retain(|l| {
        !l.expiry.is_over(*until)
            && ask.lot.as_ref().is_none_or(|lot| l.lot == *lot)
            && ask.place.as_ref().is_none_or(|p| l.place.house() == Some(p))
    });
    let mut lots: Vec<HeldLot> = Vec::new();
    for some in pick(&free, *quantity, today) {
        match lots.iter_mut().find(|l| l.lot == some.lot) {
            Some(l) => l.quantity += some.take,
            None => lots.push(HeldLot { lot: some.lot, quantity: some.take }),
        }
    }
    let found: u32 = lots.iter().map(|l| l.quantity).sum();
    if found < *quantity {
        let held = lookup::list(standing_on(view, part, today)?.iter().map(Standing::words));
        let (part, wanted, until) = (part.clone(), *quantity, *until);
        return Err(
            HoldError::NotFree { part, wanted, free: found, until, there: shown(&lines), held }.into()
        );
    }
    let (case, part, because) = (case.clone(), part.clone(), ask.because.clone());
    Ok(Entry::SetAside(SetAside { case, part, lots, until: *until, because }))
}

/// The entry that lets go of holds, named by the entries that made them.
pub fn release(view: &View, holds: &[u64], because: Option<&Note>) -> Result<Entry, Refused<HoldError>> {
    let claims = view.claims()?;
    let all = || {
        claims.iter().flat_map(|(part, claims)| claims.iter().filter_map(move |c| Some((part, c.hold()?))))
    };
    let mut out: Vec<ReleasedHold> = Vec::new();
    for number in holds {
        let mut found = all().filter(|(_, h)| h.entry == *number && h.left() > 0);
        let Some((part, hold)) = found.next() else {
            let holds = lookup::list(all().filter(|(_, h)| h.left() > 0).map(|(part, h)| {
                format!("{} (case {}, {part}, until {})", h.entry, h.case, show_date(h.until))
            }));
            return Err(HoldError::NoSuchHold { hold: *number, holds }.into());
        };
        if !out.iter().any(|h| h.hold == *number) {
            out.push(ReleasedHold { hold: *number, case: hold.case.clone(), part: part.clone() });
        }
    }
    Ok(Entry::Released(Released { holds: out, because: because.cloned() }))
}
