//! Lots: a pack in the hand, what of a part is there and for whom, and the numbers each lot came with.

pub mod called_back;
pub mod editions;
pub mod holds;
pub mod in_house;
pub mod label;
pub mod pack;
pub mod take;
