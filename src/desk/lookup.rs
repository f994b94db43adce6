//! Finding what a person named, or saying what is near it.

use thiserror::Error;

use super::class::ExitClass;
use crate::case::{CaseHead, Fitted, Restoration, Sure, TorqueRecord};
use crate::catalog::{Part, Position, Value};
use crate::matching::StandsOn;
use crate::record::{BuiltOn, View, ViewError};
use crate::stock::StockLine;
use crate::units::{CaseNumber, Lot, PartCode, PlaceId, Tooth, did_you_mean};

/// What was named is not on record.
#[derive(Debug, Error)]
pub enum NotFound {
    /// No such case.
    #[error(
        "no case {number} on record.{hint} To enter one: 'spareseat case new {number}'; a patient who walks in: 'spareseat visit {number} --new --site TOOTH --broken WHAT'"
    )]
    Case {
        /// What was asked.
        number: CaseNumber,
        /// What is near.
        hint: String,
    },
    /// No such site.
    #[error("case {case} has no site at {tooth} ({}). Its sites: {sites}", .tooth.words())]
    Site {
        /// Which case.
        case: CaseNumber,
        /// What was asked.
        tooth: Tooth,
        /// What there is.
        sites: String,
    },
    /// The number names a site only in the other numbering.
    #[error(
        "case {case} has no site at {number} read as ISO 3950{}; read in the Universal numbering {number} is {other} ({}), which is a site. Say which: --site {} for that tooth",
        .iso.map_or(String::new(), |t| format!(" ({t}, {})", t.words())), .other.words(), .other.iso()
    )]
    OtherNumbering {
        /// Which case.
        case: CaseNumber,
        /// What was typed.
        number: String,
        /// How ISO 3950 reads it, if it does.
        iso: Option<Tooth>,
        /// How Universal reads it.
        other: Tooth,
    },
    /// Not a tooth at all.
    #[error(transparent)]
    Tooth(#[from] crate::units::ToothError),
    /// No such part in the catalogue.
    #[error("no part '{code}' in the catalogue.{hint} See 'spareseat part list'")]
    Part {
        /// What was asked.
        code: PartCode,
        /// What is near.
        hint: String,
    },
    /// Nothing recorded in that position.
    #[error("case {case}, {tooth}: nothing is on record in position {}. On record there: {there}", .position.slug())]
    Position {
        /// Which case.
        case: CaseNumber,
        /// Where.
        tooth: Tooth,
        /// What was asked.
        position: Position,
        /// What there is.
        there: String,
    },
    /// No such drawer.
    #[error("no place '{place}'.{hint} Places: {places}.{}", if *.may_be_made { " To make a new one add --new-place" } else { "" })]
    Place {
        /// What was asked.
        place: PlaceId,
        /// What is near.
        hint: String,
        /// What there is.
        places: String,
        /// Whether this act can make it: a place something is taken from must be there already.
        may_be_made: bool,
    },
    /// Not a name for a drawer.
    #[error(
        "'{0}' is no name for a drawer: expected letters or digits, such as cabinet-2-drawer-1, and none of the words this record uses for what is in no drawer. Nothing was booked"
    )]
    Reserved(PlaceId),
    /// More drawers than a lot's row holds.
    #[error(
        "lot {lot} has lain in {MOST_DRAWERS} drawers already: put it into one of those. Nothing was booked"
    )]
    TooManyDrawers {
        /// Which lot.
        lot: Lot,
    },
    /// The view.
    #[error(transparent)]
    View(#[from] ViewError),
}

impl NotFound {
    /// As what it counts.
    pub fn class(&self) -> ExitClass {
        match self {
            Self::View(_) => ExitClass::Record,
            Self::Case { .. }
            | Self::Site { .. }
            | Self::OtherNumbering { .. }
            | Self::Tooth(_)
            | Self::Part { .. }
            | Self::Position { .. }
            | Self::Place { .. }
            | Self::Reserved(_)
            | Self::TooManyDrawers { .. } => ExitClass::Typed,
        }
    }
}

/// The case of that number.
pub fn case(view: &View, number: &CaseNumber) -> Result<CaseHead, NotFound> {
    if let Some(case) = view.case(number)? {
        return Ok(case);
    }
    let all = view.cases()?;
    let hint = did_you_mean(number.as_str(), all.iter().map(|c| c.number.as_str()));
    Err(NotFound::Case { number: number.clone(), hint })
}

