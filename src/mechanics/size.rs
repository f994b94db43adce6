//! Sizes a kernel can work with: finite, over zero where they must be, and near enough to each other for a number to
//! hold what comes out.

use thiserror::Error;

/// Why a size is none.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum SizeError {
    /// Not a finite size over zero.
    #[error("{what} of {value}: expected a number over 0, such as {example}")]
    NotPositive {
        /// Which number.
        what: &'static str,
        /// What it was.
        value: f64,
        /// One that would do.
        example: f64,
    },
    /// Not a finite number.
    #[error("{what} of {value}: expected a finite number, such as {example}")]
    NotFinite {
        /// Which number.
        what: &'static str,
        /// What it was.
        value: f64,
        /// One that would do.
        example: f64,
    },
    /// Under zero, or not finite.
    #[error("{what} of {value}: expected 0 or more, such as {example}")]
    Negative {
        /// Which number.
        what: &'static str,
        /// What it was.
        value: f64,
        /// One that would do.
        example: f64,
    },
    /// Not a part of a whole that leaves some of it.
    #[error("{what} of {value}: expected a part from 0 to under 1, such as {example}")]
    NotAPart {
        /// Which number.
        what: &'static str,
        /// What it was.
        value: f64,
        /// One that would do.
        example: f64,
    },
    /// Not a share of a whole.
    #[error("{what} of {value}: expected a share over 0 up to 1, such as {example}")]
    NotAShare {
        /// Which number.
        what: &'static str,
        /// What it was.
        value: f64,
        /// One that would do.
        example: f64,
    },
    /// Sizes whose answer no number holds.
    #[error(
        "these sizes are too far apart to be worked with: expected mm, N, N·mm and MPa as in a screw joint"
    )]
    TooFarApart,
}

/// A finite number over zero, or which one is not.
pub(super) fn positive(what: &'static str, value: f64, example: f64) -> Result<f64, SizeError> {
    if value.is_finite() && value > 0.0 {
        Ok(value)
    } else {
        Err(SizeError::NotPositive { what, value, example })
    }
}

/// A finite number of either sign, or which one is not.
pub(super) fn finite(what: &'static str, value: f64, example: f64) -> Result<f64, SizeError> {
    if value.is_finite() { Ok(value) } else { Err(SizeError::NotFinite { what, value, example }) }
}

/// A finite number from zero, or which one is not.
pub(super) fn not_negative(what: &'static str, value: f64, example: f64) -> Result<f64, SizeError> {
    if value.is_finite() && value >= 0.0 {
        Ok(value)
    } else {
        Err(SizeError::Negative { what, value, example })
    }
}

/// A number from zero to under one, or which one is not.
pub(super) fn part(what: &'static str, value: f64, example: f64) -> Result<f64, SizeError> {
    if (0.0..1.0).contains(&value) { Ok(value) } else { Err(SizeError::NotAPart { what, value, example }) }
}

/// A number over zero up to one, or which one is not.
pub(super) fn share(what: &'static str, value: f64, example: f64) -> Result<f64, SizeError> {
    if value > 0.0 && value <= 1.0 { Ok(value) } else { Err(SizeError::NotAShare { what, value, example }) }
}

/// What came out, if a number holds it.
pub(super) fn held(value: f64) -> Result<f64, SizeError> {
    if value.is_finite() { Ok(value) } else { Err(SizeError::TooFarApart) }
}
