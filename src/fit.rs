//! L1: does a rigid bridge still sit? Pure kernels in mm, N, GPa and radians; they know no part and no patient.

pub mod seating;
pub mod shut;
