//! A case.

use std::fmt::Write as _;

use super::measured::{place, taken_from};
use super::sharing::origin;
use super::standing::{kept, state};
use super::{fitted_rows, section};
use crate::report::confirmed::confirmed;
use jiff::civil::Date;

use crate::case::{Event, Restoration, Retention, Sites, crown_words};
use crate::cases::entering::CaseShown;
use crate::catalog::Value;
use crate::units::{show_date, visible};

/// A case.
pub fn case(c: &CaseShown) -> String {
    let load = &c.head.load;
    let mut out = format!(
        "Case {}{}\n",
        c.head.number,
        if c.head.made_up { " (made up: no real patient)" } else { "" }
    );
    out.push_str(&state(&c.state));
    if let Some(row) = &c.origin {
        out.push_str(&origin(row));
    }
    let signs = load.signs.as_ref().map_or(String::new(), |s| format!(" ({s})"));
    let _ = writeln!(out, "Grinding: {}{}; splint: {}", load.grinding, visible(&signs), load.splint);
    if let Some(against) = &load.against {
        let _ = writeln!(out, "What bites against it: {against}");
    }
    let sites: Sites = c.sites.iter().cloned().collect();
    for r in &c.restorations {
        let _ = writeln!(out, "\n{}{}", restoration(r, &sites), taken_from(&c.head, r));
    }
    for (tooth, assembly) in &c.sites {
        let _ = writeln!(out, "\n{tooth} ({})", tooth.words());
        out.push_str(&fitted_rows(assembly));
        out.push_str(&place(&c.head, &c.measurings, *tooth));
        for f in assembly {
            if let Some(driver) = &f.driver {
                let _ = writeln!(out, "  {}: the driver that reaches is {driver}", f.position.words());
            }
            if f.part.is_angled() {
                let _ = writeln!(
                    out,
                    "  {}: leans {}",
                    f.position.words(),
                    match &f.lean {
                        Value::Known(lean) => lean.to_string(),
                        _ => "which way is not on record: look before taking it out".to_owned(),
                    }
                );
            }
        }
    }
    let pieces: Vec<String> = c.kept.iter().map(kept).collect();
    section(&mut out, "Pieces that were kept", &pieces);
    let mut happened: Vec<(Date, String)> = c.events.iter().map(|e| (e.on, event(e))).collect();
    happened.extend(c.confirmed.iter().map(|row| (row.on, format!(": {}", confirmed(row)))));
    happened.sort_by_key(|(on, _)| *on);
    if !happened.is_empty() {
        let _ = writeln!(out, "\nWhat happened");
    }
    for (on, what) in happened {
        let _ = writeln!(out, "  - {}{what}", show_date(on));
    }
    out
}

fn event(e: &Event) -> String {
    let tooth = e.tooth.map_or(String::new(), |t| format!(", {t}"));
    let position = e.position.map_or(String::new(), |p| format!(", {}", p.words()));
    let note = e.note.as_ref().map_or(String::new(), |n| format!(": {n}"));
    let kept = e.kept.as_ref().map_or(String::new(), |k| format!("; kept: {k}"));
    format!("{tooth}{position}: {}{note}{kept}", e.what)
}

fn teeth(n: u8) -> String {
    format!("{n} {}", if n == 1 { "tooth" } else { "teeth" })
}

fn restoration(r: &Restoration, sites: &Sites) -> String {
    let what = if r.sites.len() > 1 { "Bridge" } else { "Crown" };
    let mut out = format!("{what} {}: {}", r.span(), r.retention);
    if let Retention::Cemented { screw_axis, .. } = &r.retention {
        let axis = screw_axis.known().map_or("not on record".to_owned(), |a| a.to_string());
        let _ = write!(out, "; the screw axis meets the crown: {axis}");
    }
    let known = |out: &mut String, what: &str, v: Option<String>| {
        if let Some(v) = v {
            let _ = write!(out, "; {what} {v}");
        }
    };
    known(&mut out, "frame:", r.material.known().map(ToString::to_string));
    known(&mut out, "facing:", r.facing.known().map(ToString::to_string));
    known(&mut out, "crown height", r.crown_height.known().map(|h| crown_words(r, sites, *h)));
    known(&mut out, "shade", r.shade.known().map(ToString::to_string));
    known(&mut out, "tooth mould", r.mould.known().map(ToString::to_string));
    known(&mut out, "laboratory:", r.laboratory.known().map(ToString::to_string));
    known(&mut out, "job", r.job.known().map(ToString::to_string));
    if r.cantilever_right + r.cantilever_left > 0 {
        let _ = write!(
            out,
            "; cantilever: {} to the right, {} to the left",
            teeth(r.cantilever_right),
            teeth(r.cantilever_left)
        );
    }
    out
}
