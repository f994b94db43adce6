//! Reads many entries: a part that was used before, letter for letter, is not read again.
//!
//! Four out of five bytes of a use are the part's numbers, and a practice uses the same few parts over and over.

use std::collections::HashMap;

use serde::Deserialize;
use serde_json::value::RawValue;

use super::entry::{Entry, EntryError, UseLine, Used};
use crate::catalog::Part;

/// How many parts are remembered: about 10 MB.
const REMEMBERED: usize = 4096;
/// What stands before a part in a use. Inside a string of JSON no quotation mark follows a comma unescaped.
const BEFORE_PART: &str = ",\"part\":";
/// How a part begins.
const CODE: &str = "{\"code\":\"";

/// Reads entries and remembers their parts.
#[derive(Debug, Default)]
pub struct EntryReader {
    /// By code: the text of the part, and the part.
    parts: HashMap<Box<str>, (Box<str>, Part)>,
    short: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Use<P> {
    #[serde(rename = "use.1", alias = "use.3")]
    used: Used<P>,
}

impl EntryReader {
    /// Reads the entry of a line, as [`Entry::parse`] does.
    pub fn parse(&mut self, text: &str) -> Result<Entry, EntryError> {
        if text.starts_with("{\"use.1\"") || text.starts_with("{\"use.3\"") {
            if let Some(entry) = self.with_known_parts(text) {
                return Ok(entry);
            }
            if let Some(entry) = self.learning_parts(text) {
                return Ok(entry);
            }
        }
        // Any other kind, or something wrong with this one, which the plain way puts into words.
        Entry::parse(text)
    }

    /// Reads a use of which every part is known: in place of its text stands its number.
    fn with_known_parts(&mut self, text: &str) -> Option<Entry> {
        self.short.clear();
        let (mut parts, mut rest) = (Vec::new(), text);
        while let Some(at) = rest.find(BEFORE_PART) {
            let (before, part) = rest.split_at(at + BEFORE_PART.len());
            let code = part.strip_prefix(CODE)?.split('"').next()?;
            let (known, value) = self.parts.get(code)?;
            self.short.push_str(before);
            self.short.push_str(&parts.len().to_string());
            parts.push(value);
            rest = part.strip_prefix(&**known)?;
        }
        self.short.push_str(rest);
        let Use { used: Used { case, lines } } = serde_json::from_str::<Use<usize>>(&self.short).ok()?;
        // Whatever numbers the text had of its own are no parts.
        if !lines.iter().map(|line| line.part).eq(0..parts.len()) {
            return None;
        }
        let lines = lines.into_iter().zip(parts).map(|(line, part)| with_part(line, part.clone())).collect();
        Some(Entry::Used(Used { case, lines }))
    }

    fn learning_parts(&mut self, text: &str) -> Option<Entry> {
        let Use { used: Used { case, lines } } = serde_json::from_str::<Use<&RawValue>>(text).ok()?;
        let mut read = Vec::with_capacity(lines.len());
        for line in lines {
            let text = line.part.get();
            let part: Part = serde_json::from_str(text).ok()?;
            if self.parts.len() >= REMEMBERED {
                self.parts.clear();
            }
            self.parts.insert(part.code.as_str().into(), (text.into(), part.clone()));
            read.push(with_part(line, part));
        }
        Some(Entry::Used(Used { case, lines: read }))
    }
}

fn with_part<P>(line: UseLine<P>, part: Part) -> UseLine {
    let UseLine {
        site,
        position,
        part: _,
        lot,
        place,
        label,
        torque,
        lean,
        found,
        expired_because,
        replaced,
    } = line;
    UseLine { site, position, part, lot, place, label, torque, lean, found, expired_because, replaced }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::TorqueRecord;
    use crate::catalog::{Edition, Position, Value, shipped};
    use crate::units::{CaseNumber, Lot, Note, PlaceId, Tooth};

    fn used(sites: &[u8], why: &str) -> Entry {
        let edition = Edition::from_files(shipped()).unwrap_or_else(|e| panic!("{e}"));
        let line = |n: usize, site: &u8| UseLine {
            site: Tooth::from_iso(*site).unwrap(),
            position: Position::Abutment,
            part: edition.parts[n].clone(),
            lot: Lot::new("L1").unwrap(),
            place: PlaceId::new("a").unwrap(),
            label: None,
            torque: TorqueRecord::NotMeasured,
            lean: Value::NotApplicable,
            found: false,
            expired_because: Some(Note::new(why).unwrap()),
            replaced: None,
        };
        let lines = sites.iter().enumerate().map(|(n, site)| line(n, site)).collect();
        Entry::Used(Used { case: CaseNumber::new("1").unwrap(), lines })
    }

    #[test]
    fn a_use_reads_the_same_the_first_time_the_second_time_and_plainly() {
        let mut reader = EntryReader::default();
        for entry in
            [used(&[24, 25], "x"), used(&[], "x"), used(&[24], "a \"note\",\"part\":{\"code\":\"y\"}")]
        {
            let text = entry.to_raw();
            // The shipped parts state their makers: such a use has the newer name of its kind.
            let newer = text.get().starts_with("{\"use.3\":");
            assert_eq!(
                newer,
                !matches!(&entry, Entry::Used(used) if used.lines.is_empty()),
                "{}",
                text.get()
            );
            for _ in 0..2 {
                assert_eq!(reader.parse(text.get()).as_ref(), Ok(&entry));
            }
            assert_eq!(Entry::parse(text.get()).as_ref(), Ok(&entry));
        }
    }

    #[test]
    fn what_the_plain_way_refuses_is_refused_with_its_words() {
        let mut reader = EntryReader::default();
        let whole = used(&[24, 25], "x").to_raw().get().to_owned();
        reader.parse(&whole).unwrap();
        let part = whole.find("{\"code\"").unwrap();
        let end = part + whole[part..].find(",\"lot\"").unwrap();
        let number = format!("{}0{}", &whole[..part], &whole[end..]);
        let more = whole.replacen(",\"lot\"", ",\"more\":1,\"lot\"", 1);
        for wrong in [number, more, format!("{whole},"), whole.replacen("}", "", 1)] {
            assert_eq!(reader.parse(&wrong), Entry::parse(&wrong));
            assert!(Entry::parse(&wrong).is_err(), "{wrong}");
        }
    }
}
