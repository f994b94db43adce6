//! Visits: begun, narrowed, their trays booked, ended; what the plain model says of them, and the real thing asked.
//!
//! Every visit here is for a loose restoration: the tray is the prosthetic screws of the bridge, or the one of the site.

use std::collections::{BTreeMap, BTreeSet};

use spareseat::case::{Broken, TorqueRecord};
use spareseat::chair::visit::VisitQuestion;
use spareseat::fitting::laying::{self, Line, Told};
use spareseat::fitting::visiting;
use spareseat::record::{Outcome, View};
use spareseat::units::{CaseNumber, Tooth};

use super::Dice;
use super::acts::{Asked, CASES, SITES};
use super::bench::Bench;
use super::plain::{CASES as MOUTHS, Place, Plain, WASTE};

const SCREW: &str = "heron-screw";
const POSITION: &str = "prosthetic-screw";
/// The upper jaw from the patient's right end to the left.
const ARCH: [u8; 3] = [14, 11, 24];

/// A screw to be laid out.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Unit {
    pub site: u8,
    pub lot: &'static str,
    pub place: Place,
}

/// A visit that has begun and not ended.
#[derive(Debug, Clone)]
pub struct Open {
    pub entry: u64,
    pub site: u8,
    pub shown: Vec<Unit>,
    pub booked: Option<u64>,
}

