//! One contract for every backend: what a store must do, and what a logbook must do, whatever stands behind it.

mod logbook;
mod store;
