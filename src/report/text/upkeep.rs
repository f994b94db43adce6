//! The record itself: what a check found, what the entries say.

use std::fmt::Write as _;

use super::measured::told_measured;
use super::{bridge, counted, counting, held, pieces, sharing, traced};
use crate::maintenance::upkeep::Listing;
use crate::record::{Entry, ReceiveLine, Step, UseLine, Verified};
use crate::units::{Note, printable, show_date, visible};

/// What a check of the record found.
pub fn verified(v: &Verified) -> String {
    let mut out = String::new();
    if v.view_differs {
        let _ = writeln!(
            out,
            "The logbook is whole; the view on disk differs from it: run 'spareseat logbook rebuild'."
        );
    } else if v.below_zero.is_empty() {
        let _ = writeln!(out, "The record is whole.");
    } else {
        let _ = writeln!(out, "The chain is whole, but some places went below zero:");
    }
    for b in &v.below_zero {
        let _ = writeln!(
            out,
            "  - entry {}: part {}, lot {}, place {}: {}",
            b.seq,
            b.part,
            b.lot,
            b.place,
            pieces(b.quantity)
        );
    }
    let _ = writeln!(
        out,
        "{}, {} checked. Sum of entry {}:\n{}",
        counted(v.head.seq as usize, "entry", "entries"),
        counted(v.editions, "catalogue edition", "catalogue editions"),
        v.head.seq,
        v.head.sum
    );
    let _ = writeln!(
        out,
        "Keep this sum on paper: it shows later whether entries were lost. It does not protect against someone who recomputes it."
    );
    out
}

/// Entries, a line each.
pub fn entries(all: &Listing) -> String {
    let mut out = traced::short(all.not_complete.as_ref());
    let _ = writeln!(out, "{}.", counted(all.entries.len(), "entry", "entries"));
    for line in &all.entries {
        let what = match &line.entry {
            Ok(entry) => told(entry),
            Err(e) => e.to_string(),
        };
        let _ = writeln!(
            out,
            "  entry {} on {} by {}: {}",
            line.seq,
            show_date(line.on),
            line.by,
            visible(&what)
        );
    }
    out
}

fn received(l: &ReceiveLine) -> String {
    let expiry = l.expiry.map_or(String::new(), |x| format!(", {x}"));
    format!("{} of {}, lot {}{expiry}, into {}", pieces(l.quantity), l.part, l.lot, l.place)
}

/// An act as it is told to whoever booked it: a delivery of many packs one below the other.
pub fn act(entry: &Entry) -> String {
    match entry {
        Entry::Received(e) if e.lines.len() > 1 => {
            let all: u32 = e.lines.iter().map(|l| l.quantity).sum();
            let lines: String = e.lines.iter().map(|l| format!("\n  {}", received(l))).collect();
            format!("a delivery of {}, {}:{lines}", counted(e.lines.len(), "line", "lines"), pieces(all))
        }
        other => told(other) + ".",
    }
}

