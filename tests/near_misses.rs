//! Near misses: every number of every part of the demo changed a little, much, doubled and taken away, and nothing
//! may be called the same, like for like, or be laid out, that is not known to be so.
//!
//! `table` says what must be known of a part and why, `joints` what geometry says of what meets, `expected` what
//! verdicts a question may therefore have. All three are stated from what a number does in its joint; none of them
//! reads the rules.

mod bad_input;
mod covers;
mod expected;
mod generated;
mod homes;
mod issue;
mod joints;
mod less_known;
mod rows;
mod sheet;
mod stages;
mod table;
mod takes;
mod vary;
