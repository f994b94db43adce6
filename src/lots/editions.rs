//! Lots and the numbers they came under: a lot keeps the edition of the catalogue it was received under.

use crate::catalog::Part;
use crate::desk::lookup::{self, NotFound};
use crate::matching::{Finding, Level};
use crate::record::{View, ViewError};
use crate::stock::StockLine;
use crate::units::{Lot, PartCode};

/// A part by one set of its numbers, and what lies in the house with those.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Numbered {
    pub part: Part,
    pub lines: Vec<StockLine>,
    /// The entry of the earlier edition that these lots came under, where today's has other numbers.
    pub edition: Option<u64>,
}

/// The earlier numbers that any of these lines may have; most homes have none.
fn earlier(view: &View, code: &PartCode, lines: &[StockLine]) -> Result<Vec<(u64, Part)>, ViewError> {
    let in_force = view.head().edition_by;
    if lines.iter().all(|l| l.edition == 0 || l.edition == in_force) {
        return Ok(Vec::new());
    }
    view.earlier(code)
}

/// Lines of a part, by the numbers they have: today's first, even where nothing has those.
pub fn by_numbers(view: &View, code: &PartCode, lines: Vec<StockLine>) -> Result<Vec<Numbered>, ViewError> {
    let Some(today) = view.part(code)? else { return Ok(Vec::new()) };
    let earlier = earlier(view, code, &lines)?;
    let mut all = vec![Numbered { part: today, lines: Vec::new(), edition: None }];
    for line in lines {
        let Some((edition, part)) = earlier.iter().find(|(edition, _)| *edition == line.edition) else {
            all[0].lines.push(line);
            continue;
        };
        match all.iter_mut().find(|n| n.part.is_same_as(part)) {
            Some(numbered) => numbered.lines.push(line),
            None => all.push(Numbered { part: part.clone(), lines: vec![line], edition: Some(*edition) }),
        }
    }
    Ok(all)
}

/// Of these lines those of units that are that part, numbers and all.
pub fn of_part(view: &View, part: &Part, lines: Vec<StockLine>) -> Result<Vec<StockLine>, ViewError> {
    if lines.is_empty() {
        return Ok(lines);
    }
    let all = by_numbers(view, &part.code, lines)?.into_iter();
    Ok(all.filter(|n| n.part.is_same_as(part)).flat_map(|n| n.lines).collect())
}

/// A part by the numbers of a lot: today's where the record has no others of it.
pub fn of_lot(view: &View, code: &PartCode, lot: &Lot) -> Result<Part, NotFound> {
    let mut lines = view.stock_of(code)?;
    lines.retain(|l| l.lot == *lot);
    lines.truncate(1);
    let its = |line: &StockLine, all: Vec<(u64, Part)>| all.into_iter().find(|(n, _)| *n == line.edition);
    let found = match lines.first() {
        Some(line) => its(line, earlier(view, code, &lines)?),
        None => None,
    };
    match found {
        Some((_, part)) => Ok(part),
        None => lookup::part(view, code),
    }
}

/// These lots came before the catalogue had other numbers: they are judged by the ones they came with.
pub fn came_earlier(edition: u64, lines: &[StockLine]) -> Finding {
    let mut lots: Vec<&str> = lines.iter().map(|l| l.lot.as_str()).collect();
    lots.dedup();
    Finding {
        rule: "lot-numbers",
        level: Level::Note,
        fitted: String::new(),
        candidate: format!("lot {}", lots.join(", ")),
        effect: format!(
            "received under the catalogue of entry {edition} and judged by its numbers; today's catalogue has others"
        ),
        source: "our own rule: a lot keeps the numbers it was received under",
        steps: 0,
    }
}
