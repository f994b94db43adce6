//! What the logbook says of the units of a lot or a case: every movement with who, when, whose, where.

use std::convert::Infallible;
use std::ops::ControlFlow;

use jiff::civil::Date;

use super::EntryOf;
use crate::catalog::Position;
use crate::desk::reading::{NotComplete, read_all};
use crate::logbook::{Head, Logbook};
use crate::record::{Entry, RecordError, TrayBooked, UseLine, Used, movements};
use crate::stock::Where;
use crate::units::{CaseNumber, Lot, PartCode, Tooth, printable};

/// Units that went from one place to another.
#[derive(Debug, Clone, PartialEq, Eq)]
#[allow(missing_docs)]
pub struct TraceStep {
    pub booked: EntryOf,
    pub part: PartCode,
    pub lot: Lot,
    pub quantity: u32,
    pub from: Where,
    pub to: Where,
    pub happened: Happened,
    /// The entry was taken back by that one.
    pub taken_back: Option<u64>,
}

/// In or for whom, where it concerned a patient.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
#[allow(missing_docs)]
pub struct Happened {
    pub case: Option<CaseNumber>,
    pub site: Option<Tooth>,
    pub position: Option<Position>,
}

/// A unit that was in a mouth and came out of it.
#[derive(Debug, Clone, PartialEq, Eq)]
#[allow(missing_docs)]
pub struct TakenOut {
    pub case: CaseNumber,
    pub site: Tooth,
    pub position: Position,
    pub part: PartCode,
    pub lot: Lot,
    /// Since when it had stood there, as far as that was written down.
    pub since: Option<Date>,
    /// The entry that had said that it stands there.
    pub put_in: Option<u64>,
    pub out: EntryOf,
    /// Where it went.
    pub to: Where,
}

/// A part that an entry says stands somewhere.
struct Placed {
    case: CaseNumber,
    site: Tooth,
    position: Position,
    part: PartCode,
    lot: Option<Lot>,
    on: Option<Date>,
    booked: EntryOf,
}

/// What was read.
pub(super) struct Read<'a> {
    lot: Option<&'a Lot>,
    case: Option<&'a CaseNumber>,
    steps: Vec<TraceStep>,
    placed: Vec<Placed>,
    countered: Vec<(u64, u64)>,
    /// What came later was not read.
    short: bool,
}

impl<'a> Read<'a> {
    /// For a lot of any part.
    pub fn of_lot(lot: &'a Lot) -> Self {
        Self::of(Some(lot), None)
    }

    /// For a case.
    pub fn of_case(case: &'a CaseNumber) -> Self {
        Self::of(None, Some(case))
    }

    fn of(lot: Option<&'a Lot>, case: Option<&'a CaseNumber>) -> Self {
        Self { lot, case, steps: Vec::new(), placed: Vec::new(), countered: Vec::new(), short: false }
    }

    /// Reads the logbook up to `until`, or as far as that goes.
    pub fn all(&mut self, logbook: &dyn Logbook, until: Head) -> Result<Option<NotComplete>, RecordError> {
        let named = self.lot.map_or(self.case.map_or("", |c| c.as_str()), |l| l.as_str());
        // As it stands in a line of JSON: a lot may have a quotation mark in it.
        let quoted = serde_json::to_string(named).unwrap_or_default();
        let inside = quoted.trim_matches('"').to_owned();
        let not_complete = read_all(logbook, &until, &mut |line, _| {
            if line.seq > until.seq {
                return ControlFlow::Break(());
            }
            // Most lines are about something else; reading a part's numbers is the dear part of a line.
            if line.entry.contains(&inside)
                && let Ok(entry) = Entry::parse(line.entry)
            {
                let booked = EntryOf { entry: line.seq, on: line.on, by: printable(&line.by) };
                self.entry(&booked, entry);
            }
            ControlFlow::Continue(())
        })?;
        self.short = not_complete.is_some();
        let taken_back = |entry: u64| self.countered.iter().find(|(of, _)| *of == entry).map(|(_, by)| *by);
        for step in &mut self.steps {
            step.taken_back = taken_back(step.booked.entry);
        }
        Ok(not_complete)
    }

