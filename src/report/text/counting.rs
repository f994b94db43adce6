//! What was counted, and the work that is planned.

use std::fmt::Write as _;

use super::super::table::table;
use super::{counted, pieces};
use crate::record::{CountLine, Counted, NeedOff, Needed};
use crate::shelf::counting::Compared;
use crate::shelf::planning::Planned;
use crate::units::{Note, show_date};

fn difference(l: &CountLine) -> String {
    let by = l.counted.abs_diff(l.on_record);
    if l.counted > l.on_record { format!("{} more", pieces(by)) } else { format!("{} missing", pieces(by)) }
}

pub(super) fn told_counted(e: &Counted) -> String {
    let all: Vec<String> = e
        .lines
        .iter()
        .filter(|l| l.counted != l.on_record)
        .map(|l| {
            format!(
                "{}, lot {}: {} counted, {} on record, {}",
                l.part,
                l.lot,
                pieces(l.counted),
                pieces(l.on_record),
                difference(l)
            )
        })
        .collect();
    let what = if all.is_empty() { "nothing differs".to_owned() } else { all.join("; ") };
    format!("counted {} in {}: {what}; reason: {}", counted(e.lines.len(), "lot", "lots"), e.place, e.because)
}

fn because(note: Option<&Note>) -> String {
    note.map_or(String::new(), |n| format!("; {n}"))
}

pub(super) fn told_needed(e: &Needed) -> String {
    format!(
        "case {}: {} of {} needed on {}{}",
        e.case,
        pieces(e.quantity),
        e.part,
        show_date(e.on),
        because(e.because.as_ref())
    )
}

pub(super) fn told_need_off(e: &NeedOff) -> String {
    format!(
        "case {}: what entry {} planned with {} is called off{}",
        e.case,
        e.need,
        e.part,
        because(e.because.as_ref())
    )
}

/// A count held against the record, before it is booked: only what differs says what the record has.
pub fn compared(c: &Compared) -> String {
    let different: Vec<&CountLine> = c.differences().collect();
    let mut out = match different.len() {
        0 => format!("{} counted in {}: nothing differs.\n", counted(c.lines.len(), "lot", "lots"), c.place),
        n => format!(
            "{} of {} counted in {} {}. Nothing is booked yet: look again, then say --because REASON.\n",
            n,
            counted(c.lines.len(), "lot", "lots"),
            c.place,
            if n == 1 { "differs" } else { "differ" }
        ),
    };
    if !different.is_empty() {
        out.push('\n');
        let rows = different.into_iter().map(|l| {
            let (part, lot) = (l.part.to_string(), format!("lot {}", l.lot));
            vec![part, lot, pieces(l.counted), pieces(l.on_record), difference(l)]
        });
        out.push_str(&table(&["part", "lot", "counted", "on record", "difference"], rows));
    }
    if c.not_counted > 0 {
        let _ = writeln!(
            out,
            "\n{} in this drawer by the record not counted; --all says that nothing else lies there.",
            counted(c.not_counted, "lot", "lots")
        );
    }
    out
}

/// Planned work; nothing where none is.
pub fn planned(all: &[Planned]) -> String {
    if all.is_empty() {
        return String::new();
    }
    let rows = all.iter().map(|p| {
        let there = if p.is_short() {
            format!("SHORT: {} that can be used then", pieces(p.there))
        } else {
            "there".to_owned()
        };
        vec![
            show_date(p.need.on),
            format!("case {}", p.need.case),
            p.part.to_string(),
            pieces(p.need.quantity),
            there,
            p.need.because.as_ref().map_or(String::new(), |n| n.to_string()),
            format!("entry {}", p.need.entry),
        ]
    });
    format!(
        "\nNeeded\n{}",
        table(&["on", "for", "part", "quantity", "in the house", "what for", "entry"], rows)
    )
}
