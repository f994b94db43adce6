//! Length, angle and torque as newtypes over integers.

use std::fmt;

use serde::{Deserialize, Serialize};
use thiserror::Error;

use super::bounds::{OutOfRange, Range};
use super::decimal::{self, DecimalError};

/// Why a text is not a quantity in its range.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum QuantityError {
    /// Not a number.
    #[error(transparent)]
    Decimal(#[from] DecimalError),
    /// A number outside the table of ranges.
    #[error(transparent)]
    Range(#[from] OutOfRange),
}

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, places $places:literal, shown with $least:literal, unit $unit:literal) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(i32);

        impl $name {
            /// The number of base units.
            pub const fn base(self) -> i32 {
                self.0
            }

            /// From a number of base units.
            pub const fn from_base(base: i32) -> Self {
                Self(base)
            }

            /// Reads a decimal in the unit people use and checks it against `range`.
            pub fn parse(text: &str, range: &Range) -> Result<Self, QuantityError> {
                let base = decimal::scaled(text, $places)?;
                range.check(base, text)?;
                Ok(Self(base as i32))
            }

            /// The number without its unit, as JSON writes it.
            pub fn number(self) -> f64 {
                f64::from(self.0) / f64::from(10_i32.pow($places))
            }

            /// The difference to `other`, as a size.
            pub const fn apart(self, other: Self) -> Self {
                Self((self.0 - other.0).abs())
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.pad(&format!("{}{}", decimal::shown(i64::from(self.0), $places, $least), $unit))
            }
        }
    };
}

quantity!(
    /// A length, kept in µm, read and shown in mm.
    Length, places 3, shown with 1, unit " mm"
);
quantity!(
    /// An angle, kept in thousandths of a degree, read and shown in degrees.
    Angle, places 3, shown with 0, unit "°"
);
quantity!(
    /// A torque, kept in tenths of a N·mm (1 Ncm = 10 N·mm), read and shown in Ncm.
    Torque, places 2, shown with 0, unit " Ncm"
);

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::LIMITS;

    #[test]
    fn a_quantity_reads_and_shows_its_unit() {
        assert_eq!(Length::parse("4.1", &LIMITS.seat_diameter).unwrap().base(), 4100);
        assert_eq!(Length::from_base(3000).to_string(), "3.0 mm");
        assert_eq!(Angle::from_base(17_000).to_string(), "17°");
        assert_eq!(Torque::parse("15", &LIMITS.torque).unwrap().to_string(), "15 Ncm");
        assert_eq!(Torque::from_base(1250).to_string(), "12.5 Ncm");
    }

    #[test]
    fn the_range_table_speaks_in_the_message() {
        assert_eq!(
            Torque::parse("1500", &LIMITS.torque).unwrap_err().to_string(),
            "'1500' is not a torque: expected 1 to 100 Ncm"
        );
        assert_eq!(
            Angle::parse("61", &LIMITS.angle).unwrap_err().to_string(),
            "'61' is not an angle: expected 0 to 60°"
        );
        assert_eq!(
            Length::parse("-1", &LIMITS.collar).unwrap_err().to_string(),
            "'-1' is not a collar height: expected 0 to 15 mm"
        );
    }
}
