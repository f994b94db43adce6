//! Labels: published and constructed ones, what is refused word for word, and texts that nobody would print.

mod dates;
mod fuzz;
mod holds;
mod labels;
mod refused;
pub mod vectors;
