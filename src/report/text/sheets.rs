//! Sheets to print: the label for a bag, the complaint to a maker.

use std::fmt::Write as _;

use super::{counted, fitted_rows, pieces, section};
use crate::case::{Event, Fitted, TorqueRecord};
use crate::desk::CAUTION;
use crate::record::Became;
use crate::tracing::sheets::{Complaint, Piece};
use crate::units::{show_date, visible};

/// What no sheet that leaves the house goes without.
const NO_NAME: &str = "No name of the patient is printed on this sheet; the case number means something in this practice only. Read what was typed in words before the sheet goes out.";
const MADE_UP: &str = "MADE UP: no real patient, no real part";

/// How wide a label is: what a small label printer takes.
const LABEL: usize = 48;

/// The words of `text` in lines of at most `most` characters; a longer word is cut.
fn wrapped(text: &str, most: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split_whitespace() {
        let mut word: Vec<char> = word.chars().collect();
        while !word.is_empty() {
            let line = lines.last_mut().expect("there is one from the beginning");
            let used = line.chars().count();
            let space = usize::from(used > 0);
            if used + space + word.len() <= most {
                line.push_str(if space > 0 { " " } else { "" });
                line.extend(word.drain(..));
            } else if used > 0 {
                lines.push(String::new());
            } else {
                line.extend(word.drain(..most));
            }
        }
    }
    lines
}

/// Lines in a box of a label's width.
fn boxed(lines: &[String]) -> String {
    let inside = LABEL - 4;
    let edge = format!("+{}+\n", "-".repeat(LABEL - 2));
    let mut out = edge.clone();
    for line in lines.iter().flat_map(|l| wrapped(&visible(l), inside)) {
        let _ = writeln!(out, "| {line:<inside$} |");
    }
    out.push_str(&edge);
    out
}

/// The labels for the bags with the broken pieces.
pub fn bags(all: &[Piece]) -> String {
    all.iter().map(bag).collect::<Vec<_>>().join("\n")
}

fn bag(p: &Piece) -> String {
    let r = &p.row.removed;
    let mut lines = Vec::new();
    if p.made_up {
        lines.push(MADE_UP.to_owned());
    }
    lines.push("BROKEN PIECE: NOT FOR REUSE".to_owned());
    lines.push(format!("Case {}", p.case));
    lines.push(format!("Tooth {} ({})", r.site.iso(), r.site.words()));
    lines.push(r.position.words().to_owned());
    lines.extend(p.description.as_ref().map(ToString::to_string));
    lines.push(format!("REF {}", r.part));
    lines.push(format!("LOT {}", r.lot.as_ref().map_or("not recorded", |l| l.as_str())));
    lines.push(
        r.since.map_or("Fitted: date not recorded".to_owned(), |d| format!("Fitted since {}", show_date(d))),
    );
    let by = p.by.as_ref().map_or(String::new(), |by| format!(", by {by}"));
    lines.push(format!("Removed on {} (entry {}{by})", show_date(p.row.on), p.row.entry));
    lines.push("Opened only by whoever examines it.".to_owned());
    boxed(&lines)
}

/// The complaints to the maker.
pub fn complaints(all: &[Complaint]) -> String {
    all.iter().map(complaint).collect::<Vec<_>>().join("\n")
}

fn complaint(c: &Complaint) -> String {
    let (p, r) = (&c.piece, &c.piece.row.removed);
    let mut out = "COMPLAINT: A PART GAVE WAY\n".to_owned();
    if p.made_up {
        let _ = writeln!(out, "{MADE_UP}");
    }
    let blank = "_".repeat(40);
    let _ = writeln!(out, "\nTo: {}", c.maker.as_ref().map_or(blank.as_str(), |m| m.as_str()));
    let practice = p.practice.as_ref().map_or(blank.as_str(), |p| p.as_str());
    let _ = writeln!(out, "From: {practice}\nOur number: case {}, entry {}", p.case, p.row.entry);
    section(&mut out, "The part", &the_part(c));
    section(&mut out, "What happened", &what_happened(c));
    let _ = writeln!(out, "\nWhat it was fitted with");
    if c.assembly.is_empty() {
        let _ = writeln!(out, "  nothing is on record at this site");
    } else {
        out.push_str(&fitted_rows(&c.assembly));
    }
    section(&mut out, "Load signs on record", &load(c));
    let earlier = match c.earlier {
        (0, _) => "none".to_owned(),
        (n, cases) => format!("{}, in {}", pieces(n as i64), counted(cases, "case", "cases")),
    };
    let _ = writeln!(out, "\nEarlier failures of this code booked in this record: {earlier}");
    let kept = match r.became {
        Became::Kept => "the broken piece",
        Became::Discarded => "nothing: by the record the broken piece was thrown away",
    };
    let _ = writeln!(out, "What was kept: {kept}");
    let line = "_".repeat(72);
    let _ = writeln!(out, "\nRemarks\n{line}\n{line}\n{line}");
    let _ = writeln!(out, "\nDate {}  Name and signature {}", "_".repeat(14), "_".repeat(32));
    let _ = writeln!(out, "\n{NO_NAME}\n{CAUTION}");
    out
}

