//! The rigid bridge on its seats: against another solver's answers, and against what must hold for every bridge.

mod properties;
mod vectors;
