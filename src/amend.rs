//! What was booked wrongly is put right: an entry is taken back by another one.

pub mod countering;
