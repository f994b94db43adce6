//! The faults: kills, power cuts, damage, full disks, failing syncs, two at once.
//!
//! What must hold after every one of them: no acknowledged entry is lost and none stands twice, the logbook is whole or
//! the program says what is wrong with it and what to do, stock is what the entries make it, look-ups answer where they
//! can, and no answer is ever wrong.
//!
//! `SPARESEAT_LONG=1` tries more of everything that is a sample in the short form.

mod acts;
mod bits;
mod copies;
mod cuts;
mod damaged_lines;
pub mod disk;
mod disks;
mod kill;
mod ledger;
mod locks;
mod measuring;
mod opening;
mod power;
mod quiet;
mod random;
mod recording;
mod shelf;
mod stocking;
mod sync;
mod taking;
mod taking_back;
mod two;
mod view;
mod visits;
pub mod world;
