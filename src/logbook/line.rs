//! A line of the logbook, its bytes, and the chain of sums.
//!
//! `{"v":1,"seq":…,"at":…,"on":…,"by":…,"practice":…,"act":…,"entry":{"use.1":{…}},"sum":"…"}` and a newline.
//! The sum is SHA-256 over the 64 hexadecimal digits of the sum before (64 zeros before the first line) and the bytes
//! of this line up to `,"sum"`. It finds damage and careless edits, not a forger who recomputes it.

use std::borrow::Cow;
use std::io::Write as _;

use jiff::Timestamp;
use jiff::civil::Date;
use serde::{Deserialize, Deserializer, Serialize};
use serde_json::value::RawValue;

use super::sum::Sum;
use crate::units::{Act, IdError, Initials, PracticeName, printable};

/// The longest line that is written or read; a full-arch case with all its parts is about 60 KiB.
pub const MOST_BYTES: usize = 1 << 20;

/// `,"sum":"` + 64 digits + `"}`
const SUFFIX: usize = 8 + 64 + 2;

/// Which logbook: 128 bits in the first line.
pub type LogbookId = Act;

/// The entry of the first line.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Founding {
    /// The format of the lines.
    pub format: u32,
    /// Which logbook.
    pub logbook: LogbookId,
    /// Made up, for trying things out.
    pub made_up: bool,
}

/// A place in the logbook: the last line someone has seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Head {
    /// Which logbook.
    pub id: LogbookId,
    /// The number of that line, 0 before the first.
    pub seq: u64,
    /// Its sum.
    pub sum: Sum,
    /// Where the next line begins: a hint, checked before it is believed.
    pub offset: u64,
}

impl Head {
    /// Before the first line of that logbook.
    pub const fn start(id: LogbookId) -> Self {
        Self { id, seq: 0, sum: Sum::ZERO, offset: 0 }
    }
}

/// What a line says, before it has its number and its sum.
#[derive(Debug, Clone)]
pub struct Draft {
    /// The clock.
    pub at: Timestamp,
    /// The day it counts for.
    pub on: Date,
    /// Who.
    pub by: Initials,
    /// Whose logbook.
    pub practice: PracticeName,
    /// 128 bits made by whoever asks.
    pub act: Act,
    /// The entry as JSON.
    pub entry: Box<RawValue>,
}

/// A line as it is read.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LineRef<'a> {
    /// The format.
    pub v: u64,
    /// Its number, from 1.
    pub seq: u64,
    /// The clock.
    #[serde(borrow)]
    pub at: Cow<'a, str>,
    /// The day it counts for.
    pub on: Date,
    /// Who.
    #[serde(borrow)]
    pub by: Cow<'a, str>,
    /// Whose logbook.
    #[serde(borrow)]
    pub practice: Cow<'a, str>,
    /// Which act.
    pub act: Act,
    /// The entry as JSON.
    #[serde(borrow, deserialize_with = "raw")]
    pub entry: &'a str,
    /// Its sum.
    #[serde(borrow)]
    pub sum: Cow<'a, str>,
}

fn raw<'de, D: Deserializer<'de>>(d: D) -> Result<&'de str, D::Error> {
    Ok(<&'de RawValue>::deserialize(d)?.get())
}

impl<'a> LineRef<'a> {
    /// Reads a line in the very form in which [`draft_line`] writes it; `None` for whatever is written otherwise.
    ///
    /// A third of the time of the general reader, which finds the end of the entry only by reading all of it.
    fn as_drafted(text: &'a str) -> Option<Self> {
        let (rest, sum) = text.split_at_checked(text.len().checked_sub(SUFFIX)?)?;
        let sum = sum.strip_prefix(",\"sum\":\"")?.strip_suffix("\"}")?;
        let (seq, rest) = rest.strip_prefix("{\"v\":1,\"seq\":")?.split_once(",\"at\":\"")?;
        let whole = seq.bytes().all(|b| b.is_ascii_digit()) && !seq.starts_with('0');
        let (at, rest) = plain(rest, "\",\"on\":\"")?;
        let (on, rest) = plain(rest, "\",\"by\":\"")?;
        let (by, rest) = plain(rest, "\",\"practice\":\"")?;
        let (practice, rest) = plain(rest, "\",\"act\":\"")?;
        let (act, entry) = plain(rest, "\",\"entry\":")?;
        Some(Self {
            v: 1,
            seq: seq.parse().ok().filter(|_| whole)?,
            at: at.into(),
            on: on.parse().ok()?,
            by: by.into(),
            practice: practice.into(),
            act: Act::parse(act).ok()?,
            entry,
            sum: sum.into(),
        })
    }

