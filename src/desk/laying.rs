//! The tray of a visit, booked in one entry: what went in, what came out, what was spoiled.

use std::fmt;

use jiff::civil::Date;
use thiserror::Error;

use super::Failing;
use super::lookup::NotFound;
use super::moving::{TakeError, take_from};
use super::visit::{self, Reply, TrayRow, Use, Visit, VisitError, VisitQuestion};
use crate::case::{Fitted, TorqueRecord};
use crate::catalog::{Lean, Part, Position, Reuse, Sterile, TorqueSpec, Value};
use crate::record::{
    Became, Entry, RecordError, Removed, Replaced, Shown, Spoiled, Spoilt, TrayBooked, UseLine, View,
    ViewError,
};
use crate::stock::{StockLine, pick};
use crate::units::{CaseNumber, Lot, Note, PartCode, PlaceId, Tooth};

/// A line of the tray: '25' for every part at that site, '25:abutment' for one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Line {
    /// At which site.
    pub site: Tooth,
    /// In which position; none: every one of the site.
    pub position: Option<Position>,
}

impl Line {
    /// Reads one.
    pub fn parse(text: &str) -> Result<Self, String> {
        let (site, position) = text.split_once(':').map_or((text, None), |(s, p)| (s, Some(p)));
        let site = Tooth::parse(site).map_err(|e| e.to_string())?;
        let position = position
            .map(|slug| {
                Position::from_slug(slug).ok_or_else(|| {
                    let all: Vec<&str> = Position::ALL.iter().map(|p| p.slug()).collect();
                    format!("'{slug}' is no position: expected one of {}", all.join(", "))
                })
            })
            .transpose()?;
        Ok(Self { site, position })
    }

    /// Reads 'LINE=VALUE'.
    pub fn with<T>(text: &str, read: impl Fn(&str) -> Result<T, String>) -> Result<(Self, T), String> {
        let (line, value) = text
            .split_once('=')
            .ok_or_else(|| format!("'{text}' has no '=': expected SITE=VALUE or SITE:POSITION=VALUE"))?;
        Ok((Self::parse(line)?, read(value)?))
    }

    fn names(&self, site: Tooth, position: Position) -> bool {
        self.site == site && self.position.is_none_or(|p| p == position)
    }
}

impl fmt::Display for Line {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.position {
            Some(p) => f.pad(&format!("{} at {}", p.words(), self.site)),
            None => f.pad(&self.site.to_string()),
        }
    }
}

/// What is said beside 'book the tray'.
#[derive(Debug, Clone, Default)]
#[allow(missing_docs)]
pub struct Told {
    /// For every line that no other torque names.
    pub torque: Option<TorqueRecord>,
    pub torques: Vec<(Line, TorqueRecord)>,
    pub leans: Vec<(Line, Lean)>,
    /// The step up was taken: its parts went in too.
    pub step_up: bool,
    pub except: Vec<Line>,
    pub dropped: Vec<Line>,
    pub opened: Vec<Line>,
    pub old: Vec<(Line, Became)>,
    pub note: Option<Note>,
}

/// Why it was not booked.
#[derive(Debug, Error)]
pub enum LayingError {
    /// Something named is not on record.
    #[error(transparent)]
    NotFound(#[from] NotFound),
    /// The visit does not answer.
    #[error(transparent)]
    Visit(#[from] VisitError),
    /// No visit.
    #[error(
        "no visit is open on case {0}: put it on record first, 'spareseat --as INITIALS visit {0} --site TOOTH --broken WHAT --open'; nothing was booked"
    )]
    NoneOpen(CaseNumber),
    /// Twice.
    #[error(
        "the tray of this visit was booked already, as entry {entry}: nothing was booked now. If that was a mistake: 'spareseat --as INITIALS counter {entry}'"
    )]
    BookedBefore {
        /// By which entry.
        entry: u64,
    },
    /// What lies ready is not what was shown.
    #[error(
        "the tray has changed since it was shown; nothing was booked. Shown: {then}. Now: {now}. Look at it again: 'spareseat --as INITIALS visit {case} --narrow' puts it on record as it is now"
    )]
    Changed {
        /// Whose.
        case: CaseNumber,
        /// What was shown.
        then: String,
        /// What is there.
        now: String,
    },
    /// Nothing to book.
    #[error(
        "nothing of the tray of case {0} is left to be booked. What went in otherwise: 'spareseat use {0} --site TOOTH --position POSITION --part PART --lot LOT --torque NCM'; nothing was booked"
    )]
    Empty(CaseNumber),
    /// A line that the tray does not have.
    #[error("{option} {line}: the tray has no such line. It has: {there}. Nothing was booked")]
    NoSuchLine {
        /// Which option names it.
        option: &'static str,
        /// Which.
        line: Line,
        /// What there is.
        there: String,
    },
    /// Straight parts do not lean.
    #[error("part {0} is straight: leave out its --lean. Nothing was booked")]
    Straight(PartCode),
    /// Not there to be taken.
    #[error(transparent)]
    Take(#[from] TakeError),
    /// The record.
    #[error(transparent)]
    Record(#[from] RecordError),
}

impl From<ViewError> for LayingError {
    fn from(e: ViewError) -> Self {
        Self::NotFound(e.into())
    }
}

impl Failing for LayingError {
    fn is_view(&self) -> bool {
        matches!(self, Self::NotFound(NotFound::View(_))) || matches!(self, Self::Visit(e) if e.is_view())
    }
}

/// A unit of the tray.
#[derive(Clone, Copy)]
struct Unit<'a> {
    site: Tooth,
    row: &'a TrayRow,
}

