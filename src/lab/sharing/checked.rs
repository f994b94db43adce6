//! Whether the facts of a file agree: what a form would have refused at the door, for a file that no form has read.

use std::collections::BTreeSet;

use jiff::civil::Date;

use super::form::{AnswerFile, FileError, ShareFile, SharedSite, restoration_sum};
use crate::case::{Measured, Restoration, TorqueRecord};
use crate::catalog::{Lean, Part, Position, Value, in_range, torque_in_range};
use crate::record::{AnswerSwap, FitBands, FitWord, fits_a_row};
use crate::units::{LIMITS, Tooth, show_date};

/// A mouth has no more sites than teeth.
const MOST_SITES: usize = 32;
/// As many swaps as one answer may judge together.
pub const MOST_SWAPS: usize = 32;
/// Systems or interfaces in one case.
const MOST_IN_USE: usize = 256;
/// The widest gap that is a number and no slip: 20 mm, in tenths of µm.
pub const MOST_GAP: u32 = 2_000_000;

fn refuse<T>(why: impl Into<String>) -> Result<T, String> {
    Err(why.into())
}

/// Refuses a share whose facts do not agree.
pub fn share(name: &str, file: &ShareFile) -> Result<(), FileError> {
    share_facts(file).map_err(|why| FileError::Facts { file: name.to_owned(), why })
}

/// Refuses an answer whose facts do not agree.
pub fn answer(name: &str, file: &AnswerFile) -> Result<(), FileError> {
    answer_facts(file).map_err(|why| FileError::Facts { file: name.to_owned(), why })
}

fn share_facts(file: &ShareFile) -> Result<(), String> {
    day(file.on, "it was shared")?;
    sites(&file.sites, file.on)?;
    let known: BTreeSet<Tooth> = file.sites.iter().map(|s| s.standing.site).collect();
    file.restorations.iter().try_for_each(|r| restoration(r, &known))?;
    for site in &file.sites {
        let carried = file.restorations.iter().find(|r| r.sites.contains(&site.standing.site));
        if site.standing.restoration != carried.map(restoration_sum) {
            return refuse(format!("{}: it does not carry the restoration it says", site.standing.site));
        }
    }
    let in_use = [file.systems.len(), file.interfaces.len()];
    if in_use.iter().any(|n| *n > MOST_IN_USE) || file.restorations.len() > MOST_SITES {
        return refuse(format!(
            "at most {MOST_IN_USE} systems, {MOST_IN_USE} interfaces and {MOST_SITES} restorations are in use in one case"
        ));
    }
    let fit = file.systems.iter().all(fits_a_row)
        && file.interfaces.iter().all(fits_a_row)
        && file.restorations.iter().all(fits_a_row);
    if fit { Ok(()) } else { refuse("a text of it is longer than the record keeps") }
}

fn answer_facts(file: &AnswerFile) -> Result<(), String> {
    day(file.on, "it was answered")?;
    sites(&file.sites, file.on)?;
    swaps(&file.swaps, &file.sites)?;
    verdict(file.verdict, file.worst_gap_tenths_um, file.bands_tenths_um)
}

/// Refuses swaps that are none, too many, twice in one place, at sites the answer does not hold, or of a wrong part.
pub fn swaps(all: &[AnswerSwap], sites: &[SharedSite]) -> Result<(), String> {
    if all.is_empty() || all.len() > MOST_SWAPS {
        return refuse(format!("it is about {} swaps: expected 1 to {MOST_SWAPS}", all.len()));
    }
    let mut seen = BTreeSet::new();
    for swap in all {
        let at = format!("{}, {}", swap.site, swap.position.words());
        if !seen.insert((swap.site, swap.position)) {
            return refuse(format!("{at}: swapped twice"));
        }
        if !sites.iter().any(|s| s.standing.site == swap.site) {
            return refuse(format!("{at}: the answer does not say what stands there"));
        }
        part(&swap.part, swap.position).map_err(|why| format!("{at}: {why}"))?;
        if !fits_a_row(&swap.part) {
            return refuse(format!("{at}: a text of it is longer than the record keeps"));
        }
    }
    Ok(())
}

/// Refuses a verdict that its own number does not bear out, and numbers that are slips.
pub fn verdict(word: FitWord, gap: Option<u32>, bands: FitBands) -> Result<(), String> {
    if bands.keeps > bands.try_in || bands.try_in > MOST_GAP || gap.is_some_and(|g| g > MOST_GAP) {
        return refuse("its gap and its bands must lie between 0 and 200000 µm, the narrower band first");
    }
    if word == FitWord::KeepsTheFit && gap.is_none_or(|g| g > bands.keeps) {
        return refuse("it says 'keeps the fit', and its widest gap does not");
    }
    Ok(())
}

