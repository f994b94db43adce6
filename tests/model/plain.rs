//! The plain model: balances, expiries, what is fitted, how much happened. Maps of words and numbers, nothing else.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::acts::{Act, ImportAct, MoveAct, UseAct};
use super::apart::ApartAct;
use super::counting::{CountAct, Need};
use super::holding::Hold;
use super::visits::{Open, VisitAct};
use crate::model::acts::{PARTS, part_of};

/// A place: a drawer by its name, or one of the others in capitals.
pub type Place = &'static str;
pub const SUPPLIER: Place = "SUPPLIER";
pub const CASES: Place = "CASES";
pub const WASTE: Place = "WASTE";
pub const KEPT: Place = "KEPT";
pub const CORRECTION: Place = "CORRECTION";
pub const REPROCESS: Place = "REPROCESS";
pub const QUARANTINE: Place = "QUARANTINE";

/// A part's code with a lot.
pub type PartLot = (&'static str, &'static str);

/// What stands in a position.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Standing {
    pub part: &'static str,
    pub lot: Option<&'static str>,
    /// The torque its catalogue stated when it was fitted, in Ncm.
    pub stated: Option<u32>,
}

/// One case: its sites with what stands in each position, and how much happened.
#[derive(Debug, Clone, Default)]
pub struct Case {
    pub sites: BTreeMap<u8, BTreeMap<&'static str, Standing>>,
    pub events: usize,
    /// The sites under one bridge, along the arch.
    pub bridge: Vec<u8>,
    pub visit: Option<Open>,
    /// What trays took out, by their entries.
    pub pieces: Vec<u64>,
}

/// What was put into a position of a case, with what had stood there.
type Touched = (&'static str, u8, &'static str, Option<Standing>);

/// What it takes to take an entry back.
#[derive(Debug, Clone)]
struct Undo {
    day: Date,
    moves: Vec<(PartLot, Place, Place, i64)>,
    /// Where it put parts, and what had stood there.
    sites: Vec<Touched>,
    /// It put something in; else it only took something out.
    put_in: bool,
    taken_back: bool,
}

/// Everything.
pub struct Plain {
    entries: u64,
    pub today: Date,
    pub drawers: BTreeSet<Place>,
    pub balance: BTreeMap<(PartLot, Place), i64>,
    pub expiry: BTreeMap<PartLot, String>,
    pub cases: BTreeMap<&'static str, Case>,
    pub verified: usize,
    pub holds: Vec<Hold>,
    pub needs: Vec<Need>,
    /// Which lots were called back, with the entry.
    pub called_back: Vec<(u64, PartLot)>,
    /// Of the lot that is being called back nothing was left.
    pub nothing_left: bool,
    /// What the catalogue in force states for the abutment, in Ncm; imports change it.
    pub stated: u32,
    /// What it stated when a lot of the abutment first came into the house: the lot keeps it.
    pub came_with: BTreeMap<PartLot, u32>,
    /// Deliveries, moves and uses by their entry.
    undo: BTreeMap<u64, Undo>,
    /// Entries that changed what stands at a site of a case, or at every site of it.
    changed: Vec<(u64, &'static str, Option<u8>)>,
    /// The movements of the act that is being done.
    moves: Vec<(PartLot, Place, Place, i64)>,
    /// Where the act that is being done puts parts.
    pub touched: Vec<Touched>,
}

impl Default for Plain {
    fn default() -> Self {
        Self {
            entries: 2, // founded, and the catalogue
            today: jiff::civil::date(2026, 11, 25),
            drawers: BTreeSet::new(),
            balance: BTreeMap::new(),
            expiry: BTreeMap::new(),
            cases: BTreeMap::new(),
            verified: 0,
            holds: Vec::new(),
            needs: Vec::new(),
            called_back: Vec::new(),
            nothing_left: false,
            stated: 30,
            came_with: BTreeMap::new(),
            undo: BTreeMap::new(),
            changed: Vec::new(),
            moves: Vec::new(),
            touched: Vec::new(),
        }
    }
}

impl Plain {
    pub fn entries(&self) -> u64 {
        self.entries
    }

    pub fn next_day(&mut self) {
        self.today = self.today.tomorrow().unwrap();
    }

    pub fn at(&self, lot: PartLot, place: Place) -> i64 {
        self.balance.get(&(lot, place)).copied().unwrap_or(0)
    }

    pub fn go(&mut self, lot: PartLot, from: Place, to: Place, pieces: i64) {
        self.moves.push((lot, from, to, pieces));
        if self.drawers.contains(to) {
            self.came_with.entry(lot).or_insert(self.stated);
        }
        *self.balance.entry((lot, from)).or_default() -= pieces;
        *self.balance.entry((lot, to)).or_default() += pieces;
    }

    /// The drawer to take from: the one named if it holds enough, or the only one that holds any.
    pub fn take(&self, lot: PartLot, from: Option<Place>, pieces: i64) -> Option<Place> {
        let holds: Vec<Place> = self.drawers.iter().copied().filter(|d| self.at(lot, d) > 0).collect();
        let place = match from {
            Some(place) => place,
            None if holds.len() == 1 => holds[0],
            None => return None,
        };
        (self.at(lot, place) >= pieces).then_some(place)
    }