impl Unit<'_> {
    fn position(&self) -> Position {
        self.row.position
    }

    fn is_named(&self, lines: &[Line]) -> bool {
        lines.iter().any(|l| l.names(self.site, self.position()))
    }
}

fn units<'a>(rows: impl Iterator<Item = &'a TrayRow>) -> Vec<Unit<'a>> {
    rows.flat_map(|row| row.sites.iter().map(move |site| Unit { site: *site, row })).collect()
}

/// The entry for the tray of the open visit.
pub fn decide(view: &View, number: &CaseNumber, told: &Told, today: Date) -> Result<Entry, LayingError> {
    let ask = VisitQuestion { case: number.clone(), site: None, broken: None, left: None };
    super::lookup::case(view, number)?;
    let Some(open) = view.state(number)?.visit else { return Err(LayingError::NoneOpen(number.clone())) };
    if let Some(entry) = open.booked {
        return Err(LayingError::BookedBefore { entry });
    }
    let visit = match visit::answer(view, &ask, today)? {
        Reply::Visit(visit) => visit,
        Reply::NotThere(_) => return Err(LayingError::Empty(number.clone())),
    };
    let first = units(visit.tray.iter());
    let step_up = units(visit.if_fragment_stays.iter().filter(|r| r.usage == Use::Take));
    let all: Vec<Unit<'_>> = first.iter().chain(&step_up).copied().collect();
    check_lines(&all, told)?;
    let mut used = first.clone();
    if told.step_up {
        used.extend(&step_up);
    }
    used.retain(|u| !u.is_named(&told.except) && !u.is_named(&told.opened));
    let taken_out: Vec<Unit<'_>> =
        all.iter().filter(|u| u.is_named(&told.opened) || u.is_named(&told.dropped)).copied().collect();
    if used.is_empty() && taken_out.is_empty() {
        return Err(LayingError::Empty(number.clone()));
    }
    check_unchanged(number, &visit, &open.tray, told.step_up || !taken_out.is_empty())?;
    let mut stock = Taking { view, today, taken: Vec::new() };
    let mut booked = TrayBooked {
        case: number.clone(),
        lines: Vec::new(),
        removed: Vec::new(),
        spoiled: Vec::new(),
        note: told.note.clone(),
    };
    // The one that fell is the one that was shown; what goes in for it may be of another lot.
    for unit in &taken_out {
        let how = if unit.is_named(&told.opened) { Spoilt::OpenedNotUsed } else { Spoilt::Dropped };
        let (lot, place) = stock.take(unit)?;
        let part = &unit.row.part;
        let to_reprocess = may_be_sterilised_again(part);
        booked.spoiled.push(Spoiled { part: part.code.clone(), lot, place, how, to_reprocess });
    }
    for unit in &used {
        let taken =
            if unit.is_named(&told.dropped) { stock.take_another(unit)? } else { stock.take(unit)? };
        let (line, removed) = put_in(view, number, unit, taken, told, &visit)?;
        booked.lines.push(line);
        booked.removed.extend(removed);
    }
    booked.removed.extend(caps_off(view, number, &booked.lines)?);
    Ok(Entry::Tray(booked))
}

/// It was in no mouth: what came to the chair unsterile is cleaned and sterilised again, what came in a sterile pack
/// is thrown away once the pack is open, unless its maker calls it reusable.
fn may_be_sterilised_again(part: &Part) -> bool {
    part.sterile == Sterile::ToBeSterilised || part.reuse == Reuse::Reusable
}

