//! Interfaces, their revisions, and systems.

use semver::Version;
use serde::{Deserialize, Serialize};

use super::{SeatForm, Value};
use crate::units::{InterfaceId, Name, SystemId};

/// One step in the life of an interface.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Revision {
    /// Major: old and new do not mate. Minor: added or tightened, old parts still mate. Patch: paper only.
    pub revision: Version,
    /// What changed.
    pub what: Name,
}

/// A mating geometry.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Interface {
    /// Its slug.
    pub id: InterfaceId,
    /// What meets there.
    pub description: Name,
    /// Who states so.
    pub source: Name,
    /// How the two sides bear on each other: what opens a joint, and what breaks there, hangs on it. An edition of before
    /// this was asked for does not say.
    #[serde(default = "not_stated")]
    pub form: Value<SeatForm>,
    /// Oldest first, never empty.
    pub revisions: Vec<Revision>,
}

fn not_stated() -> Value<SeatForm> {
    Value::Unknown
}

/// A family of parts made to go together.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct System {
    /// Its slug.
    pub id: SystemId,
    /// Its name on the screen.
    pub name: Name,
    /// Who states its numbers: two systems of one source belong together.
    pub source: Name,
    /// Made up, for trying things out.
    pub invented: bool,
}
