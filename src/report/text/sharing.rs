//! What goes between a practice and its laboratory.

use std::fmt::Write as _;

use super::counted;
use crate::lab::sharing::{AnswerFile, ShareFile, Shared};
use crate::record::{CaseTaken, OriginRow, SwapConfirmed};
use crate::report::confirmed::{found, swapped, um};
use crate::units::show_date;

/// Where a case came from, in a line.
pub fn origin(row: &OriginRow) -> String {
    let OriginRow { origin, as_of, shared_on, entry, on, .. } = row;
    format!(
        "Taken from case {} of {}, shared on {} (as of entry {as_of} there); taken here on {} by entry {entry}.\n",
        origin.case,
        origin.practice,
        show_date(*shared_on),
        show_date(*on)
    )
}

/// What a taken case says in the list of entries.
pub fn told_taken(e: &CaseTaken) -> String {
    format!(
        "case {} taken from case {} of {}, shared on {} (as of entry {} there): {}, {}",
        e.case.number,
        e.origin.case,
        e.origin.practice,
        show_date(e.shared_on),
        e.as_of,
        counted(e.case.sites.len(), "site", "sites"),
        counted(e.restorations.len(), "restoration", "restorations")
    )
}

/// What an answer says in the list of entries.
pub fn told_confirmed(e: &SwapConfirmed) -> String {
    format!(
        "case {}: {}, {}, answered on {}: {}: {} (bands: up to {} keeps the fit, up to {} check at try-in)",
        e.case,
        e.laboratory,
        e.by,
        show_date(e.on),
        swapped(e.swaps.iter().map(|s| (s.site, s.position, &s.part.code))),
        found(e.verdict, e.worst_gap),
        um(e.bands.keeps),
        um(e.bands.try_in)
    )
}

/// A case that was written to a file.
pub fn shared(s: &Shared, file: &str) -> String {
    let f = &s.file;
    let mut out = format!(
        "Case {} is written to {file}: {}, {}, as of entry {}.\n",
        f.case,
        counted(f.sites.len(), "site", "sites"),
        counted(f.restorations.len(), "restoration", "restorations"),
        f.as_of
    );
    if f.sites.iter().all(|s| s.standing.measured.is_none()) {
        out.push_str("No site is measured: the laboratory will have to assume an arch.\n");
    }
    let _ = writeln!(
        out,
        "Left out: every other case, stock, events, raw labels, and what was told about the patient in words; grinding ({}) and splint ({}) are in it.",
        f.grinding, f.splint
    );
    let _ = writeln!(out, "Sum of the file:\n{}", s.sum);
    let _ = writeln!(
        out,
        "It finds a careless edit or a cut, not someone who recomputes it: tell the laboratory the first digits by another way."
    );
    out
}

/// What was booked for a case that was taken.
pub fn taken(here: &str, f: &ShareFile, replaced: bool) -> String {
    let replaced = if replaced { ", in place of what was taken of it before" } else { "" };
    format!(
        "case {here} is on record{replaced}: case {} of {}, shared on {}, {}.",
        f.case,
        f.practice,
        show_date(f.on),
        counted(f.sites.len(), "site", "sites")
    )
}

/// What was booked for an answer.
pub fn answered(f: &AnswerFile) -> String {
    format!(
        "case {}: {}, {}, on {}: {}: {}.",
        f.origin.case,
        f.laboratory,
        f.by,
        show_date(f.on),
        swapped(f.swaps.iter().map(|s| (s.site, s.position, &s.part.code))),
        found(f.verdict, f.worst_gap_tenths_um)
    )
}
