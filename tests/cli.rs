//! The program as people type it: what the answers hold, what is refused and how, and what the screen shows.
//!
//! Rules and balances are tested where they live; here every test starts the real program.

mod answers;
mod asked;
mod at_the_chair;
pub mod bare_numbers;
mod booking;
mod by_hand;
mod clock;
mod countering;
mod countering_trays;
mod files;
mod finding;
mod fit_drawn;
mod fit_sheet;
mod fitting;
mod formulas;
mod help;
mod homes;
mod hostile;
mod keeps_fit;
mod labels;
mod laying;
mod laying_refused;
mod loads;
mod loads_refused;
mod meanwhile;
mod measure;
mod measured;
mod mouths;
mod output;
mod practice;
mod printed;
mod refusals;
mod revisions;
mod sharing;
mod sharing_answers;
mod sharing_refused;
mod sheets;
mod snapshots;
mod standing;
pub mod typed;
mod visits;
mod visits_refused;
mod weakest;