#[derive(Debug)]
pub enum VisitAct {
    Begin { case: &'static str, site: u8 },
    Narrow { case: &'static str },
    Tray { case: &'static str, except: Option<u8>, dropped: Option<u8>, opened: Option<u8> },
    End { case: &'static str },
}

impl VisitAct {
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Begin { .. } => "visit begun",
            Self::Narrow { .. } => "visit narrowed",
            Self::Tray { .. } => "tray",
            Self::End { .. } => "visit ended",
        }
    }

    /// Mostly at a case whose visit is open, and of a line that was shown there.
    pub fn random(dice: &mut Dice, plain: &Plain) -> Self {
        let open: Vec<_> =
            plain.cases.iter().filter_map(|(n, c)| c.visit.as_ref().map(|v| (*n, v))).collect();
        let step = dice.below(10);
        if step < 3 || open.is_empty() || dice.chance(10) {
            let (case, site) = (dice.pick(&CASES), dice.pick(&SITES));
            return match step {
                0..=6 => Self::Begin { case, site },
                7 => Self::Narrow { case },
                _ => Self::End { case },
            };
        }
        let (case, visit) = dice.pick(&open);
        let mut line = |percent| {
            let shown = (!visit.shown.is_empty() && !dice.chance(5)).then(|| {
                let at = dice.below(visit.shown.len());
                visit.shown[at].site
            });
            dice.chance(percent).then(|| shown.unwrap_or_else(|| dice.pick(&SITES)))
        };
        match step {
            3..=5 => Self::Tray { case, except: line(15), dropped: line(25), opened: line(15) },
            6..=7 => Self::Narrow { case },
            _ => Self::End { case },
        }
    }
}

impl Plain {
    /// Does the step, if it may be done; whether it was.
    pub fn visit(&mut self, act: &VisitAct) -> bool {
        match act {
            VisitAct::Begin { case, site } => {
                let entry = self.entries() + 1;
                let known = self.cases.get(case).filter(|c| c.visit.is_none() && c.sites.contains_key(site));
                let Some(shown) = known.and_then(|_| self.tray(case, *site)) else { return false };
                let open = Open { entry, site: *site, shown, booked: None };
                self.cases.get_mut(case).unwrap().visit = Some(open);
                true
            }
            VisitAct::Narrow { case } => {
                let open = self.cases.get(case).and_then(|c| c.visit.clone()).filter(|v| v.booked.is_none());
                let Some(open) = open else { return false };
                let Some(shown) = self.tray(case, open.site) else { return false };
                self.cases.get_mut(case).unwrap().visit = Some(Open { shown, ..open });
                true
            }
            VisitAct::Tray { case, except, dropped, opened } => self.lay(case, *except, *dropped, *opened),
            VisitAct::End { case } => self.cases.get_mut(case).is_some_and(|c| c.visit.take().is_some()),
        }
    }

    /// What is to be laid out; `None` when no screw stands there of which somebody could say that it is loose.
    fn tray(&self, number: &str, site: u8) -> Option<Vec<Unit>> {
        let case = &self.cases[number];
        let at = |site: &u8| case.sites.get(site);
        if at(&site).is_none_or(BTreeMap::is_empty) {
            return Some(Vec::new());
        }
        let has = |site: &u8, position| at(site).is_some_and(|s| s.contains_key(position));
        let in_bridge = case.bridge.contains(&site);
        // What stands straight on its implant is held by an abutment screw, and there is none in this catalogue. Where a
        // bridge has no screw on record at a site, its neighbour's is what belongs there.
        let known = has(&site, POSITION) || in_bridge && case.bridge.iter().any(|s| has(s, POSITION));
        if !known || !(in_bridge || has(&site, "abutment")) {
            return None;
        }
        // The loose one first, then its neighbours and the ends, then what lies between.
        let mut order = if in_bridge { case.bridge.clone() } else { vec![site] };
        let ends = [order[0], order[order.len() - 1]];
        let along = |s: &u8| ARCH.iter().position(|a| a == s);
        let at = order.iter().position(|s| *s == site);
        let beside: Vec<u8> = (0..order.len())
            .filter(|n| at.is_some_and(|at| at.abs_diff(*n) == 1))
            .map(|n| order[n])
            .collect();
        order.sort_by_key(|s| (*s != site, !beside.contains(s) && !ends.contains(s), along(s)));
        let wanted: Vec<u8> = order.into_iter().filter(|s| has(s, POSITION)).collect();
        let free = self.free(SCREW, Some(number), &BTreeMap::new());
        let screws = self.pick(SCREW, &free, wanted.len() as i64);
        let mut units = screws.iter().flat_map(|(lot, place, n)| (0..*n).map(move |_| (*lot, *place)));
        Some(
            wanted
                .into_iter()
                .map_while(|site| units.next().map(|(lot, place)| Unit { site, lot, place }))
                .collect(),
        )
    }

    /// The unit's own lot and drawer, if one more lies there.
    fn one_more(
        &self,
        taken: &mut BTreeMap<(&'static str, Place), i64>,
        unit: &Unit,
    ) -> Option<(&'static str, Place)> {
        let counted = taken.entry((unit.lot, unit.place)).or_default();
        let there = *counted < self.at((SCREW, unit.lot), unit.place);
        *counted += i64::from(there);
        there.then_some((unit.lot, unit.place))
    }

    fn lay(
        &mut self,
        number: &'static str,
        except: Option<u8>,
        dropped: Option<u8>,
        opened: Option<u8>,
    ) -> bool {
        let open = self.cases.get(number).and_then(|c| c.visit.clone()).filter(|v| v.booked.is_none());
        let Some(open) = open else { return false };
        let Some(now) = self.tray(number, open.site) else { return false };
        let is_there = |line: Option<u8>| line.is_none_or(|site| now.iter().any(|u| u.site == site));
        let used: Vec<&Unit> =
            now.iter().filter(|u| except != Some(u.site) && opened != Some(u.site)).collect();
        let out: Vec<&Unit> =
            now.iter().filter(|u| opened == Some(u.site) || dropped == Some(u.site)).collect();
        let shown: BTreeSet<&Unit> = open.shown.iter().collect();
        if ![except, dropped, opened].into_iter().all(is_there)
            || (used.is_empty() && out.is_empty())
            || shown != now.iter().collect()
        {
            return false;
        }
        // Alike screws of several lots: nobody says here which went in where.
        let lots: BTreeSet<&str> = now.iter().map(|u| u.lot).collect();
        if lots.len() > 1 && !used.is_empty() {
            return false;
        }
        let mut taken = BTreeMap::new();
        let spoiled: Vec<_> = out.iter().map(|u| self.one_more(&mut taken, u)).collect();
        // Where one fell, another goes in; it takes its lot last, and the next one when that has run out.
        let mut put_in = Vec::new();
        for fell in [false, true] {
            for unit in used.iter().filter(|u| (dropped == Some(u.site)) == fell) {
                let mut from = self.one_more(&mut taken, unit);
                if from.is_none() && fell {
                    let free = self.free(SCREW, Some(number), &taken);
                    let next = self.pick(SCREW, &free, 1);
                    from = next.first().map(|(lot, place, _)| (*lot, *place));
                }
                put_in.push((unit.site, from));
            }
        }
        let (Some(spoiled), Some(put_in)) = (
            spoiled.into_iter().collect::<Option<Vec<_>>>(),
            put_in.into_iter().map(|(site, from)| Some((site, from?))).collect::<Option<Vec<_>>>(),
        ) else {
            return false;
        };
        let entry = self.entries() + 1;
        for (lot, _) in &spoiled {
            self.use_up(number, (SCREW, lot));
        }
        for (site, (lot, place)) in put_in {
            self.go((SCREW, lot), place, MOUTHS, 1);
            self.use_up(number, (SCREW, lot));
            let old = self.cases[number].sites[&site][POSITION].clone();
            if let Some(lot) = old.lot {
                self.go((old.part, lot), MOUTHS, WASTE, 1);
            }
            self.touched.push((number, site, POSITION, Some(old)));
            self.stand(number, site, POSITION, SCREW, Some(lot));
            let case = self.cases.get_mut(number).unwrap();
            case.events += 1;
            case.pieces.push(entry);
        }
        // Nobody says how these screws come to the chair, so an opened or fallen one is thrown away.
        for (lot, place) in spoiled {
            self.go((SCREW, lot), place, WASTE, 1);
        }
        self.cases.get_mut(number).unwrap().visit = Some(Open { booked: Some(entry), ..open });
        true
    }
}

impl Bench {
    /// Asks for the step.
    pub fn visit(&mut self, id: u128, act: &VisitAct, plain: &Plain) -> Asked {
        let today = plain.today;
        let number = |case: &str| CaseNumber::new(case).unwrap();
        match act {
            VisitAct::Begin { case, site } => {
                let (site, broken) = (Some(site.to_string()), Some(Broken::Loose));
                let ask = VisitQuestion { case: number(case), site, broken, left: None };
                self.book(id, |view| visiting::begin(view, &ask, None, today))
            }
            VisitAct::Narrow { case } => {
                let ask = VisitQuestion { case: number(case), site: None, broken: None, left: None };
                self.book(id, |view| visiting::narrow(view, &ask, None, today))
            }
            VisitAct::Tray { case, except, dropped, opened } => {
                let lines = |site: &Option<u8>| -> Vec<Line> {
                    site.iter().map(|s| Line { site: Tooth::from_iso(*s).unwrap(), position: None }).collect()
                };
                let told = Told {
                    torque: Some(TorqueRecord::NotMeasured),
                    except: lines(except),
                    dropped: lines(dropped),
                    opened: lines(opened),
                    ..Told::default()
                };
                let case = number(case);
                self.book(id, |view| laying::decide(view, &case, &told, today))
            }
            VisitAct::End { case } => {
                let case = number(case);
                self.book(id, |view| visiting::end(view, &case, Outcome::BackIn, None))
            }
        }
    }
}

/// The open visit of every case with what it showed, and the pieces that came out by trays: all as the model has them.
pub fn check(view: &View, plain: &Plain, told: &str) {
    for (case, model) in &plain.cases {
        let number = CaseNumber::new(case).unwrap();
        let open = view.state(&number).unwrap().visit.map(|v| {
            let unit = |u: &spareseat::record::Shown| {
                (u.site.iso(), u.part.to_string(), u.lot.to_string(), u.place.to_string())
            };
            let shown: BTreeSet<_> = v.tray.iter().map(unit).collect();
            (v.entry, v.site.iso(), shown, v.booked)
        });
        let expected = model.visit.as_ref().map(|v| {
            let unit = |u: &Unit| (u.site, SCREW.to_owned(), u.lot.to_owned(), u.place.to_owned());
            (v.entry, v.site, v.shown.iter().map(unit).collect(), v.booked)
        });
        assert_eq!(open, expected, "{told}: the visit of case {case}");
        let pieces: Vec<u64> = view.pieces(&number).unwrap().iter().map(|p| p.entry).collect();
        assert_eq!(pieces, model.pieces, "{told}: what came out of case {case}");
    }
}
