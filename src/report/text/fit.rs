//! Whether the bridge still sits.

use std::fmt::Write as _;

use jiff::civil::Date;

use super::super::capital;
use super::super::table::table;
use super::finding;
use super::swap::{guess, in_house, set_aside};
use super::{counted, section};
use crate::bench::candidate::Candidate;
use crate::bench::fit::{
    ANSWERED, Exchange, FIT, Fit, NO_PERMISSION, Seated, SiteSeated, apart, effort, percent, raised,
    shutting_words,
};
use crate::desk::CAUTION;
use crate::matching::StandsOn;
use crate::units::{Length, Tooth, visible};

/// The answer.
pub fn fit(f: &Fit, today: Date, why: bool) -> String {
    let (first, also) = f.judged.because.split_at(f.judged.because.len().min(3));
    let mut out = guess(&f.guessed);
    let _ = writeln!(out, "{}: {}.", capital(f.judged.verdict.words()), visible(&first.join("; ")));
    let what = if f.stands_on == StandsOn::Bridge { "bridge" } else { "crown" };
    let made_up = if f.made_up { " (INVENTED)" } else { "" };
    let _ = writeln!(
        out,
        "Case {}{made_up}, {what} {}; {}.",
        f.case,
        f.span,
        match f.exchanges.len() {
            1 => "one part comes in".to_owned(),
            n => format!("{} come in, judged as a set", counted(n, "part", "parts")),
        }
    );
    for careful in &f.careful {
        let _ = writeln!(out, "CAREFUL: {}.", visible(careful));
    }
    section(&mut out, "Also", also);
    for exchange in &f.exchanges {
        self::exchange(&mut out, exchange, today, why);
    }
    if let Some(seated) = &f.seated {
        if f.stands_on == StandsOn::Bridge {
            gaps(&mut out, f, seated);
            strains(&mut out, f, seated);
        }
        draws(&mut out, f, seated);
        if why {
            working(&mut out, seated);
        }
    }
    section(&mut out, "What is taken for granted", &f.judged.assumed);
    let _ = writeln!(out, "\n{CAUTION}");
    out
}

fn exchange(out: &mut String, e: &Exchange, today: Date, why: bool) {
    let _ = writeln!(
        out,
        "\n{} ({}), {}: {} in place of {}",
        e.site,
        e.site.words(),
        e.position.words(),
        e.candidate.part.code,
        e.fitted.part.code
    );
    // What the rules say of height, offset, angle and index stands with the verdict or in the numbers below.
    let mut shown = e.candidate.clone();
    shown.judgement.findings.retain(|f| !ANSWERED.contains(&f.rule) && f.rule != FIT);
    part(out, &shown, today, why);
    if let Some(Ok(change)) = &e.change {
        let height = &change.height;
        let within = match (height.worst, height.statistical) {
            (Some(worst), Some(usual)) => {
                format!(" (within {} at worst, {} as a rule)", apart(worst), apart(usual))
            }
            _ => " (its tolerance is not known)".to_owned(),
        };
        let _ = writeln!(out, "    height along the implant: {}{within}", raised(height.nominal));
        if change.moved.sideways > 0.5e-6 || change.moved.tilt > 1e-6 {
            let _ = writeln!(
                out,
                "    the seat: {} along the path of insertion, {} sideways, tilted by {:.1}°",
                raised(change.moved.rise),
                apart(change.moved.sideways),
                change.moved.tilt.to_degrees()
            );
        }
    }
}

fn part(out: &mut String, c: &Candidate, today: Date, why: bool) {
    let _ = writeln!(out, "    {}", c.part.description);
    let _ = writeln!(out, "    {}; {}", in_house(c, today), c.torque);
    set_aside(out, c);
    for f in &c.judgement.findings {
        let _ = writeln!(out, "    - {}", finding(f, why));
    }
}

fn gaps(out: &mut String, f: &Fit, seated: &Seated) {
    let [first, last] = seated.ends().map(Tooth::iso);
    let both = |g: crate::fit::seating::Gap| format!("{} / {}", apart(g.centre), apart(g.widest));
    let rows = seated.sites.iter().map(|s| {
        let [low, high] = s.rocked();
        vec![
            format!("tooth {}", s.site.iso()),
            raised(s.moved.rise),
            both(s.rest),
            both(s.tests[0]),
            both(s.tests[1]),
            format!("{} to {}", apart(low), apart(high)),
            s.words(&f.bands),
        ]
    });
    let _ = writeln!(out, "\nGaps, in the middle / at the widest edge");
    *out += &table(
        &[
            "site",
            "seat",
            "pressed in the middle",
            &format!("only screw {first} tight"),
            &format!("only screw {last} tight"),
            "rocked from end to end",
            "in words",
        ],
        rows,
    );
}

