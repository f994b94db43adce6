//! The numbers that lots were received under, where the edition in force has others.
//!
//! They stand beside the parts of the edition in force, and are made with them: from the editions that the logbook keeps.

use std::collections::{BTreeMap, BTreeSet};
use std::io::{BufRead as _, BufReader};
use std::ops::ControlFlow;

use serde::{Deserialize, Serialize};

use super::{LotRow, View, ViewError, list_of};
use crate::catalog::{EditionError, EditionId, EditionLine, Part};
use crate::logbook::{Logbook, LogbookError};
use crate::record::codec::{self, Sealed};
use crate::record::key::{self, tag};
use crate::units::PartCode;

/// A catalogue edition, and the entry that put it in force.
pub type EditionRow = (u64, EditionId);

/// The numbers of a part in an earlier edition, by the entry that put that one in force.
#[doc(hidden)]
#[allow(missing_docs)]
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct EarlierRow {
    pub edition: u64,
    pub part: Sealed<Part>,
}

/// Of every part, its numbers under the editions that lots of it came under.
pub(super) type Earlier = BTreeMap<PartCode, Vec<(u64, Part)>>;

/// How a part begins in an edition: only those that are looked for are read.
const PART: &str = "{\"part\":{\"code\":\"";

impl View {
    /// The editions that were put in force, and by which entries.
    fn editions(&self) -> Result<Vec<EditionRow>, ViewError> {
        self.chunks(key::editions)
    }

    /// The numbers under which lots came while another edition than `in_force` was in force.
    pub(super) fn earlier_numbers(
        &self,
        logbook: &dyn Logbook,
        in_force: &EditionId,
    ) -> Result<Earlier, ViewError> {
        let mut editions = self.editions()?;
        editions.retain(|(_, edition)| edition != in_force);
        if editions.is_empty() {
            return Ok(Earlier::new());
        }
        let mut wanted: BTreeMap<PartCode, BTreeSet<u64>> = BTreeMap::new();
        self.each_lot(&mut |code, lot| {
            if editions.iter().any(|(entry, _)| *entry == lot.edition) {
                wanted.entry(code).or_default().insert(lot.edition);
            }
        })?;
        let mut found = Earlier::new();
        let mut ids: Vec<&EditionId> = editions.iter().map(|(_, edition)| edition).collect();
        ids.sort_unstable_by_key(|id| id.as_str());
        ids.dedup();
        for id in ids {
            let entries: BTreeSet<u64> = editions.iter().filter(|(_, e)| e == id).map(|(n, _)| *n).collect();
            let came = |code: &PartCode| wanted.get(code).is_some_and(|came| !came.is_disjoint(&entries));
            if !wanted.keys().any(came) {
                continue;
            }
            parts_of(logbook, id, &came, &mut |part| {
                let under = wanted[&part.code].intersection(&entries).map(|entry| (*entry, part.clone()));
                found.entry(part.code.clone()).or_default().extend(under);
            })?;
        }
        found.values_mut().for_each(|all| all.sort_by_key(|(entry, _)| *entry));
        Ok(found)
    }

    /// Every lot, row by row: there may be more of them than should be held at once.
    fn each_lot(&self, each: &mut dyn FnMut(PartCode, LotRow)) -> Result<(), ViewError> {
        let mut failed = None;
        self.rows.each_stored(&[tag::STOCK], &mut |row, value| {
            let list = list_of(row);
            if self.cache.contains_key(list) {
                return ControlFlow::Continue(());
            }
            match (key::stock_part(list), codec::decode::<LotRow>(value)) {
                (Some(code), Ok((_, lots))) => lots.into_iter().for_each(|lot| each(code.clone(), lot)),
                (_, Err(e)) => failed = Some(e),
                (None, _) => {}
            }
            if failed.is_some() { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
        })?;
        if let Some(e) = failed {
            return Err(e.into());
        }
        for list in self.cache.keys().filter(|list| list.first() == Some(&tag::STOCK)) {
            let Some(code) = key::stock_part(list) else { continue };
            self.list::<LotRow>(list)?.into_iter().for_each(|lot| each(code.clone(), lot));
        }
        Ok(())
    }
}

/// The parts of an edition that `wants` asks for.
fn parts_of(
    logbook: &dyn Logbook,
    id: &EditionId,
    wants: &dyn Fn(&PartCode) -> bool,
    each: &mut dyn FnMut(Part),
) -> Result<(), ViewError> {
    let mut content = BufReader::new(logbook.fetch(id)?);
    let wrong = |why: String| LogbookError::Edition { edition: id.clone(), why };
    let mut bytes = Vec::new();
    for n in 1_u64.. {
        bytes.clear();
        // Its last bytes are read as well: only then is it known to be what its name says.
        if content.read_until(b'\n', &mut bytes).map_err(|e| wrong(e.to_string()))? == 0 {
            break;
        }
        let text = std::str::from_utf8(&bytes).map_err(|e| wrong(e.to_string()))?;
        let code = text.strip_prefix(PART).and_then(|rest| rest.split('"').next());
        if !code.and_then(|code| PartCode::new(code).ok()).is_some_and(|code| wants(&code)) {
            continue;
        }
        let read: Result<EditionLine, _> = serde_json::from_str(text);
        match read.map_err(|e| EditionError::Line { line: n, why: e.to_string() })? {
            EditionLine::Part(part) => each(*part),
            EditionLine::Edition { .. } | EditionLine::System(_) | EditionLine::Interface(_) => {}
        }
    }
    Ok(())
}
