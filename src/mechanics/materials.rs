//! How stiff a material is: catalog/tables/materials.toml, looked up by the words cases and catalogues use.

use std::sync::LazyLock;

use serde::Deserialize;
use thiserror::Error;

use super::neck;

/// Why a table of materials is not one.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum MaterialsError {
    /// Not TOML, or not of this form.
    #[error("the table of materials cannot be read: {0}")]
    Form(String),
    /// A newer form.
    #[error("the table of materials has form {0}: expected form 1")]
    Newer(u32),
    /// A row whose numbers contradict each other.
    #[error("material '{name}': {what}")]
    Row {
        /// Which.
        name: String,
        /// What is wrong with it, and what was expected.
        what: &'static str,
    },
}

/// How a value is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
pub enum Mark {
    /// Read in the source named.
    R,
    /// From memory, not opened.
    M,
}

impl Mark {
    /// As a person reads it after a source.
    pub fn words(self) -> &'static str {
        match self {
            Self::R => "read there",
            Self::M => "from memory, not opened",
        }
    }
}

/// One material.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Material {
    /// What it is called in an answer.
    pub name: String,
    /// What it may be called in a case or a catalogue, small letters.
    pub words: Vec<String>,
    /// Elastic modulus to work with, GPa.
    #[serde(rename = "modulus")]
    pub modulus_gpa: f64,
    /// The least of the sources, GPa.
    #[serde(rename = "least")]
    pub least_gpa: f64,
    /// The most of the sources, GPa.
    #[serde(rename = "most")]
    pub most_gpa: f64,
    /// Poisson's ratio.
    pub poisson: f64,
    /// Where the modulus comes from.
    pub source: String,
    /// How the modulus is known.
    pub mark: Mark,
    /// Where Poisson's ratio comes from.
    pub poisson_source: String,
    /// How Poisson's ratio is known.
    pub poisson_mark: Mark,
    /// Least yield strength, MPa; none: no share of it is worked out.
    #[serde(rename = "yield")]
    pub yield_mpa: Option<f64>,
    /// Smooth fatigue strength, fully reversed, MPa; none: no neck of it is modelled.
    #[serde(rename = "endurance")]
    pub endurance_mpa: Option<f64>,
    /// Least tensile strength, MPa; none as above.
    #[serde(rename = "tensile")]
    pub tensile_mpa: Option<f64>,
    /// Where the strengths come from.
    pub strength_source: Option<String>,
}

impl Material {
    /// The largest stress that may come and go at a neck's notch, MPa ([`neck::pulsating_limit_mpa`]); none where a strength
    /// is not on file.
    pub fn pulsating_limit_mpa(&self) -> Option<f64> {
        neck::pulsating_limit_mpa(neck::NOTCH_FACTOR, self.endurance_mpa?, self.tensile_mpa?).ok()
    }
}

/// All that are listed.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Materials {
    form: u32,
    material: Vec<Material>,
}

impl Materials {
    /// Reads a table.
    ///
    /// # Errors
    /// A text of another form, a range upside down, a ratio no material has, a word listed twice or in capitals.
    pub fn read(text: &str) -> Result<Self, MaterialsError> {
        let table: Self = toml::from_str(text).map_err(|e| MaterialsError::Form(e.message().to_owned()))?;
        if table.form != 1 {
            return Err(MaterialsError::Newer(table.form));
        }
        for (n, row) in table.material.iter().enumerate() {
            let wrong = |what| Err(MaterialsError::Row { name: row.name.clone(), what });
            let ordered =
                0.0 < row.least_gpa && row.least_gpa <= row.modulus_gpa && row.modulus_gpa <= row.most_gpa;
            if !(ordered && row.most_gpa.is_finite()) {
                return wrong("its modulus is not over 0 and between its least and its most");
            }
            if !(0.0..0.5).contains(&row.poisson) {
                return wrong("its Poisson's ratio is not from 0 to under 0.5");
            }
            let strengths = [row.yield_mpa, row.endurance_mpa, row.tensile_mpa];
            let whole = strengths.iter().all(|s| s.is_some_and(|v| v > 0.0 && v.is_finite()));
            let none = strengths == [None; 3];
            if !(whole && row.strength_source.is_some() || none && row.strength_source.is_none()) {
                return wrong("its strengths are not all there, over 0, with where they come from");
            }
            let earlier = || table.material[..n].iter().flat_map(|m| &m.words);
            if row.words.is_empty() || row.words.iter().any(|w| *w != folded(w) || earlier().any(|e| e == w))
            {
                return wrong(
                    "its words are missing, not in small letters, or stand at another material too",
                );
            }
        }
        Ok(table)
    }

