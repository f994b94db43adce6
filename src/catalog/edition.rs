//! An edition: a whole catalogue as lines of JSON, named by the SHA-256 of its bytes.
//!
//! Parts stand in the order of [`order_of`] their code, so a fold can write them into their buckets as they come,
//! however many there are.

use std::fmt;
use std::io::BufRead;

use serde::{Deserialize, Deserializer, Serialize};
use sha2::{Digest, Sha256};
use thiserror::Error;

use super::{Draft, Interface, Mistake, Mistakes, Part, System};
use crate::units::PartCode;

/// The SHA-256 of an edition's content, in hexadecimal.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize)]
#[serde(transparent)]
pub struct EditionId(Box<str>);

impl EditionId {
    /// The name of `content`.
    pub fn of(content: &[u8]) -> Self {
        Self::of_digest(&Sha256::digest(content))
    }

    /// The name of content with this SHA-256.
    pub fn of_digest(sum: &[u8]) -> Self {
        Self(sum.iter().map(|b| format!("{b:02x}")).collect::<String>().into())
    }

    /// The hexadecimal text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for EditionId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.0)
    }
}

impl<'de> Deserialize<'de> for EditionId {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        let text = <std::borrow::Cow<'de, str>>::deserialize(d)?;
        // The name becomes a file name: nothing but hexadecimal digits may pass.
        if text.len() == 64 && text.bytes().all(|b| b.is_ascii_digit() || (b'a'..=b'f').contains(&b)) {
            return Ok(Self(text.into()));
        }
        Err(serde::de::Error::custom("an edition is named by 64 hexadecimal digits"))
    }
}

/// One line of an edition.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs)]
pub enum EditionLine {
    /// The first line: the form of the rest, and how many there are.
    Edition {
        form: u32,
        systems: u32,
        interfaces: u32,
        parts: u32,
    },
    System(System),
    Interface(Interface),
    Part(Box<Part>),
}

/// Why an edition cannot be read back.
#[derive(Debug, Error)]
pub enum EditionError {
    /// A line is not of the form.
    #[error("line {line} of the edition cannot be read: {why}")]
    Line {
        /// Which line, from 1.
        line: u64,
        /// What the parser said.
        why: String,
    },
    /// The header promises other numbers than there are.
    #[error("the edition says {said} parts and has {found}")]
    Count {
        /// What its first line says.
        said: u32,
        /// What there is.
        found: u32,
    },
}

/// The form of an edition in which an interface says whether it is flat or a cone; without one it is of form 1 as ever.
const WITH_FORMS: u32 = 2;
/// The form of an edition in which a part states its maker.
const WITH_MAKERS: u32 = 3;

/// Where a part stands in an edition and in the view: scattered evenly, and the same for ever.
pub fn order_of(code: &PartCode) -> u32 {
    crc32fast::hash(code.as_str().as_bytes())
}

/// A whole catalogue, checked.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Edition {
    /// By id.
    pub systems: Vec<System>,
    /// By id.
    pub interfaces: Vec<Interface>,
    /// By [`order_of`] their code.
    pub parts: Vec<Part>,
}

impl Edition {
    /// From drafts that passed the check; the mistakes otherwise.
    pub fn from_draft(draft: Draft) -> Result<Self, Mistakes> {
        if !draft.mistakes.is_empty() {
            return Err(Mistakes(draft.mistakes));
        }
        let mut edition = Self {
            systems: draft.systems.into_iter().map(|(s, ..)| s).collect(),
            interfaces: draft.interfaces.into_iter().map(|(i, ..)| i).collect(),
            parts: draft.parts.into_iter().map(|(p, ..)| p).collect(),
        };
        edition.systems.sort_by(|a, b| a.id.cmp(&b.id));
        edition.interfaces.sort_by(|a, b| a.id.cmp(&b.id));
        edition.parts.sort_by_cached_key(|p| (order_of(&p.code), p.code.clone()));
        Ok(edition)
    }

    /// The edition with the items of `draft` put in: same code or id replaces.
    pub fn with(self, mut draft: Draft) -> Result<Self, Mistakes> {
        let here = "the catalogue of this home".to_owned();
        let codes: std::collections::HashSet<&PartCode> = draft.parts.iter().map(|(p, ..)| &p.code).collect();
        let parts: Vec<_> = self
            .parts
            .into_iter()
            .filter(|p| !codes.contains(&p.code))
            .map(|p| (p, here.clone(), 0))
            .collect();
        draft.parts.extend(parts);
        for system in self.systems {
            if !draft.systems.iter().any(|(s, ..)| s.id == system.id) {
                draft.systems.push((system, here.clone(), 0));
            }
        }
        for interface in self.interfaces {
            if !draft.interfaces.iter().any(|(i, ..)| i.id == interface.id) {
                draft.interfaces.push((interface, here.clone(), 0));
            }
        }
        super::check(&mut draft);
        Self::from_draft(draft)
    }