    /// Whether the lot's last usable day is over; a month is usable to its last day.
    pub fn is_over(&self, lot: PartLot) -> bool {
        self.is_over_on(lot, self.today)
    }

    pub fn is_over_on(&self, lot: (&str, &str), on: Date) -> bool {
        let known = self.expiry.iter().find(|((part, name), _)| (*part, *name) == lot);
        match known.map(|(_, expiry)| expiry.as_str()) {
            None | Some("none") => false,
            Some(month) if month.len() == 7 => on.strftime("%Y-%m").to_string().as_str() > month,
            Some(day) => on.to_string().as_str() > day,
        }
    }

    fn stated(&self, part: &'static str, lot: Option<&'static str>) -> Option<u32> {
        let its = lot.and_then(|lot| self.came_with.get(&(part, lot)));
        match part {
            "heron-mua-3.0" => Some(*its.unwrap_or(&self.stated)),
            "heron-screw" => Some(15),
            _ => None,
        }
    }

    pub fn stand(
        &mut self,
        case: &str,
        site: u8,
        position: &'static str,
        part: &'static str,
        lot: Option<&'static str>,
    ) {
        let standing = Standing { part, lot, stated: self.stated(part, lot) };
        self.cases.get_mut(case).unwrap().sites.entry(site).or_default().insert(position, standing);
    }

    /// Does the act, if it may be done; whether it was.
    pub fn apply(&mut self, act: &Act) -> bool {
        self.moves.clear();
        self.touched.clear();
        let done = match act {
            Act::Receive(a) => self.receive(a),
            Act::Deliver(lines) => self.deliver(lines),
            Act::Move(a) => self.shift(a),
            Act::Use(a) => self.put_in(a),
            Act::Import(a) => self.import(a),
            Act::Fit { case, site, position, part, ahead } => {
                let may = self.cases.contains_key(case) && fits(part, position) && !ahead;
                if may {
                    // More about the part that stands there already: its lot stays.
                    let old = self.cases[*case].sites.get(site).and_then(|s| s.get(position)).cloned();
                    let lot = old.filter(|o| o.part == *part).and_then(|o| o.lot);
                    self.stand(case, *site, position, part, lot);
                }
                may
            }
            Act::Note { case, site, ahead } => {
                let site_known = |c: &Case| site.is_none_or(|s| c.sites.contains_key(&s));
                let may = self.cases.get(case).is_some_and(site_known) && !ahead;
                if may {
                    self.cases.get_mut(case).unwrap().events += 1;
                }
                may
            }
            Act::Verify { fitted, candidate } => {
                // This catalogue states no makers: any two parts may be of two.
                let known = |code: &str| PARTS.iter().any(|p| p.code == code);
                let may = known(fitted) && known(candidate) && fitted != candidate;
                self.verified += usize::from(may);
                may
            }
            Act::Catalogue { torque, wrong } => {
                if !wrong {
                    self.stated = *torque;
                }
                !wrong
            }
            Act::Counter { entry, mouth } => self.take_back(*entry, *mouth),
            Act::Visit(a) => self.visit(a),
            Act::Hold(a) => self.hold(a),
            Act::Apart(a) => self.apart(a),
            Act::Count(a) => self.count(a),
        };
        self.entries += u64::from(done);
        if done {
            self.remember(act);
        }
        done
    }

    fn remember(&mut self, act: &Act) {
        match act {
            // Of a lot that was called back when nothing was left of it there is nothing to be put back.
            Act::Apart(ApartAct::Withdraw { .. }) if self.nothing_left => {}
            Act::Receive(_)
            | Act::Deliver(_)
            | Act::Move(_)
            | Act::Use(_)
            | Act::Apart(_)
            | Act::Count(CountAct::Count { .. })
            | Act::Visit(VisitAct::Tray { .. }) => {
                let (moves, sites) = (std::mem::take(&mut self.moves), std::mem::take(&mut self.touched));
                self.changed.extend(sites.iter().map(|(case, site, ..)| (self.entries, *case, Some(*site))));
                let put_in = !sites.is_empty() && !matches!(act, Act::Apart(_));
                let undo = Undo { day: self.today, moves, sites, put_in, taken_back: false };
                self.undo.insert(self.entries, undo);
            }
            _ => {}
        }
        match act {
            Act::Fit { case, site, .. } => self.changed.push((self.entries, case, Some(*site))),
            Act::Import(a) => self.changed.push((self.entries, a.case, None)),
            _ => {}
        }
    }

