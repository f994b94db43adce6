//! What left the drawers otherwise than into a patient; where the units of a lot went; which lots a patient has.

use std::fmt::Write as _;

use super::super::table::table;
use super::{counted, pieces};
use crate::desk::NotComplete;
use crate::record::{Entry, TakenFrom};
use crate::tracing::trace::{CaseTrace, EntryOf, InMouth, LotTraces, TakenOut, TraceStep};
use crate::units::{Note, show_date};

fn from(lines: &[TakenFrom]) -> String {
    let all: Vec<String> = lines.iter().map(|l| format!("{} from {}", pieces(l.quantity), l.from)).collect();
    if all.is_empty() { "nothing was left of it".to_owned() } else { all.join(", ") }
}

fn reason(note: &Note) -> String {
    format!("; reason: {note}")
}

/// An entry about what is thrown away, came back, is kept apart, in a sentence.
pub(super) fn told_apart(entry: &Entry) -> String {
    match entry {
        Entry::Discarded(e) => {
            let all: Vec<String> = e
                .lines
                .iter()
                .map(|l| format!("{} of {}, lot {}, from {}", pieces(l.quantity), l.part, l.lot, l.from))
                .collect();
            format!("thrown away: {}{}", all.join(", "), reason(&e.because))
        }
        Entry::Returned(e) => {
            let lot = e.lot.as_ref().map_or("lot not recorded".to_owned(), |l| format!("lot {l}"));
            let mouth = if e.never_in_mouth { ", said to have been in no mouth" } else { "" };
            format!(
                "case {}, {}: {} {} ({lot}) came out{mouth}, to {}; nothing stands there now{}",
                e.case,
                e.site,
                e.position.words(),
                e.part,
                e.to,
                reason(&e.because)
            )
        }
        Entry::Reprocessed(e) => {
            format!("reprocessed: {} of {}, lot {}, put into {}", pieces(e.quantity), e.part, e.lot, e.place)
        }
        Entry::Quarantined(e) => {
            format!("kept apart: {}, lot {}: {}{}", e.part, e.lot, from(&e.lines), reason(&e.because))
        }
        Entry::QuarantineLifted(e) => format!(
            "no longer kept apart: {} of {}, lot {}, put into {}{}",
            pieces(e.quantity),
            e.part,
            e.lot,
            e.place,
            reason(&e.because)
        ),
        Entry::CalledBack(e) => format!(
            "CALLED BACK BY ITS MAKER: {}, lot {}; kept apart: {}{}",
            e.part,
            e.lot,
            from(&e.lines),
            e.because.as_ref().map_or(String::new(), reason)
        ),
        _ => String::new(),
    }
}

fn booked(b: &Option<EntryOf>) -> [String; 2] {
    b.as_ref()
        .map_or(["not known".to_owned(), String::new()], |b| [b.by.clone(), format!("entry {}", b.entry)])
}

fn units(n: usize) -> String {
    counted(n, "unit", "units")
}

fn in_mouths(all: &[InMouth]) -> String {
    let rows = all.iter().map(|u| {
        let [by, entry] = booked(&u.booked);
        vec![
            format!("case {}", u.case),
            format!("{} ({})", u.site, u.site.words()),
            u.position.words().to_owned(),
            u.since.map_or("date not recorded".to_owned(), |d| format!("since {}", show_date(d))),
            u.torque.to_string(),
            format!("by {by}"),
            entry,
        ]
    });
    table(&["case", "site", "position", "since", "tightened to", "by", "entry"], rows)
}

fn taken_out(all: &[TakenOut]) -> String {
    let rows = all.iter().map(|t| {
        vec![
            format!("case {}", t.case),
            format!("{} ({})", t.site, t.site.words()),
            t.position.words().to_owned(),
            t.since.map_or("since when is not recorded".to_owned(), |d| format!("from {}", show_date(d))),
            format!("until {}", show_date(t.out.on)),
            format!("to {}", t.to),
            format!("entry {}", t.out.entry),
        ]
    });
    table(&["case", "site", "position", "from", "until", "went", "entry"], rows)
}

