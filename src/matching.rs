//! L3: may this part take that one's place? Verdict and findings; it cannot fail and knows no patient.
//!
//! One rule a file under `rules`. A rule looks at a [`Question`] and states [`Finding`]s; the verdict is read off the
//! findings in one place, [`judge`]. A number that decides and is missing makes a finding of level
//! [`Level::Unknown`], so nothing ever fits on missing data.

mod joint;
#[cfg(test)]
mod near_miss;
mod order;
mod question;
mod rules;
#[cfg(test)]
mod sample;
mod set;
mod verdict;

pub use joint::is_covered;
pub use order::{order, rank};
pub use question::{Question, StandsOn, Verification};
pub use rules::{Rule, table};
pub use set::judge_set;
pub use verdict::{Finding, Judgement, Level, Verdict, judge, judge_for_now};
