//! Count: somebody says what lies in a drawer; what differs from the record is shown, and booked with a reason.
//!
//! Whoever counts is told what the record says only where it differs.

use thiserror::Error;

use crate::desk::lookup::{self, NotFound};
use crate::desk::{ExitClass, Refusal, Refused};
use crate::lots::called_back::called_back;
use crate::lots::pack::Pack;
use crate::record::{CountLine, Counted, Entry, View, ViewError};
use crate::scan::is_label;
use crate::units::{Expiry, LIMITS, Lot, Note, PartCode, PlaceId, printable};

/// What somebody found of a part, or of one lot of it.
#[derive(Debug, Clone, PartialEq, Eq)]
#[allow(missing_docs)]
pub struct Found {
    pub part: PartCode,
    pub lot: Option<Lot>,
    pub counted: u32,
}

impl Found {
    /// Reads PART=N or PART:LOT=N.
    pub fn parse(text: &str) -> Result<Self, String> {
        let shown = || printable(text);
        let (named, counted) = text
            .rsplit_once('=')
            .ok_or_else(|| format!("'{}' is no count: expected PART=N or PART:LOT=N", shown()))?;
        let (part, lot) = named.split_once(':').map_or((named, None), |(part, lot)| (part, Some(lot)));
        Ok(Self {
            part: PartCode::new(part).map_err(|e| e.to_string())?,
            lot: match lot {
                Some(text) if is_label(text) => {
                    return Err(format!("'{}' is a label, not a lot: say LABEL=N", printable(text)));
                }
                lot => lot.map(Lot::new).transpose().map_err(|e| e.to_string())?,
            },
            counted: Self::counted(counted)?,
        })
    }

    /// Reads a number of pieces that lie somewhere: none is one.
    pub fn counted(text: &str) -> Result<u32, String> {
        let counted = LIMITS.count.whole(text).map_err(|e| e.to_string())?;
        u32::try_from(counted).map_err(|e| e.to_string())
    }
}

/// What was counted.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Count {
    pub place: PlaceId,
    pub found: Vec<Found>,
    /// Nothing else lies there: what is not named is not there.
    pub all: bool,
}

/// Why a count cannot be compared.
#[derive(Debug, Error)]
pub enum CountError {
    /// Something named is not on record.
    #[error(transparent)]
    NotFound(#[from] NotFound),
    /// Several lots, or none.
    #[error(
        "part {part}: say which lot was counted, {part}:LOT=N. Lots of it in {place} by the record: {lots}. Nothing was booked"
    )]
    WhichLot {
        /// Which part.
        part: PartCode,
        /// In which drawer.
        place: PlaceId,
        /// What there is.
        lots: String,
    },
    /// Named twice.
    #[error("lot {lot} of part {part} is counted twice: say it once, with the sum. Nothing was booked")]
    Twice {
        /// Which part.
        part: PartCode,
        /// Which lot.
        lot: Lot,
    },
    /// A count has no room for an expiry.
    #[error(
        "the label says usable until {expiry}, and no expiry of lot {lot} of part {part} is on record: a count would lose it. Book the pack in by its label, 'spareseat receive LABEL --place PLACE'; nothing was counted or booked"
    )]
    ExpiryLost {
        /// Which part.
        part: PartCode,
        /// Which lot.
        lot: Lot,
        /// As the label says.
        expiry: Expiry,
    },
    /// Nothing was counted.
    #[error(
        "nothing was counted: say what lies there, PART=N or PART:LOT=N, or --all for an empty drawer. Nothing was booked"
    )]
    Nothing,
}

impl Refusal for CountError {
    fn class(&self) -> ExitClass {
        match self {
            Self::NotFound(e) => e.class(),
            Self::ExpiryLost { .. } => ExitClass::Facts,
            Self::WhichLot { .. } | Self::Twice { .. } | Self::Nothing => ExitClass::Typed,
        }
    }
}

/// A count held against the record.
#[derive(Debug, Clone, PartialEq, Eq)]
#[allow(missing_docs)]
pub struct Compared {
    pub place: PlaceId,
    pub lines: Vec<CountLine>,
    /// How many lots lie there by the record and were not counted.
    pub not_counted: usize,
}

