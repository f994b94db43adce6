//! Deliveries: what the plain model says of one line, and of several in one entry.

use super::acts::{ReceiveAct, part_of};
use super::plain::{Plain, SUPPLIER};

impl Plain {
    pub fn receive(&mut self, a: &ReceiveAct) -> bool {
        let lot = (a.part, a.lot);
        let another =
            matches!((self.expiry.get(&lot), &a.expiry), (Some(known), Some(said)) if known != said);
        if part_of(a.part).is_none()
            || another
            || self.is_called_back(lot)
            || !(a.new_place || self.drawers.contains(a.place))
        {
            return false;
        }
        self.drawers.insert(a.place);
        if let Some(said) = &a.expiry {
            self.expiry.insert(lot, (*said).to_owned());
        }
        self.go(lot, SUPPLIER, a.place, i64::from(a.quantity));
        true
    }

    /// All lines, each after those before it, or none.
    pub fn deliver(&mut self, lines: &[ReceiveAct]) -> bool {
        let before = (self.balance.clone(), self.drawers.clone(), self.expiry.clone());
        let done = lines.iter().all(|line| self.receive(line));
        if !done {
            (self.balance, self.drawers, self.expiry) = before;
        }
        done
    }
}
