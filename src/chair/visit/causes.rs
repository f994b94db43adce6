//! Nobody has looked yet: the likely causes in order, and what tells them apart.

use super::scene::Scene;
use crate::case::{Broken, Call, Calls};

/// One thing that may have happened.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Cause {
    pub broken: Broken,
    pub report: String,
    pub tells: String,
    /// The tray covers it.
    pub covered: bool,
    pub source: String,
}

/// How many of the causes one tray covers.
const COVERED: usize = 3;

/// The causes that these assemblies allow, the likeliest first, each with its row of the table.
pub(super) fn likely(scene: &Scene<'_>) -> Vec<(Cause, &'static Call)> {
    let rows = Calls::shipped().likely(scene.held()).iter().filter_map(|word| scene.row(*word));
    rows.filter(|call| scene.about(call).is_some())
        .enumerate()
        .map(|(n, call)| {
            let cause = Cause {
                broken: call.word,
                report: call.report.clone(),
                tells: call.tells.clone().unwrap_or_default(),
                covered: n < COVERED,
                source: call.source_words().to_owned(),
            };
            (cause, call)
        })
        .collect()
}
