//! Check characters: weights 3 and 1 from the right, and the remainder modulo 43.

/// The 43 characters of HIBC in the order of their values, 0 to 42 (ANSI/HIBC 2.6, Appendix B; the set of Code 39).
const MOD_43: &[u8; 43] = b"0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ-. $/+%";

/// The check digit that belongs behind a run of digits (GS1 General Specifications 7.9.1); `None` for other text.
///
/// ```
/// use spareseat::scan::check_digit;
///
/// // The worked example of the GS1 General Specifications: 0950400005911 comes to 72, and 8 to the next ten.
/// assert_eq!(check_digit("0950400005911"), Some('8'));
/// ```
pub fn check_digit(digits: &str) -> Option<char> {
    if digits.is_empty() || !digits.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    let weigh = |(n, b): (usize, u8)| usize::from(b - b'0') * if n % 2 == 0 { 3 } else { 1 };
    let sum: usize = digits.bytes().rev().enumerate().map(weigh).sum();
    char::from_digit(u32::try_from((10 - sum % 10) % 10).ok()?, 10)
}

/// Whether it is the number of an item: 8, 12, 13 or 14 digits, the last of them the check digit.
pub fn is_gtin(text: &str) -> bool {
    [8, 12, 13, 14].contains(&text.len()) && ends_in_check_digit(text)
}

/// Whether the last digit is the check digit of those before it.
pub(super) fn ends_in_check_digit(digits: &str) -> bool {
    let Some((last, _)) = digits.char_indices().next_back() else { return false };
    check_digit(&digits[..last]).is_some_and(|c| digits.ends_with(c))
}

/// The check character that belongs behind an HIBC text, its leading `+` counted in; `None` where a character is none
/// of the 43.
///
/// ```
/// use spareseat::scan::check_character;
///
/// // The worked example of ANSI/HIBC 2.6, Appendix B: the values come to 145, and 145 mod 43 = 16 is G.
/// assert_eq!(check_character("+A123BJC5D6E71"), Some('G'));
/// ```
pub fn check_character(text: &str) -> Option<char> {
    let value = |b: u8| MOD_43.iter().position(|c| *c == b);
    let sum = text.bytes().try_fold(0, |sum, b| Some((sum + value(b)?) % 43))?;
    MOD_43.get(sum).map(|b| char::from(*b))
}

/// Whether HIBC has that character.
pub(super) fn in_mod_43(c: char) -> bool {
    u8::try_from(c).is_ok_and(|b| MOD_43.contains(&b))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn worked_examples_of_the_standards() {
        for (digits, check, source) in [
            ("0950400005911", '8', "GS1 General Specifications 7.9.1"),
            ("1001234567890", '2', "GS1 General Specifications 7.8, transmission example"),
            ("5102222223333", '6', "FDA, UDI formats by FDA-accredited issuing agency, v1.3, 2017"),
            ("629104150021", '3', "GS1, how to calculate a check digit manually (from memory)"),
        ] {
            assert_eq!(check_digit(digits), Some(check), "{source}");
            assert!(ends_in_check_digit(&format!("{digits}{check}")), "{source}");
        }
        for (text, check, source) in [
            ("+A123BJC5D6E71", 'G', "ANSI/HIBC 2.6 Appendix B and 4.3.1"),
            ("+$$52001510X3G", 'D', "ANSI/HIBC 2.6 4.3.2"),
            ("+A123BJC5D6E71/$$52001510X3", 'C', "ANSI/HIBC 2.6 4.3.3"),
            ("+H123ABC01234567890", 'D', "ANSI/HIBC 2.6 Appendix C.3"),
            ("+A123AA40", ' ', "ANSI/HIBC 2.5 Appendix F"),
        ] {
            assert_eq!(check_character(text), Some(check), "{source}");
        }
    }

    #[test]
    fn what_is_no_digit_and_none_of_the_43_has_no_check() {
        assert_eq!(check_digit(""), None);
        assert_eq!(check_digit("12a"), None);
        assert_eq!(check_character("+a"), None);
        assert!(!ends_in_check_digit(""));
        assert!(!ends_in_check_digit("8"));
        assert!(!ends_in_check_digit("09504000059119"));
        assert!(!ends_in_check_digit("095040000591ö"));
        assert_eq!(check_digit(&"9".repeat(1 << 16)).map(|c| c.is_ascii_digit()), Some(true));
    }
}
