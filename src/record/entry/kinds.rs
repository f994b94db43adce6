//! The kinds of entry as they are written, and which are written otherwise when a part in them states its maker.

use super::Entry;
use crate::case::Fitted;
use crate::catalog::{Part, Position};

/// Every kind that this program reads, as written.
pub(super) const KINDS: [&str; 43] = [
    "new.1",
    "catalogue.1",
    "catalogue.2",
    "receive.1",
    "move.1",
    "use.1",
    "case.1",
    "fit.1",
    "event.1",
    "verification.1",
    "accept.1",
    "visit.1",
    "tray.1",
    "counter.1",
    "case-closed.1",
    "check.1",
    "taken.1",
    "taken.2",
    "confirmed.1",
    "bands.1",
    "measured.1",
    "hold.1",
    "release.1",
    "use.2",
    "discard.1",
    "return.1",
    "reprocess.1",
    "quarantine.1",
    "quarantine-lifted.1",
    "withdraw.1",
    "count.1",
    "need.1",
    "need-off.1",
    "bridge.1",
    "use.3",
    "use.4",
    "case.2",
    "fit.2",
    "verification.2",
    "tray.2",
    "counter.2",
    "taken.3",
    "confirmed.2",
];

/// Kinds that hold parts, with the kind they are of when one of those states its maker.
pub(super) const WITH_MAKERS: [(&str, &str); 10] = [
    ("use.1", "use.3"),
    ("use.2", "use.4"),
    ("case.1", "case.2"),
    ("fit.1", "fit.2"),
    ("verification.1", "verification.2"),
    ("tray.1", "tray.2"),
    ("counter.1", "counter.2"),
    ("taken.1", "taken.3"),
    ("taken.2", "taken.3"),
    ("confirmed.1", "confirmed.2"),
];

impl Entry {
    /// Whether a part in it states its maker.
    pub(super) fn states_a_maker(&self) -> bool {
        let states = |part: &Part| !part.maker.is_unknown();
        let fitted = |all: &[Fitted]| all.iter().any(|f| states(&f.part));
        let built_on = |all: &[(Position, Part)]| all.iter().any(|(_, part)| states(part));
        match self {
            Self::Used(e) => e.lines.iter().any(|l| states(&l.part)),
            Self::UsedHeld(e) => e.lines.iter().any(|l| states(&l.part)),
            Self::Tray(e) => e.lines.iter().any(|l| states(&l.part)),
            Self::Case(e) => e.assemblies.iter().any(|all| fitted(all)),
            Self::Fitted(e) => states(&e.fitted.part),
            Self::Verification(e) => states(&e.verification.fitted) || states(&e.verification.candidate),
            Self::Countered(e) => e.restored.iter().any(|s| fitted(&s.fitted) || built_on(&s.built_on)),
            Self::Taken(e) | Self::TakenWithForms(e) => {
                e.assemblies.iter().any(|all| fitted(all)) || e.built_on.iter().any(|all| built_on(all))
            }
            Self::Confirmed(e) => e.swaps.iter().any(|s| states(&s.part)),
            _ => false,
        }
    }
}