/// Every line an option names must be there, or somebody meant another one.
fn check_lines(all: &[Unit<'_>], told: &Told) -> Result<(), LayingError> {
    let named = [("--except", &told.except), ("--dropped", &told.dropped), ("--opened", &told.opened)]
        .into_iter()
        .flat_map(|(option, lines)| lines.iter().map(move |l| (option, *l)))
        .chain(told.torques.iter().map(|(l, _)| ("--torque", *l)))
        .chain(told.leans.iter().map(|(l, _)| ("--lean", *l)))
        .chain(told.old.iter().map(|(l, _)| ("--old", *l)));
    for (option, line) in named {
        if !all.iter().any(|u| line.names(u.site, u.position())) {
            let there =
                super::lookup::list(all.iter().map(|u| format!("{}:{}", u.site.iso(), u.position().slug())));
            return Err(LayingError::NoSuchLine { option, line, there });
        }
    }
    for (line, _) in &told.leans {
        for unit in all.iter().filter(|u| line.names(u.site, u.position())) {
            if line.position.is_some() && !unit.row.part.is_angled() {
                return Err(LayingError::Straight(unit.row.part.code.clone()));
            }
        }
        let site: Vec<&Unit<'_>> = all.iter().filter(|u| line.names(u.site, u.position())).collect();
        if !site.iter().any(|u| u.row.part.is_angled()) {
            return Err(LayingError::Straight(site[0].row.part.code.clone()));
        }
    }
    Ok(())
}

/// What is booked must be what somebody saw: a lot that has moved or run out meanwhile is another tray.
fn check_unchanged(
    number: &CaseNumber,
    visit: &Visit,
    shown: &[Shown],
    with_step_up: bool,
) -> Result<(), LayingError> {
    let first: Vec<Shown> = visit.tray.iter().flat_map(TrayRow::units).collect();
    let now = if with_step_up { visit.shown() } else { first };
    // Of what was shown, that which is not on the tray now and not of the step up.
    let in_step_up = |s: &Shown| {
        visit
            .if_fragment_stays_needs
            .iter()
            .any(|(site, position, _)| *site == s.site && *position == s.position)
    };
    let then: Vec<Shown> = shown.iter().filter(|s| with_step_up || !in_step_up(s)).cloned().collect();
    let (gone, come) = (visit::difference(&then, &now), visit::difference(&now, &then));
    if gone.is_empty() && come.is_empty() {
        return Ok(());
    }
    let list = |all: Vec<String>| super::lookup::list(all.into_iter());
    Err(LayingError::Changed { case: number.clone(), then: list(gone), now: list(come) })
}

/// Units of one lot from one drawer may be wanted several times.
struct Taking<'v> {
    view: &'v View,
    today: Date,
    taken: Vec<(PartCode, Lot, PlaceId, u32)>,
}

impl Taking<'_> {
    /// How many of a lot in a drawer are taken already, to be counted on.
    fn counter(&mut self, part: &PartCode, lot: &Lot, place: &PlaceId) -> &mut u32 {
        let at = self.taken.iter().position(|(p, l, at, _)| (p, l, at) == (part, lot, place));
        let at = at.unwrap_or_else(|| {
            self.taken.push((part.clone(), lot.clone(), place.clone(), 0));
            self.taken.len() - 1
        });
        &mut self.taken[at].3
    }

    fn take(&mut self, unit: &Unit<'_>) -> Result<(Lot, PlaceId), LayingError> {
        let (part, lot, place) = (&unit.row.part.code, &unit.row.pick.lot, &unit.row.pick.place);
        let wanted = *self.counter(part, lot, place) + 1;
        let lines: Vec<StockLine> = self.view.stock_of(part)?;
        let place = take_from(&lines, part, lot, Some(place), wanted)?;
        *self.counter(part, lot, &place) = wanted;
        Ok((lot.clone(), place))
    }

    /// The same, or the next lot of the same part when that one has run out.
    fn take_another(&mut self, unit: &Unit<'_>) -> Result<(Lot, PlaceId), LayingError> {
        let run_out = match self.take(unit) {
            Err(LayingError::Take(e)) => e,
            taken => return taken,
        };
        let part = &unit.row.part.code;
        let mut lines = self.view.stock_of(part)?;
        for line in &mut lines {
            if let Some(place) = line.place.house().cloned() {
                line.quantity -= i64::from(*self.counter(part, &line.lot, &place));
            }
        }
        match pick(&lines, 1, self.today).into_iter().next() {
            Some(next) => {
                *self.counter(part, &next.lot, &next.place) += 1;
                Ok((next.lot, next.place))
            }
            None => Err(run_out.into()),
        }
    }
}

