//! What loads do to joints, screws and the bench, by themselves.

use std::fmt::Write as _;

use super::super::table::table;
use super::mechanics::{moment, newtons, shown, typed};
use crate::mechanics::bench::BenchLoad;
use crate::mechanics::joint::Opening;
use crate::mechanics::section::Loaded;
use crate::mechanics::sharing::LoadShare;

/// The answer of `calc joint`.
pub fn joint(found: &Opening, why: bool) -> String {
    let seat = &found.seat;
    let mut out = format!(
        "The seat begins to open at {} and tips at {}, held shut by {}.\n",
        moment(found.opening_nmm),
        moment(found.tipping_nmm),
        newtons(found.clamp_n)
    );
    if let Some(load) = &found.load {
        let _ = match load.multiple {
            Some(m) => writeln!(
                out,
                "Under {} and {} it opens at {} times that load, the preload not growing with it{}.",
                moment(load.moment_nmm),
                along(load.axial_n),
                shown(m, 3),
                if m < 1.0 { ": before the whole load is on it" } else { "" }
            ),
            None => writeln!(
                out,
                "Under {} and {} it does not open, however many times the load.",
                moment(load.moment_nmm),
                along(load.axial_n)
            ),
        };
    }
    if why {
        let _ = write!(
            out,
            "\nWorking\n  k = (D² + d²)/(8·D) = {} mm, D = {} mm, d = {} mm\n  opens at N·k, tips at N·D/2, N = {}\n",
            shown(seat.kern_mm(), 4),
            typed(seat.outer_mm()),
            typed(seat.inner_mm()),
            newtons(found.clamp_n)
        );
        if let Some(load) = &found.load {
            let _ = writeln!(
                out,
                "  opens at k·F_V/(M − k·(1 − C)·P), C = A_s/(A_s + A) = {} for a core of {} mm; not over zero below the line: does not open",
                shown(load.share, 4),
                typed(load.core_mm)
            );
        }
        out += "  holds for a flat seat and an even preload, seat and screw of one material and length; what the seat gives is left out\n  source: the kern of a ring as in any handbook of statics, M/Z = N/A at its edge\n";
    }
    out
}

fn along(axial_n: f64) -> String {
    match axial_n {
        n if n > 0.0 => format!("{} pressing", newtons(n)),
        n if n < 0.0 => format!("{} pulling", newtons(-n)),
        _ => "no axial load".to_owned(),
    }
}

/// The answer of `calc section`.
pub fn cracked_section(found: &Loaded, why: bool) -> String {
    let (bent, joint) = (&found.bent, &found.joint);
    let mut out = format!(
        "The load adds {} MPa in the middle of the screw and {} MPa for each mm from it: {} MPa alternating at its edge.\n{}\n",
        shown(bent.mean_mpa, 3),
        shown(bent.bending_mpa_per_mm, 3),
        shown(bent.alternating_mpa, 2),
        if bent.open { "A part of the seat is no longer pressed." } else { "The seat is pressed all over." }
    );
    if let Some((limit, multiple)) = found.breaks {
        let _ = match multiple {
            Some(m) => writeln!(
                out,
                "It reaches {} MPa alternating at {} times that load, the preload not growing with it.",
                typed(limit),
                shown(m, 3)
            ),
            None => {
                writeln!(out, "It never reaches {} MPa alternating: the load only presses.", typed(limit))
            }
        };
    }
    if why {
        let seat = joint.seat();
        let _ = write!(
            out,
            "\nWorking\n  F_V + A_s·e + ∫min(0, e + κx − F_V/A) dA = −P and I_s·κ + ∫min(0, e + κx − F_V/A)·x dA = M, over the seat\n  D = {} mm, d = {} mm, A = {} mm²; F_V = {}; core d0 = {} mm; M = {}, {}\n  alternating: ½·(max(e, 0) + κ·d0/2)\n  holds for plane sections of one material; an upper bound of the screw's bending, since its free length is left out\n  source: equilibrium of a preloaded bar in a ring that cannot pull; closed integrals of the circular segment\n",
            typed(seat.outer_mm()),
            typed(seat.inner_mm()),
            shown(seat.area_mm2(), 3),
            newtons(joint.clamp_n()),
            typed(joint.core_mm()),
            moment(found.moment_nmm),
            along(found.axial_n)
        );
    }
    out
}

