//! Threads, preload and the forces that shut a gap, by themselves.

use std::fmt::Write as _;

use super::super::table::table;
use super::seating::um;
use crate::fit::shut::{Effort, Frame, Hold, Shut, most};
use crate::mechanics::preload::{Head, Preloads};
use crate::mechanics::thread::Thread;
use crate::mechanics::tightening::{Form, Tightening};

/// Printed with every force that would pull a bridge down.
const NO_PERMISSION: &str =
    "It says how much clamp is lost if someone pulls the bridge down; it is never permission to do so.";

/// The answer of `calc thread`.
pub fn thread(thread: &Thread, why: bool) -> String {
    let mut out = format!(
        "{thread}: stress area {:.4} mm², {} in half a turn.\n\n",
        thread.stress_area_mm2(),
        um(thread.pitch_mm() / 2.0)
    );
    let rows = [
        ("pitch", thread.pitch_mm()),
        ("pitch diameter d2", thread.pitch_diameter_mm()),
        ("minor diameter d1", thread.minor_diameter_mm()),
        ("root diameter d3", thread.root_diameter_mm()),
    ];
    out += &table(&["", "mm"], rows.map(|(what, mm)| vec![what.to_owned(), format!("{mm:.4}")]));
    if why {
        let _ = write!(
            out,
            "\nWorking\n  d = {} mm, P = {} mm; a coarse pitch is that of ISO 261 (from memory)\n  d2 = d − 0.649519·P, d1 = d − 1.082532·P, d3 = d − 1.226869·P\n  d0 = (d2 + d3)/2 = {:.4} mm, As = π/4·d0²\n  source: ISO 68-1, ISO 724; ISO 898-1 for the stress area, whose own tables begin at M3\n",
            thread.diameter_mm(),
            thread.pitch_mm(),
            thread.stress_diameter_mm()
        );
    }
    out
}

/// The answer of `calc preload`.
pub fn preload(found: &Preloads, why: bool) -> String {
    let (low, high) = (found.low_friction, found.high_friction);
    let torque = typed(found.torque_nmm / 10.0);
    let mut out = if found.is_range() {
        format!(
            "{torque} Ncm leaves a pull of {} to {} in the screw, for a friction of {} down to {}.\n",
            newtons(found.band.low_n),
            newtons(found.band.high_n),
            typed(high),
            typed(low)
        )
    } else {
        format!(
            "{torque} Ncm leaves a pull of {} in the screw, if the friction in thread and head is {}.\n",
            newtons(found.band.low_n),
            typed(low)
        )
    };
    out += "Measured preload differs about threefold from screw to screw at the same torque: the friction is an assumption.\nThis is what a torque is worth, not which torque to set: that stands in the maker's instructions.\n";
    if why {
        let (screw, thread) = (&found.screw, &found.screw.thread);
        let _ = write!(
            out,
            "\nWorking\n  T = F·[P/2π + μ·d2/(2·cos 30°) + μ·r], the same μ in thread and head\n  T = {} N·mm, {thread}: P = {} mm, d2 = {:.4} mm\n  {}\n",
            typed(found.torque_nmm),
            thread.pitch_mm(),
            thread.pitch_diameter_mm(),
            lever(&screw.head)
        );
        let mut frictions = vec![(low, found.band.high_n)];
        if found.is_range() {
            frictions.push((high, found.band.low_n));
        }
        for (friction, force) in frictions {
            let bracket = found.torque_nmm / force;
            let _ = writeln!(
                out,
                "  μ = {}: [ ] = {bracket:.4} mm, F = {}; as a short form T = K·F·d, K = {:.3}",
                typed(friction),
                newtons(force),
                bracket / thread.diameter_mm()
            );
        }
        out += "  source: Motosh, with the linear thread term; ISO 16047. The exact tan form gives 0.5 % less at μ 0.1, 1.9 % at 0.4\n";
    }
    out
}

