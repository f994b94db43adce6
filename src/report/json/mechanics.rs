//! Threads, preload and the forces that shut a gap, by themselves.

use serde_json::{Value as Json, json};

use super::VERSION;
use crate::fit::shut::{Effort, Frame, Shut, most};
use crate::mechanics::preload::Preloads;
use crate::mechanics::thread::Thread;
use crate::mechanics::tightening::Tightening;

/// The answer of `calc thread`.
pub fn thread(thread: &Thread) -> Json {
    json!({
        "version": VERSION,
        "thread": thread.to_string(),
        "diameter_mm": thread.diameter_mm(),
        "pitch_mm": thread.pitch_mm(),
        "pitch_diameter_mm": thread.pitch_diameter_mm(),
        "minor_diameter_mm": thread.minor_diameter_mm(),
        "root_diameter_mm": thread.root_diameter_mm(),
        "stress_area_mm2": thread.stress_area_mm2(),
    })
}

/// The answer of `calc preload`: `preload_n` for one friction, `preload_low_n` and `preload_high_n` for a range.
pub fn preload(found: &Preloads) -> Json {
    let mut json = json!({
        "version": VERSION,
        "thread": found.screw.thread.to_string(),
        "torque_ncm": found.torque_nmm / 10.0,
    });
    if found.is_range() {
        json["friction_low"] = found.low_friction.into();
        json["friction_high"] = found.high_friction.into();
        json["preload_low_n"] = found.band.low_n.into();
        json["preload_high_n"] = found.band.high_n.into();
    } else {
        json["friction"] = found.low_friction.into();
        json["preload_n"] = found.band.low_n.into();
    }
    json
}

/// The answer of `calc tightening`.
pub fn tightening(found: &Tightening) -> Json {
    json!({
        "version": VERSION,
        "thread": found.thread.to_string(),
        "friction": found.friction,
        "yield_mpa": found.yield_mpa,
        "form": found.form.word(),
        "preload_n": found.preload_n,
        "share_of_yield": found.share_of_yield,
        "tension_mpa": found.stress.tension_mpa,
        "shear_mpa": found.stress.shear_mpa,
        "equivalent_mpa": found.stress.equivalent_mpa,
    })
}

/// The answer of `calc shut`: as typed, then the two ends of the range.
pub fn shut(frame: &Frame, typed: &[Effort], range: &Shut) -> Json {
    let mut json = json!({ "version": VERSION });
    for (key, value) in efforts(typed).as_object().into_iter().flatten() {
        json[key] = value.clone();
    }
    for (node, of) in frame.nodes.iter().zip(json["nodes"].as_array_mut().into_iter().flatten()) {
        of["hold"] = node.hold.word().into();
    }
    json["pinned"] = efforts(&range.pinned);
    json["flush"] = efforts(&range.flush);
    json["modulus_gpa"] = frame.modulus_gpa.into();
    json["poisson"] = frame.poisson.into();
    json["second_moment_mm4"] = frame.section.second_moment_mm4().into();
    json["torsion_constant_mm4"] = frame.section.torsion_constant_mm4().into();
    json
}

fn efforts(all: &[Effort]) -> Json {
    let one = |e: &Effort| {
        json!({
            "force_n": e.force_n, "moment_nmm": e.moment_nmm(),
            "moment_x_nmm": e.moment_x_nmm, "moment_y_nmm": e.moment_y_nmm,
        })
    };
    let most = most(all);
    json!({
        "pull_n": most.pull_n, "moment_nmm": most.moment_nmm,
        "nodes": all.iter().map(one).collect::<Vec<_>>(),
    })
}
