//! Tracing: where the pieces of a lot went, what stood in a mouth, and what is called back.

pub mod exchange;
pub mod sheets;
pub mod trace;
pub mod withdrawing;
