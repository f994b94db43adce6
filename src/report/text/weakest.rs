//! What breaks next, as text.

use std::fmt::Write as _;

use super::super::table::table;
use super::section;
use crate::desk::CAUTION;
use crate::mechanics::margin::{FRICTIONS, Factor};
use crate::mechanics::preload::FRICTION;
use crate::units::visible;
use crate::weakest::{Class, First, Least, Order, RANKED_AT, Weakest, Without};

/// λ as it is read.
fn factor(value: Option<f64>) -> String {
    match value {
        Some(v) if v >= 100.0 => "over 100".to_owned(),
        Some(v) => format!("{v:.2}"),
        None => "never".to_owned(),
    }
}

/// A factor at low, middle and high friction.
pub fn three(at: [Option<f64>; FRICTIONS]) -> String {
    at.map(factor).join(" / ")
}

/// The answer.
pub fn weakest(w: &Weakest, why: bool) -> String {
    let mut out = weakest_answer(w);
    let made_up = if w.made_up { " (INVENTED)" } else { "" };
    let _ = writeln!(out, "Case {}{made_up}, {} {}.", w.case, w.what(), w.span);
    for careful in &w.careful {
        let _ = writeln!(out, "CAREFUL: {}.", visible(careful));
    }
    let [low, middle, high] = RANKED_AT;
    let heading = format!("at friction {low:.2} / {middle:.2} / {high:.2}");
    order(&mut out, w, "What breaks, at how many times the bite", &heading, &w.breaks);
    order(&mut out, w, "What opens, and so loosens", &heading, &w.opens);
    by_site(&mut out, w, &heading);
    if let Some(lost) = &w.without {
        without(&mut out, w, lost, &heading);
    }
    torques(&mut out, w);
    section(&mut out, "Not modelled: never take it for safe", &w.not_modelled);
    section(&mut out, "What is taken for granted", &w.assumed);
    if why {
        working(&mut out, w);
    }
    let _ = writeln!(out, "\n{CAUTION}");
    out
}

/// The first line: what comes first, where, and what that means.
pub fn weakest_answer(w: &Weakest) -> String {
    let among = if w.not_modelled.is_empty() { "" } else { ", of what is modelled" };
    match &w.breaks.first {
        First::Nothing => "Nothing that is modelled breaks: what is missing stands below.\n".to_owned(),
        First::One(class) => {
            let least = w
                .breaks
                .row(*class)
                .map_or(String::new(), |l| format!(", at {}, at {} times the bite", l.site, range(l.at)));
            format!("What breaks first: {}{least}{among}. {}\n", w.breaks.first.words(), meaning(*class))
        }
        First::Close(_) => format!(
            "Which breaks first hangs on friction: {}{among}.{}\n",
            w.breaks.first.words(),
            if w.breaks.first.classes().contains(&Class::Neck) {
                " The implant is the one part that cannot be swapped."
            } else {
                ""
            }
        ),
    }
}

fn meaning(class: Class) -> &'static str {
    match class {
        Class::ProstheticScrew => "That is the one that can be reached: as it should be.",
        Class::AbutmentScrew | Class::OnePiece | Class::ConeWall => "What is left of it sits in the implant.",
        Class::Neck => "The implant is the one part that cannot be swapped.",
    }
}

/// From the least to the most of the frictions.
fn range(at: [Option<f64>; FRICTIONS]) -> String {
    let known = || at.iter().flatten().copied();
    match (known().reduce(f64::min), known().reduce(f64::max)) {
        (Some(low), Some(high)) if high - low >= 0.005 => {
            format!("{} to {}", factor(Some(low)), factor(Some(high)))
        }
        (low, _) => factor(low),
    }
}

fn order(out: &mut String, w: &Weakest, title: &str, heading: &str, order: &Order) {
    if order.rows.is_empty() {
        return;
    }
    let row = |l: &Least| {
        let under = l.ruled_by.and_then(|n| w.biting.bites.get(n)).map_or(String::new(), |b| b.words());
        vec![l.class.words().to_owned(), three(l.at), format!("tooth {}", l.site.iso()), under]
    };
    let _ = writeln!(out, "\n{title} (first: {})", order.first.words());
    *out +=
        &table(&["part", heading, "weakest at", "under, at the middle friction"], order.rows.iter().map(row));
}