    /// From files of the TOML form.
    pub fn from_files<'a>(files: impl IntoIterator<Item = (&'a str, &'a str)>) -> Result<Self, Mistakes> {
        Self::default().with(read_files(files))
    }

    /// The least form that has a word for everything in it.
    fn form(&self) -> u32 {
        if self.parts.iter().any(|p| !p.maker.is_unknown()) {
            WITH_MAKERS
        } else if self.interfaces.iter().any(|i| !i.form.is_unknown()) {
            WITH_FORMS
        } else {
            1
        }
    }

    /// The content to keep.
    pub fn encode(&self) -> Vec<u8> {
        let mut out = Vec::new();
        let header = EditionLine::Edition {
            form: self.form(),
            systems: self.systems.len() as u32,
            interfaces: self.interfaces.len() as u32,
            parts: self.parts.len() as u32,
        };
        push(&mut out, &header);
        self.systems.iter().for_each(|s| push(&mut out, &EditionLine::System(s.clone())));
        self.interfaces.iter().for_each(|i| push(&mut out, &EditionLine::Interface(i.clone())));
        self.parts.iter().for_each(|p| push(&mut out, &EditionLine::Part(Box::new(p.clone()))));
        out
    }

    /// Reads content line by line into `each`, so that no more than a line is held.
    pub fn stream<E: From<EditionError>>(
        mut content: impl BufRead,
        mut each: impl FnMut(EditionLine) -> Result<(), E>,
    ) -> Result<(), E> {
        let (mut said, mut found) = (0, 0);
        let mut bytes = Vec::new();
        for n in 0_u64.. {
            let wrong = |why: String| EditionError::Line { line: n + 1, why };
            bytes.clear();
            if content.read_until(b'\n', &mut bytes).map_err(|e| wrong(e.to_string()))? == 0 {
                break;
            }
            // As text it is read quicker than as bytes.
            let text = std::str::from_utf8(&bytes).map_err(|e| wrong(e.to_string()))?;
            let line: EditionLine = serde_json::from_str(text).map_err(|e| wrong(e.to_string()))?;
            match &line {
                EditionLine::Edition { form: 1..=WITH_MAKERS, parts, .. } if n == 0 => said = *parts,
                EditionLine::Edition { form, .. } => {
                    return Err(wrong(format!("form {form} is not known here")).into());
                }
                EditionLine::Part(_) => found += 1,
                _ => {}
            }
            each(line)?;
        }
        if said == found { Ok(()) } else { Err(EditionError::Count { said, found }.into()) }
    }

    /// Reads a whole edition.
    pub fn decode(content: &[u8]) -> Result<Self, EditionError> {
        let mut edition = Self::default();
        Self::stream(content, |line| {
            match line {
                EditionLine::Edition { .. } => {}
                EditionLine::System(s) => edition.systems.push(s),
                EditionLine::Interface(i) => edition.interfaces.push(i),
                EditionLine::Part(p) => edition.parts.push(*p),
            }
            Ok::<_, EditionError>(())
        })?;
        Ok(edition)
    }
}

fn push(out: &mut Vec<u8>, line: &EditionLine) {
    // Writing to memory a type without maps or floats: no failure exists.
    serde_json::to_writer(&mut *out, line).expect("an edition line is plain data");
    out.push(b'\n');
}

/// Reads files of the TOML form without checking them against each other.
pub fn read_files<'a>(files: impl IntoIterator<Item = (&'a str, &'a str)>) -> Draft {
    let mut draft = Draft::default();
    for (file, text) in files {
        super::read_file(file, text, &mut draft);
    }
    if draft.parts.is_empty()
        && draft.systems.is_empty()
        && draft.interfaces.is_empty()
        && draft.mistakes.is_empty()
    {
        let what =
            "nothing to read: expected TOML files with [[system]], [[interface]] or [[part]]".to_owned();
        draft.mistakes.push(Mistake { file: "(all)".to_owned(), line: 0, what });
    }
    draft
}
