//! What ought to stand in the record: every act that may stand there, those that must, and what they come to.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::ControlFlow;

use spareseat::desk::Desk;
use spareseat::logbook::Head;
use spareseat::record::Entry;
use spareseat::units::Act;

use super::shelf::Shelf;
use super::world::{Step, act, founding};
use super::{measuring, recording, taking, visits};

/// What ought to stand in the record: every act that may stand there, and those that must.
#[derive(Debug, Clone, Default)]
pub struct Ledger {
    tried: BTreeMap<Act, Step>,
    acknowledged: BTreeSet<Act>,
}

impl Ledger {
    /// A home made ready by `steps`, acts 1, 2, 3 …
    pub fn of(steps: &[Step]) -> Self {
        let mut ledger = Self::default();
        for (n, step) in steps.iter().enumerate() {
            ledger.acknowledged(*step, act(n as u32 + 1));
        }
        ledger
    }

    /// It was asked for; whether it was booked is not known.
    pub fn tried(&mut self, step: Step, act: Act) {
        self.tried.insert(act, step);
    }

    /// It was booked, and the program said so.
    pub fn acknowledged(&mut self, step: Step, act: Act) {
        self.tried(step, act);
        self.acknowledged.insert(act);
    }

    /// How many were acknowledged.
    pub fn count(&self) -> usize {
        self.acknowledged.len()
    }

    /// How many of that step were acknowledged.
    pub fn acknowledged_of(&self, step: Step) -> usize {
        self.acknowledged.iter().filter(|act| self.tried[act] == step).count()
    }

    /// Whether such a step was ever asked for.
    pub fn knows(&self, step: Step) -> bool {
        self.tried.values().any(|s| *s == step)
    }

    /// Holds the record against it: `Err` says what is not true.
    pub fn check(&self, desk: &mut Desk) -> Result<(), String> {
        let lines = lines(desk)?;
        let unique: BTreeSet<Act> = lines.iter().map(|(act, _)| *act).collect();
        if unique.len() != lines.len() {
            return Err(format!("an act stands twice: {lines:?}"));
        }
        if let Some(lost) = self.acknowledged.iter().find(|a| !unique.contains(a)) {
            return Err(format!("the acknowledged {:?} (act {lost}) is lost", self.tried[lost]));
        }
        let mut shelf = Shelf::default();
        let (mut around_visits, mut entered, mut taken_by, mut measured_by) =
            (Vec::new(), Vec::new(), None, None);
        for (n, (act, entry)) in (1..).zip(&lines).filter(|(_, (act, _))| *act != founding().act) {
            let step = self
                .tried
                .get(act)
                .ok_or_else(|| format!("act {act} stands there and was never asked for"))?;
            shelf.apply(n, *step, entry)?;
            match step {
                Step::Visit(step) => around_visits.push((n, *step, visits::lots(entry))),
                Step::Take(_) => taken_by = Some(n),
                Step::Measure => measured_by = Some(n),
                Step::Record(step) => entered.push((n, *step)),
                _ => {}
            }
        }
        taking::check(desk, taken_by)?;
        measuring::check(desk, measured_by)?;
        recording::check(desk, &entered)?;
        visits::check(desk, &around_visits)?;
        shelf.check(desk)
    }

    /// The same, and everything `logbook verify` looks at.
    pub fn check_whole(&self, desk: &mut Desk) -> Result<(), String> {
        self.check(desk)?;
        if let Some(trouble) = desk.trouble() {
            return Err(format!("the record is read-only: {trouble}"));
        }
        let found = desk.record().verify().map_err(|e| format!("verify: {e}"))?;
        if !found.below_zero.is_empty() || found.view_differs {
            return Err(format!(
                "verify: below zero {:?}, view differs {}",
                found.below_zero, found.view_differs
            ));
        }
        Ok(())
    }
}

/// The acts of the logbook, in order.
pub fn acts(desk: &mut Desk) -> Result<Vec<Act>, String> {
    Ok(lines(desk)?.into_iter().map(|(act, _)| act).collect())
}

/// The acts of the logbook with what they booked, in order.
pub fn lines(desk: &mut Desk) -> Result<Vec<(Act, Entry)>, String> {
    let head = desk.view().head().head;
    let mut lines = Vec::new();
    let read = desk.record().logbook().read(&Head::start(head.id), &mut |line, _| {
        lines.push((line.act, Entry::parse(line.entry)));
        ControlFlow::Continue(())
    });
    read.map_err(|e| e.to_string())?;
    lines.into_iter().map(|(act, entry)| Ok((act, entry.map_err(|e| e.to_string())?))).collect()
}