/// The caps that come off before a screw goes in at their sites.
fn caps_off(view: &View, number: &CaseNumber, lines: &[UseLine]) -> Result<Vec<Removed>, ViewError> {
    let mut out: Vec<Removed> = Vec::new();
    for line in
        lines.iter().filter(|l| matches!(l.position, Position::ProstheticScrew | Position::AbutmentScrew))
    {
        let assembly = view.assembly(number, line.site)?;
        let caps = assembly
            .into_iter()
            .filter(|f| matches!(f.position, Position::HealingCap | Position::CoverScrew));
        for cap in caps {
            if !out.iter().any(|r| r.site == line.site && r.position == cap.position) {
                out.push(Removed {
                    site: line.site,
                    position: cap.position,
                    part: cap.part.code,
                    lot: cap.lot,
                    since: cap.on,
                    torque: cap.torque,
                    became: Became::Discarded,
                    broken: false,
                });
            }
        }
    }
    Ok(out)
}

fn put_in(
    view: &View,
    number: &CaseNumber,
    unit: &Unit<'_>,
    (lot, place): (Lot, PlaceId),
    told: &Told,
    visit: &Visit,
) -> Result<(UseLine, Option<Removed>), LayingError> {
    let (site, position) = (unit.site, unit.position());
    let assembly = view.assembly(number, site)?;
    let old = Fitted::at(&assembly, position);
    // What gave way is kept for its maker, the rest of the set is thrown away.
    let broken = visit.is_what_broke(site, position);
    let named = told.old.iter().rev().find(|(l, _)| l.names(site, position)).map(|(_, b)| *b);
    let became = named.unwrap_or(if broken { Became::Kept } else { Became::Discarded });
    let part = unit.row.part.clone();
    let said = told.torques.iter().rev();
    let said = said
        .clone()
        .find(|(l, _)| l.position.is_some() && l.names(site, position))
        .or_else(|| said.clone().find(|(l, _)| l.names(site, position)));
    let torque = match said.map(|(_, t)| *t).or(told.torque) {
        _ if part.torque == TorqueSpec::NotApplicable => TorqueRecord::NotRecorded,
        Some(torque) => torque,
        None => TorqueRecord::NotRecorded,
    };
    let lean = told.leans.iter().rev().find(|(l, _)| l.names(site, position)).map(|(_, lean)| *lean);
    let line = UseLine {
        site,
        position,
        lot,
        place,
        label: None,
        torque,
        lean: match lean {
            Some(lean) if part.is_angled() => Value::Known(lean),
            _ if part.is_angled() => Value::Unknown,
            _ => Value::NotApplicable,
        },
        found: false,
        expired_because: None,
        replaced: old.map(|o| Replaced { part: o.part.code.clone(), lot: o.lot.clone(), became }),
        part,
    };
    let removed = old.map(|o| Removed {
        site,
        position,
        part: o.part.code.clone(),
        lot: o.lot.clone(),
        since: o.on,
        torque: o.torque,
        became,
        broken,
    });
    Ok((line, removed))
}

/// What the person should hear beside it: nothing is refused for a torque that nobody said.
pub fn remarks(entry: &Entry) -> Vec<String> {
    let Entry::Tray(tray) = entry else { return Vec::new() };
    let mut lines = Vec::new();
    let silent = tray
        .lines
        .iter()
        .filter(|l| l.torque == TorqueRecord::NotRecorded && l.part.torque != TorqueSpec::NotApplicable);
    let silent: Vec<String> = silent.map(|l| format!("{} at {}", l.position.words(), l.site)).collect();
    if !silent.is_empty() {
        lines.push(format!(
            "no torque was said for {}: booked as not recorded. Next time: --torque NCM, or --torque not-measured",
            silent.join(", ")
        ));
    }
    for line in &tray.lines {
        if let TorqueRecord::Measured(set) = line.torque {
            let at = format!("{} at {}", line.position.words(), line.site);
            match &line.part.torque {
                TorqueSpec::Stated(stated) if *stated != set => {
                    lines.push(format!("{at}: tightened to {set}; its source states {stated}"));
                }
                TorqueSpec::Stated(_) | TorqueSpec::NotApplicable => {}
                other => lines.push(format!("{at}: tightened to {set}; for this part: {other}")),
            }
        }
        if line.part.is_angled() && line.lean.is_unknown() {
            lines.push(format!(
                "which way the new abutment at {} leans is not said: enter it with --lean {}=DIRECTION next time, or 'case fit' now",
                line.site,
                line.site.iso()
            ));
        }
    }
    lines
}
