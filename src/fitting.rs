//! Fitting: what goes into a mouth and comes out is booked: one part, the tray of a visit, a visit begun and ended.

pub mod laying;
mod put_in;
pub mod using;
pub mod visiting;
