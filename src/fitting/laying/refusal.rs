//! Why the tray of a visit is not booked.

use thiserror::Error;

use super::Line;
use crate::case::TorqueRecord;
use crate::chair::visit::VisitError;
use crate::desk::lookup::NotFound;
use crate::desk::{ExitClass, Refusal};
use crate::lots::pack::PackError;
use crate::lots::take::TakeError;
use crate::units::{CaseNumber, Expiry, Lot, PartCode};

/// Why it was not booked.
#[derive(Debug, Error)]
pub enum LayingError {
    /// Something named is not on record.
    #[error(transparent)]
    NotFound(#[from] NotFound),
    /// The visit does not answer.
    #[error(transparent)]
    Visit(#[from] VisitError),
    /// No visit.
    #[error(
        "no visit is open on case {0}: put it on record first, 'spareseat --as INITIALS visit {0} --site TOOTH --broken WHAT --open'; nothing was booked"
    )]
    NoneOpen(CaseNumber),
    /// Twice.
    #[error(
        "the tray of this visit was booked already, as entry {entry}: nothing was booked now. If that was a mistake: 'spareseat --as INITIALS reverse {entry}'"
    )]
    BookedBefore {
        /// By which entry.
        entry: u64,
    },
    /// What lies ready is not what was shown.
    #[error(
        "the tray has changed since it was shown; nothing was booked. Shown: {then}. Now: {now}. Look at it again: 'spareseat --as INITIALS visit {case} --narrow' puts it on record as it is now"
    )]
    Changed {
        /// Whose.
        case: CaseNumber,
        /// What was shown.
        then: String,
        /// What is there.
        now: String,
    },
    /// Nothing to book.
    #[error(
        "nothing of the tray of case {0} is left to be booked. What went in otherwise: 'spareseat use {0} --site TOOTH --position POSITION --part PART --lot LOT --torque NCM'; nothing was booked"
    )]
    Empty(CaseNumber),
    /// A line that the tray does not have.
    #[error("{option} {line}: the tray has no such line. It has: {there}. Nothing was booked")]
    NoSuchLine {
        /// Which option names it.
        option: &'static str,
        /// Which.
        line: Line,
        /// What there is.
        there: String,
    },
    /// Straight parts do not lean.
    #[error("part {0} is straight: leave out its --lean. Nothing was booked")]
    Straight(PartCode),
    /// A label that is not one of a pack.
    #[error(transparent)]
    Pack(#[from] PackError),
    /// Another pack than the one that was laid out.
    #[error(
        "the label is that of part {part}, lot {lot}, which the tray does not have. It has: {tray}. Take what was laid out. Or leave that line out with --except, and this label too, and book this pack by itself afterwards: 'spareseat use CASE --site TOOTH --position POSITION --label LABEL --torque NCM'. Nothing was booked"
    )]
    NotOfTray {
        /// Which part.
        part: PartCode,
        /// Which lot.
        lot: Lot,
        /// What there is.
        tray: String,
    },
    /// One torque, and the parts ask for several.
    #[error(
        "--torque {said}: the parts of this tray ask for different torques. {groups}. Name the torque of each of the others, such as --torque {example}. Nothing was booked"
    )]
    Torques {
        /// What was said for all.
        said: TorqueRecord,
        /// What asks for what, in words.
        groups: String,
        /// How one of the others is named.
        example: String,
    },
    /// Alike parts of several lots.
    #[error(
        "the tray has {set} of {number} lots ({lots}), and nobody can tell them apart afterwards: say for each tooth which lot went in. Not said for {silent}. Add --lot {example}=LOT for each, or --label {example}=LABEL as scanned. Nothing was booked"
    )]
    WhichLots {
        /// Which parts.
        set: String,
        /// How many lots they are of.
        number: usize,
        /// Which lots, with how many pieces.
        lots: String,
        /// The lines of which nobody said it.
        silent: String,
        /// How the first of them is named.
        example: String,
    },
    /// A lot that was not laid out, or more of it than was.
    #[error(
        "{line}: lot {lot} was said, and of that the tray has {there}. It has: {lots}. Read the packs again. Another pack than those is booked by itself: leave that line out with --except, then 'spareseat use CASE --site TOOTH --position POSITION --part PART --lot LOT --torque NCM'. Nothing was booked"
    )]
    NotThatLot {
        /// Which line.
        line: Line,
        /// What was said of it.
        lot: Lot,
        /// None, or fewer than were said.
        there: String,
        /// What was laid out.
        lots: String,
    },
    /// A label beside a line that is not of its part.
    #[error(
        "--label {line}: the label is that of part {label}, the tray has {part} there. Nothing was booked"
    )]
    OtherPart {
        /// Which line.
        line: Line,
        /// Whose label it is.
        label: PartCode,
        /// What the tray has.
        part: PartCode,
    },
    /// More serial numbers than units.
    #[error(
        "more serial numbers of part {part}, lot {lot}, were scanned than the tray has pieces of it: scan those that go in. Nothing was booked"
    )]
    TooMany {
        /// Which part.
        part: PartCode,
        /// Which lot.
        lot: Lot,
    },
    /// The record has it otherwise.
    #[error(
        "part {part}, lot {lot}: the label says EXPIRED, {expiry}. Take another pack; or leave that line out with --except and book this one by itself with --expired-because. Nothing was booked"
    )]
    Over {
        /// Which part.
        part: PartCode,
        /// Which lot.
        lot: Lot,
        /// As the label says.
        expiry: Expiry,
    },
    /// Not there to be taken.
    #[error(transparent)]
    Take(#[from] TakeError),
}

impl Refusal for LayingError {
    fn class(&self) -> ExitClass {
        match self {
            Self::NotFound(e) => e.class(),
            Self::Visit(e) => e.class(),
            Self::Pack(e) => e.class(),
            Self::NoSuchLine { .. }
            | Self::Straight(_)
            | Self::Torques { .. }
            | Self::WhichLots { .. }
            | Self::OtherPart { .. } => ExitClass::Typed,
            Self::NoneOpen(_)
            | Self::BookedBefore { .. }
            | Self::Changed { .. }
            | Self::Empty(_)
            | Self::NotOfTray { .. }
            | Self::NotThatLot { .. }
            | Self::TooMany { .. }
            | Self::Over { .. }
            | Self::Take(_) => ExitClass::Facts,
        }
    }
}
