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
