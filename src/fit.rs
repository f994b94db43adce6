//! L1: does a rigid bridge still sit? Pure kernels in mm, N, GPa and radians; they know no part and no patient.
//!
//! - [`seating`]: where a rigid bridge comes to rest on seats that moved, exact and with its proof;
//! - [`arch`]: where the sites lie until somebody measures them;
//! - [`arrangement`]: whether measured sites lie the way teeth do;
//! - [`moving`]: how far another part moves a seat, straight or angled;
//! - [`shut`]: what it takes to shut the gaps, from pinned seats to flush ones;
//! - [`stack`]: heights added up: nominal, at worst, and as a rule;
//! - [`scatter`]: what the tolerance of two parts of one drawing does to the worst gap;
//! - [`space`] adds and multiplies directions.

pub mod arch;
pub mod arrangement;
pub mod moving;
pub mod scatter;
pub mod seating;
pub mod shut;
pub mod space;
pub mod stack;
