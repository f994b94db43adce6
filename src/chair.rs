//! The chair: the patient is here; which part, which drawer, what torque, and what was done.

pub mod laying;
mod put_in;
pub mod using;
pub mod visit;
pub mod visiting;
