//! L1: what a torque is worth, what a load does to a joint, a neck, a cone, and how a rigid bridge shares it out. Pure
//! kernels in mm, N, MPa and radians; they know no part and no patient.

pub mod bench;
pub mod bite;
pub mod cone;
pub mod joint;
pub mod lever;
pub mod margin;
pub mod materials;
pub mod neck;
pub mod preload;
pub mod ring;
pub mod section;
pub mod sharing;
pub mod size;
pub mod thread;
pub mod tightening;
