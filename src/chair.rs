//! The chair: the patient is here; which part broke, which drawer, what torque, what else must be new.

pub mod visit;
