//! L2: the ledger of what lies where, and which lot to take.
//!
//! Supplier, case and waste are places too, so the sum over all places is zero for every lot.

mod claims;
mod ledger;
mod pick;

pub use claims::{Claim, Hold, Need, free_for, in_drawers, served};
pub use ledger::{Movement, Spot, StockLine, Where};
pub use pick::{Pick, pick};
