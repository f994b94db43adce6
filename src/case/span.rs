//! A restoration as it is typed: 24-25-(26)-27, pontics in brackets.

use thiserror::Error;

use crate::units::{Tooth, ToothError, printable, teeth};

/// Why a text names no restoration.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[allow(missing_docs)]
pub enum SpanError {
    /// Another form.
    #[error(
        "'{0}' is not a restoration: expected its teeth with hyphens between them, pontics in brackets, such as 24-25-(26)-27, or one tooth for a crown"
    )]
    Form(String),
    /// Not a tooth.
    #[error(transparent)]
    Tooth(#[from] ToothError),
    /// The same tooth again.
    #[error("{0} stands twice in '{1}'")]
    Twice(Tooth, String),
    /// Upper and lower.
    #[error("{0} and {1} are in two jaws: expected the teeth of one jaw")]
    TwoJaws(Tooth, Tooth),
    /// Nothing carries it.
    #[error("'{0}' names no site: expected a tooth without brackets, where an implant carries it")]
    NoSite(String),
    /// Brackets beyond the last site, and no cantilever of that many teeth.
    #[error(
        "{} {} in brackets beyond {end}, the last site on the patient's {side}: {}. A pontic lies between two sites. If it hangs there: --cantilever {side}={}",
        teeth(.hanging), if .hanging.len() == 1 { "stands" } else { "stand" },
        if *.said == 0 { "no cantilever is given there".to_owned() } else { format!("the cantilever there is given with {said}") },
        .hanging.len()
    )]
    Hanging { hanging: Vec<Tooth>, end: Tooth, side: &'static str, said: u8 },
    /// Brackets beyond the last site that leave a gap to it.
    #[error(
        "{tooth} hangs beyond {end}, and a tooth between the two is not named: expected each tooth of the cantilever in brackets"
    )]
    Gap { tooth: Tooth, end: Tooth },
}

/// The teeth of a restoration as they were typed, along the arch.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Span {
    /// The sites that carry it.
    pub sites: Vec<Tooth>,
    /// The teeth in brackets.
    pub pontics: Vec<Tooth>,
}

impl Span {
    /// Reads it.
    pub fn parse(text: &str) -> Result<Self, SpanError> {
        let mut span = Self { sites: Vec::new(), pontics: Vec::new() };
        for piece in text.split('-') {
            let bracketed = piece.strip_prefix('(').and_then(|p| p.strip_suffix(')'));
            let number = bracketed.unwrap_or(piece);
            if number.is_empty() || !number.bytes().all(|b| b.is_ascii_digit()) {
                return Err(SpanError::Form(printable(text)));
            }
            let tooth = Tooth::parse(number)?;
            if span.sites.contains(&tooth) || span.pontics.contains(&tooth) {
                return Err(SpanError::Twice(tooth, printable(text)));
            }
            if let Some(other) = span.teeth().find(|t| t.is_upper() != tooth.is_upper()) {
                return Err(SpanError::TwoJaws(other, tooth));
            }
            if bracketed.is_some() { &mut span.pontics } else { &mut span.sites }.push(tooth);
        }
        if span.sites.is_empty() {
            return Err(SpanError::NoSite(printable(text)));
        }
        span.sites.sort_by_key(|t| t.along_arch());
        span.pontics.sort_by_key(|t| t.along_arch());
        Ok(span)
    }

    fn teeth(&self) -> impl Iterator<Item = Tooth> + '_ {
        self.sites.iter().chain(&self.pontics).copied()
    }

    /// The teeth in brackets between two sites; those that hang beyond an end are held against its cantilever, which is
    /// stored as a number of teeth.
    pub fn between(&self, right: u8, left: u8) -> Result<Vec<Tooth>, SpanError> {
        let (first, last) = (self.sites[0], self.sites[self.sites.len() - 1]);
        let (on_right, rest): (Vec<Tooth>, Vec<Tooth>) =
            self.pontics.iter().partition(|t| t.along_arch() < first.along_arch());
        let (between, on_left): (Vec<Tooth>, Vec<Tooth>) =
            rest.iter().partition(|t| t.along_arch() < last.along_arch());
        for (hanging, end, side, said) in [(on_right, first, "right", right), (on_left, last, "left", left)] {
            if hanging.is_empty() {
                continue;
            }
            if hanging.len() != usize::from(said) {
                return Err(SpanError::Hanging { hanging, end, side, said });
            }
            let farthest = if side == "right" { hanging[0] } else { hanging[hanging.len() - 1] };
            if usize::from(steps(end, farthest)) != hanging.len() {
                return Err(SpanError::Gap { tooth: farthest, end });
            }
        }
        Ok(between)
    }

    /// Teeth that lie between two sites and are not named: a gap, or a pontic that was left out.
    pub fn unnamed(&self) -> Vec<Tooth> {
        let (Some(first), Some(last)) = (self.sites.first(), self.sites.last()) else { return Vec::new() };
        let within = |t: &Tooth| {
            t.is_upper() == first.is_upper()
                && (t.quadrant() > 4) == (first.quadrant() > 4)
                && (first.along_arch()..last.along_arch()).contains(&t.along_arch())
        };
        let all = (11..=85).filter_map(Tooth::from_iso).filter(within);
        let mut out: Vec<Tooth> = all.filter(|t| !self.teeth().any(|own| own == *t)).collect();
        out.sort_by_key(|t| t.along_arch());
        out
    }
}