fn strains(out: &mut String, f: &Fit, seated: &Seated) {
    let open = |s: &&SiteSeated| s.worst() > f.bands.keeps.number();
    if !seated.sites.iter().any(|s| open(&s)) {
        return;
    }
    if let Some(no) = &seated.no_strain {
        let _ = writeln!(out, "\nWhat it would take to shut it is not computed: {}.", visible(no));
        return;
    }
    let rows = seated.sites.iter().filter_map(|s| Some((s, s.strain?))).map(|(s, strain)| {
        vec![
            format!("tooth {}", s.site.iso()),
            effort(strain.pull, "N"),
            effort(strain.moment, "Nmm"),
            strain.gives_words(),
            strain.share_words(),
        ]
    });
    let _ = writeln!(
        out,
        "\nWhat it would take to shut it, an upper bound: where the seats let the frame turn / where they hold it flat"
    );
    *out += &table(&["site", "pull", "moment", "its screw gives", "share of what it gives at least"], rows);
    let _ = writeln!(out, "{}.\n{NO_PERMISSION}", shutting_words(seated));
}

fn draws(out: &mut String, f: &Fit, seated: &Seated) {
    let Some(scatter) = &seated.scatter else { return };
    let bands = [f.bands.keeps, f.bands.doubtful, f.bands.check].map(Length::number);
    let _ = writeln!(
        out,
        "\nTwo pieces within their drawings, {} draws: half of them stay within {}, nineteen in twenty within {}.",
        scatter.draws,
        apart(scatter.median),
        apart(scatter.most)
    );
    if scatter.within[2] == 0.0 {
        let _ = writeln!(out, "  None comes within {}.", apart(bands[2]));
        return;
    }
    for (band, share) in bands.iter().zip(&scatter.within) {
        let _ = writeln!(out, "  within {}: {}", apart(*band), percent(*share));
    }
}

fn working(out: &mut String, seated: &Seated) {
    let _ = writeln!(
        out,
        "\nWorking\n  sites across the path of insertion, {}:",
        if seated.places.is_assumed() { "assumed" } else { "measured" }
    );
    for s in &seated.sites {
        let [x, y] = s.seat.at;
        let _ = writeln!(
            out,
            "    tooth {}: x {x:.2} mm, y {y:.2} mm, seat radius {:.2} mm, moved {:.4} mm",
            s.site.iso(),
            s.seat.radius,
            s.seat.rise
        );
    }
    let _ = writeln!(
        out,
        "  the bridge at rest: least lift u(q) with u(p) = lift + g·(p − q) and u(p) − radius·|g| ≥ rise at every seat (geometry)"
    );
    let seats: Vec<_> = seated.sites.iter().map(|s| s.seat).collect();
    let [first, last] = seated.ends().map(Tooth::iso);
    let named = [
        ("pressed in the middle".to_owned(), &seated.rest),
        (format!("only screw {first} tight"), &seated.tests[0]),
        (format!("only screw {last} tight"), &seated.tests[1]),
    ];
    for (name, rest) in named {
        let carries: Vec<String> = rest
            .carrying()
            .map(|(n, w)| format!("tooth {} {}", seated.sites[n].site.iso(), percent(w)))
            .collect();
        let _ = writeln!(
            out,
            "    {name}: lift {}, slope {:.5}, {:.5} mm per mm; stands on {}; proven to {:.1e} µm",
            raised(rest.lift),
            rest.slope[0],
            rest.slope[1],
            carries.join(", "),
            rest.doubt(&seats) * 1000.0
        );
    }
    let clamped: Vec<String> = seated
        .sites
        .iter()
        .map(|s| {
            format!("tooth {} {:.0} / {:.0} µm", s.site.iso(), s.clamped[0] * 1000.0, s.clamped[1] * 1000.0)
        })
        .collect();
    let _ = writeln!(
        out,
        "  as clamped flush at tooth {first} / at tooth {last}, the middle gaps (below zero: stands proud, only force brings it down): {}",
        clamped.join(", ")
    );
    if seated.no_strain.is_none() {
        let _ = writeln!(
            out,
            "  to shut it: the frame as a grillage on rigid seats, bending and twisting of its connectors, lifts imposed; a screw gives torque / (pitch/2π + friction·(pitch radius/cos 30° + head radius)) over friction 0.10 to 0.65 (Motosh; VDI 2230), and that times the seat's radius as moment"
        );
    }
}
