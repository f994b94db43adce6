//! One part that goes into one position of a mouth: what `use`, the tray and its step up book of it.

use crate::case::{Fitted, TorqueRecord};
use crate::catalog::{Lean, Part, Position, TorqueAsked, TorqueSpec, Value};
use crate::record::{Became, Replaced, UseLine};
use crate::units::{Lot, Note, PlaceId, RawLabel, Tooth, Torque};

/// A part on its way from a drawer into a mouth.
#[derive(Debug, Clone)]
pub(super) struct PutIn {
    pub site: Tooth,
    pub position: Position,
    pub part: Part,
    pub lot: Lot,
    pub place: PlaceId,
    pub label: Option<RawLabel>,
    pub torque: TorqueRecord,
    pub lean: Option<Lean>,
    /// The drawer did not hold it by the record.
    pub found: bool,
    pub expired_because: Option<Note>,
    /// What became of the part that it replaces, where there is one.
    pub became: Became,
}

impl PutIn {
    /// As it is booked, over what stands there.
    pub fn line(self, assembly: &[Fitted]) -> UseLine {
        let replaced = Fitted::at(assembly, self.position).map(|old| Replaced {
            part: old.part.code.clone(),
            lot: old.lot.clone(),
            became: self.became,
        });
        // Nothing is carried over from the old part: the new one need not lean the same way.
        let lean = match self.lean {
            _ if !self.part.is_angled() => Value::NotApplicable,
            Some(lean) => Value::Known(lean),
            None => Value::Unknown,
        };
        UseLine {
            site: self.site,
            position: self.position,
            part: self.part,
            lot: self.lot,
            place: self.place,
            label: self.label,
            torque: self.torque,
            lean,
            found: self.found,
            expired_because: self.expired_because,
            replaced,
        }
    }
}

/// What is to be said of a part that was tightened with `set` where `asked` is asked for.
///
/// Where screw and partner ask for two torques the lower one is asked for, and both are said.
pub(super) fn torque_remark(asked: &TorqueAsked, set: Torque) -> Option<String> {
    match &asked.rules {
        TorqueSpec::Stated(rules) if *rules == set => None,
        TorqueSpec::Stated(_) if asked.disagree.is_some() => {
            Some(format!("tightened to {set}; asked for is {asked}"))
        }
        TorqueSpec::Stated(rules) => Some(format!("tightened to {set}; its source states {rules}")),
        other => Some(format!("tightened to {set}; for this part: {other}")),
    }
}
