//! Receive: a delivery goes into a drawer.

use thiserror::Error;

use crate::desk::lookup::{self, NotFound};
use crate::desk::{ExitClass, Refusal, Refused};
use crate::lots::called_back::called_back;
use crate::lots::pack::{Pack, PackError};
use crate::record::{Entry, ReceiveLine, Received, View};
use crate::stock::{StockLine, Where};
use crate::units::{Expiry, Lot, PartCode, PlaceId, RawLabel};

/// What came.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Receive {
    pub part: PartCode,
    pub lot: Lot,
    pub quantity: u32,
    pub place: PlaceId,
    pub new_place: bool,
    pub expiry: Option<Expiry>,
    pub label: Option<RawLabel>,
}

impl Receive {
    /// What came, by the pack and by what somebody says beside it.
    pub fn of(
        pack: &Pack,
        expiry: Option<Expiry>,
        quantity: Option<u32>,
        place: &PlaceId,
        new_place: bool,
    ) -> Result<Self, ReceiveError> {
        let expiry = match (expiry, pack.expiry) {
            (Some(said), Some(label)) if !said.agrees(label) => {
                return Err(ReceiveError::OtherPrinted { said, label });
            }
            (said, printed) => said.or(printed),
        };
        Ok(Self {
            part: pack.part.clone(),
            lot: pack.lot()?.clone(),
            quantity: quantity.or(pack.quantity).ok_or_else(|| ReceiveError::HowMany(pack.part.clone()))?,
            place: place.clone(),
            new_place,
            expiry,
            label: pack.label.clone(),
        })
    }
}

/// Why it was not received.
#[derive(Debug, Error)]
pub enum ReceiveError {
    /// Something named is not on record.
    #[error(transparent)]
    NotFound(#[from] NotFound),
    /// The lot is known with another expiry.
    #[error(
        "lot {lot} of part {part} is on record with another expiry: {recorded}; now said: {said}. Read the label again; nothing was booked"
    )]
    OtherExpiry {
        /// Which part.
        part: PartCode,
        /// Which lot.
        lot: Lot,
        /// What is on record.
        recorded: Expiry,
        /// What was said.
        said: Expiry,
    },
    /// The pack itself.
    #[error(transparent)]
    Pack(#[from] PackError),
    /// The pack says another expiry than the person.
    #[error("an expiry of {said} was said, the label says {label}: read the pack again; nothing was booked")]
    OtherPrinted {
        /// What was said.
        said: Expiry,
        /// What the label says.
        label: Expiry,
    },
    /// How many there are in it.
    #[error("how many pieces of {0} came? Say the quantity. Nothing was booked")]
    HowMany(PartCode),
    /// A line of a delivery.
    #[error("line {line} of the delivery: {why}. No line of it was booked")]
    Line {
        /// Which, from 1.
        line: usize,
        /// What is wrong with it.
        why: Box<ReceiveError>,
    },
    /// Nobody is to be given it.
    #[error(
        "lot {lot} of part {part} was called back by its maker (entry {entry}): it does not go into a drawer. Send it back; nothing was booked"
    )]
    CalledBack {
        /// Which part.
        part: PartCode,
        /// Which lot.
        lot: Lot,
        /// By which entry.
        entry: u64,
    },
}

impl Refusal for ReceiveError {
    fn class(&self) -> ExitClass {
        match self {
            Self::NotFound(e) => e.class(),
            Self::Pack(e) => e.class(),
            Self::OtherExpiry { .. } | Self::OtherPrinted { .. } | Self::CalledBack { .. } => {
                ExitClass::Facts
            }
            Self::HowMany(_) => ExitClass::Typed,
            // Refused as it would be alone.
            Self::Line { why, .. } => why.class(),
        }
    }
}

/// The entry for a delivery of one line.
pub fn decide(view: &View, ask: &Receive) -> Result<Entry, Refused<ReceiveError>> {
    Ok(Entry::Received(Received { lines: vec![line(view, ask, &[])?] }))
}

/// The entry for a delivery: all lines or none; the first that is wrong is named, counted from 1.
pub fn decide_all(view: &View, all: &[Receive]) -> Result<Entry, Refused<ReceiveError>> {
    let mut lines: Vec<ReceiveLine> = Vec::new();
    for (n, ask) in all.iter().enumerate() {
        match line(view, ask, &lines) {
            Ok(line) => lines.push(line),
            Err(Refused::Act(why)) => {
                return Err(ReceiveError::Line { line: n + 1, why: Box::new(why) }.into());
            }
            // A view that fails is no fault of the line.
            Err(e) => return Err(e),
        }
    }
    Ok(Entry::Received(Received { lines }))
}

/// One line, after those `before` it in the same delivery.
fn line(view: &View, ask: &Receive, before: &[ReceiveLine]) -> Result<ReceiveLine, Refused<ReceiveError>> {
    lookup::part(view, &ask.part)?;
    let made_before = before.iter().any(|l| l.place == ask.place);
    lookup::place_to_fill(view, &ask.place, ask.new_place || made_before)?;
    let mut lines = view.stock_of(&ask.part)?;
    let same = before.iter().filter(|l| l.part == ask.part && l.lot == ask.lot);
    let known = lines.iter().find(|l| l.lot == ask.lot).map(|l| l.expiry);
    let known = known.filter(|e| *e != Expiry::NotRecorded).or_else(|| same.clone().find_map(|l| l.expiry));
    lines.extend(same.map(|l| StockLine {
        lot: l.lot.clone(),
        expiry: Expiry::NotRecorded,
        place: Where::House(l.place.clone()),
        quantity: i64::from(l.quantity),
        own: 0,
        edition: 0,
    }));
    lookup::room_for(&lines, &ask.lot, &ask.place)?;
    if let (Some(recorded), Some(said)) = (known, ask.expiry)
        && !recorded.agrees(said)
    {
        let (part, lot) = (ask.part.clone(), ask.lot.clone());
        return Err(ReceiveError::OtherExpiry { part, lot, recorded, said }.into());
    }
    if let Some(entry) = called_back(view, &ask.part, &ask.lot)? {
        return Err(ReceiveError::CalledBack { part: ask.part.clone(), lot: ask.lot.clone(), entry }.into());
    }
    Ok(ReceiveLine {
        part: ask.part.clone(),
        lot: ask.lot.clone(),
        quantity: ask.quantity,
        place: ask.place.clone(),
        // The end of a month and its last day are one expiry: what is on record stays.
        expiry: known.filter(|_| ask.expiry.is_some()).or(ask.expiry),
        label: ask.label.clone(),
    })
}
