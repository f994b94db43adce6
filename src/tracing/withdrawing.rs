//! Withdraw: a lot was called back by its maker; what is left of it is kept apart in one entry.

use thiserror::Error;

use crate::desk::lookup::{self, NotFound};
use crate::desk::{ExitClass, Refusal, Refused};
use crate::lots::called_back::called_back;
use crate::lots::take::left_of;
use crate::record::{CalledBack, Entry, View};
use crate::stock::Where;
use crate::tracing::trace::{self, TraceError};
use crate::units::{Lot, Note, PartCode};

/// Why nothing was withdrawn.
#[derive(Debug, Error)]
pub enum WithdrawError {
    /// Something named is not on record.
    #[error(transparent)]
    NotFound(#[from] NotFound),
    /// The lot is not on record.
    #[error("{0}. Nothing was booked")]
    NeverSeen(TraceError),
    /// Several parts have a lot of that name.
    #[error("lot {lot} is on record of several parts: {parts}. Say which with --part; nothing was booked")]
    WhichPart {
        /// Which lot.
        lot: Lot,
        /// Which parts.
        parts: String,
    },
    /// Done before.
    #[error(
        "lot {lot} of part {part} was called back already, by entry {entry}, and no unit of it lies in a drawer: nothing was booked. Where its units are: 'spareseat trace --lot {lot} --part {part}'"
    )]
    Already {
        /// Which lot.
        lot: Lot,
        /// Which part.
        part: PartCode,
        /// By which entry.
        entry: u64,
    },
}

impl From<TraceError> for WithdrawError {
    fn from(e: TraceError) -> Self {
        match e {
            TraceError::NotFound(e) => Self::NotFound(e),
            never @ TraceError::NeverSeen { .. } => Self::NeverSeen(never),
        }
    }
}

impl Refusal for WithdrawError {
    fn class(&self) -> ExitClass {
        match self {
            Self::NotFound(e) => e.class(),
            Self::NeverSeen(e) => e.class(),
            Self::WhichPart { .. } | Self::Already { .. } => ExitClass::Facts,
        }
    }
}

/// The entry that calls a lot back: what lies in drawers and what is to be reprocessed is kept apart.
pub fn decide(
    view: &View,
    lot: &Lot,
    part: Option<&PartCode>,
    because: Option<&Note>,
) -> Result<Entry, Refused<WithdrawError>> {
    let parts = trace::parts_with(view, lot, part).map_err(Refused::lift)?;
    let [part] = &parts[..] else {
        let parts = lookup::list(parts.iter().map(PartCode::to_string));
        return Err(WithdrawError::WhichPart { lot: lot.clone(), parts }.into());
    };
    let left = |at: &Where| matches!(at, Where::House(_) | Where::Reprocess);
    let lines = left_of(&view.stock_of(part)?, lot, left);
    if let (Some(entry), true) = (called_back(view, part, lot)?, lines.is_empty()) {
        return Err(WithdrawError::Already { lot: lot.clone(), part: part.clone(), entry }.into());
    }
    let (part, lot, because) = (part.clone(), lot.clone(), because.cloned());
    Ok(Entry::CalledBack(CalledBack { part, lot, lines, because }))
}
