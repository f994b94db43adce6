//! A delivery: packs that came, each by part and lot or by its label, booked in one entry, all of them or none.

mod file;

use jiff::civil::Date;

use super::receiving::{self, Receive, ReceiveError};
use crate::desk::Refused;
use crate::lots::pack::{Said, pack};
use crate::record::{Entry, View};
use crate::units::{Expiry, Lot, PartCode, PlaceId, RawLabel};
pub use file::{DeliveryError, read};

/// What came, as it was written down: what it leaves out, its label says.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Line {
    pub part: Option<PartCode>,
    pub lot: Option<Lot>,
    /// Not said: as the label says, else as many as a pack holds.
    pub quantity: Option<u32>,
    pub place: PlaceId,
    pub new_place: bool,
    pub expiry: Option<Expiry>,
    pub label: Option<RawLabel>,
}

impl Line {
    /// What came, and what must be known of it.
    pub fn known(&self, view: &View, today: Date) -> Result<(Receive, Vec<String>), Refused<ReceiveError>> {
        let label = self.label.as_ref().map(RawLabel::as_raw);
        let said = Said { part: self.part.as_ref(), lot: self.lot.as_ref(), label };
        let pack = pack(view, said, today).map_err(Refused::lift)?;
        let expiry = match (self.expiry, pack.expiry) {
            (Some(said), Some(label)) if !said.agrees(label) => {
                return Err(ReceiveError::OtherPrinted { said, label }.into());
            }
            (said, printed) => said.or(printed),
        };
        let (lot, quantity) =
            (pack.lot().map_err(ReceiveError::from)?.clone(), self.quantity.or(pack.quantity));
        let receive = Receive {
            lot,
            quantity: quantity.ok_or_else(|| ReceiveError::HowMany(pack.part.clone()))?,
            part: pack.part,
            place: self.place.clone(),
            new_place: self.new_place,
            expiry,
            label: self.label.clone(),
        };
        Ok((receive, pack.careful))
    }
}

/// The entry for one pack.
pub fn decide(view: &View, line: &Line, today: Date) -> Result<Entry, Refused<ReceiveError>> {
    receiving::decide(view, &line.known(view, today)?.0)
}

/// The entry for all of them; the first that is wrong is named, counted from 1.
pub fn decide_all(view: &View, lines: &[Line], today: Date) -> Result<Entry, Refused<ReceiveError>> {
    receiving::decide_all(view, lines.iter().map(|line| Ok(line.known(view, today)?.0)))
}

/// What must be known of the packs before anybody takes one, each with its lot; of those that can be read.
pub fn careful(view: &View, lines: &[Line], today: Date) -> Vec<String> {
    let mut all = Vec::new();
    for (receive, careful) in lines.iter().filter_map(|line| line.known(view, today).ok()) {
        for said in careful {
            let said = said.trim_end_matches('.');
            let line = if lines.len() == 1 {
                said.to_owned()
            } else {
                format!("lot {} of {}: {said}", receive.lot, receive.part)
            };
            if !all.contains(&line) {
                all.push(line);
            }
        }
    }
    all
}