    /// The clock, read.
    pub fn clock(&self) -> Option<Timestamp> {
        self.at.parse().ok()
    }

    /// The initials, read.
    pub fn initials(&self) -> Result<Initials, IdError> {
        Initials::new(&self.by)
    }
}

/// The text up to the next quotation mark, which `then` must follow; nothing in it may be escaped.
fn plain<'a>(text: &'a str, then: &str) -> Option<(&'a str, &'a str)> {
    let end = text.find('"')?;
    let inside = &text[..end];
    let unescaped = !inside.bytes().fold(false, |escaped, b| escaped | (b == b'\\') | (b < b' '));
    Some((inside, text[end..].strip_prefix(then).filter(|_| unescaped)?))
}

#[derive(Serialize)]
struct Body<'a> {
    v: u32,
    seq: u64,
    at: String,
    on: Date,
    by: &'a Initials,
    practice: &'a PracticeName,
    act: Act,
    entry: &'a RawValue,
}

/// The bytes of the line after `head`, newline included, and the head after it.
pub fn draft_line(head: &Head, draft: &Draft) -> (Vec<u8>, Head) {
    let body = Body {
        v: 1,
        seq: head.seq + 1,
        at: draft.at.to_string(),
        on: draft.on,
        by: &draft.by,
        practice: &draft.practice,
        act: draft.act,
        entry: &draft.entry,
    };
    let mut bytes = serde_json::to_vec(&body).expect("a line is plain data");
    bytes.pop(); // the closing brace comes after the sum
    let sum = head.sum.after(&bytes);
    writeln!(bytes, ",\"sum\":\"{sum}\"}}").expect("writing to memory");
    let offset = head.offset + bytes.len() as u64;
    (bytes, Head { id: head.id, seq: head.seq + 1, sum, offset })
}

/// Checks the sum of `line` (without its newline) as the one after `head`; the head after it, or what is wrong.
pub fn check_sum(head: &Head, line: &[u8]) -> Result<Head, &'static str> {
    let Some(body_len) = line.len().checked_sub(SUFFIX) else { return Err("too short to be a line") };
    let (body, suffix) = line.split_at(body_len);
    if !suffix.starts_with(b",\"sum\":\"") || !suffix.ends_with(b"\"}") {
        return Err("it does not end in a sum");
    }
    let Some(stated) = Sum::parse(&suffix[8..72]) else { return Err("its sum is not 64 hexadecimal digits") };
    let sum = head.sum.after(body);
    if stated != sum {
        return Err("its sum does not match its content and the line before it");
    }
    let offset = head.offset + line.len() as u64 + 1;
    Ok(Head { id: head.id, seq: head.seq + 1, sum, offset })
}

/// Reads a line whose sum was checked as the one after `head`.
pub fn parse_line<'a>(head: &Head, line: &'a [u8]) -> Result<LineRef<'a>, NextError> {
    let wrong = |why: String| NextError::Wrong(printable(&why));
    let text = std::str::from_utf8(line).map_err(|e| wrong(e.to_string()))?;
    let parsed = match LineRef::as_drafted(text) {
        Some(parsed) => parsed,
        None => serde_json::from_str::<LineRef<'a>>(text).map_err(|e| wrong(e.to_string()))?,
    };
    if parsed.v != 1 {
        return Err(NextError::Newer(parsed.v));
    }
    if parsed.seq != head.seq + 1 {
        return Err(NextError::Wrong(format!("it is numbered {}, expected {}", parsed.seq, head.seq + 1)));
    }
    Ok(parsed)
}

/// Checks and reads `line` (without its newline) as the one after `head`.
pub fn next_line<'a>(head: &Head, line: &'a [u8]) -> Result<(LineRef<'a>, Head), NextError> {
    let next = check_sum(head, line).map_err(|why| NextError::Wrong(why.to_owned()))?;
    Ok((parse_line(head, line)?, next))
}

/// Why a line is not the next one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NextError {
    /// Damaged or edited.
    Wrong(String),
    /// The sum is right, the format is not ours.
    Newer(u64),
}

