//! Taking the units of a tray from their drawers, and what comes off for them.

use jiff::civil::Date;

use super::{LayingError, Unit};
use crate::cases::empty::{Empty, empties_at};
use crate::catalog::Position;
use crate::desk::Refused;
use crate::lots::editions;
use crate::lots::in_house;
use crate::lots::take::{TakeError, take_from};
use crate::record::{Became, Removed, UseLine, View, ViewError};
use crate::stock::{StockLine, pick};
use crate::units::{CaseNumber, Lot, PartCode, PlaceId, Tooth};

/// Units of one lot from one drawer may be wanted several times.
pub(super) struct Taking<'v> {
    pub view: &'v View,
    pub case: &'v CaseNumber,
    pub today: Date,
    pub taken: Vec<(PartCode, Lot, PlaceId, u32)>,
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

    pub fn take(&mut self, unit: &Unit<'_>) -> Result<(Lot, PlaceId), Refused<LayingError>> {
        self.take_from(unit, &unit.row.pick.lot, &unit.row.pick.place)
    }

    /// One of a lot that somebody named, from the drawer it was laid out from.
    pub fn take_from(
        &mut self,
        unit: &Unit<'_>,
        lot: &Lot,
        place: &PlaceId,
    ) -> Result<(Lot, PlaceId), Refused<LayingError>> {
        let part = &unit.row.part.code;
        let wanted = *self.counter(part, lot, place) + 1;
        let lines: Vec<StockLine> = self.view.stock_of(part)?;
        let place = take_from(&lines, part, lot, Some(place), wanted).map_err(LayingError::from)?;
        *self.counter(part, lot, &place) = wanted;
        Ok((lot.clone(), place))
    }

    /// One more for one that fell: of the lot that somebody says, else the same, or the next lot with the same numbers
    /// when that one has run out.
    pub fn take_another(
        &mut self,
        unit: &Unit<'_>,
        said: Option<&Lot>,
    ) -> Result<(Lot, PlaceId), Refused<LayingError>> {
        let part = &unit.row.part.code;
        let run_out = match said {
            Some(lot) if *lot != unit.row.pick.lot => {
                TakeError::NoSuchLot { part: part.clone(), lot: lot.clone(), lots: None }
            }
            _ => match self.take(unit) {
                Err(Refused::Act(LayingError::Take(e))) => e,
                taken => return taken,
            },
        };
        let mut lines = in_house::free(self.view, part, Some(self.case), self.today)?;
        lines.retain(|l| said.is_none_or(|lot| l.lot == *lot));
        let mut lines = editions::of_part(self.view, &unit.row.part, lines)?;
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
            None => Err(LayingError::from(run_out).into()),
        }
    }
}

/// The caps that come off before a screw goes in at their sites.
pub(super) fn caps_off(
    view: &View,
    number: &CaseNumber,
    lines: &[UseLine],
) -> Result<Vec<Removed>, ViewError> {
    let mut out: Vec<Removed> = Vec::new();
    let stays_open = stay_open(view, number, lines)?;
    for line in
        lines.iter().filter(|l| matches!(l.position, Position::ProstheticScrew | Position::AbutmentScrew))
    {
        if stays_open.contains(&line.site) {
            continue;
        }
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

/// The sites at which nothing holds the restoration after these lines either: a cap stays on there, or the site would
/// have neither.
fn stay_open(view: &View, number: &CaseNumber, lines: &[UseLine]) -> Result<Vec<Tooth>, ViewError> {
    let (Some(case), Some(first)) = (view.case(number)?, lines.first()) else { return Ok(Vec::new()) };
    let filled = |e: &Empty| lines.iter().any(|l| l.site == e.site && l.position == e.position);
    let empty = empties_at(view, &case, first.site)?;
    Ok(empty.into_iter().filter(|e| !filled(e)).map(|e| e.site).collect())
}
