//! L1: what stands on a label: GS1 element strings and HIBC, as a scanner sends them or as they are printed.
//!
//! [`read`] cannot fail: whatever the text, it gives a [`Label`] with a verdict and with sentences that say what is
//! wrong. It sees no clock: the year that two digits are near to is handed in. Sources stand in the files below; the
//! rows of tests/vectors/gs1.json and tests/vectors/hibc.json are held against all of it.

mod calendar;
mod check;
mod glued;
mod gs1;
mod hibc;
mod label;
mod reading;
mod reason;

pub use calendar::Day;
pub use check::{check_character, check_digit, is_gtin};
pub use gs1::Element;
pub use hibc::{Form, Hibc, HibcExpiry, HibcItem};
pub use label::{Content, Item, Label, Standard, Verdict};
pub use reading::{is_label, read};
pub use reason::{Doubt, Fault, NotRead};

/// How many bytes of a label are read: as many as the record keeps. A part's label has up to about 120.
pub const MOST: usize = 200;
