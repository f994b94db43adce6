//! x
pub mod units;
