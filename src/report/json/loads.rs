//! What loads do to joints, screws and the bench, by themselves.

use serde_json::{Value as Json, json};

use super::VERSION;
use crate::mechanics::bench::BenchLoad;
use crate::mechanics::joint::Opening;
use crate::mechanics::section::Loaded;
use crate::mechanics::sharing::LoadShare;

/// The answer of `calc joint`; with a load `opens_at`, null where it never opens.
pub fn joint(found: &Opening) -> Json {
    let mut json = json!({
        "version": VERSION,
        "outer_mm": found.seat.outer_mm(),
        "inner_mm": found.seat.inner_mm(),
        "clamp_n": found.clamp_n,
        "kern_mm": found.seat.kern_mm(),
        "opening_nmm": found.opening_nmm,
        "tipping_nmm": found.tipping_nmm,
    });
    if let Some(load) = &found.load {
        json["core_mm"] = load.core_mm.into();
        json["moment_nmm"] = load.moment_nmm.into();
        json["axial_n"] = load.axial_n.into();
        json["screw_share"] = load.share.into();
        json["opens_at"] = load.multiple.into();
    }
    json
}

/// The answer of `calc section`; with a limit `breaks_at`, null where it never gets there.
pub fn cracked_section(found: &Loaded) -> Json {
    let mut json = json!({
        "version": VERSION,
        "outer_mm": found.joint.seat().outer_mm(),
        "inner_mm": found.joint.seat().inner_mm(),
        "clamp_n": found.joint.clamp_n(),
        "core_mm": found.joint.core_mm(),
        "moment_nmm": found.moment_nmm,
        "axial_n": found.axial_n,
        "mean_mpa": found.bent.mean_mpa,
        "bending_mpa_per_mm": found.bent.bending_mpa_per_mm,
        "alternating_mpa": found.bent.alternating_mpa,
        "open": found.bent.open,
    });
    if let Some((limit_mpa, multiple)) = found.breaks {
        json["limit_mpa"] = limit_mpa.into();
        json["breaks_at"] = multiple.into();
    }
    json
}

/// The answer of `calc share`: forces in the order given, 0 for a screw that is out; `note` where there is one.
pub fn screw_shares(found: &LoadShare) -> Json {
    let mut json = json!({ "version": VERSION });
    if let Some((_, shares)) = &found.along {
        json["forces_n"] = json!(shares.forces_n);
        json["uncarried_nmm"] = shares.uncarried_nmm.into();
        if found.rho_mm > 0.0 {
            json["joint_moment_nmm"] = json!(shares.joint_moment_nmm);
        }
    }
    if let Some((_, shares)) = &found.across {
        let lengths: Vec<f64> = shares.forces_n.iter().map(|[x, y]| x.hypot(*y)).collect();
        json["sideways_n"] = json!(lengths);
        json["sideways_xy_n"] = json!(shares.forces_n);
        json["sideways_uncarried_nmm"] = shares.uncarried_nmm.into();
    }
    let notes = found.notes();
    if !notes.is_empty() {
        json["note"] = notes.join("; ").into();
    }
    json
}

/// The answer of `calc bench-load`.
pub fn bench_load(found: &BenchLoad) -> Json {
    json!({
        "version": VERSION,
        "force_n": found.force_n,
        "side_n": found.side_n,
        "axial_n": found.axial_n,
        "moment_nmm": found.moment_nmm,
        "platform_moment_nmm": found.platform_moment_nmm,
    })
}
