//! Where a rigid bridge comes to rest on seats that no longer stand where they stood.
