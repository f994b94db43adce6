//! What breaks next.

use serde_json::{Value as Json, json};

use super::{VERSION, crown, teeth, tooth};
use crate::desk::CAUTION;
use crate::mechanics::margin::Factor;
use crate::weakest::{LoadCase, Order, RANKED_AT, ScrewJoint, Shift, Site, Weakest, Without};

/// The answer; factors are multiples of the bite at low, middle and high friction, null where it is never reached.
pub fn weakest(w: &Weakest, as_of: u64) -> Json {
    json!({
        "version": VERSION, "as_of": as_of, "made_up": w.made_up, "case": w.case.as_str(),
        "restoration": w.span, "sites": teeth(&w.restoration.sites),
        "answer": w.breaks.first.words(), "friction": RANKED_AT,
        "breaks": order(w, &w.breaks), "opens": order(w, &w.opens),
        "parts": w.sites.iter().map(site).collect::<Vec<_>>(),
        "without": w.without.as_ref().map(|l| without(w, l)),
        "bites": w.biting.bites.iter().map(bite).collect::<Vec<_>>(),
        "crown_height_mm": w.biting.height_mm, "crown_height_from": w.crown_from.words(),
        "crown_height_from_platform_mm": crown::by_site(&w.from_platform),
        "places": if w.biting.places.is_assumed() { "assumed" } else { "measured" },
        "not_modelled": w.not_modelled, "careful": w.careful, "assumed": w.assumed, "caution": CAUTION,
    })
}

fn order(w: &Weakest, o: &Order) -> Json {
    let classes: Vec<&str> = o.first.classes().iter().map(|c| c.words()).collect();
    let rows = o.rows.iter().map(|l| {
        json!({
            "part": l.class.words(), "code": l.code.as_str(), "site": tooth(l.site), "factor": l.at,
            "ruled_by": l.ruled_by.and_then(|n| w.biting.bites.get(n)).map(LoadCase::words),
        })
    });
    json!({
        "first": if let [one] = classes[..] { Some(one) } else { None },
        "close_between": if classes.len() > 1 { classes } else { Vec::new() },
        "order": rows.collect::<Vec<_>>(), "neck_over_weakest_screw": o.reserve(),
    })
}

fn factor(f: Option<Factor>) -> Json {
    json!(f.map(|f| f.at))
}

fn site(s: &Site) -> Json {
    let parts = s.parts.iter().flatten().map(|(p, m)| {
        json!({
            "part": p.class.words(), "position": p.position.slug(), "code": p.code.as_str(), "below_seat_mm": p.below_mm,
            "breaks": factor(m.and_then(|m| m.breaks)), "opens": factor(m.and_then(|m| m.opens)),
            "not_modelled": p.member.as_ref().err(), "screw": p.screw.as_ref().map(screw),
        })
    });
    json!({ "site": tooth(s.site), "parts": parts.collect::<Vec<_>>(), "not_modelled": s.parts.as_ref().err() })
}

fn screw(s: &ScrewJoint) -> Json {
    let band = s.preload();
    json!({
        "torque_ncm": s.torque.number(),
        "disagree": s.disagree.as_ref().map(|d| json!({
            "own_ncm": d.own.number(), "partner": d.partner.as_str(), "partner_ncm": d.other.number(),
        })),
        "preload_low_n": band.map(|b| b.low_n), "preload_high_n": band.map(|b| b.high_n),
        "share_of_yield": s.shares_of_yield(),
    })
}

fn without(w: &Weakest, l: &Without) -> Json {
    json!({
        "site": tooth(l.site), "breaks": order(w, &l.breaks), "opens": order(w, &l.opens),
        "shifts": l.shifts.iter().map(shift).collect::<Vec<_>>(),
    })
}

/// Two values each, before and with the joint out.
fn shift(s: &Shift) -> Json {
    json!({
        "site": tooth(s.site), "sideways_n": s.sideways, "pulled_n": s.pulled, "pressed_n": s.pressed,
        "words": s.in_words(),
    })
}

fn bite(b: &LoadCase) -> Json {
    json!({
        "site": tooth(b.tooth), "force_n": b.force_n, "angle_deg": b.angle_deg, "side": b.side,
        "x_mm": b.load.at_mm[0], "y_mm": b.load.at_mm[1],
    })
}