/// The answer of `calc tightening`.
pub fn tightening(found: &Tightening, why: bool) -> String {
    let share = typed(found.share_of_yield);
    let mut out = format!(
        "{}: a preload of {} takes up {} of the yield strength while it is tightened, if the friction in the thread is {}.\n",
        found.thread,
        newtons(found.preload_n),
        if share.len() > 6 { shown(found.share_of_yield, 3) } else { share },
        typed(found.friction)
    );
    if found.share_of_yield > 1.0 {
        out += "The screw yields.\n";
    }
    out += "The friction is an assumption. This says what a preload does to a screw, not which torque to set: that stands in the maker's instructions.\n";
    if why {
        let (thread, stress) = (&found.thread, &found.stress);
        let divisor = if found.form == Form::Vdi2001 { 12 } else { 16 };
        let _ = write!(
            out,
            "\nWorking\n  σ = F/As, M_t = F·[P/2π + μ·d2/(2·cos 30°)], τ = M_t/(π/{divisor}·d0³), σ_e = √(σ² + 3·τ²)\n  {thread}: P = {} mm, d2 = {:.4} mm, d0 = {:.4} mm, As = {:.4} mm²; μ = {}\n  σ = {} MPa, τ = {} MPa, σ_e = {} MPa of {} MPa\n  holds for a screw pulled and twisted alone: bending and notches are left out\n  source: VDI 2230 in the form of {}; the form of the other year differs by 8 % at μ 0.1 and 24 % at 0.4 for M1.4 to M2\n",
            thread.pitch_mm(),
            thread.pitch_diameter_mm(),
            thread.stress_diameter_mm(),
            thread.stress_area_mm2(),
            typed(found.friction),
            shown(stress.tension_mpa, 1),
            shown(stress.shear_mpa, 1),
            shown(stress.equivalent_mpa, 1),
            typed(found.yield_mpa),
            found.form.word()
        );
    }
    out
}

fn lever(head: &Head) -> String {
    let (mean, radius) = (typed(head.mean_diameter_mm()), shown(head.friction_radius_mm(), 4));
    if head.is_flat() {
        format!("flat head: r = {mean}/2 = {radius} mm")
    } else {
        format!(
            "conical head: r = {mean}/2/sin β = {radius} mm, β = {}° to the screw's axis",
            shown(head.half_angle_rad().to_degrees(), 2)
        )
    }
}

pub(super) fn newtons(n: f64) -> String {
    format!("{} N", shown(n, 1))
}

pub(super) fn moment(nmm: f64) -> String {
    format!("{} N·mm", shown(nmm, 0))
}

/// With so many decimals, or with a power of ten where that would print a row of zeros.
pub(super) fn shown(value: f64, decimals: usize) -> String {
    let least = 10.0_f64.powi(-i32::try_from(decimals).unwrap_or(0));
    if value == 0.0 || (least..1e7).contains(&value.abs()) {
        format!("{value:.decimals$}")
    } else {
        format!("{value:.2e}")
    }
}

/// As it was typed, short.
pub(super) fn typed(value: f64) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    if (1e-4..1e7).contains(&value.abs()) { value.to_string() } else { format!("{value:e}") }
}

/// The answer of `calc shut`: as typed, then the range.
pub fn shut(frame: &Frame, as_typed: &[Effort], range: &Shut, modulus_source: &str, why: bool) -> String {
    let told = |all: &[Effort]| {
        let most = most(all);
        format!("a pull of {} and a moment of {}", newtons(most.pull_n), moment(most.moment_nmm))
    };
    let mut out = format!(
        "To hold the frame on its seats as typed takes {}.\nFrom {} with every seat pinned to {} with every seat flush: an upper bound, supports and screws being taken as rigid.\n{NO_PERMISSION}\n\n",
        told(as_typed),
        told(&range.pinned),
        told(&range.flush)
    );
    let rows = frame.nodes.iter().zip(as_typed).enumerate().map(|(n, (node, effort))| {
        let rise = if node.hold == Hold::Free { String::new() } else { um(node.rise_um / 1000.0) };
        let held = node.hold.word().to_owned();
        vec![format!("node {}", n + 1), held, rise, way(effort), moment(effort.moment_nmm())]
    });
    out += &table(&["node", "held", "stands higher by", "force", "moment"], rows);
    if why {
        out += &working(frame, modulus_source);
    }
    out
}

fn way(effort: &Effort) -> String {
    if effort.force_n == 0.0 {
        return newtons(0.0);
    }
    let what = if effort.force_n > 0.0 { "pull down with" } else { "presses with" };
    format!("{what} {}", newtons(effort.force_n.abs()))
}

fn working(frame: &Frame, modulus_source: &str) -> String {
    let section = &frame.section;
    let (height, width) = (typed(section.height_mm), typed(section.width_mm));
    format!(
        "\nWorking\n  straight beams from node to node, bending EI and twisting GJ; lift and two rotations a node; shear left out\n  E = {} GPa ({modulus_source}), ν = {}, G = E/(2·(1 + ν)) = {} GPa\n  height {height} mm, width {width} mm: I = b·h³/12 = {} mm⁴, J = {} mm⁴ (Saint-Venant's series for a rectangle)\n  force and moment at a held node = stiffness of the frame times the shape of least energy with the rises imposed\n  source: beam tables of any handbook, which it reproduces: end load on a cantilever 3EIδ/L³, both ends flush 12EIδ/L³ and 6EIδ/L²\n",
        typed(frame.modulus_gpa),
        frame.poisson,
        shown(frame.modulus_gpa / (2.0 * (1.0 + frame.poisson)), 2),
        shown(section.second_moment_mm4(), 3),
        shown(section.torsion_constant_mm4(), 3)
    )
}