    fn entry(&mut self, booked: &EntryOf, entry: Entry) {
        let case = entry.case().cloned();
        if self.case.is_some() && case.as_ref() != self.case {
            return;
        }
        let at = |case: &Option<CaseNumber>, l: &UseLine| Happened {
            case: case.clone(),
            site: Some(l.site),
            position: Some(l.position),
        };
        match entry {
            Entry::Countered(e) => {
                self.countered.push((e.entry, booked.entry));
                let happened = Happened { case, ..Happened::default() };
                self.moved(booked, &Entry::Countered(e), &happened);
            }
            Entry::Used(Used { lines, .. }) => self.lines(booked, &case, lines, at),
            Entry::UsedHeld(e) => self.lines(booked, &case, e.lines, at),
            Entry::Tray(TrayBooked { case: number, lines, removed, spoiled, note }) => {
                // What came out without anything in its place, by its site; then what was spoiled.
                let gone = removed.into_iter();
                let gone: Vec<_> = gone
                    .filter(|r| !lines.iter().any(|l| l.site == r.site && l.position == r.position))
                    .collect();
                self.lines(booked, &case, lines, at);
                let tray = |removed, spoiled| {
                    let (case, note) = (number.clone(), note.clone());
                    Entry::Tray(TrayBooked { case, lines: Vec::new(), removed, spoiled, note })
                };
                for r in gone {
                    let happened =
                        Happened { case: case.clone(), site: Some(r.site), position: Some(r.position) };
                    self.moved(booked, &tray(vec![r], Vec::new()), &happened);
                }
                let happened = Happened { case: case.clone(), ..Happened::default() };
                self.moved(booked, &tray(Vec::new(), spoiled), &happened);
            }
            Entry::Returned(e) => {
                let happened = Happened { case, site: Some(e.site), position: Some(e.position) };
                self.moved(booked, &Entry::Returned(e), &happened);
            }
            Entry::Fitted(e) => self.stands(booked, e.case, e.site, e.fitted),
            Entry::Case(e) => {
                for (site, assembly) in e.case.sites.iter().zip(e.assemblies) {
                    assembly.into_iter().for_each(|f| self.stands(booked, e.case.number.clone(), *site, f));
                }
            }
            Entry::Taken(e) | Entry::TakenWithForms(e) => {
                for (site, assembly) in e.case.sites.iter().zip(e.assemblies) {
                    assembly.into_iter().for_each(|f| self.stands(booked, e.case.number.clone(), *site, f));
                }
            }
            other => self.moved(booked, &other, &Happened { case, ..Happened::default() }),
        }
    }

    fn stands(&mut self, booked: &EntryOf, case: CaseNumber, site: Tooth, f: crate::case::Fitted) {
        let (position, part, lot, on, booked) = (f.position, f.part.code, f.lot, f.on, booked.clone());
        self.placed.push(Placed { case, site, position, part, lot, on, booked });
    }

    fn lines(
        &mut self,
        booked: &EntryOf,
        case: &Option<CaseNumber>,
        lines: Vec<UseLine>,
        at: impl Fn(&Option<CaseNumber>, &UseLine) -> Happened,
    ) {
        let Some(number) = case else { return };
        for line in lines {
            let happened = at(case, &line);
            let (site, position, part) = (line.site, line.position, line.part.code.clone());
            let (case, lot, on) = (number.clone(), Some(line.lot.clone()), Some(booked.on));
            let booked = booked.clone();
            self.moved(&booked, &Entry::Used(Used { case: number.clone(), lines: vec![line] }), &happened);
            self.placed.push(Placed { case, site, position, part, lot, on, booked });
        }
    }

    fn moved(&mut self, booked: &EntryOf, entry: &Entry, happened: &Happened) {
        let _: Result<(), Infallible> = movements(entry, |m| {
            if self.lot.is_none_or(|lot| lot == m.lot) {
                self.steps.push(TraceStep {
                    booked: booked.clone(),
                    part: m.part.clone(),
                    lot: m.lot.clone(),
                    quantity: m.quantity,
                    from: m.from.place(),
                    to: m.to.place(),
                    happened: happened.clone(),
                    taken_back: None,
                });
            }
            Ok(())
        });
    }

    /// The last entry that put that part there and was not taken back; not known where an unread one may have.
    pub fn put_there(
        &self,
        case: &CaseNumber,
        site: Tooth,
        position: Position,
        part: &PartCode,
    ) -> Option<EntryOf> {
        if self.short {
            return None;
        }
        let there = |p: &&Placed| {
            (&p.case, p.site, p.position, &p.part) == (case, site, position, part)
                && self.lot.is_none_or(|lot| p.lot.as_ref() == Some(lot))
                && !self.countered.iter().any(|(of, _)| *of == p.booked.entry)
        };
        self.placed.iter().rev().find(there).map(|p| p.booked.clone())
    }

    /// What came out of a mouth and was in one: what was taken back or never in a mouth is not among it.
    pub fn taken_out(&self) -> Vec<TakenOut> {
        let came_out =
            |s: &&TraceStep| s.from == Where::Cases && s.to.house().is_none() && s.taken_back.is_none();
        let one = |s: &TraceStep| {
            let (case, site, position) = (s.happened.case.clone()?, s.happened.site?, s.happened.position?);
            let stood = self.placed.iter().rev().find(|p| {
                (&p.case, p.site, p.position, &p.part) == (&case, site, position, &s.part)
                    && p.lot.as_ref() == Some(&s.lot)
                    && p.booked.entry < s.booked.entry
                    && !self.countered.iter().any(|(of, _)| *of == p.booked.entry)
            });
            Some(TakenOut {
                part: s.part.clone(),
                lot: s.lot.clone(),
                since: stood.and_then(|p| p.on),
                put_in: stood.map(|p| p.booked.entry),
                out: s.booked.clone(),
                to: s.to.clone(),
                case,
                site,
                position,
            })
        };
        self.steps.iter().filter(came_out).filter_map(one).collect()
    }

    /// The movements of a part.
    pub fn steps_of(&self, part: &PartCode) -> Vec<TraceStep> {
        self.steps.iter().filter(|s| s.part == *part).cloned().collect()
    }

    /// All movements.
    pub fn steps(self) -> Vec<TraceStep> {
        self.steps
    }
}
