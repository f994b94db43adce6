//! Find: which part a label belongs to, what the label says, and where that part lies.

use jiff::civil::Date;
use thiserror::Error;

use super::shelves::{self, Apart, Row, StockError, StockFilter, list};
use crate::catalog::Part;
use crate::desk::{ExitClass, Refusal, Refused};
use crate::lots::holds::Standing;
use crate::lots::label::{LabelError, Read, identify};
use crate::record::View;
use crate::scan::Label;

/// Why nothing was looked up.
#[derive(Debug, Error)]
pub enum FindError {
    /// The label.
    #[error(transparent)]
    Label(#[from] LabelError),
    /// The stock.
    #[error(transparent)]
    Stock(#[from] StockError),
}

impl Refusal for FindError {
    fn class(&self) -> ExitClass {
        match self {
            Self::Label(e) => e.class(),
            Self::Stock(e) => e.class(),
        }
    }
}

/// What a label leads to.
#[derive(Debug, Clone)]
pub struct Found {
    /// What was read.
    pub label: Label,
    /// The parts of the catalogue with its item number; none: offered as a new one, never invented.
    pub parts: Vec<Part>,
    /// What of them lies in the house; the label's own lot first.
    pub rows: Vec<Row>,
    /// What of them is set aside, and for whom.
    pub held: Vec<Standing>,
    /// What of them is kept apart.
    pub apart: Vec<Apart>,
    /// What must be known before anybody takes this pack: the lot called back, expired, doubts of the label itself.
    pub careful: Vec<String>,
}

/// Looks a label up, with all that lies in the house of its part.
pub fn find(view: &View, text: &str, today: Date) -> Result<Found, Refused<FindError>> {
    let Read { label, parts, careful } = identify(view, text, today).map_err(Refused::lift)?;
    let (mut rows, mut held, mut kept) = (Vec::new(), Vec::new(), Vec::new());
    for part in &parts {
        let which = StockFilter { part: Some(part.code.clone()), ..StockFilter::default() };
        rows.extend(list(view, &which, today).map_err(Refused::lift)?);
        held.extend(shelves::held(view, &which, today).map_err(Refused::lift)?);
        kept.extend(shelves::apart(view, &which).map_err(Refused::lift)?);
    }
    rows.sort_by_key(|r| Some(r.lot.as_str()) != label.lot());
    Ok(Found { label, parts, rows, held, apart: kept, careful })
}