fn by_site(out: &mut String, w: &Weakest, heading: &str) {
    let shown = |f: Option<Factor>, none: &str| f.map_or(none.to_owned(), |f| three(f.at));
    let rows = w.sites.iter().flat_map(|s| {
        s.parts.iter().flatten().map(|(part, margin)| {
            let (opens, breaks) = (margin.and_then(|m| m.opens), margin.and_then(|m| m.breaks));
            let no_seat =
                if matches!(part.class, Class::Neck | Class::ConeWall) { "" } else { "not modelled" };
            vec![
                format!("tooth {}", s.site.iso()),
                part.class.words().to_owned(),
                part.code.to_string(),
                shown(breaks, "not modelled"),
                shown(opens, no_seat),
            ]
        })
    });
    let _ = writeln!(out, "\nSite by site, {heading}");
    *out += &table(&["site", "part", "code", "breaks", "opens"], rows);
}

fn without(out: &mut String, w: &Weakest, lost: &Without, heading: &str) {
    let _ = writeln!(out, "\nWhile the joint at {} is out", lost.site);
    for shift in &lost.shifts {
        let _ = writeln!(out, "  - the joint at {} takes {}", shift.site, shift.in_words().join("; "));
    }
    let _ = writeln!(
        out,
        "  First to break then: {} (before: {}).",
        lost.breaks.first.words(),
        w.breaks.first.words()
    );
    let rows = lost.breaks.rows.iter().map(|l| {
        let before = w.breaks.row(l.class).map_or("not modelled".to_owned(), |b| three(b.at));
        vec![l.class.words().to_owned(), before, three(l.at), format!("tooth {}", l.site.iso())]
    });
    *out += &table(&["part", &format!("breaks {heading}"), "with it out", "weakest then at"], rows);
    let _ = writeln!(
        out,
        "A broken screw in a bridge means that the others carried its load: look at all of them, and replace all prosthetic screws of the bridge as a set (common practice, no source)."
    );
}

/// What each screw is tightened with, what that clamps, and how near it goes to yielding.
fn torques(out: &mut String, w: &Weakest) {
    let mut rows: Vec<(Vec<String>, Vec<String>)> = Vec::new();
    for site in &w.sites {
        for screw in site.parts.iter().flatten().filter_map(|(part, _)| part.screw.as_ref()) {
            let band = screw
                .preload()
                .map_or("not known".to_owned(), |b| format!("{:.0} to {:.0} N", b.low_n, b.high_n));
            let row = vec![screw.code.to_string(), screw.torque.to_string(), band, screw.yield_words()];
            match rows.iter_mut().find(|(r, _)| *r == row) {
                Some((_, sites)) => sites.push(site.site.iso().to_string()),
                None => rows.push((row, vec![site.site.iso().to_string()])),
            }
        }
    }
    if rows.is_empty() {
        return;
    }
    let rows = rows.into_iter().map(|(mut row, sites)| {
        row.push(sites.join(", "));
        row
    });
    let [low, high] = FRICTION;
    let _ = writeln!(
        out,
        "\nTorque, and what it clamps with over the friction that was measured ({low:.2} to {high:.2})"
    );
    *out += &table(&["screw", "torque asked for", "clamps with", "of its yield strength", "at"], rows);
}

fn working(out: &mut String, w: &Weakest) {
    *out += "\nWorking\n";
    for place in &w.biting.places.sites {
        let [x, y] = place.plane;
        let _ = writeln!(out, "  {} lies at x {x:.2} mm, y {y:.2} mm", place.site);
    }
    for bite in &w.biting.bites {
        let l = &bite.load;
        let _ = writeln!(
            out,
            "  {}: at x {:.2} mm, y {:.2} mm, {:.1} N along, {:.1} and {:.1} N across",
            bite.words(),
            l.at_mm[0],
            l.at_mm[1],
            l.force_n,
            l.side_n[0],
            l.side_n[1]
        );
    }
    *out += "  a site gets P = F/N + slope × its arm (bolt group with N·ρ² more; Skalak 1983, the equation from memory), V = H/N and a turn across its arm
  it is bent by W·M/N + V·z − (1 − W)·V·L/2, W = N·ρ²·(S + N·ρ²)⁻¹, z below the bridge's seat, L to 3 mm below the platform (this tool's own, between a post that tips and one held at both ends)
  a flat seat opens at k·F_V/(M − k·(1 − C)·P), k = (D² + d²)/8D; its screw breaks where the cracked section puts half of max(e, 0) + κ·d0/2 at the limit
  a cone's screw is pulled slack at F_V/((1 − C)·T), C 0.05; its wall and the implant's neck break at σ_lim/(M/Z − P/A)
  F_V = 0.9 × torque / (pitch/2π + friction·(pitch radius/cos 30° + head radius)) (Motosh; VDI 2230); a one-piece abutment turns on the middle of its own seat
";
}
