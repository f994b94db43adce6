//! The bite put on a bridge where nobody says another: catalog/tables/bites.toml, by place in the arch and grinding.

use std::sync::LazyLock;

use serde::Deserialize;
use thiserror::Error;

/// How hard somebody grinds, as far as it is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Grinds {
    /// Nobody noticed it, or nobody asked.
    Usual,
    /// Told, or seen.
    Possible,
    /// Recorded.
    Definite,
}

impl Grinds {
    /// Every value, in the table's order.
    pub const ALL: [Self; 3] = [Self::Usual, Self::Possible, Self::Definite];
}

/// Why a table of bites is not one.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum BitesError {
    /// Not TOML, or not of this form.
    #[error("the table of bites cannot be read: {0}")]
    Form(String),
    /// Another form.
    #[error("the table of bites has form {0}: expected form 1")]
    Newer(u32),
    /// Rows that are missing or out of order.
    #[error("the table of bites has other rows than usual, possible, definite, in that order, once each")]
    Rows,
    /// A row that is none.
    #[error("bite '{0:?}': expected forces over 0 N, front up to premolars up to molars")]
    Row(Grinds),
}

/// One row.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bite {
    grinding: Grinds,
    front: f64,
    premolars: f64,
    molars: f64,
    /// Where it comes from.
    pub source: String,
}

impl Bite {
    /// At the tooth that is so many from the middle of its jaw, from 1, N.
    pub fn at_n(&self, place: u8) -> f64 {
        match place {
            0..=3 => self.front,
            4 | 5 => self.premolars,
            _ => self.molars,
        }
    }
}

/// The table.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bites {
    form: u32,
    bite: Vec<Bite>,
}

impl Bites {
    /// Reads a table.
    ///
    /// # Errors
    /// A text of another form, rows missing or out of order, forces that are none or grow towards the front.
    pub fn read(text: &str) -> Result<Self, BitesError> {
        let table: Self = toml::from_str(text).map_err(|e| BitesError::Form(e.message().to_owned()))?;
        if table.form != 1 {
            return Err(BitesError::Newer(table.form));
        }
        if !table.bite.iter().map(|b| b.grinding).eq(Grinds::ALL) {
            return Err(BitesError::Rows);
        }
        for row in &table.bite {
            let ordered = 0.0 < row.front && row.front <= row.premolars && row.premolars <= row.molars;
            if !(ordered && row.molars.is_finite()) {
                return Err(BitesError::Row(row.grinding));
            }
        }
        Ok(table)
    }

    /// The table that ships with the program.
    pub fn shipped() -> &'static Self {
        static TABLE: LazyLock<Bites> = LazyLock::new(|| {
            Bites::read(include_str!("../../catalog/tables/bites.toml"))
                .expect("the shipped table is read in a test")
        });
        &TABLE
    }

    /// The row for somebody.
    pub fn of(&self, grinds: Grinds) -> &Bite {
        &self.bite[grinds as usize]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_shipped_table_is_what_was_published() {
        let table = Bites::shipped();
        // Nishigawa 2001: mean of each sleeper's highest 415 N, the highest of all 796 N.
        assert_eq!(table.of(Grinds::Possible).at_n(6), 415.0);
        assert_eq!(table.of(Grinds::Definite).at_n(8), 796.0);
        // Flanagan 2017: the back bites about three times as hard as the front.
        for grinds in Grinds::ALL {
            let ratio = table.of(grinds).at_n(7) / table.of(grinds).at_n(1);
            assert!((ratio - 3.0).abs() < 0.05, "{ratio}");
            assert!(table.of(grinds).source.len() > 40);
        }
    }

    #[test]
    fn a_table_that_contradicts_itself_is_refused() {
        let good = include_str!("../../catalog/tables/bites.toml");
        let said = |from: &str, to: &str| {
            assert!(good.contains(from), "{from}");
            Bites::read(&good.replacen(from, to, 1)).map_err(|e| e.to_string()).err()
        };
        let row = "bite 'Possible': expected forces over 0 N, front up to premolars up to molars";
        for (from, to, says) in [
            ("form = 1", "form = 2", "the table of bites has form 2: expected form 1"),
            ("front = 140.0", "front = 280.0", row),
            ("molars = 415.0", "molars = inf", row),
            ("premolars = 275.0", "premolars = nan", row),
            (
                "grinding = \"possible\"",
                "grinding = \"definite\"",
                "the table of bites has other rows than usual, possible, definite, in that order, once each",
            ),
        ] {
            assert_eq!(said(from, to).as_deref(), Some(says));
        }
    }
}
