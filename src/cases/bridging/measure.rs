//! What a restoration was built on: what stood there on the day it was built.

use std::ops::ControlFlow;

use jiff::civil::Date;

use super::{BridgeAsk, BridgeError, BuiltThere, Desk, HomeError};
use crate::case::{Fitted, Sites};
use crate::catalog::Position;
use crate::desk::Refused;
use crate::logbook::Head;
use crate::record::RecordError;
use crate::units::show_date;

/// The sites as the record had them on the day; none where today's are the measure.
pub type Past = Option<Sites>;

/// Parts that a restoration stands on; what is inside it or in its place for a while is not among them.
fn carries(position: Position) -> bool {
    !position.is_inside_bridge() && !matches!(position, Position::HealingCap | Position::CoverScrew)
}

/// Came in after that day.
fn since(fitted: &Fitted, day: Date) -> bool {
    fitted.on.is_some_and(|on| on > day)
}

/// Opens the record as it was on the day the restoration was built, where a part has come in since.
pub fn past(
    desk: &Desk,
    ask: &BridgeAsk,
    today: Date,
    earlier: impl Fn(u64) -> Result<Desk, HomeError>,
) -> Result<Past, Refused<BridgeError>> {
    let Some(day) = ask.built_on.filter(|day| *day < today) else { return Ok(None) };
    let mut last = 0;
    let (view, logbook) = desk.view_and_logbook();
    let start = Head::start(view.head().head.id);
    let read = logbook.read(&start, &mut |line, _| {
        if line.on <= day {
            last = line.seq;
        }
        ControlFlow::Continue(())
    });
    read.map_err(RecordError::from)?;
    let mut sites = Sites::new();
    if last > 0 {
        let then = earlier(last)?;
        for site in &ask.span.sites {
            sites.insert(*site, then.view().assembly(&ask.case, *site)?);
        }
    }
    // Of a day before the record began nothing is on record.
    Ok(Some(sites))
}

/// Every part it was built on that does not stand there now, and what could not be told.
///
/// A part on record without a day, or since that day or earlier, stood there; of one that came in later the record as it
/// was on the day says what stood there.
pub fn measure(sites: &Sites, past: &Past, day: Date) -> (Vec<BuiltThere>, Vec<String>) {
    let Some(past) = past else { return (Vec::new(), Vec::new()) };
    let (mut rows, mut remarks) = (Vec::new(), Vec::new());
    for (site, now) in sites {
        let then = past.get(site).map_or(&[][..], Vec::as_slice);
        let then = || then.iter().filter(|f| carries(f.position) && !since(f, day));
        for f in now.iter().filter(|f| carries(f.position) && since(f, day)) {
            match then().find(|old| old.position == f.position) {
                Some(old) if old.part.is_same_as(&f.part) => {}
                Some(old) => {
                    rows.push(BuiltThere { site: *site, position: f.position, part: old.part.clone() });
                }
                None => remarks.push(format!(
                    "{} {} is in {site} since {}: what stood there on {} is not on record, and every new part is held against the one that is in",
                    f.position.words(),
                    f.part.code,
                    f.on.map_or(String::new(), show_date),
                    show_date(day)
                )),
            }
        }
        let gone = then().filter(|old| Fitted::at(now, old.position).is_none());
        rows.extend(gone.map(|old| BuiltThere {
            site: *site,
            position: old.position,
            part: old.part.clone(),
        }));
    }
    (rows, remarks)
}

/// The sites as the restoration was built on them.
pub fn as_built(sites: &Sites, measure: &[BuiltThere]) -> Sites {
    let mut built = sites.clone();
    for row in measure {
        let own = built.entry(row.site).or_default();
        own.iter_mut().filter(|f| f.position == row.position).for_each(|f| f.part = row.part.clone());
    }
    built
}

#[cfg(test)]
mod tests {
    use super::super::frame::made;
    use super::*;
    use crate::case::{Sure, TorqueRecord};
    use crate::catalog::Value;
    use crate::units::Tooth;
    use jiff::civil::date;

    fn fitted(code: &str, on: Option<Date>) -> Fitted {
        Fitted {
            position: Position::ProstheticScrew,
            part: made(code, "a part"),
            lot: None,
            label: None,
            on,
            torque: TorqueRecord::NotRecorded,
            lean: Value::NotApplicable,
            driver: None,
            sure: Sure::Label,
        }
    }

    fn at_24(all: Vec<Fitted>) -> Sites {
        Sites::from([(Tooth::parse("24").unwrap(), all)])
    }

    /// What is on record on the day is the measure, whatever was put in since.
    #[test]
    fn what_stood_there_on_the_day_is_the_measure() {
        let (before, day, after) = (date(2020, 1, 1), date(2022, 1, 1), Some(date(2024, 1, 1)));
        let codes = |rows: &[BuiltThere]| rows.iter().map(|r| r.part.code.to_string()).collect::<Vec<_>>();
        for (now, then, expected, told) in [
            (vec![fitted("a", Some(before))], vec![], vec![], 0),
            (vec![fitted("a", None)], vec![], vec![], 0),
            (vec![fitted("b", after)], vec![fitted("a", Some(before))], vec!["a"], 0),
            (vec![fitted("a", after)], vec![fitted("a", Some(before))], vec![], 0),
            (vec![fitted("b", after)], vec![], vec![], 1),
            (vec![], vec![fitted("a", Some(before))], vec!["a"], 0),
        ] {
            let (rows, remarks) = measure(&at_24(now), &Some(at_24(then)), day);
            assert_eq!(
                (codes(&rows), remarks.len()),
                (expected.iter().map(ToString::to_string).collect(), told)
            );
        }
        let (rows, remarks) = measure(&at_24(vec![fitted("b", after)]), &None, day);
        assert!(rows.is_empty() && remarks.is_empty(), "today's are the measure");
    }
}
