//! Whether the bridge still sits.

use jiff::civil::Date;
use serde_json::{Value as Json, json};

use super::{VERSION, candidate_held, guessed, teeth, tooth};
use crate::bench::fit::{Exchange, Fit, NO_PERMISSION, Seated, Shutting, SiteSeated, Strain};
use crate::desk::CAUTION;
use crate::fit::seating::{Gap, Rest};
use crate::fit::stack::Stack;

/// The answer; lengths in mm, gaps in µm, forces in N, moments in N·mm, angles in degrees.
pub fn fit(f: &Fit, today: Date, as_of: u64) -> Json {
    json!({
        "version": VERSION, "as_of": as_of, "on": today.to_string(), "made_up": f.made_up,
        "case": f.case.as_str(), "restoration": f.span, "sites": teeth(&f.restoration.sites),
        "answer": f.judged.verdict.words(), "because": f.judged.because, "careful": f.careful,
        "judged_by_um": f.judged.judged_by.map(um), "guessed": guessed(&f.guessed),
        "swaps": f.exchanges.iter().map(exchange).collect::<Vec<_>>(),
        "fit": f.seated.as_ref().map(|s| seated(f, s)),
        "bands": {
            "keeps_um": f.bands.keeps.base(), "doubtful_um": f.bands.doubtful.base(),
            "check_um": f.bands.check.base(), "because": f.bands.because.as_str(),
        },
        "assumed": f.judged.assumed, "caution": CAUTION,
    })
}

fn um(mm: f64) -> Json {
    json!(mm * 1000.0)
}

fn exchange(e: &Exchange) -> Json {
    let known = e.change.as_ref().and_then(|c| c.as_ref().ok());
    let missing = e.change.as_ref().and_then(|c| c.as_ref().err());
    json!({
        "site": tooth(e.site), "site_words": e.site.words(), "position": e.position.slug(),
        "fitted": e.fitted.part.code.as_str(), "candidate": candidate_held(&e.candidate),
        "height_change": known.map(|c| height(&c.height)),
        "rise_um": known.map(|c| c.moved.rise * 1000.0),
        "sideways_um": known.map(|c| c.moved.sideways * 1000.0),
        "tilt_deg": known.map(|c| c.moved.tilt.to_degrees()),
        "not_known": missing,
    })
}

fn height(s: &Stack) -> Json {
    json!({
        "nominal_mm": s.nominal, "worst_mm": s.worst, "statistical_mm": s.statistical,
    })
}

fn seated(f: &Fit, s: &Seated) -> Json {
    let [first, last] = s.ends();
    let (worst, end) = s.worst();
    json!({
        "places": if s.places.is_assumed() { "assumed" } else { "measured" },
        "places_lacking": teeth(&s.places.lacking),
        "worst_gap_um": um(worst.worst()), "worst_gap_site": tooth(worst.site),
        "worst_gap_screw": tooth(s.ends()[end]),
        "rest": rest(&s.rest),
        "one_screw_tests": [
            { "screw": tooth(first), "rest": rest(&s.tests[0]) },
            { "screw": tooth(last), "rest": rest(&s.tests[1]) },
        ],
        "sites": s.sites.iter().map(|one| site(f, one)).collect::<Vec<_>>(),
        "scatter": s.scatter.as_ref().map(|d| json!({
            "draws": d.draws, "seed": crate::fit::scatter::SEED, "median_um": um(d.median), "nineteen_in_twenty_um": um(d.most),
            "within_keeps": d.within[0], "within_doubtful": d.within[1], "within_check": d.within[2],
            "error_within_keeps": d.error(d.within[0]),
        })),
        "tolerance_not_known": s.no_tolerance,
        "shut_not_computed": s.no_strain, "shutting": s.shutting().map(Shutting::words), "no_permission": NO_PERMISSION,
    })
}

fn rest(r: &Rest) -> Json {
    json!({ "lift_um": um(r.lift), "slope": r.steepness(), "slope_x": r.slope[0], "slope_y": r.slope[1] })
}

fn gap(g: Gap) -> Json {
    json!({ "centre_gap_um": um(g.centre), "widest_gap_um": um(g.widest) })
}

fn site(f: &Fit, s: &SiteSeated) -> Json {
    let [low, high] = s.rocked();
    json!({
        "site": tooth(s.site), "x_mm": s.seat.at[0], "y_mm": s.seat.at[1], "seat_radius_mm": s.seat.radius,
        "rise_um": um(s.moved.rise), "sideways_um": um(s.moved.sideways), "tilt_deg": s.moved.tilt.to_degrees(),
        "tilt_gap_um": um(s.moved.tilt_gap(s.seat.radius)),
        "rest": gap(s.rest), "one_screw_tests": [gap(s.tests[0]), gap(s.tests[1])],
        "rocked_centre_um": [um(low), um(high)],
        "clamped_centre_um": [um(s.clamped[0]), um(s.clamped[1])],
        "shut": s.strain.as_ref().map(strain), "words": s.words(&f.bands),
    })
}

/// Two values each: seats that let the frame turn, seats that hold it flat.
fn strain(s: &Strain) -> Json {
    json!({
        "pull_n": s.pull, "moment_nmm": s.moment,
        "preload_low_n": s.preload.map(|b| b.low_n), "preload_high_n": s.preload.map(|b| b.high_n),
        "share_of_screw": s.share(),
    })
}