fn the_part(c: &Complaint) -> Vec<String> {
    let r = &c.piece.row.removed;
    let mut lines: Vec<String> = c.piece.description.iter().map(ToString::to_string).collect();
    lines.push(format!("REF: {}", r.part));
    lines.push(format!("LOT: {}", r.lot.as_ref().map_or("not recorded", |l| l.as_str())));
    let label = Fitted::at(&c.assembly, r.position).and_then(|f| f.label.as_ref());
    lines.extend(label.map(|l| format!("label as scanned: {}", l.as_raw())));
    lines.extend(c.part.as_ref().map(|p| format!("system: {}", p.system)));
    lines
}

fn what_happened(c: &Complaint) -> Vec<String> {
    let (row, r) = (&c.piece.row, &c.piece.row.removed);
    let mut lines = vec![format!("where: {} ({}), {}", r.site, r.site.words(), r.position.words())];
    lines.push(format!("fitted: {}", r.since.map_or("date not recorded".to_owned(), show_date)));
    lines.push(format!(
        "at fitting: {}",
        match r.torque {
            TorqueRecord::Measured(t) => format!("tightened to {t}"),
            ref other => other.to_string(),
        }
    ));
    let noted = |e: &Event| {
        let note = e.note.as_ref().map_or(String::new(), |n| format!(": {n}"));
        format!("{}, {}{note}", show_date(e.on), e.what)
    };
    lines.extend(c.before.iter().map(|e| format!("before it was fitted, in its position: {}", noted(e))));
    lines.extend(c.events.iter().map(|e| format!("noted: {}", noted(e))));
    lines.push(c.report.as_ref().map_or("how it gave way: not on record".to_owned(), |report| {
        let note = report.step.note.as_ref().map_or(String::new(), |n| format!("; {n}"));
        format!(
            "reported on {}, {}: {}; left behind: {}{note}",
            show_date(report.on),
            report.step.site,
            report.step.broken.report(),
            report.step.left.word().replace('-', " "),
        )
    }));
    let by = c.piece.by.as_ref().map_or(String::new(), |by| format!(", by {by}"));
    let days = c.days_in_mouth.map_or(String::new(), |n| {
        format!("; {} in the mouth", counted(n.unsigned_abs() as usize, "day", "days"))
    });
    lines.push(format!("taken out: {} (entry {}{by}){days}", show_date(row.on), row.entry));
    lines
}

fn load(c: &Complaint) -> Vec<String> {
    let signs = c.load.signs.as_ref().map_or(String::new(), |s| format!(" ({s})"));
    let against = c.load.against.as_ref().map_or("not on record".to_owned(), ToString::to_string);
    vec![
        format!("grinding: {}{signs}", c.load.grinding),
        format!("splint: {}", c.load.splint),
        format!("what bites against it: {against}"),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_label_is_never_wider_than_its_paper() {
        let lines = ["short".to_owned(), format!("REF {}", "x".repeat(60)), "a b ".repeat(40)];
        let shown = boxed(&lines);
        assert!(shown.lines().all(|l| l.chars().count() == LABEL), "{shown}");
        let kept = |text: &str| text.chars().filter(|c| c.is_alphanumeric()).count();
        assert_eq!(kept(&shown), kept(&lines.concat()), "nothing is lost at the edge");
        assert_eq!(wrapped("one two three", 7), ["one two", "three"]);
        assert_eq!(wrapped("", 7), [""]);
    }
}
