//! Verification: chain, editions, balances, and the view against all of them.

use super::feed::feed;
use super::{Record, RecordError, Trouble};
use crate::catalog::EditionId;
use crate::logbook::{Head, Logbook, LogbookError};
use crate::record::entry::Entry;
use crate::record::view::{BelowZero, View, ViewError, digest_edition};

/// What [`Record::verify`] found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Verified {
    /// The last entry and its sum: printed on paper it is a second witness.
    pub head: Head,
    /// How many editions were checked against their names.
    pub editions: usize,
    /// Places in the house that went below zero.
    pub below_zero: Vec<BelowZero>,
    /// The view on disk is not what the logbook folds to.
    pub view_differs: bool,
}

impl Record {
    /// Checks everything there is to check; catches up first.
    pub fn verify(&mut self) -> Result<Verified, RecordError> {
        self.refresh()?;
        if let Some(Trouble::Logbook(_)) = &self.trouble {
            let Some(Trouble::Logbook(e)) = self.trouble.take() else { unreachable!("just looked") };
            return Err(e.into());
        }
        let (logbook, view) = (&*self.logbook, &self.view);
        let in_force = view.head().edition.clone();
        // The rows of the view, those of the catalogue and those of the entries are summed side by side.
        let (folded, parts, own) = std::thread::scope(|scope| {
            let own = (!view.is_in_memory()).then(|| scope.spawn(|| view.digest()));
            let parts =
                in_force.as_ref().map(|edition| scope.spawn(|| digest_edition(logbook, edition, view)));
            let folded = Self::fold_again(logbook, view.head().head);
            let joined =
                |result: std::thread::Result<_>| result.unwrap_or_else(|p| std::panic::resume_unwind(p));
            (folded, parts.map(|t| joined(t.join())), own.map(|t| joined(t.join())))
        });
        let (memory, editions) = folded?;
        for edition in editions.iter().filter(|e| in_force.as_ref() != Some(*e)) {
            let read = std::io::copy(&mut logbook.fetch(edition)?, &mut std::io::sink());
            read.map_err(|e| LogbookError::Edition { edition: edition.clone(), why: e.to_string() })?;
        }
        let mut expected = memory.digest()?;
        match (parts, &in_force) {
            (Some(Err(ViewError::Edition(e))), Some(edition)) => {
                return Err(LogbookError::Edition { edition: edition.clone(), why: e.to_string() }.into());
            }
            (Some(parts), _) => expected.join(&parts?),
            (None, _) => {}
        }
        let same_edition = memory.head().edition == in_force;
        let view_differs = own.transpose()?.is_some_and(|own| own != expected || !same_edition);
        let (head, below_zero) = (view.head().head, memory.below_zero().to_vec());
        Ok(Verified { head, editions: editions.len(), below_zero, view_differs })
    }

    /// The entries up to `head` in a view of their own, without parts, and the editions they name.
    fn fold_again(logbook: &dyn Logbook, head: Head) -> Result<(View, Vec<EditionId>), RecordError> {
        let mut memory = View::in_memory(head.id);
        let mut editions = Vec::new();
        let fed = feed(logbook, &mut memory, head.seq, &mut |entry| match entry {
            Entry::Catalogue(e) => editions.push(e.edition.clone()),
            Entry::CatalogueCorrected(e) => editions.push(e.edition.clone()),
            _ => {}
        });
        fed.view?;
        if let Some(why) = fed.entry {
            let line = memory.head().head.seq + 1;
            return Err(LogbookError::Damaged { line, why: why.to_string() }.into());
        }
        fed.read?;
        Ok((memory, editions))
    }
}
