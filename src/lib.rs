//! x




pub mod case;
pub mod catalog;
pub mod logbook;
pub mod matching;
pub mod record;
pub mod stock;
pub mod store;
pub mod units;
