//! Cases: who has what in which mouth, entered, looked at, closed.

pub mod bridging;
pub mod empty;
pub mod entering;
pub mod standing;