/// The site a typed number names: ISO 3950 by the practice's setting, never guessed.
pub fn site(case: &CaseHead, typed: &str) -> Result<Tooth, NotFound> {
    let iso = Tooth::parse(typed);
    if let Ok(tooth) = iso
        && case.sites.contains(&tooth)
    {
        return Ok(tooth);
    }
    let universal = Tooth::parse_in(typed, crate::units::Numbering::Universal).ok();
    if let Some(other) = universal.filter(|t| case.sites.contains(t)) {
        let number = crate::units::printable(typed);
        return Err(NotFound::OtherNumbering { case: case.number.clone(), number, iso: iso.ok(), other });
    }
    let tooth = iso?;
    Err(NotFound::Site {
        case: case.number.clone(),
        tooth,
        sites: list(case.sites.iter().map(Tooth::to_string)),
    })
}

/// A part of the catalogue.
pub fn part(view: &View, code: &PartCode) -> Result<Part, NotFound> {
    if let Some(part) = view.part(code)? {
        return Ok(part);
    }
    let all = view.parts()?;
    let hint = did_you_mean(code.as_str(), all.iter().map(|p| p.code.as_str()));
    Err(NotFound::Part { code: code.clone(), hint })
}

/// What stands in a position of an assembly.
pub fn fitted<'a>(
    case: &CaseNumber,
    tooth: Tooth,
    assembly: &'a [Fitted],
    position: Position,
) -> Result<&'a Fitted, NotFound> {
    Fitted::at(assembly, position).ok_or_else(|| NotFound::Position {
        case: case.clone(),
        tooth,
        position,
        there: list(assembly.iter().map(|f| f.position.slug().to_owned())),
    })
}

/// A drawer that must exist: something is taken from it, or it is asked about.
pub fn place(view: &View, id: &PlaceId) -> Result<(), NotFound> {
    find_place(view, id, false)
}

/// Words that this record uses for places that are no drawers.
const RESERVED: [&str; 7] =
    ["quarantine", "supplier", "waste", "cases", "correction", "kept-pieces", "to-be-reprocessed"];

/// A drawer that something is put into: it exists, or the person says that it is new.
pub fn place_to_fill(view: &View, id: &PlaceId, is_new: bool) -> Result<(), NotFound> {
    let known = view.place(id)?.is_some();
    if !known && (RESERVED.contains(&id.as_str()) || !id.as_str().bytes().any(|b| b.is_ascii_alphanumeric()))
    {
        return Err(NotFound::Reserved(id.clone()));
    }
    if is_new { Ok(()) } else { find_place(view, id, true) }
}

fn find_place(view: &View, id: &PlaceId, may_be_made: bool) -> Result<(), NotFound> {
    if view.place(id)?.is_some() {
        return Ok(());
    }
    let all = view.places()?;
    let hint = did_you_mean(id.as_str(), all.iter().map(PlaceId::as_str));
    let places = list(all.iter().map(PlaceId::to_string));
    Err(NotFound::Place { place: id.clone(), hint, places, may_be_made })
}

/// The restoration that a site carries.
pub fn restoration_at(restorations: &[Restoration], tooth: Tooth) -> Option<&Restoration> {
    restorations.iter().find(|r| r.sites.contains(&tooth))
}

/// The assembly at a site as the restoration was built on it: what a new part must be held against.
///
/// Differs from what is fitted where somebody put in a part with other numbers.
pub fn built_on(
    view: &View,
    case: &CaseNumber,
    tooth: Tooth,
    assembly: &[Fitted],
) -> Result<Vec<Fitted>, ViewError> {
    let mut measure = assembly.to_vec();
    for built in view.built_on(case, tooth)? {
        match measure.iter_mut().find(|f| f.position == built.position) {
            Some(fitted) => fitted.part = built.part,
            None => measure.push(stood_before(built)),
        }
    }
    measure.sort_by_key(|f| f.position);
    Ok(measure)
}

/// A part that stood in a position that is empty now; which way it leaned went with it.
fn stood_before(built: BuiltOn) -> Fitted {
    let lean = if built.part.is_angled() { Value::Unknown } else { Value::NotApplicable };
    Fitted {
        position: built.position,
        part: built.part,
        lot: None,
        label: None,
        on: None,
        torque: TorqueRecord::NotRecorded,
        lean,
        driver: None,
        sure: Sure::Label,
    }
}

