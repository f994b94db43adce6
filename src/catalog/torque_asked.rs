//! What goes on the wrench: asked for by the screw and by the part it holds down; where they disagree the lower rules.

use std::fmt;

use super::{Part, TorqueSpec};
use crate::units::{PartCode, Torque};

/// What a screw is tightened with on its partner.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TorqueAsked {
    /// What rules; a torque that the screw's own source does not state is never filled in from the partner.
    pub rules: TorqueSpec,
    /// What each of them asks for, where they disagree.
    pub disagree: Option<Disagree>,
}

/// Two torques for one screw.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Disagree {
    /// The screw's own.
    pub own: Torque,
    /// The part that asks for another.
    pub partner: PartCode,
    /// That other one.
    pub other: Torque,
}

impl TorqueAsked {
    /// By a screw, and by the part it holds down where that is on record.
    pub fn of(screw: &Part, partner: Option<&Part>) -> Self {
        let other = partner.and_then(|p| Some((p, p.torque.stated()?)));
        match (screw.torque.stated(), other) {
            (Some(own), Some((partner, other))) if own != other => Self {
                rules: TorqueSpec::Stated(own.min(other)),
                disagree: Some(Disagree { own, partner: partner.code.clone(), other }),
            },
            _ => Self { rules: screw.torque.clone(), disagree: None },
        }
    }
}

impl fmt::Display for TorqueAsked {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.disagree {
            Some(Disagree { own, partner, other }) => f.pad(&format!(
                "{}, the lower one: the screw asks for {own}, part {partner} for {other}",
                self.rules
            )),
            None => self.rules.fmt(f),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::{Draft, read_file, shipped};

    #[test]
    fn the_lower_rules_and_nothing_is_filled_in() {
        let ncm = |n: i32| TorqueSpec::Stated(Torque::from_base(n * 100));
        let mut draft = Draft::default();
        shipped().iter().for_each(|(file, text)| read_file(file, text, &mut draft));
        let part = |code: &str| draft.parts.iter().find(|(p, ..)| p.code.as_str() == code).unwrap().0.clone();
        let (mut screw, mut partner) = (part("dunlin-abutment-screw-mua"), part("dunlin-mua-two-4.2-c2.0"));
        for (own, other, shown) in [
            (
                ncm(30),
                ncm(25),
                format!("25 Ncm, the lower one: the screw asks for 30 Ncm, part {} for 25 Ncm", partner.code),
            ),
            (
                ncm(15),
                ncm(25),
                format!("15 Ncm, the lower one: the screw asks for 15 Ncm, part {} for 25 Ncm", partner.code),
            ),
            (ncm(30), ncm(30), "30 Ncm".to_owned()),
            (ncm(30), TorqueSpec::NotKnown, "30 Ncm".to_owned()),
            (TorqueSpec::NotKnown, ncm(25), TorqueSpec::NotKnown.to_string()),
            (TorqueSpec::ByHand, ncm(25), TorqueSpec::ByHand.to_string()),
        ] {
            (screw.torque, partner.torque) = (own, other);
            assert_eq!(TorqueAsked::of(&screw, Some(&partner)).to_string(), shown);
        }
        screw.torque = ncm(30);
        assert_eq!(TorqueAsked::of(&screw, None).to_string(), "30 Ncm");
    }
}