/// What an entry says, in a sentence.
pub fn told(entry: &Entry) -> String {
    match entry {
        Entry::Founded(e) => format!("the logbook was begun{}", if e.made_up { " (made up)" } else { "" }),
        Entry::Catalogue(e) => format!(
            "catalogue of {}: {} added, {} changed; edition {}",
            counted(e.parts as usize, "part", "parts"),
            e.added,
            e.changed,
            &e.edition.as_str()[..12]
        ),
        Entry::CatalogueCorrected(e) => {
            let wrong = e.wrong.iter().map(|w| {
                let (lots, mouths) = (w.lots.len(), w.mouths.len());
                format!(
                    "numbers of {} had been wrong, put right in {} and in {}",
                    w.now.code,
                    counted(lots, "lot", "lots"),
                    counted(mouths, "position of a patient", "positions of patients")
                )
            });
            format!(
                "catalogue of {}: {} added, {} changed; {}; edition {}",
                counted(e.parts as usize, "part", "parts"),
                e.added,
                e.changed,
                joined(wrong),
                &e.edition.as_str()[..12]
            )
        }
        Entry::Received(e) => joined(e.lines.iter().map(|l| format!("received {}", received(l)))),
        Entry::Moved(e) => joined(e.lines.iter().map(|l| {
            format!("moved {} of {}, lot {}, from {} to {}", pieces(l.quantity), l.part, l.lot, l.from, l.to)
        })),
        Entry::Used(e) => format!("case {}: {}", e.case, joined(e.lines.iter().map(put_in))),
        Entry::UsedHeld(e) => format!(
            "case {}: {}; HELD FOR ANOTHER CASE; reason: {}",
            e.case,
            joined(e.lines.iter().map(put_in)),
            e.held_because
        ),
        Entry::SetAside(e) => held::told_set_aside(e),
        Entry::Released(e) => held::told_released(e),
        Entry::Discarded(_)
        | Entry::Returned(_)
        | Entry::Reprocessed(_)
        | Entry::Quarantined(_)
        | Entry::QuarantineLifted(_)
        | Entry::CalledBack(_) => traced::told_apart(entry),
        Entry::Counted(e) => counting::told_counted(e),
        Entry::Needed(e) => counting::told_needed(e),
        Entry::NeedOff(e) => counting::told_need_off(e),
        Entry::Bridge(e) => bridge::told_bridge(e),
        Entry::Tray(e) => {
            let spoiled = e.spoiled.iter().map(|s| {
                let to = if s.to_reprocess { "to be reprocessed" } else { "thrown away" };
                format!("{} lot {} from {}: {}, {to}", s.part, s.lot, s.place, s.how.words())
            });
            let pieces = e.removed.iter().filter(|r| r.broken).map(|r| {
                let lot = r.lot.as_ref().map_or("lot not recorded".to_owned(), |l| format!("lot {l}"));
                format!("{} at {} is the one that gave way ({lot})", r.part, r.site)
            });
            let came_off = e
                .removed
                .iter()
                .filter(|r| !e.lines.iter().any(|l| l.site == r.site && l.position == r.position));
            let came_off = came_off.map(|r| {
                format!("{}: {} {} came off, {}", r.site, r.position.words(), r.part, r.became.word())
            });
            let all = joined(e.lines.iter().map(put_in).chain(came_off).chain(spoiled).chain(pieces));
            format!("case {}, tray of the visit: {all}{}", e.case, because(e.note.as_ref()))
        }
        Entry::Visit(e) => {
            let step = match e.step {
                Step::Begun { new_case: false } => "visit begun".to_owned(),
                Step::Begun { new_case: true } => "walk-in put on record, visit begun".to_owned(),
                Step::Narrowed => "visit narrowed".to_owned(),
                Step::Ended(outcome) => format!("visit ended: {}", outcome.words()),
            };
            let laid_out = if e.tray.is_empty() {
                String::new()
            } else {
                format!("; {} to be laid out", pieces(e.tray.len() as i64))
            };
            let report = format!("{}; left behind: {}", e.broken.report(), e.left.word().replace('-', " "));
            format!("case {}, {}: {step} ({report}){laid_out}{}", e.case, e.site, because(e.note.as_ref()))
        }
        Entry::Countered(e) => {
            let back = e.moved_back.iter().map(|m| {
                format!("{} of {}, lot {}, from {} to {}", pieces(m.quantity), m.part, m.lot, m.from, m.to)
            });
            let case = e.case.as_ref().map_or(String::new(), |c| format!("case {c}: "));
            let why = e.because.as_ref().map_or(", no reason given".to_owned(), |n| format!(", reason: {n}"));
            format!("{case}entry {} taken back{why}: {}", e.entry, joined(back))
        }
        Entry::CaseClosed(e) => {
            let what = if e.closed { "closed" } else { "opened again" };
            format!("case {} {what}, reason: {}", e.case, e.because)
        }
        Entry::CheckSet(e) => match e.due {
            Some(due) => format!("case {}: to be checked on {}: {}", e.case, show_date(due), e.because),
            None => format!("case {}: the next check is called off, reason: {}", e.case, e.because),
        },
        Entry::Case(e) => format!(
            "case {} entered: {}, {}",
            e.case.number,
            counted(e.case.sites.len(), "site", "sites"),
            counted(e.restorations.len(), "restoration", "restorations")
        ),
        Entry::Fitted(e) => format!(
            "case {}, {}: {} on record as {}, by {}",
            e.case,
            e.site,
            e.fitted.position.words(),
            e.fitted.part.code,
            e.fitted.sure
        ),
        Entry::Happened(e) => {
            let tooth = e.event.tooth.map_or(String::new(), |t| format!(", {t}"));
            let note = e.event.note.as_ref().map_or(String::new(), |n| format!(": {n}"));
            format!("case {}{tooth}: {}{note}", e.case, e.event.what)
        }
        Entry::Verification(e) => {
            let v = &e.verification;
            format!(
                "{} tried in place of {}: {}, {}",
                v.candidate.code,
                v.fitted.code,
                pieces(v.pieces),
                v.how
            )
        }
        Entry::Taken(e) | Entry::TakenWithForms(e) => sharing::told_taken(e),
        Entry::Confirmed(e) => sharing::told_confirmed(e),
        Entry::Measured(e) => told_measured(e),
        Entry::BandsSet(e) => format!(
            "what is called keeping the fit: up to {} µm, over {} µm doubtful, over {} µm no; reason: {}",
            e.bands.keeps.base(),
            e.bands.doubtful.base(),
            e.bands.check.base(),
            e.bands.because
        ),
        Entry::Accepted(e) => format!(
            "went on with the logbook as found: view had entry {}, logbook ended at entry {}; reason: {}",
            e.seen, e.found, e.why
        ),
    }
}

/// A part that went in, with what it replaced.
fn put_in(l: &UseLine) -> String {
    let found = if l.found { " (found there; correction booked with it)" } else { "" };
    let expired = l.expired_because.as_ref().map_or(String::new(), |r| format!(" (EXPIRED; reason: {r})"));
    let old = l.replaced.as_ref().map_or(String::new(), |r| {
        let lot = r.lot.as_ref().map_or("lot not recorded".to_owned(), |l| format!("lot {l}"));
        format!("; replaced {} ({lot}), {}", r.part, r.became.word())
    });
    format!(
        "{}: {} {}, lot {}, from {}{found}{expired}, {}{old}",
        l.site,
        l.position.words(),
        l.part.code,
        l.lot,
        l.place,
        l.torque
    )
}

fn because(note: Option<&Note>) -> String {
    note.map_or(String::new(), |n| format!("; {n}"))
}

fn joined(lines: impl Iterator<Item = String>) -> String {
    lines.collect::<Vec<_>>().join("; ")
}

/// A name for a path on the screen.
pub fn path(path: &std::path::Path) -> String {
    printable(&path.to_string_lossy())
}