impl Compared {
    /// What differs.
    pub fn differences(&self) -> impl Iterator<Item = &CountLine> {
        self.lines.iter().filter(|l| l.counted != l.on_record)
    }
}

/// What lies there by a label: its part and lot; refused where its expiry would be lost.
pub fn by_label(view: &View, pack: &Pack, counted: u32) -> Result<Found, Refused<CountError>> {
    let (part, lot) = (pack.part.clone(), pack.lot.clone());
    if let (Some(expiry), Some(lot)) = (pack.expiry, &lot) {
        let line = view.stock_of(&part)?.into_iter().find(|l| l.lot == *lot);
        if counted > 0 && line.is_none_or(|l| l.expiry == Expiry::NotRecorded) {
            return Err(CountError::ExpiryLost { part, lot: lot.clone(), expiry }.into());
        }
    }
    Ok(Found { part, lot, counted })
}

/// Holds a count against the record.
pub fn compare(view: &View, ask: &Count) -> Result<Compared, Refused<CountError>> {
    lookup::place(view, &ask.place)?;
    if ask.found.is_empty() && !ask.all {
        return Err(CountError::Nothing.into());
    }
    let count = |n: i64| u32::try_from(n).unwrap_or(0);
    let mut lines: Vec<CountLine> = Vec::new();
    for found in &ask.found {
        let Found { part, lot, counted } = found;
        let stock = view.stock_of(part)?;
        if stock.is_empty() {
            lookup::part(view, part)?;
        }
        let here = || stock.iter().filter(|l| l.place.house() == Some(&ask.place) && l.quantity > 0);
        let lot = match (lot, &here().collect::<Vec<_>>()[..]) {
            (Some(lot), _) => lot.clone(),
            (None, [only]) => only.lot.clone(),
            // None of it, and none by the record: nothing differs, whatever the lot.
            (None, []) if *counted == 0 => continue,
            (None, _) => {
                let lots = lookup::list(here().map(|l| format!("lot {}", l.lot)));
                return Err(
                    CountError::WhichLot { part: part.clone(), place: ask.place.clone(), lots }.into()
                );
            }
        };
        lookup::room_for(&stock, &lot, &ask.place)?;
        if lines.iter().any(|l| l.part == *part && l.lot == lot) {
            return Err(CountError::Twice { part: part.clone(), lot }.into());
        }
        let on_record = count(here().filter(|l| l.lot == lot).map(|l| l.quantity).sum());
        lines.push(CountLine { part: part.clone(), lot, counted: *counted, on_record });
    }
    let mut not_counted = Vec::new();
    for (part, stock) in view.stock()? {
        let here = stock.into_iter().filter(|l| l.place.house() == Some(&ask.place) && l.quantity > 0);
        for line in here.filter(|l| !lines.iter().any(|c| c.part == part && c.lot == l.lot)) {
            let (part, on_record) = (part.clone(), count(line.quantity));
            not_counted.push(CountLine { part, lot: line.lot, counted: 0, on_record });
        }
    }
    let left = if ask.all { 0 } else { not_counted.len() };
    if ask.all {
        lines.append(&mut not_counted);
    }
    Ok(Compared { place: ask.place.clone(), lines, not_counted: left })
}

/// What was counted in a drawer and goes into nobody.
pub fn called_back_there(view: &View, entry: &Entry) -> Result<Vec<String>, ViewError> {
    let Entry::Counted(count) = entry else { return Ok(Vec::new()) };
    let mut lines = Vec::new();
    for line in count.lines.iter().filter(|l| l.counted > 0) {
        if let Some(by) = called_back(view, &line.part, &line.lot)? {
            let (part, lot) = (&line.part, &line.lot);
            lines.push(format!(
                "lot {lot} of {part} was CALLED BACK BY ITS MAKER (entry {by}) and lies in {}: keep it apart now, 'spareseat quarantine {part} --lot {lot} --because REASON'",
                count.place
            ));
        }
    }
    Ok(lines)
}

/// The entry that books a count, with what differs and what does not.
pub fn decide(view: &View, ask: &Count, because: &Note) -> Result<Entry, Refused<CountError>> {
    let Compared { place, lines, .. } = compare(view, ask)?;
    Ok(Entry::Counted(Counted { place, lines, because: because.clone() }))
}
