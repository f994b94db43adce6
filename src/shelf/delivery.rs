//! A delivery: packs that came, each by part and lot or by its label, booked in one entry, all of them or none.

mod file;

use jiff::civil::Date;

use super::receiving::{self, Receive, ReceiveError};
use crate::desk::Refused;
use crate::lots::pack::{Said, pack};
use crate::record::View;
use crate::units::{Expiry, Lot, PartCode, PlaceId, RawLabel};
pub use file::{DeliveryError, read};

/// What came, as it was written down: what it leaves out, its label says.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct DeliveryLine {
    pub part: Option<PartCode>,
    pub lot: Option<Lot>,
    /// Not said: as the label says, else as many as a pack holds.
    pub quantity: Option<u32>,
    pub place: PlaceId,
    pub new_place: bool,
    pub expiry: Option<Expiry>,
    pub label: Option<RawLabel>,
}

impl DeliveryLine {
    /// What came, and what must be known of it: its label is read here, once.
    pub fn known(&self, view: &View, today: Date) -> Result<(Receive, Vec<String>), Refused<ReceiveError>> {
        let label = self.label.as_ref().map(RawLabel::as_raw);
        let said = Said { part: self.part.as_ref(), lot: self.lot.as_ref(), label };
        let pack = pack(view, said, today).map_err(Refused::lift)?;
        let receive = Receive::of(&pack, self.expiry, self.quantity, &self.place, self.new_place)?;
        Ok((receive, pack.careful))
    }
}

/// All that came, and what must be known of it, each with its lot; the first line that is wrong is named.
pub fn known(
    view: &View,
    lines: &[DeliveryLine],
    today: Date,
) -> Result<(Vec<Receive>, Vec<String>), Refused<ReceiveError>> {
    let (mut all, mut careful) = (Vec::new(), Vec::new());
    for (n, line) in lines.iter().enumerate() {
        let (receive, said) = match line.known(view, today) {
            Ok(known) => known,
            Err(Refused::Act(why)) => {
                // One before it may be wrong in another way.
                receiving::decide_all(view, &all)?;
                return Err(ReceiveError::Line { line: n + 1, why: Box::new(why) }.into());
            }
            Err(e) => return Err(e),
        };
        for said in said {
            let said = said.trim_end_matches('.');
            let line = match lines.len() {
                1 => said.to_owned(),
                _ => format!("lot {} of {}: {said}", receive.lot, receive.part),
            };
            if !careful.contains(&line) {
                careful.push(line);
            }
        }
        all.push(receive);
    }
    Ok((all, careful))
}
