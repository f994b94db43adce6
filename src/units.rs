//! L0: quantities, identifiers, dates, teeth, and the one table of input ranges.
//!
//! A quantity is an integer in one base unit, so it is exact, ordered and hashable.
//! Units are added where a person reads or types, never inside.

mod bounds;
mod date;
mod decimal;
mod id;
mod near;
mod quantity;
mod tooth;

pub use bounds::{LIMITS, Limits, OutOfRange, Range};
pub use date::{DateError, Expiry, month_name, parse_date, show_date};
pub use decimal::{DecimalError, scaled};
#[cfg(feature = "cli")]
pub(crate) use id::hidden;
pub use id::{
    Act, CaseNumber, IdError, Initials, InterfaceId, Lot, Name, Note, PartCode, PlaceId, PracticeName,
    RawLabel, SystemId, printable, visible,
};
pub use near::{did_you_mean, near};
pub use quantity::{Angle, Length, QuantityError, Torque};
pub use tooth::{Numbering, Tooth, ToothError, teeth};
