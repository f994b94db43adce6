//! Decimal text to an integer of a smaller unit, exactly: 4.1 mm is 4100 µm and nothing near it.

use thiserror::Error;

/// Why a text is not a decimal of the wanted fineness.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum DecimalError {
    /// Not digits with at most one point.
    #[error("'{0}' is not a plain decimal number such as 4.1")]
    NotADecimal(String),
    /// More places than the base unit holds.
    #[error("'{text}' is finer than {places} decimal places")]
    TooFine {
        /// What was typed.
        text: String,
        /// How many places there are.
        places: u32,
    },
    /// Beyond any quantity kept here.
    #[error("'{0}' is too large")]
    TooLarge(String),
}

/// Reads `text` as a multiple of 10^-`places`.
pub fn scaled(text: &str, places: u32) -> Result<i64, DecimalError> {
    let wrong = || DecimalError::NotADecimal(super::printable(text));
    let (sign, digits) = match text.as_bytes().first() {
        Some(b'-') => (-1, &text[1..]),
        Some(b'+') => (1, &text[1..]),
        _ => (1, text),
    };
    let (whole, fraction) = digits.split_once('.').unwrap_or((digits, ""));
    let all_digits = |s: &str| s.bytes().all(|b| b.is_ascii_digit());
    if whole.is_empty() || !all_digits(whole) || !all_digits(fraction) || digits.ends_with('.') {
        return Err(wrong());
    }
    let fraction = fraction.trim_end_matches('0');
    if fraction.len() > places as usize {
        return Err(DecimalError::TooFine { text: super::printable(text), places });
    }
    let too_large = || DecimalError::TooLarge(super::printable(text));
    let padded = format!("{whole}{fraction:0<width$}", width = places as usize);
    let value: i64 = padded.parse().map_err(|_| too_large())?;
    Ok(sign * value)
}

/// Writes a multiple of 10^-`places` with at least `least` and no needless decimals.
pub fn shown(value: i64, places: u32, least: usize) -> String {
    let unit = 10_i64.pow(places);
    let sign = if value < 0 { "-" } else { "" };
    let fraction = format!("{:0width$}", (value % unit).abs(), width = places as usize);
    let mut fraction = fraction.trim_end_matches('0').to_owned();
    while fraction.len() < least {
        fraction.push('0');
    }
    let whole = (value / unit).abs();
    if fraction.is_empty() { format!("{sign}{whole}") } else { format!("{sign}{whole}.{fraction}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn decimals_are_exact_and_come_back() {
        for (text, places, value) in [
            ("4.1", 3, 4100),
            ("0.001", 3, 1),
            ("-0.5", 3, -500),
            ("15", 2, 1500),
            ("3.500", 1, 35),
            ("+2", 0, 2),
        ] {
            assert_eq!(scaled(text, places), Ok(value), "{text}");
        }
        assert_eq!(shown(4100, 3, 1), "4.1");
        assert_eq!(shown(3000, 3, 1), "3.0");
        assert_eq!(shown(-500, 3, 1), "-0.5");
        assert_eq!(shown(1500, 2, 0), "15");
        assert_eq!(shown(-5, 3, 0), "-0.005");
    }

    #[test]
    fn what_is_no_decimal_is_refused_by_name() {
        for text in ["", ".", "4.", ".5", "1e3", "4,1", "nan", "0x10", "1_0", "--1", " 1"] {
            assert!(matches!(scaled(text, 3), Err(DecimalError::NotADecimal(_))), "{text:?}");
        }
        assert_eq!(scaled("0.0001", 3).unwrap_err().to_string(), "'0.0001' is finer than 3 decimal places");
        assert_eq!(
            scaled("99999999999999999999", 3).unwrap_err().to_string(),
            "'99999999999999999999' is too large"
        );
    }
}
