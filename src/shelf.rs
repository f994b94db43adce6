//! The shelf: what lies in which drawer, what comes in, moves, is set aside and goes out.

pub mod apart;
pub mod counting;
pub mod delivery;
pub mod finding;
pub mod holding;
pub mod low;
pub mod moving;
pub mod planning;
pub mod receiving;
pub mod returning;
pub mod shelves;
