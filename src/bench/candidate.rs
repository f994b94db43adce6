//! A part that might come in, with all that is said of it.

use jiff::civil::Date;

use crate::catalog::{Part, TorqueAsked};
use crate::lots::holds::{self, Standing};
use crate::matching::Judgement;
use crate::record::{View, ViewError};
use crate::stock::StockLine;

/// A part that might come in.
#[derive(Debug, Clone)]
pub struct Candidate {
    /// The part.
    pub part: Part,
    /// The verdict and why.
    pub judgement: Judgement,
    /// What lies in the house, expired or not.
    pub in_house: Vec<StockLine>,
    /// What it is tightened with there.
    pub torque: TorqueAsked,
    /// What of it is set aside, for whomever; only where an answer asks for it.
    pub held: Vec<Standing>,
}

impl Candidate {
    /// The same with what of it is set aside.
    pub fn with_held(mut self, view: &View, today: Date) -> Result<Self, ViewError> {
        if !self.in_house.is_empty() {
            self.held = holds::standing_on(view, &self.part.code, today)?;
        }
        Ok(self)
    }

    /// How many usable units lie in the house.
    pub fn usable(&self, today: Date) -> u32 {
        let here = self.in_house.iter().filter(|l| !l.expiry.is_over(today)).map(|l| l.quantity).sum::<i64>();
        u32::try_from(here).unwrap_or(0)
    }
}
