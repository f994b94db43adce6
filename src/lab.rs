//! The laboratory elsewhere: a case shared as a file, its answer taken and confirmed.

pub mod sharing;
