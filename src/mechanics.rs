//! L1: threads, preload and materials: what a torque is worth at a seat. Pure kernels in mm, N and radians; they know no
//! part and no patient.

pub mod materials;
pub mod preload;
pub mod thread;
