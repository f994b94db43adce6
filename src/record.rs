//! S+: the record: entry types, the view folded from them, and the keeper that holds the two together.
//!
//! The logbook is the record, the view is disposable: whenever the view cannot be trusted it is thrown away and folded
//! again. The fold applies and never judges; it sees no clock.

mod codec;
mod ends;
mod entry;
mod fold;
mod keeper;

mod key;
mod reader;
mod view;

pub use codec::fits as fits_a_row;
pub use entry::{
    Accepted, AnswerSwap, BandsSet, Became, BridgeEntered, BridgeStep, BuiltThere, CalledBack, CaseClosed,
    CaseImported, CaseTaken, CatalogueChanged, CatalogueCorrected, CheckSet, CountLine, Counted, Countered,
    DiscardLine, Discarded, Entry, EntryError, FitBands, FitWord, FittedEntered, HappenedEntered, HeldLot,
    Mouth, MoveLine, Moved, MovedBack, NeedOff, Needed, Origin, Outcome, QuarantineLifted, Quarantined,
    ReceiveLine, Received, Released, ReleasedHold, Removed, Replaced, Reprocessed, Returned, SetAside, Shown,
    SiteBefore, SiteSum, SitesMeasured, Spoiled, Spoilt, Step, SwapConfirmed, TakenFrom, TrayBooked, UseLine,
    Used, UsedHeld, VerificationEntered, VisitStep, WrongNumbers,
};
pub use fold::{Meta, fold, movements};
pub use keeper::{
    BookError, Booked, Notice, Record, RecordError, Stamp, Trouble, VIEW_FOLDER, Verified, ViewPlace,
};

pub use view::{
    BelowZero, BuiltOn, CaseState, ConfirmedRow, HeadRow, MeasuringRow, OpenVisit, OriginRow, PieceRow,
    PlaceRow, View, ViewError,
};
