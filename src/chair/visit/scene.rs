//! What the record says around the site, and which of it a row of the call table means.

use jiff::civil::Date;

use super::VisitError;
use crate::bench::fit::Judging;
use crate::case::{
    Call, Calls, CaseHead, Fitted, Held, Restoration, Retention, Scope, Sites, Wanted, When, Which,
};
use crate::cases::empty::{Empty, empties};
use crate::catalog::{Part, Port, Position, Side, TorqueAsked, mate_below};
use crate::desk::Refused;
use crate::desk::lookup;
use crate::matching::StandsOn;
use crate::record::{View, ViewError};
use crate::units::Tooth;

/// A part that must be new.
pub(super) struct Need<'a> {
    pub site: Tooth,
    /// What stands there now: its drive is the one to undo.
    pub fitted: &'a Fitted,
    /// What the restoration was built on: a new part is held against this.
    pub measure: &'a Fitted,
    pub assembly: &'a [Fitted],
    /// What stands at the site now.
    pub now: &'a [Fitted],
    pub stands_on: StandsOn,
}

impl Need<'_> {
    /// What a part that goes in here is tightened with.
    pub fn torque(&self, part: &Part) -> TorqueAsked {
        Fitted::torque_asked(self.assembly, self.fitted.position, part)
    }
}

/// What the record says around the site.
pub(super) struct Scene<'v> {
    pub view: &'v View,
    pub today: Date,
    pub case: CaseHead,
    pub site: Tooth,
    pub sites: Sites,
    /// The same as the restoration was built on them.
    pub measures: Sites,
    /// The broken one first: what runs short goes there; then its neighbours and the ends; then along the arch.
    pub order: Vec<Tooth>,
    pub restoration: Option<Restoration>,
    /// The positions of the restoration that must be filled and are empty.
    pub empty: Vec<Empty>,
}

impl<'v> Scene<'v> {
    pub fn set(
        view: &'v View,
        today: Date,
        case: CaseHead,
        site: Tooth,
    ) -> Result<Self, Refused<VisitError>> {
        let restorations = view.restorations(&case.number)?;
        let restoration = lookup::restoration_at(&restorations, site).cloned();
        let mut order: Vec<Tooth> = restoration.as_ref().map_or(vec![site], |r| r.sites.clone());
        order.sort_by_key(|t| t.along_arch());
        // Its neighbours carry what it no longer does; at the ends the lever is longest; an inner one can wait.
        let at = order.iter().position(|t| *t == site).unwrap_or(0);
        let beside = |t: &Tooth| order.iter().position(|o| o == t).is_some_and(|n| n.abs_diff(at) == 1);
        let ends = [order.first(), order.last()];
        let rank = |t: &Tooth| (*t != site, !beside(t) && !ends.contains(&Some(t)), t.along_arch());
        let mut ranked = order.clone();
        ranked.sort_by_key(rank);
        order = ranked;
        let (mut sites, mut measures) = (Sites::new(), Sites::new());
        for tooth in &order {
            let assembly = view.assembly(&case.number, *tooth)?;
            measures.insert(*tooth, lookup::built_on(view, &case.number, *tooth, &assembly)?);
            sites.insert(*tooth, assembly);
        }
        let empty = restoration.as_ref().map_or(Vec::new(), |r| empties(r, &sites, &measures));
        Ok(Self { view, today, case, site, sites, measures, order, restoration, empty })
    }

