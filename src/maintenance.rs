//! Keeping the record itself: verify, back up, accept; editions of the catalogue in and out.

pub mod parts;
pub mod upkeep;
