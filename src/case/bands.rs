//! What a practice or laboratory calls keeping the fit: a setting with a reason, not a law.

use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::units::{LIMITS, Length, Note, QuantityError};

/// No published limit for misfit is evidence-based: said wherever the bands are.
pub const NO_LIMIT_IS_EVIDENCE: &str =
    "No published limit for misfit is evidence-based (Abdelrehim 2022, doi 10.1016/j.prosdent.2022.09.010)";

/// The bands of the widest edge gap in the worse one-screw test.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bands {
    /// Up to here it keeps the fit.
    pub keeps: Length,
    /// Beyond this a try-in is doubtful.
    pub doubtful: Length,
    /// Up to here it is checked at try-in; beyond it does not keep the fit.
    pub check: Length,
    /// Why these.
    pub because: Note,
}

/// Why bands are refused.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum BandsError {
    /// Not a length in its range.
    #[error(transparent)]
    Quantity(#[from] QuantityError),
    /// Upside down.
    #[error(
        "the bands stand upside down: {keeps} µm keeps, {doubtful} µm doubtful, {check} µm check; expected each more than the one before"
    )]
    #[allow(missing_docs)]
    UpsideDown { keeps: i32, doubtful: i32, check: i32 },
}

impl Bands {
    /// Bands of these widths, each more than the one before.
    pub fn new(keeps: Length, doubtful: Length, check: Length, because: Note) -> Result<Self, BandsError> {
        let [k, d, c] = [keeps, doubtful, check].map(Length::base);
        if k < d && d < c {
            return Ok(Self { keeps, doubtful, check, because });
        }
        Err(BandsError::UpsideDown { keeps: k, doubtful: d, check: c })
    }

    /// What is used until somebody sets others.
    pub fn usual() -> Self {
        let because = "30 µm is what good laboratory work shows in a one-screw test (Alqahtani 2014), \
                       150 µm is half a turn of an M1.4 screw (Jemt 1991, from memory)";
        Self {
            keeps: Length::from_base(30),
            doubtful: Length::from_base(100),
            check: Length::from_base(150),
            because: Note::new(because).expect("a short sentence"),
        }
    }

    /// Reads a width in µm.
    pub fn width(text: &str) -> Result<Length, QuantityError> {
        let um = LIMITS.band.whole(text)?;
        Ok(Length::from_base(i32::try_from(um).unwrap_or(i32::MAX)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bands_rise_and_upside_down_they_are_refused() {
        let um = Length::from_base;
        let because = || Note::new("as agreed with the laboratory").unwrap();
        assert!(Bands::new(um(20), um(60), um(120), because()).is_ok());
        assert_eq!(
            Bands::new(um(150), um(100), um(30), because()).unwrap_err().to_string(),
            "the bands stand upside down: 150 µm keeps, 100 µm doubtful, 30 µm check; expected each more than the one before"
        );
        let usual = Bands::usual();
        assert_eq!(Bands::new(usual.keeps, usual.doubtful, usual.check, usual.because.clone()), Ok(usual));
        assert_eq!(
            Bands::width("0").unwrap_err().to_string(),
            "'0' is not the width of a band: expected 1 to 5000 µm"
        );
    }
}