    /// The same day, once, nothing on top of it, and nothing from a drawer that does not hold it.
    fn take_back(&mut self, entry: u64, mouth: bool) -> bool {
        let Some(undo) = self.undo.get(&entry).cloned() else { return false };
        if undo.taken_back || undo.day != self.today || (mouth && !undo.put_in) {
            return false;
        }
        for (case, site, ..) in &undo.sites {
            let stands = |e: &u64| self.undo.get(e).is_none_or(|u| !u.taken_back);
            let on_top = |(e, c, s): &(u64, &str, Option<u8>)| {
                *e > entry && c == case && s.is_none_or(|s| s == *site) && stands(e)
            };
            if self.changed.iter().any(on_top) {
                return false;
            }
        }
        let before = (self.balance.clone(), self.came_with.clone());
        for (lot, from, to, pieces) in undo.moves.iter().rev() {
            let back = match (*to, *from) {
                (CASES, _) if mouth => WASTE,
                (WASTE | KEPT, CASES) => CASES,
                _ if mouth => continue,
                (_, from) => from,
            };
            self.go(*lot, to, back, *pieces);
            let under_roof = self.drawers.contains(to) || [QUARANTINE, REPROCESS].contains(to);
            if under_roof && self.at(*lot, to) < 0 {
                (self.balance, self.came_with) = before;
                return false;
            }
        }
        for (lot, ..) in &undo.moves {
            // Of what never came nobody has read a label.
            if !self.balance.iter().any(|((l, _), n)| l == lot && *n != 0) {
                self.expiry.remove(lot);
                self.came_with.remove(lot);
            }
        }
        for (case, site, position, stood) in undo.sites {
            let standing = self.cases.get_mut(case).unwrap().sites.get_mut(&site).unwrap();
            standing.remove(position);
            standing.extend(stood.map(|s| (position, s)));
        }
        self.give_back(entry);
        self.called_back.retain(|(by, _)| *by != entry);
        for case in self.cases.values_mut() {
            case.pieces.retain(|by| *by != entry);
            case.visit.iter_mut().filter(|v| v.booked == Some(entry)).for_each(|v| v.booked = None);
        }
        self.undo.get_mut(&entry).unwrap().taken_back = true;
        true
    }

    fn shift(&mut self, a: &MoveAct) -> bool {
        let lot = (a.part, a.lot);
        let known = |place: &Place| self.drawers.contains(place);
        if part_of(a.part).is_none() || !a.from.iter().all(known) || !(a.new_place || known(&a.to)) {
            return false;
        }
        let Some(from) = self.take(lot, a.from, i64::from(a.quantity)).filter(|from| *from != a.to) else {
            return false;
        };
        self.drawers.insert(a.to);
        self.go(lot, from, a.to, i64::from(a.quantity));
        true
    }

    fn put_in(&mut self, a: &UseAct) -> bool {
        let lot = (a.part, a.lot);
        let site_known = self.cases.get(a.case).is_some_and(|c| c.sites.contains_key(&a.site));
        let place_known = a.place.iter().all(|p| self.drawers.contains(p));
        if !site_known
            || !fits(a.part, a.position)
            || !place_known
            || (a.lean && part_of(a.part) != Some(true))
        {
            return false;
        }
        // A lot that was called back goes into nobody, unless somebody says that it was there.
        let back = self.is_called_back(lot);
        if back && !a.found {
            return false;
        }
        let taken = self.take(lot, a.place, 1);
        let place = match (taken, a.found) {
            (Some(place), found) if !found || back => place,
            (None, true) if a.place.is_some() => a.place.unwrap(),
            _ => return false,
        };
        let found = taken.is_none();
        if self.is_over(lot) && !a.expired {
            return false;
        }
        let held = self.in_drawers(lot) - self.for_others(lot, a.case) < 1;
        if held && !found && !a.held {
            return false;
        }
        if found {
            self.go(lot, CORRECTION, place, 1);
        }
        self.go(lot, place, CASES, 1);
        self.use_up(a.case, lot);
        let old = self.cases[a.case].sites[&a.site].get(a.position).cloned();
        if let Some(Standing { part, lot: Some(lot), .. }) = old.clone() {
            self.go((part, lot), CASES, if a.kept { KEPT } else { WASTE }, 1);
        }
        self.touched.push((a.case, a.site, a.position, old));
        self.stand(a.case, a.site, a.position, a.part, Some(a.lot));
        self.cases.get_mut(a.case).unwrap().events += 1;
        true
    }

    fn import(&mut self, a: &ImportAct) -> bool {
        if a.wrong || (self.cases.contains_key(a.case) && !a.replace) {
            return false;
        }
        let sites = a.sites.iter().map(|s| (*s, BTreeMap::new())).collect();
        // A visit that is going on goes on, and what came out came out.
        let Case { visit, pieces, .. } = self.cases.remove(a.case).unwrap_or_default();
        self.cases.insert(a.case, Case { sites, events: 1, bridge: a.bridge.clone(), visit, pieces });
        for site in &a.sites {
            for (position, part, lot) in &a.fitted {
                self.stand(a.case, *site, position, part, *lot);
            }
        }
        true
    }
}

/// Whether the part may stand in the position: by kind alone.
fn fits(part: &str, position: &str) -> bool {
    PARTS.iter().any(|p| p.code == part && p.position == Some(position))
}
