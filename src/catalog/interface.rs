//! Interfaces, their revisions, and systems.

use semver::Version;
use serde::ser::SerializeStruct as _;
use serde::{Deserialize, Serialize, Serializer};

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
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
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

impl Serialize for Interface {
    /// What was written before `form` was asked for is written as it was read; a row of the view has every field.
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        let leave_out = s.is_human_readable() && self.form.is_unknown();
        let mut fields = s.serialize_struct("Interface", if leave_out { 4 } else { 5 })?;
        fields.serialize_field("id", &self.id)?;
        fields.serialize_field("description", &self.description)?;
        fields.serialize_field("source", &self.source)?;
        if leave_out {
            fields.skip_field("form")?;
        } else {
            fields.serialize_field("form", &self.form)?;
        }
        fields.serialize_field("revisions", &self.revisions)?;
        fields.end()
    }
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