#[cfg(test)]
mod tests {
    use super::*;

    fn draft() -> Draft {
        Draft {
            at: "2026-11-25T08:00:00Z".parse().unwrap(),
            on: "2026-11-25".parse().unwrap(),
            by: Initials::new("AB").unwrap(),
            practice: PracticeName::new("A \"quoted\" practice").unwrap(),
            act: Act::from_bits(7),
            entry: RawValue::from_string(r#"{"x.1":{}}"#.to_owned()).unwrap(),
        }
    }

    #[test]
    fn a_line_checks_itself_and_the_one_before() {
        let start = Head::start(Act::from_bits(1));
        let (bytes, head) = draft_line(&start, &draft());
        assert_eq!(
            String::from_utf8(bytes.clone()).unwrap(),
            format!(
                "{{\"v\":1,\"seq\":1,\"at\":\"2026-11-25T08:00:00Z\",\"on\":\"2026-11-25\",\"by\":\"AB\",\"practice\":\"A \\\"quoted\\\" practice\",\"act\":\"{:032x}\",\"entry\":{{\"x.1\":{{}}}},\"sum\":\"{}\"}}\n",
                7, head.sum
            )
        );
        let line = &bytes[..bytes.len() - 1];
        let (parsed, again) = next_line(&start, line).unwrap();
        assert_eq!((parsed.seq, again), (1, head));
        assert!(next_line(&head, line).is_err(), "the same line does not follow itself");
    }

    /// SHA-256 of the empty-prefix rule, by another route: one digest over the whole text.
    #[test]
    fn the_sum_is_sha_256_of_the_sum_before_and_the_body() {
        let (bytes, head) = draft_line(&Head::start(Act::from_bits(1)), &draft());
        let text = String::from_utf8(bytes).unwrap();
        let body = text.split(",\"sum\"").next().unwrap();
        assert_eq!(head.sum, Sum::of(format!("{}{body}", "0".repeat(64)).as_bytes()));
    }

    #[test]
    fn a_line_reads_the_same_as_drafted_and_as_any_json() {
        let start = Head::start(Act::from_bits(1));
        let plain = Draft { practice: PracticeName::new("A plain practice").unwrap(), ..draft() };
        for (draft, quick) in [(plain, true), (draft(), false)] {
            let (bytes, _) = draft_line(&start, &draft);
            let text = std::str::from_utf8(&bytes[..bytes.len() - 1]).unwrap();
            let any: LineRef<'_> = serde_json::from_str(text).unwrap();
            assert_eq!(LineRef::as_drafted(text).is_some(), quick, "{text}");
            let (read, _) = next_line(&start, text.as_bytes()).unwrap();
            assert_eq!(format!("{read:?}"), format!("{any:?}"));
        }
    }

    /// What the general reader refuses, or reads otherwise, is left to it.
    #[test]
    fn only_the_drafted_form_is_read_as_drafted() {
        let (bytes, _) = draft_line(
            &Head::start(Act::from_bits(1)),
            &Draft { practice: PracticeName::new("P").unwrap(), ..draft() },
        );
        let text = std::str::from_utf8(&bytes[..bytes.len() - 1]).unwrap();
        assert!(LineRef::as_drafted(text).is_some());
        let others = [
            ("\"v\":1", "\"v\":2"),
            ("\"seq\":1", "\"seq\":01"),
            ("\"seq\":1", "\"seq\":+1"),
            ("\"P\"", "\"\\u0050\""),
            ("\"P\"", "\"\t\""),
            (",\"on\"", ", \"on\""),
            ("2026-11-25\"", "2026-13-25\""),
        ];
        for (from, to) in others {
            let other = text.replacen(from, to, 1);
            assert_ne!(other, text);
            assert!(LineRef::as_drafted(&other).is_none(), "{other}");
        }
    }

    #[test]
    fn every_flipped_bit_of_a_line_is_found() {
        let start = Head::start(Act::from_bits(1));
        let (bytes, _) = draft_line(&start, &draft());
        let line = &bytes[..bytes.len() - 1];
        for bit in 0..line.len() * 8 {
            let mut hurt = line.to_vec();
            hurt[bit / 8] ^= 1 << (bit % 8);
            assert!(next_line(&start, &hurt).is_err(), "bit {bit}");
        }
    }
}