    /// Its restoration, under which parts are judged.
    pub fn judging(&self) -> Result<Judging<'_>, ViewError> {
        Judging::of(self.view, &self.case, self.restoration.as_ref(), &self.sites, &self.measures)
    }

    pub fn stands_on(&self) -> StandsOn {
        lookup::stands_on(self.restoration.as_ref(), self.own())
    }

    /// Something stands on the abutment here, and no restoration is on record.
    pub fn bridge_is_not_on_record(&self) -> bool {
        self.restoration.is_none() && lookup::has_a_bridge(self.own())
    }

    /// What an empty position needs, where it is known which part stood there before, or which its neighbour has.
    pub fn need_of<'e>(&'e self, empty: &'e Empty) -> Option<Need<'e>> {
        let fitted = empty.known.fitted()?;
        Some(Need {
            site: empty.site,
            fitted,
            measure: fitted,
            assembly: self.measures.get(&empty.site).map_or(&[][..], Vec::as_slice),
            now: self.assembly(empty.site),
            stands_on: self.stands_on(),
        })
    }

    pub fn assembly(&self, tooth: Tooth) -> &[Fitted] {
        self.sites.get(&tooth).map_or(&[], Vec::as_slice)
    }

    pub fn own(&self) -> &[Fitted] {
        self.assembly(self.site)
    }

    /// The restoration in words: 'bridge 24-25-(26)-27'.
    pub fn span(&self) -> String {
        self.restoration.as_ref().map_or(self.site.iso().to_string(), Restoration::span)
    }

    pub fn need(&self, tooth: Tooth, position: Position) -> Option<Need<'_>> {
        let measure = self.measures.get(&tooth).map_or(&[][..], Vec::as_slice);
        Some(Need {
            site: tooth,
            fitted: Fitted::at(self.assembly(tooth), position)?,
            measure: Fitted::at(measure, position)?,
            assembly: measure,
            now: self.assembly(tooth),
            stands_on: self.stands_on(),
        })
    }

    pub fn all(&self, position: Position) -> Vec<Need<'_>> {
        self.order.iter().filter_map(|tooth| self.need(*tooth, position)).collect()
    }

    pub fn is_cemented(&self) -> bool {
        self.restoration.as_ref().is_some_and(|r| matches!(r.retention, Retention::Cemented { .. }))
    }

    pub fn held(&self) -> Held {
        match self.restoration.as_ref().map(|r| &r.retention) {
            Some(Retention::Cemented { .. }) => Held::Cemented,
            Some(Retention::ScrewedToImplants) => Held::ToImplants,
            Some(Retention::ScrewedToAbutments) => Held::ToAbutments,
            None if Fitted::at(self.own(), Position::Abutment).is_none() => Held::ToImplants,
            None => Held::ToAbutments,
        }
    }

    /// The screw that holds the restoration.
    fn retaining(&self) -> Position {
        let empty = || self.empty.iter().any(|e| e.position == Position::ProstheticScrew);
        let prosthetic = !self.all(Position::ProstheticScrew).is_empty() || empty();
        if prosthetic { Position::ProstheticScrew } else { Position::AbutmentScrew }
    }

    /// The row of the table for a report here.
    pub fn row(&self, word: crate::case::Broken) -> Option<&'static Call> {
        Calls::shipped().row(word, |when| match when {
            When::OnePiece => {
                Fitted::at(self.own(), Position::Abutment).is_some_and(|a| a.part.is_one_piece())
            }
            When::Angled => self.own().iter().any(|f| f.part.is_angled()),
            When::Cemented => self.is_cemented(),
            When::OnImplants => self.held() == Held::ToImplants,
        })
    }

    /// The part here that a row is about, or the one that stood there before its position was empty.
    pub fn about(&self, call: &Call) -> Option<&Fitted> {
        let here = |position: &Position| {
            let mut empty = self.empty.iter().filter(|e| e.site == self.site && e.position == *position);
            Fitted::at(self.own(), *position).or_else(|| empty.next()?.known.fitted())
        };
        call.about.iter().find_map(here)
    }

    /// The parts a row names, each once.
    pub fn resolve(&self, wanted: &[Wanted]) -> Vec<Need<'_>> {
        let mut out: Vec<Need<'_>> = Vec::new();
        for need in wanted.iter().flat_map(|w| self.resolve_one(w)) {
            if !out.iter().any(|n| n.site == need.site && n.fitted.position == need.fitted.position) {
                out.push(need);
            }
        }
        out
    }

    fn resolve_one(&self, wanted: &Wanted) -> Vec<Need<'_>> {
        let position = match wanted.which {
            Which::At(position) => position,
            Which::RetainingScrew => self.retaining(),
            Which::Holder => return self.holder(),
            Which::Fixing => {
                let own = self.need(self.site, Position::Abutment);
                match own {
                    Some(n) if n.fitted.part.is_one_piece() => return vec![n],
                    _ => Position::AbutmentScrew,
                }
            }
        };
        if wanted.scope == Scope::Bridge {
            self.all(position)
        } else {
            self.need(self.site, position).into_iter().collect()
        }
    }

    /// The part whose thread the prosthetic screw goes into, and the screw that holds that part.
    fn holder(&self) -> Vec<Need<'_>> {
        let assembly = self.own();
        let others = Fitted::others(assembly, Position::ProstheticScrew);
        let below = |p: &&Port| matches!(p, Port::Thread(t) if t.side == Side::Below);
        let thread = Fitted::at(assembly, Position::ProstheticScrew)
            .and_then(|screw| screw.part.ports.iter().find(below));
        let holder = thread
            .and_then(|port| mate_below(Position::ProstheticScrew, port, &others))
            .map_or(Position::Abutment, |(at, ..)| at);
        let mut out: Vec<Need<'_>> = self.need(self.site, holder).into_iter().collect();
        // Whatever else is loosened on the way is new as well.
        if holder == Position::Abutment {
            out.extend(self.need(self.site, Position::AbutmentScrew));
        }
        out
    }
}
