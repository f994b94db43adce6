//! Which lines of a tray something is said of.

use std::fmt;

use crate::catalog::Position;
use crate::units::Tooth;

/// A line of the tray: '25' for every part at that site, '25:abutment' for one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Line {
    /// At which site.
    pub site: Tooth,
    /// In which position; none: every one of the site.
    pub position: Option<Position>,
}

impl Line {
    /// Reads one.
    pub fn parse(text: &str) -> Result<Self, String> {
        let (site, position) = text.split_once(':').map_or((text, None), |(s, p)| (s, Some(p)));
        let site = Tooth::parse(site).map_err(|e| e.to_string())?;
        let position = position
            .map(|slug| {
                Position::from_slug(slug).ok_or_else(|| {
                    let all: Vec<&str> = Position::ALL.iter().map(|p| p.slug()).collect();
                    format!("'{slug}' is no position: expected one of {}", all.join(", "))
                })
            })
            .transpose()?;
        Ok(Self { site, position })
    }

    /// Reads 'LINE=VALUE'.
    pub fn with<T>(text: &str, read: impl Fn(&str) -> Result<T, String>) -> Result<(Self, T), String> {
        let (line, value) = text
            .split_once('=')
            .ok_or_else(|| format!("'{text}' has no '=': expected SITE=VALUE or SITE:POSITION=VALUE"))?;
        Ok((Self::parse(line)?, read(value)?))
    }

    /// As it is typed.
    pub fn typed(&self) -> String {
        match self.position {
            Some(position) => format!("{}:{}", self.site.iso(), position.slug()),
            None => self.site.iso().to_string(),
        }
    }

    /// Whether it means that part.
    pub fn names(&self, site: Tooth, position: Position) -> bool {
        self.site == site && self.position.is_none_or(|p| p == position)
    }
}

impl fmt::Display for Line {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.position {
            Some(p) => f.pad(&format!("{} at {}", p.words(), self.site)),
            None => f.pad(&self.site.to_string()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_a_site_or_one_part_at_it() {
        let at = |site| Tooth::from_iso(site).unwrap();
        let whole = Line { site: at(25), position: None };
        let one = |site, position| Some(Line { site: at(site), position: Some(position) });
        for (typed, line) in [
            ("25", Some(whole)),
            ("25:abutment", one(25, Position::Abutment)),
            ("11:prosthetic-screw", one(11, Position::ProstheticScrew)),
            ("", None),
            ("9", None),
            ("25:", None),
            (":abutment", None),
            ("25:Abutment", None),
            ("25:abutment:1", None),
        ] {
            assert_eq!(Line::parse(typed).ok(), line, "'{typed}'");
        }
        let one = Line::parse("25:abutment").unwrap();
        for (site, position, by_whole, by_one) in [
            (25, Position::Abutment, true, true),
            (25, Position::AbutmentScrew, true, false),
            (24, Position::Abutment, false, false),
        ] {
            assert_eq!(whole.names(at(site), position), by_whole, "{site} {position}");
            assert_eq!(one.names(at(site), position), by_one, "{site} {position}");
        }
        assert_eq!((whole.to_string(), one.to_string()), ("tooth 25".into(), "abutment at tooth 25".into()));
    }

    #[test]
    fn what_is_said_of_a_line_stands_behind_the_first_equals_sign() {
        let read = |text: &str| {
            Line::with(text, |v| if v.is_empty() { Err("empty".to_owned()) } else { Ok(v.to_owned()) })
        };
        let (line, value) = read("25:abutment=a=b").unwrap();
        assert_eq!((line, value.as_str()), (Line::parse("25:abutment").unwrap(), "a=b"));
        assert_eq!(read("25").unwrap_err(), "'25' has no '=': expected SITE=VALUE or SITE:POSITION=VALUE");
        assert_eq!(read("25=").unwrap_err(), "empty");
        assert!(read("=15").is_err());
    }
}