/// How many places two teeth of a jaw lie apart; there is no place between the two sides of the midline.
fn steps(a: Tooth, b: Tooth) -> u8 {
    let at = |t: Tooth| t.along_arch() - i8::from(t.along_arch() > 0);
    at(a).abs_diff(at(b))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn iso(teeth: &[Tooth]) -> Vec<u8> {
        teeth.iter().map(|t| t.iso()).collect()
    }

    #[test]
    fn sites_and_pontics_come_along_the_arch_whatever_the_order() {
        for (text, sites, pontics) in [
            ("24-25-(26)-27", vec![24, 25, 27], vec![26]),
            ("27-(26)-25-24", vec![24, 25, 27], vec![26]),
            ("11", vec![11], vec![]),
            ("33-(32)-(31)-41-(42)-43", vec![43, 41, 33], vec![42, 31, 32]),
        ] {
            let span = Span::parse(text).unwrap();
            assert_eq!((iso(&span.sites), iso(&span.pontics)), (sites, pontics), "{text}");
        }
    }

    #[test]
    fn what_is_no_restoration_is_refused_word_for_word() {
        let form = "expected its teeth with hyphens between them, pontics in brackets, such as 24-25-(26)-27, or one tooth for a crown";
        for (text, says) in [
            ("24,25", format!("'24,25' is not a restoration: {form}")),
            ("24--27", format!("'24--27' is not a restoration: {form}")),
            ("24-(25-27", format!("'24-(25-27' is not a restoration: {form}")),
            ("", format!("'' is not a restoration: {form}")),
            (
                "24-99",
                "'99' is not a tooth in ISO 3950: expected 11 to 48 (or 51 to 85 for first teeth), such as 25".to_owned(),
            ),
            ("24-25-(24)", "tooth 24 stands twice in '24-25-(24)'".to_owned()),
            ("24-34", "tooth 24 and tooth 34 are in two jaws: expected the teeth of one jaw".to_owned()),
            (
                "(24)-(25)",
                "'(24)-(25)' names no site: expected a tooth without brackets, where an implant carries it".to_owned(),
            ),
        ] {
            assert_eq!(Span::parse(text).unwrap_err().to_string(), says, "{text}");
        }
    }

    #[test]
    fn a_pontic_lies_between_sites_or_is_said_as_a_cantilever() {
        let between = |text: &str, right, left| {
            Span::parse(text).unwrap().between(right, left).map(|t| iso(&t)).map_err(|e| e.to_string())
        };
        assert_eq!(between("24-25-(26)-27", 0, 0), Ok(vec![26]));
        assert_eq!(between("(23)-24-25-(26)", 1, 1), Ok(vec![]), "what hangs is kept as a number of teeth");
        assert_eq!(between("(21)-(11)-12-22", 0, 0), Ok(vec![11, 21]));
        assert_eq!(between("(21)-11-12", 0, 1), Ok(vec![]), "there is no place between the central incisors");
        assert_eq!(
            between("24-25-(26)", 0, 0).unwrap_err(),
            "tooth 26 stands in brackets beyond tooth 25, the last site on the patient's left: no cantilever is given there. \
             A pontic lies between two sites. If it hangs there: --cantilever left=1"
        );
        assert_eq!(
            between("(22)-(23)-24-25", 1, 0).unwrap_err(),
            "teeth 22 and 23 stand in brackets beyond tooth 24, the last site on the patient's right: the cantilever there is \
             given with 1. A pontic lies between two sites. If it hangs there: --cantilever right=2"
        );
        assert_eq!(
            between("24-25-(27)", 0, 1).unwrap_err(),
            "tooth 27 hangs beyond tooth 25, and a tooth between the two is not named: expected each tooth of the cantilever in brackets"
        );
    }

    #[test]
    fn a_tooth_between_two_sites_that_is_not_named_is_found() {
        assert_eq!(iso(&Span::parse("24-27").unwrap().unnamed()), [25, 26]);
        assert_eq!(iso(&Span::parse("12-22").unwrap().unnamed()), [11, 21]);
        assert!(Span::parse("24-(25)-(26)-27").unwrap().unnamed().is_empty());
    }
}
