//! What the logbook says of an entry that is to be taken back: the entry, what came after it, what stood there before.

use std::ops::ControlFlow;

use jiff::civil::Date;

use super::CounterError;
use crate::catalog::Position;
use crate::desk::{Desk, HomeError, Refused};
use crate::logbook::{Head, Logbook};
use crate::record::{Entry, RecordError, SiteBefore};
use crate::units::{CaseNumber, Tooth, printable};

/// What the logbook says of an entry: the entry, what came after it, what stood there before it.
#[derive(Debug)]
pub struct Target {
    /// Which entry.
    number: u64,
    /// The entry with its day and initials, where there is one of that number.
    pub line: Option<(Entry, Date, String)>,
    /// The entry that took it back.
    pub counter: Option<u64>,
    /// Later entries that changed one of its sites and still stand, with what can be done about them.
    pub later: Vec<(u64, Tooth, &'static str)>,
    /// Its sites as they were before it.
    pub before: Vec<SiteBefore>,
    /// Up to which line all this was read.
    pub read: Head,
}

const COUNTER_IT: &str = "Counter that one first, if it was a mistake too";
const ENTERED: &str = "Somebody looked and said what stands there, and that stays: put right with 'spareseat case found' what is not true";

impl Target {
    /// Reads the logbook from `start` to its end.
    pub fn read(logbook: &dyn Logbook, number: u64, start: Head) -> Result<Self, RecordError> {
        let mut target =
            Self { number, line: None, counter: None, later: Vec::new(), before: Vec::new(), read: start };
        target.read_on(logbook)?;
        Ok(target)
    }

    /// Reads what came since.
    pub fn read_on(&mut self, logbook: &dyn Logbook) -> Result<(), RecordError> {
        let after = self.read;
        logbook.read(&after, &mut |line, head| {
            self.read = *head;
            if line.seq >= self.number
                // A kind that is not known is the record's trouble, and stops the booking there.
                && let Ok(entry) = Entry::parse(line.entry)
            {
                if line.seq == self.number {
                    let by = printable(&line.by);
                    self.line = Some((entry, line.on, by));
                } else {
                    self.came_after(line.seq, &entry);
                }
            }
            ControlFlow::Continue(())
        })?;
        Ok(())
    }

    fn came_after(&mut self, seq: u64, entry: &Entry) {
        let Some((target, ..)) = &self.line else { return };
        if let Entry::Countered(e) = entry {
            if e.entry == self.number {
                self.counter = Some(seq);
            }
            self.later.retain(|(later, ..)| *later != e.entry);
            return;
        }
        if target.case().is_none() || target.case() != entry.case() {
            return;
        }
        let (changed, what_to_do) = match entry {
            Entry::Used(_) | Entry::UsedHeld(_) | Entry::Tray(_) => (sites(entry), COUNTER_IT),
            Entry::Returned(e) => (vec![e.site], COUNTER_IT),
            Entry::Fitted(e) => (vec![e.site], ENTERED),
            Entry::Bridge(e) => (e.sites().to_vec(), ENTERED),
            Entry::Case(_) | Entry::Taken(_) | Entry::TakenWithForms(_) => (sites(target), ENTERED),
            _ => return,
        };
        let same = sites(target).into_iter().find(|site| changed.contains(site));
        self.later.extend(same.map(|site| (seq, site, what_to_do)));
    }

    /// Whether there is something to look up in the state before it.
    pub fn changed_sites(&self) -> Option<(&CaseNumber, Vec<Tooth>)> {
        let (entry, ..) = self.line.as_ref()?;
        let all = sites(entry);
        entry.case().filter(|_| !all.is_empty()).map(|case| (case, all))
    }
}

/// The sites at which an entry put something in or took something out.
fn sites(entry: &Entry) -> Vec<Tooth> {
    if let Entry::Returned(e) = entry {
        return vec![e.site];
    }
    let mut all: Vec<Tooth> = fitted_at(entry).into_iter().map(|(site, _)| site).collect();
    all.sort_unstable();
    all.dedup();
    all
}

/// Where an entry put something in.
pub fn fitted_at(entry: &Entry) -> Vec<(Tooth, Position)> {
    let lines = match entry {
        Entry::Used(e) => &e.lines,
        Entry::UsedHeld(e) => &e.lines,
        Entry::Tray(e) => &e.lines,
        _ => return Vec::new(),
    };
    lines.iter().map(|l| (l.site, l.position)).collect()
}

/// The sites as they were after the entry `until`.
pub fn before(
    case: &CaseNumber,
    sites: &[Tooth],
    until: u64,
    earlier: impl Fn(u64) -> Result<Desk, HomeError>,
) -> Result<Vec<SiteBefore>, Refused<CounterError>> {
    let desk = earlier(until)?;
    let view = desk.view();
    let one = |site: &Tooth| {
        let built_on = view.built_on(case, *site)?.into_iter().map(|b| (b.position, b.part)).collect();
        Ok(SiteBefore { site: *site, fitted: view.assembly(case, *site)?, built_on })
    };
    sites.iter().map(one).collect()
}