    /// The table that ships with the program.
    pub fn shipped() -> &'static Self {
        static TABLE: LazyLock<Materials> = LazyLock::new(|| {
            Materials::read(include_str!("../../catalog/tables/materials.toml"))
                .expect("the shipped table is read in a test")
        });
        &TABLE
    }

    /// The material called that, or nothing: what is not listed has no modulus.
    ///
    /// ```
    /// use spareseat::mechanics::materials::Materials;
    ///
    /// let frame = Materials::shipped().find("cobalt-chrome").map(|m| m.modulus_gpa);
    /// assert_eq!(frame, Some(215.0));
    /// assert_eq!(Materials::shipped().find("porcelain"), None);
    /// ```
    pub fn find(&self, word: &str) -> Option<&Material> {
        let word = folded(word);
        self.material.iter().find(|m| m.words.contains(&word))
    }

    /// Every row, in the table's order.
    pub fn all(&self) -> &[Material] {
        &self.material
    }
}

/// Small letters, single blanks.
fn folded(word: &str) -> String {
    word.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_words_of_the_demo_and_the_catalogue_are_found() {
        let table = Materials::shipped();
        for (word, modulus, poisson) in [
            ("cobalt-chrome", 215.0, 0.33),
            ("cobalt-chrome alloy", 215.0, 0.33),
            ("titanium grade 4", 103.0, 0.34),
            ("unalloyed titanium grade 4", 103.0, 0.34),
            ("titanium alloy", 110.0, 0.35),
            ("Ti-6Al-4V ELI", 110.0, 0.35),
            (" Titanium  alloy ", 110.0, 0.35),
            ("zirconia", 210.0, 0.30),
        ] {
            assert_eq!(
                table.find(word).map(|m| (m.modulus_gpa, m.poisson)),
                Some((modulus, poisson)),
                "{word}"
            );
        }
        for word in ["stainless steel", "polyether ether ketone", "titanium", "chrome", ""] {
            assert_eq!(table.find(word), None, "{word}");
        }
    }

    /// 2/(2.3/425 + 1/550) = 277 MPa, as [`neck`] has it for grade 4.
    #[test]
    fn the_limit_of_a_neck_is_goodmans() {
        let limit = |word| Materials::shipped().find(word).and_then(Material::pulsating_limit_mpa);
        let grade_4 = neck::pulsating_limit_mpa(
            neck::NOTCH_FACTOR,
            neck::GRADE_4_ENDURANCE_MPA,
            neck::GRADE_4_TENSILE_MPA,
        );
        assert_eq!(limit("titanium grade 4"), grade_4.ok());
        assert!(limit("titanium grade 4").is_some_and(|l| (l - 277.0).abs() < 0.5));
        assert!(limit("titanium alloy").is_some_and(|l| (l - 347.0).abs() < 0.5));
        assert_eq!(limit("zirconia"), None);
    }

    #[test]
    fn every_row_says_where_it_comes_from() {
        for row in Materials::shipped().all() {
            assert!(row.source.len() > 10 && row.poisson_source.len() > 5, "{}", row.name);
        }
    }

    #[test]
    fn a_table_that_contradicts_itself_is_refused() {
        let good = include_str!("../../catalog/tables/materials.toml");
        let said = |from: &str, to: &str| {
            assert!(good.contains(from), "{from}");
            Materials::read(&good.replacen(from, to, 1)).map_err(|e| e.to_string()).err()
        };
        for (from, to, says) in [
            ("form = 1", "form = 2", "the table of materials has form 2: expected form 1"),
            (
                "least = 105.0",
                "least = 111.0",
                "material 'titanium alloy': its modulus is not over 0 and between its least and its most",
            ),
            (
                "most = 114.0",
                "most = nan",
                "material 'titanium alloy': its modulus is not over 0 and between its least and its most",
            ),
            (
                "poisson = 0.35",
                "poisson = 0.5",
                "material 'titanium alloy': its Poisson's ratio is not from 0 to under 0.5",
            ),
            (
                "endurance = 500.0",
                "",
                "material 'titanium alloy': its strengths are not all there, over 0, with where they come from",
            ),
            (
                "\"ti-6al-4v\"",
                "\"titanium grade 4\"",
                "material 'titanium alloy': its words are missing, not in small letters, or stand at another material too",
            ),
        ] {
            assert_eq!(said(from, to).as_deref(), Some(says));
        }
        assert!(
            said("mark = \"R\"", "mark = \"Q\"")
                .unwrap()
                .starts_with("the table of materials cannot be read: ")
        );
    }
}