/// The answer of `calc share`.
pub fn screw_shares(found: &LoadShare, why: bool) -> String {
    let forces = found.along.as_ref().map(|(_, s)| &s.forces_n);
    let sides: Option<Vec<f64>> =
        found.across.as_ref().map(|(_, s)| s.forces_n.iter().map(|[x, y]| x.hypot(*y)).collect());
    let heaviest = |of: &[f64]| {
        let most = |best: (usize, f64), (n, f): (usize, &f64)| {
            if f.abs() > best.1.abs() { (n, *f) } else { best }
        };
        of.iter().enumerate().fold((0, of.first().copied().unwrap_or(0.0)), most)
    };
    let mut first = Vec::new();
    if let Some(forces) = forces {
        let (n, force) = heaviest(forces);
        first.push(format!("screw {} is {}", n + 1, way(force)));
    }
    if let Some(sides) = &sides {
        let (n, force) = heaviest(sides);
        first.push(format!("screw {} is pushed sideways with {}", n + 1, newtons(force)));
    }
    let mut out = format!("The most: {}.\n", first.join(", "));
    for note in found.notes() {
        let _ = writeln!(out, "Note: {note}.");
    }
    out += "Pressing goes into the seat, not into the screw; of a pull the screw itself sees a part. Rigid frame, equal supports: an upper bound.\n\n";
    let mut head = vec!["screw", "at"];
    head.extend(forces.map(|_| "along it"));
    head.extend(sides.as_ref().map(|_| "sideways"));
    let rows = found.screws_mm.iter().enumerate().map(|(n, [x, y])| {
        let mut row = vec![format!("screw {}", n + 1), format!("{}, {} mm", typed(*x), typed(*y))];
        let gone = found.out.get(n).copied().unwrap_or(false);
        let cell = |text: String| if gone { "out".to_owned() } else { text };
        row.extend(forces.map(|f| cell(way(f[n]))));
        row.extend(sides.as_ref().map(|s| cell(newtons(s[n]))));
        row
    });
    out += &table(&head, rows);
    if why {
        out += &sharing_working(found);
    }
    out
}

fn way(force_n: f64) -> String {
    let what = if force_n < 0.0 { "pulled with" } else { "pressed with" };
    format!("{what} {}", newtons(force_n.abs()))
}

fn sharing_working(found: &LoadShare) -> String {
    let mut out = "\nWorking\n".to_owned();
    if let Some((load, _)) = &found.along {
        let _ = write!(
            out,
            "  F = P/N + a·x + b·y about the middle, [Sxx Sxy; Sxy Syy]·[a b] = [Mx My], S over the screws, + N·ρ² with ρ = {} mm\n  P = {} at {}, {} mm; across it {}, {} N at a height of {} mm\n",
            typed(found.rho_mm),
            newtons(load.force_n),
            typed(load.at_mm[0]),
            typed(load.at_mm[1]),
            typed(load.side_n[0]),
            typed(load.side_n[1]),
            typed(load.height_mm)
        );
    }
    if let Some((load, _)) = &found.across {
        let _ = writeln!(
            out,
            "  sideways V/N + (M/Σr²) across the arm r; V = {}, {} N at {}, {} mm",
            typed(load.force_n[0]),
            typed(load.force_n[1]),
            typed(load.at_mm[0]),
            typed(load.at_mm[1])
        );
    }
    out += "  holds for a rigid bridge on equal supports; what bridge, screws and bone give is left out\n  source: bolt group of any book of machine elements; for bridges on implants Skalak 1983 (from memory)\n";
    out
}

/// The answer of `calc bench-load`.
pub fn bench_load(found: &BenchLoad, why: bool) -> String {
    let mut out = format!(
        "{} on the bench bends with {} where the holder grips and with {} at the platform.\nThe bench compares designs: the standard says of itself that it does not predict life in the mouth.\n",
        newtons(found.force_n),
        moment(found.moment_nmm),
        moment(found.platform_moment_nmm)
    );
    if why {
        let _ = write!(
            out,
            "\nWorking\n  F at 30°: {} across, {} along the axis, pressing\n  M = F·sin 30°·11.0 mm at the holder, F·sin 30°·(11.0 − 3.0) mm at a platform at bone level\n  holds for the arrangement of ISO 14801: the holder 3.0 mm below the nominal bone level, 11.0 mm from it to the centre of the load\n  source: ISO 14801 (the clause from memory)\n",
            newtons(found.side_n),
            newtons(found.axial_n)
        );
    }
    out
}
