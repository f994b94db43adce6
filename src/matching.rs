//! L3: may this part take that one's place? Verdict and findings; it cannot fail and knows no patient.
//!
//! One rule a file under `rules`. A rule looks at a [`Question`] and states [`Finding`]s; the verdict is read off the
//! findings in one place, [`judge`]. A number that decides and is missing makes a finding of level
//! [`Level::Unknown`], so nothing ever fits on missing data.

mod question;
mod rules;
mod verdict;

pub use question::{Question, StandsOn, Verification};
pub use verdict::{Finding, Judgement, Level, Verdict, judge};
