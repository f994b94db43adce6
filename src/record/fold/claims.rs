//! What is set aside: holds come, are used up by their own case, and go.

use jiff::civil::Date;

use super::Meta;
use crate::record::entry::{CalledBack, NeedOff, Needed, Released, SetAside};
use crate::record::key;
use crate::record::view::{View, ViewError};
use crate::stock::{Claim, Hold, Need};
use crate::units::{CaseNumber, Lot, PartCode};

pub(super) fn set_aside(view: &mut View, seq: u64, meta: &Meta, e: SetAside) -> Result<(), ViewError> {
    let mut claims = view.open_list::<Claim>(key::claims(&e.part))?;
    // What has lapsed holds nothing and is not brought back by a counter, which works on its own day only.
    claims.retain(|c| c.hold().is_none_or(|h| h.until >= meta.on));
    claims.extend(e.lots.into_iter().map(|l| {
        let (case, until, used) = (e.case.clone(), e.until, Vec::new());
        Claim::Held(Hold { entry: seq, on: meta.on, case, lot: l.lot, quantity: l.quantity, until, used })
    }));
    Ok(())
}

pub(super) fn called_back(view: &mut View, seq: u64, meta: &Meta, e: CalledBack) -> Result<(), ViewError> {
    let mut claims = view.open_list::<Claim>(key::claims(&e.part))?;
    let known = claims.iter().any(|c| matches!(c, Claim::CalledBack { lot, .. } if *lot == e.lot));
    if !known {
        claims.push(Claim::CalledBack { entry: seq, on: meta.on, lot: e.lot });
    }
    Ok(())
}

pub(super) fn needed(view: &mut View, seq: u64, meta: &Meta, e: Needed) -> Result<(), ViewError> {
    let mut claims = view.open_list::<Claim>(key::claims(&e.part))?;
    // Work that was planned for a day that is over needs nothing any more.
    claims.retain(|c| c.need().is_none_or(|n| n.on >= meta.on));
    claims.push(Claim::Needed(Need {
        entry: seq,
        case: e.case,
        on: e.on,
        quantity: e.quantity,
        because: e.because,
    }));
    Ok(())
}

pub(super) fn need_off(view: &mut View, e: NeedOff) -> Result<(), ViewError> {
    view.open_list::<Claim>(key::claims(&e.part))?.retain(|c| c.need().is_none_or(|n| n.entry != e.need));
    Ok(())
}

pub(super) fn released(view: &mut View, e: Released) -> Result<(), ViewError> {
    for gone in e.holds {
        view.open_list::<Claim>(key::claims(&gone.part))?
            .retain(|c| c.hold().is_none_or(|h| h.entry != gone.hold));
    }
    Ok(())
}

/// A unit went to the case or was spoiled for it: what was set aside for it of that lot is one less.
pub(super) fn taken(
    view: &mut View,
    (seq, on): (u64, Date),
    case: &CaseNumber,
    part: &PartCode,
    lot: &Lot,
) -> Result<(), ViewError> {
    let mut claims = view.open_list::<Claim>(key::claims(part))?;
    let own = |h: &Hold| h.case == *case && h.lot == *lot && h.stands(on) && h.left() > 0;
    let holds = claims.iter().enumerate().filter_map(|(n, c)| Some((n, c.hold()?)));
    // The one that lapses first.
    let first = holds.filter(|(_, h)| own(h)).min_by_key(|(_, h)| (h.until, h.entry)).map(|(n, _)| n);
    if let Some(hold) = first.and_then(|n| claims[n].hold_mut()) {
        hold.used.push(seq);
    }
    Ok(())
}

/// An entry was taken back: what it took is set aside again, and a lot it called back is not called back.
pub(super) fn taken_back(view: &mut View, entry: u64, part: &PartCode) -> Result<(), ViewError> {
    let mut claims = view.open_list::<Claim>(key::claims(part))?;
    let called = |c: &Claim| matches!(c, Claim::CalledBack { entry: by, .. } if *by == entry);
    if !claims.iter().any(|c| called(c) || c.hold().is_some_and(|h| h.used.contains(&entry))) {
        return Ok(());
    }
    claims.retain(|c| !called(c));
    claims.iter_mut().filter_map(Claim::hold_mut).for_each(|h| h.used.retain(|by| *by != entry));
    Ok(())
}
