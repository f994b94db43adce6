//! x
pub mod units;
pub mod catalog;
pub mod matching;
pub mod logbook;