/// What a part at a site has to live with: decided here, for every answer.
///
/// Where no restoration is on record, a screw or a part above an abutment says that one stands there all the same. Until
/// somebody enters it, it counts as an existing rigid bridge: nothing may then be taken for free to move.
pub fn stands_on(restoration: Option<&Restoration>, assembly: &[Fitted]) -> StandsOn {
    match restoration {
        Some(restoration) => restoration.stands_on(),
        None if has_a_bridge(assembly) => StandsOn::Bridge,
        None => StandsOn::Nothing,
    }
}

/// Something of a restoration is on record at a site: its screw, its frame, or a base or cylinder on an abutment.
pub fn has_a_bridge(assembly: &[Fitted]) -> bool {
    let at = |position: Position| Fitted::at(assembly, position).is_some();
    let on_an_abutment = at(Position::Abutment) && (at(Position::Base) || at(Position::Cylinder));
    at(Position::ProstheticScrew) || at(Position::Framework) || on_an_abutment
}

/// What stands at these sites and was entered by guess.
pub fn guessed<'f>(sites: impl Iterator<Item = (Tooth, &'f [Fitted])>) -> Vec<(Tooth, Position)> {
    let mut all: Vec<(Tooth, Position)> = Vec::new();
    for (site, assembly) in sites {
        for fitted in assembly.iter().filter(|f| f.sure == Sure::Guess) {
            if !all.contains(&(site, fitted.position)) {
                all.push((site, fitted.position));
            }
        }
    }
    all
}

/// The same as the line that stands before everything else; none where nothing was guessed.
pub fn guess_line(guessed: &[(Tooth, Position)]) -> Option<String> {
    let mut by_site: Vec<(Tooth, Vec<&str>)> = Vec::new();
    for (site, position) in guessed {
        match by_site.iter_mut().find(|(t, _)| t == site) {
            Some((_, all)) => all.push(position.words()),
            None => by_site.push((*site, vec![position.words()])),
        }
    }
    let each = |(site, all): &(Tooth, Vec<&str>)| {
        let one = if all.len() == 1 { "is a guess" } else { "are guesses" };
        format!("{site}: the {} on record {one}", all.join(" and the "))
    };
    let each: Vec<String> = by_site.iter().map(each).collect();
    (!each.is_empty()).then(|| {
        format!("CAREFUL, {}. Compare the new part with the old one before you fit it.", each.join("; "))
    })
}

/// In how many drawers a lot may ever lie: its balances stand in one row of the view.
const MOST_DRAWERS: usize = 64;

/// A drawer that one more lot fits the record of.
pub fn room_for(lines: &[StockLine], lot: &Lot, place: &PlaceId) -> Result<(), NotFound> {
    let drawers = || lines.iter().filter(|l| l.lot == *lot).filter_map(|l| l.place.house());
    if drawers().count() < MOST_DRAWERS || drawers().any(|d| d == place) {
        return Ok(());
    }
    Err(NotFound::TooManyDrawers { lot: lot.clone() })
}

/// A list in words; 'none' when it is empty.
pub fn list(items: impl Iterator<Item = String>) -> String {
    let all: Vec<String> = items.collect();
    if all.is_empty() { "none".to_owned() } else { all.join(", ") }
}

/// '1 piece', '3 pieces'.
pub fn pieces(n: impl Into<i64>) -> String {
    match n.into() {
        1 => "1 piece".to_owned(),
        n => format!("{n} pieces"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stock::Where;
    use crate::units::Expiry;

    #[test]
    fn a_lot_s_drawers_are_counted_even_where_it_has_run_out() {
        let lot = Lot::new("PS-1120").unwrap();
        let drawer = |n: usize| PlaceId::new(&format!("drawer-{n}")).unwrap();
        let line = |n| {
            let place = Where::House(drawer(n));
            StockLine {
                lot: lot.clone(),
                expiry: Expiry::NotRecorded,
                place,
                quantity: 0,
                own: 0,
                edition: 0,
            }
        };
        let lines: Vec<StockLine> = (0..MOST_DRAWERS).map(line).collect();
        assert!(room_for(&lines[1..], &lot, &drawer(999)).is_ok());
        assert!(room_for(&lines, &lot, &drawer(3)).is_ok(), "one of those it has lain in");
        assert_eq!(
            room_for(&lines, &lot, &drawer(999)).unwrap_err().to_string(),
            "lot PS-1120 has lain in 64 drawers already: put it into one of those. Nothing was booked"
        );
        assert!(room_for(&lines, &Lot::new("OTHER").unwrap(), &drawer(999)).is_ok());
    }
}
