//! Where the sites of a case lie, as somebody measured it.

use serde::{Deserialize, Serialize};

use crate::case::Measured;
use crate::units::{CaseNumber, Note};

/// Sites were measured; in place of what stood there of these sites.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SitesMeasured {
    /// Whose.
    pub case: CaseNumber,
    /// The name of the file, or 'typed'.
    pub source: Note,
    /// Why it was taken although it looked wrong; or what else was to be said.
    pub because: Option<Note>,
    /// Which sites, where.
    pub measured: Vec<Measured>,
}