fn day(date: Date, what: &str) -> Result<(), String> {
    let year = i64::from(date.year());
    LIMITS.year.check(year, &year.to_string()).map_err(|e| format!("the day {what}: {e}"))
}

fn sites(all: &[SharedSite], until: Date) -> Result<(), String> {
    if all.is_empty() || all.len() > MOST_SITES {
        return refuse(format!("it has {} sites: expected 1 to {MOST_SITES}", all.len()));
    }
    let mut seen = BTreeSet::new();
    for shared in all {
        let tooth = shared.standing.site;
        if !seen.insert(tooth) {
            return refuse(format!("{tooth} stands twice"));
        }
        site(shared, until).map_err(|why| format!("{tooth}: {why}"))?;
    }
    Ok(())
}

fn site(shared: &SharedSite, until: Date) -> Result<(), String> {
    let standing = &shared.standing;
    let rising = |all: Vec<Position>| all.is_sorted_by(|a, b| a < b);
    if !rising(standing.assembly.iter().map(|f| f.position).collect())
        || !rising(standing.built_on.iter().map(|b| b.position).collect())
    {
        return refuse("its positions must stand once each, from the implant up");
    }
    if let Some(m) = &standing.measured {
        measured(m, standing.site)?;
    }
    for f in &standing.assembly {
        let at = f.position.words();
        let wrong = |why: String| format!("{at}: {why}");
        part(&f.part, f.position).map_err(wrong)?;
        if let Some(on) = f.on {
            day(on, "it was fitted").map_err(wrong)?;
            if on > until {
                return refuse(format!("{at}: fitted on {}, after the day of the file", show_date(on)));
            }
        }
        if let TorqueRecord::Measured(torque) = f.torque {
            torque_in_range(torque).map_err(|e| wrong(e.to_string()))?;
        }
        match f.lean {
            Value::Known(_) if !f.part.is_angled() => {
                return refuse(wrong("only an angled part leans".to_owned()));
            }
            Value::Known(Lean::At(angle)) if !(0..=360_000).contains(&angle.base()) => {
                return refuse(wrong("a lean lies between 0 and 360°".to_owned()));
            }
            _ => {}
        }
        if !fits_a_row(f) {
            return refuse(wrong("a text of it is longer than the record keeps".to_owned()));
        }
    }
    for b in &standing.built_on {
        part(&b.part, b.position).map_err(|why| format!("{}, built on: {why}", b.position.words()))?;
        if !fits_a_row(b) {
            return refuse(format!(
                "{}, built on: a text of it is longer than the record keeps",
                b.position.words()
            ));
        }
    }
    if standing.sum() == shared.sum { Ok(()) } else { refuse("its own sum does not match") }
}

fn part(part: &Part, position: Position) -> Result<(), String> {
    if !position.kinds().contains(&part.kind) {
        return refuse(format!("part {} is a {}, which does not go there", part.code, part.kind));
    }
    in_range(part).map_err(|e| format!("part {}: {e}", part.code))
}

fn restoration(r: &Restoration, known: &BTreeSet<Tooth>) -> Result<(), String> {
    let at = || format!("restoration {}", r.span());
    if r.sites.is_empty() || r.sites.len() + r.pontics.len() > MOST_SITES {
        return refuse("a restoration stands on 1 site at least, and has 32 teeth at most");
    }
    let own: BTreeSet<Tooth> = r.sites.iter().copied().collect();
    if own.len() != r.sites.len() || !own.is_subset(known) {
        return refuse(format!("{}: its sites must be sites of the case, once each", at()));
    }
    for (size, range) in [
        (&r.connector_height, &LIMITS.connector),
        (&r.connector_width, &LIMITS.connector),
        (&r.crown_height, &LIMITS.crown_height),
    ] {
        if let Value::Known(size) = size {
            let checked = range.check(i64::from(size.base()), &size.to_string());
            checked.map_err(|e| format!("{}: {e}", at()))?;
        }
    }
    for teeth in [r.cantilever_right, r.cantilever_left] {
        let checked = LIMITS.cantilever.check(i64::from(teeth), &teeth.to_string());
        checked.map_err(|e| format!("{}: {e}", at()))?;
    }
    Ok(())
}

fn measured(m: &Measured, site: Tooth) -> Result<(), String> {
    if m.site != site {
        return refuse(format!("it is measured as {}", m.site));
    }
    for c in m.position {
        LIMITS.coordinate.check(i64::from(c.base()), &c.to_string()).map_err(|e| e.to_string())?;
    }
    // Millionths of its length, as a form reads them.
    if m.axis.is_some_and(|a| a == [0; 3] || a.iter().any(|n| !(-1_000_000..=1_000_000).contains(n))) {
        return refuse("its axis is no direction");
    }
    Ok(())
}
