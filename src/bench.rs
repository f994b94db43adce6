//! The bench: whether a part puts the bridge back where it was, and by how much not.

pub mod bands;
pub mod candidate;
pub mod fit;
pub mod laboratory;
pub mod measuring;
pub mod swap;