fn steps(all: &[TraceStep]) -> String {
    let rows = all.iter().map(|s| {
        let whose = s.happened.case.as_ref().map_or(String::new(), |c| format!("case {c}"));
        let site = s.happened.site.map_or(String::new(), |t| format!(", {t}"));
        let position = s.happened.position.map_or(String::new(), |p| format!(", {}", p.words()));
        let back = s.taken_back.map_or(String::new(), |by| format!("TAKEN BACK by entry {by}"));
        vec![
            format!("entry {}", s.booked.entry),
            show_date(s.booked.on),
            format!("by {}", s.booked.by),
            pieces(s.quantity),
            format!("from {}", s.from),
            format!("to {}", s.to),
            format!("{whose}{site}{position}"),
            back,
        ]
    });
    table(&["entry", "on", "by", "quantity", "from", "to", "for", "taken back"], rows)
}

/// How far a list could be read, as its first line; nothing where it is complete.
pub(super) fn short(not_complete: Option<&NotComplete>) -> String {
    not_complete.map_or(String::new(), |s| format!("CAREFUL: {s}.\n"))
}

/// Where the units of a lot are, and how they came there; the units in mouths first.
pub fn lots(all: &LotTraces) -> String {
    let mut out = short(all.not_complete.as_ref());
    for t in &all.lots {
        let called =
            t.called_back.map_or(String::new(), |e| format!(" CALLED BACK BY ITS MAKER (entry {e})."));
        let mouths = match t.in_mouths.len() {
            0 => "no unit is in a mouth".to_owned(),
            1 => "1 UNIT IS IN A MOUTH".to_owned(),
            n => format!("{} ARE IN MOUTHS", units(n).to_uppercase()),
        };
        let astray = match t.astray() {
            0 => String::new(),
            n => format!(
                " {} MORE WENT INTO PATIENTS and {} in no mouth on record: look under 'Every movement' for whom, and ask there.",
                pieces(n).to_uppercase(),
                if n == 1 { "stands" } else { "stand" }
            ),
        };
        let _ = writeln!(out, "{}, lot {}, {}: {mouths}.{astray}{called}", t.part, t.lot, t.expiry);
        if !t.in_mouths.is_empty() {
            out.push_str(&in_mouths(&t.in_mouths));
        }
        if !t.taken_out.is_empty() {
            let _ = writeln!(out, "\nWas in a mouth and came out");
            out.push_str(&taken_out(&t.taken_out));
        }
        let there = t.places.iter().filter(|(_, n)| *n > 0);
        let there: Vec<String> = there.map(|(place, n)| format!("{} in {place}", pieces(*n))).collect();
        let there = if there.is_empty() { "none on record".to_owned() } else { there.join(", ") };
        let _ = writeln!(out, "\nBy the stock ledger: {there}.");
        if !t.steps.is_empty() {
            let _ = writeln!(out, "\nEvery movement");
            out.push_str(&steps(&t.steps));
        }
    }
    out
}

/// Which lots a patient has and had.
pub fn case_trace(t: &CaseTrace) -> String {
    let with_lot = t.now.iter().filter(|(_, f, _)| f.lot.is_some()).count();
    let mut out = short(t.not_complete.as_ref());
    let _ = writeln!(
        out,
        "Case {}: {} on record, {with_lot} of them with a lot.",
        t.case,
        counted(t.now.len(), "part", "parts")
    );
    let rows = t.now.iter().map(|(site, f, by)| {
        let [by, entry] = booked(by);
        vec![
            site.to_string(),
            f.position.words().to_owned(),
            f.part.code.to_string(),
            f.lot.as_ref().map_or("lot not recorded".to_owned(), |l| format!("lot {l}")),
            f.on.map_or("date not recorded".to_owned(), |d| format!("since {}", show_date(d))),
            f.torque.to_string(),
            format!("by {by}"),
            entry,
        ]
    });
    out.push_str(&table(&["site", "position", "part", "lot", "since", "tightened to", "by", "entry"], rows));
    if !t.steps.is_empty() {
        let _ = writeln!(out, "\nEvery movement of a lot");
        let rows = t.steps.iter().map(|s| {
            let back = s.taken_back.map_or(String::new(), |by| format!("TAKEN BACK by entry {by}"));
            vec![
                format!("entry {}", s.booked.entry),
                show_date(s.booked.on),
                format!("by {}", s.booked.by),
                s.happened.site.map_or(String::new(), |t| t.to_string()),
                s.part.to_string(),
                format!("lot {}", s.lot),
                format!("from {}", s.from),
                format!("to {}", s.to),
                back,
            ]
        });
        out.push_str(&table(&["entry", "on", "by", "site", "part", "lot", "from", "to", "taken back"], rows));
    }
    out
}
