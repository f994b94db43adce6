//! A text read as one label.

use super::gs1::SEPARATOR;
use super::label::{Content, Label, alone, symbology};
use super::reason::Fault;
use super::{MOST, glued};
use crate::units::RawLabel;

/// Reads the text of one label; two digits of a year are near to `reference_year`.
///
/// At most [`MOST`] bytes. Line ends behind the text are dropped: scanners send them. A symbology identifier before it
/// (such as `]d2`) decides what the symbol carries; without one the first character does: a digit, a separator or a
/// bracket is GS1, `+` or `*+` is HIBC.
///
/// ```
/// use spareseat::scan::{Item, Verdict, read};
///
/// let label = read("]d201095212345432131727020010A1\u{1d}21SN0001", 2026);
/// assert_eq!(label.verdict(), Verdict::Ok);
/// assert_eq!(label.item(), Some(Item::Gtin("09521234543213")));
/// assert_eq!((label.lot(), label.serial()), (Some("A1"), Some("SN0001")));
/// assert_eq!(label.expiry().map(|e| e.to_string()), Some("end of Feb 2027".to_owned()));
/// ```
pub fn read(text: &str, reference_year: i16) -> Label {
    let (whole, text) = (text, text.trim_end_matches(['\r', '\n']));
    let raw = RawLabel::new(whole).or_else(|_| RawLabel::new(text)).ok();
    if text.len() > MOST {
        let content = Content::Refused(Fault::TooLong(text.len()));
        return Label::of(raw, None, (content, Vec::new()));
    }
    let (standard, read) = alone(text, reference_year);
    let read = match glued::found(text, standard, &read, reference_year) {
        Some(fault) => (Content::Refused(fault), Vec::new()),
        None => read,
    };
    Label::of(raw, standard, read)
}

/// Whether a text was read off a label, rather than typed as a lot: by how it begins, or since it names an item.
///
/// A lot is short and may be all digits, so digits alone are a label only where they read as one.
///
/// ```
/// use spareseat::scan::is_label;
///
/// assert!(is_label("(01)09521234000648(10)PS-1120") && is_label("010952123400064810PS-1120"));
/// assert!(!is_label("PS-1120") && !is_label("20261125000000000001"));
/// ```
pub fn is_label(text: &str) -> bool {
    let printed = matches!(text.as_bytes(), [b'(', a, b, ..] if a.is_ascii_digit() && b.is_ascii_digit());
    // Whether it names an item, or a lot with its expiry, does not hang on the century of its days.
    let says_more = || {
        let label = read(text, 2000);
        label.item().is_some() || (label.lot().is_some() && label.expiry().is_some())
    };
    printed || text.starts_with(SEPARATOR) || !symbology(text).0.is_empty() || says_more()
}
