//! Answers as JSON: a stable shape, version 1, with the unit in every key that needs one.

mod acts;
mod crown;
mod fit;
mod held;
mod loads;
mod measured;
mod mechanics;
mod scan;
mod seating;
mod sharing;
mod sheets;
mod standing;
mod traced;
mod weakest;

use serde_json::{Value as Json, json};

use crate::bench::candidate::Candidate;
use crate::bench::swap::{Swap, SwapSet};
use crate::case::{Event, Fitted, LoadSigns, Restoration, Retention, Sites, TorqueRecord};
use crate::cases::entering::CaseShown;
use crate::catalog::{Interface, Part, Port, Position, SeatForm, TorqueSpec, Value, Weight};
use crate::chair::visit::{Missing, NotThere, ToolRow, TrayRow, Visit};
use crate::desk::CAUTION;
use crate::maintenance::parts::{Changed, PartHoles};
use crate::matching::Finding;
use crate::stock::StockLine;
use crate::units::{Length, Tooth, visible};
pub use acts::countered;
pub use crown::bridge_entered;
pub use fit::fit;
pub use held::{act, compared, holds, low, moved, stock};
pub use loads::{bench_load, cracked_section, joint, screw_shares};
pub use measured::measured;
pub use mechanics::{preload, shut, thread, tightening};
pub use scan::{found, scanned};
pub use seating::seating;
pub use sharing::{answered, shared, taken};
pub use sheets::{bags, complaints};
pub use standing::due;
pub use traced::{case_trace, lots, not_complete};
pub use weakest::weakest;

/// The version of every shape here.
pub const VERSION: u32 = 1;

fn tooth(t: Tooth) -> String {
    t.iso().to_string()
}

fn teeth(all: &[Tooth]) -> Vec<String> {
    all.iter().map(|t| tooth(*t)).collect()
}

fn mm(v: &Value<Length>) -> Json {
    match v {
        Value::Known(l) => json!(l.number()),
        Value::Unknown => Json::Null,
        Value::NotApplicable => json!("n/a"),
    }
}

fn shown<T: ToString>(v: &Value<T>) -> Json {
    match v {
        Value::Known(v) => json!(v.to_string()),
        Value::Unknown => Json::Null,
        Value::NotApplicable => json!("n/a"),
    }
}

fn torque(t: &TorqueSpec) -> Json {
    t.stated().map_or(Json::Null, |t| json!(t.number()))
}

fn findings(all: &[Finding]) -> Json {
    let one = |f: &Finding| {
        json!({
            "rule": f.rule, "level": f.level, "fitted": f.fitted, "candidate": f.candidate,
            "effect": f.effect, "source": f.source,
        })
    };
    all.iter().map(one).collect()
}

/// A torque that was set: its number where one was measured, and its words.
fn torque_record(t: &TorqueRecord) -> (Option<f64>, String) {
    let number = if let TorqueRecord::Measured(t) = t { Some(t.number()) } else { None };
    (number, t.to_string())
}

fn fitted(f: &Fitted) -> Json {
    let (torque_ncm, torque) = torque_record(&f.torque);
    json!({
        "position": f.position.slug(), "part": f.part.code.as_str(), "description": f.part.description.as_str(),
        "lot": f.lot.as_ref().map(|l| l.as_str()), "on": f.on.map(|d| d.to_string()),
        "torque_ncm": torque_ncm, "torque": torque, "lean": shown(&f.lean), "sure": f.sure.word(),
        "label": f.label.as_ref().map(|l| visible(l.as_raw())),
        "driver": f.driver.as_ref().map(|d| d.as_str()),
        "made": f.part.made.as_ref().map(|m| json!({
            "laboratory": m.laboratory.as_str(), "job": m.job.as_str(), "file": shown(&m.file), "days": shown(&m.days),
        })),
    })
}

fn tray_row(r: &TrayRow) -> Json {
    json!({
        "use": r.usage.word(), "what_for": "put back", "position": r.position.slug(), "sites": teeth(&r.sites),
        "part": r.part.code.as_str(), "description": r.part.description.as_str(),
        "verdict": r.judgement.verdict.words(), "place": r.pick.place.as_str(), "lot": r.pick.lot.as_str(),
        "expiry": r.pick.expiry.code(), "quantity": r.quantity, "here": r.pick.here,
        "torque_ncm": torque(&r.torque.rules), "torque": r.torque.to_string(),
        "sterile": r.part.sterile.words(), "findings": findings(&r.judgement.findings),
    })
}

/// What was entered by guess.
fn guessed(all: &[(Tooth, Position)]) -> Json {
    all.iter().map(|(t, p)| json!({ "site": tooth(*t), "position": p.slug() })).collect()
}

fn house(lines: &[StockLine]) -> Json {
    let one = |l: &StockLine| json!({ "place": l.place.to_string(), "lot": l.lot.as_str(), "quantity": l.quantity, "expiry": l.expiry.code() });
    lines.iter().map(one).collect()
}

fn candidate(c: &Candidate) -> Json {
    json!({
        "part": c.part.code.as_str(), "description": c.part.description.as_str(),
        "verdict": c.judgement.verdict.words(), "findings": findings(&c.judgement.findings),
        "torque_ncm": torque(&c.torque.rules), "torque": c.torque.to_string(), "in_house": house(&c.in_house),
    })
}

/// The same with what of it is set aside; a visit takes that off what lies in the house.
fn candidate_held(c: &Candidate) -> Json {
    let mut one = candidate(c);
    one["held"] = holds(&c.held);
    one
}

/// A tool or a cap: the keys of a tray row; a tool has no verdict.
fn tool_row(r: &ToolRow) -> Json {
    let pick = r.pick.as_ref();
    json!({
        "use": r.usage.word(), "what_for": r.what_for.to_string(), "position": null, "sites": teeth(&r.sites),
        "part": r.part.as_ref().map(|p| p.code.as_str()), "description": r.description,
        "verdict": r.judgement.as_ref().map(|j| j.verdict.words()),
        "place": pick.map(|p| p.place.as_str()), "lot": pick.map(|p| p.lot.as_str()),
        "expiry": pick.map(|p| p.expiry.code()), "quantity": r.quantity, "here": pick.map_or(0, |p| p.here),
        "torque_ncm": r.torque().map_or(Json::Null, torque), "torque": r.torque().map(|t| t.to_string()),
        "sterile": r.sterile().words(), "findings": r.judgement.as_ref().map_or_else(|| json!([]), |j| findings(&j.findings)),
    })
}

/// Parts of which something is not known, as `part check` and `part import` say them.
pub fn holes(all: &[PartHoles]) -> Json {
    let names = |p: &PartHoles, weight| -> Vec<String> {
        p.holes.iter().filter(|h| h.weight == weight).map(ToString::to_string).collect()
    };
    let one = |p: &PartHoles| {
        json!({
            "part": p.part.as_str(), "must": names(p, Weight::Must), "change": names(p, Weight::Change),
        })
    };
    all.iter().map(one).collect()
}

/// A part is not there.
pub fn not_there(n: &NotThere, as_of: u64) -> Json {
    json!({
        "version": VERSION, "as_of": as_of, "made_up": n.made_up, "case": n.case.as_str(), "site": tooth(n.site),
        "site_words": n.site.words(), "broken": n.broken.word(), "answer": n.sentence, "tray": [],
        "cautions": [CAUTION],
    })
}

/// The answer to a call.
pub fn visit(v: &Visit, as_of: u64) -> Json {
    let missing = |m: &Missing| {
        json!({
            "sites": teeth(&m.sites), "served": teeth(&m.served), "position": m.position.slug(),
            "fitted": m.fitted.code.as_str(), "nearest": m.nearest.iter().map(candidate).collect::<Json>(),
            "not_confirmed": m.doubt, "held_for_others": m.held.iter().map(held::standing).collect::<Json>(),
        })
    };
    let tools = |rows: &[ToolRow]| rows.iter().map(tool_row).collect::<Vec<Json>>();
    let rows =
        |parts: &[TrayRow], more: &[ToolRow]| parts.iter().map(tray_row).chain(tools(more)).collect::<Json>();
    json!({
        "version": VERSION, "as_of": as_of, "made_up": v.mouth.made_up,
        "case": v.mouth.case.as_str(), "site": tooth(v.asked.site), "site_words": v.asked.site.words(), "span": v.mouth.span,
        "broken": v.asked.broken.word(), "left": v.asked.left.word(), "ends": v.call.ends.word(),
        "visit": v.mouth.open.as_ref().map(|o| json!({
            "entry": o.entry, "on": o.on.to_string(), "booked": o.booked, "changed": v.head.changed,
        })),
        "causes": v.head.causes.iter().map(|c| json!({
            "broken": c.broken.word(), "words": c.report, "tells": c.tells, "covered": c.covered, "source": c.source,
        })).collect::<Json>(),
        "careful": v.mouth.strays.iter().map(|x| json!({
            "site": tooth(x.site), "position": x.position.slug(), "on_record": x.now.as_str(),
            "built_on": x.built_on.as_str(), "verdict": x.verdict.words(), "why": x.why,
        })).collect::<Json>(),
        "guessed": guessed(&v.mouth.guessed),
        "empty": v.mouth.empty.iter().map(|e| json!({
            "site": tooth(e.site), "position": e.position.slug(), "words": e.words(),
        })).collect::<Json>(),
        "restoration_not_on_record": v.mouth.bridge_not_on_record,
        "candidates": v.tray.possible.iter().map(|p| json!({
            "kind": p.part.kind.slug(), "part": p.part.code.as_str(), "description": p.part.description.as_str(),
            "place": p.pick.place.as_str(), "lot": p.pick.lot.as_str(), "here": p.pick.here,
        })).collect::<Json>(),
        "tighten_again": v.tray.again.iter().map(|(t, p, asked)| json!({
            "site": tooth(*t), "part": p.code.as_str(), "torque_ncm": torque(&asked.rules), "torque": asked.to_string(),
        })).collect::<Json>(),
        "keep_apart": v.tray.keep_apart.iter().map(|m| json!({
            "position": m.position.slug(), "part": m.part.code.as_str(),
            "lots": m.lots.iter().map(|(lot, sites)| json!({ "lot": lot.as_str(), "sites": teeth(sites) })).collect::<Json>(),
        })).collect::<Json>(),
        "holds_left_over": v.tray.holds_left.iter().map(|(held, units)| {
            let mut one = held::standing(held);
            one["left_over"] = (*units).into();
            one
        }).collect::<Json>(),
        "put_back": v.way.put_back,
        "next_step": v.step_up.words,
        "if_bridge_cannot_go_back_words": v.otherwise.words,
        "to_laboratory": v.otherwise.to_laboratory,
        // The thirteen parts of the answer, in the order in which they are needed.
        "answer": v.head.answer.join("\n"),
        "before": v.way.before,
        "fitted": v.mouth.fitted.iter().map(|f| fitted(&f.fitted)).collect::<Json>(),
        "undo": v.way.undo.iter().map(|u| json!({
            "sites": teeth(&u.sites), "what": u.what, "driver": u.driver,
        })).collect::<Json>(),
        "fragment": v.way.fragment,
        "tray": rows(&[&v.tray.rows[..], &v.tray.candidates].concat(), &v.tools.rows),
        "stop_rule": v.way.stop_rule,
        "if_fragment_stays": rows(&v.step_up.rows, &v.step_up.tools),
        "if_bridge_cannot_go_back": tools(&v.otherwise.tools),
        "not_in_house": v.tray.missing.iter().map(missing).collect::<Json>(),
        "rest_of_bridge": v.otherwise.rest_of_bridge,
        "after": v.after.steps,
        "cautions": v.after.cautions,
    })
}

/// The answer to a swap question.
pub fn swap(s: &Swap, as_of: u64) -> Json {
    json!({
        "version": VERSION, "as_of": as_of, "case": s.case.as_str(), "site": tooth(s.site),
        "position": s.position.slug(), "fitted": fitted(&s.fitted), "guessed": guessed(&s.guessed),
        "stands_there": s.stands_there.as_ref().map(|c| c.as_str()), "empty": s.empty.as_ref().map(|e| e.words()),
        "stands_on": s.stands_on, "restoration_not_on_record": s.restoration_not_on_record,
        "laboratory_work": s.laboratory_work, "to_laboratory": s.to_laboratory,
        "candidates": s.candidates.iter().map(candidate_held).collect::<Json>(),
        "not_shown": s.not_shown,
        "cautions": [CAUTION],
    })
}

/// The answer for a set of swaps under one bridge.
pub fn swap_set(s: &SwapSet, as_of: u64) -> Json {
    json!({
        "version": VERSION, "as_of": as_of, "case": s.case.as_str(), "position": s.position.slug(), "span": s.span,
        "guessed": guessed(&s.guessed), "careful": s.careful,
        "set": s.swaps.iter().map(|(site, f, c)| json!({
            "site": tooth(*site), "fitted": fitted(f), "candidate": candidate_held(c),
        })).collect::<Json>(),
        "cautions": [CAUTION],
    })
}

fn load_signs(load: &LoadSigns) -> Json {
    json!({
        "grinding": load.grinding.word(), "signs": load.signs.as_ref().map(|n| n.as_str()),
        "splint": load.splint.word(), "against": load.against.as_ref().map(|n| n.as_str()),
    })
}

/// A case.
pub fn case(c: &CaseShown, as_of: u64) -> Json {
    let sites: Sites = c.sites.iter().cloned().collect();
    let mut case = json!({
        "version": VERSION, "as_of": as_of, "case": c.head.number.as_str(), "made_up": c.head.made_up,
        "load": load_signs(&c.head.load),
        "sites": c.sites.iter().map(|(t, assembly)| json!({
            "site": tooth(*t), "site_words": t.words(),
            "measured": measured::place(&c.head, &c.measurings, *t),
            "fitted": assembly.iter().map(fitted).collect::<Json>(),
        })).collect::<Json>(),
        "restorations": c.restorations.iter().map(|r| {
            let mut one = restoration(r);
            crown::add_from(&mut one, r, &sites);
            measured::add_places(&mut one, &c.head, r);
            one
        }).collect::<Json>(),
        "events": c.events.iter().map(event).collect::<Json>(),
    });
    standing::add_state(&mut case, &c.state, &c.kept);
    sharing::add_shares(&mut case, c.origin.as_ref(), &c.confirmed);
    case
}

fn restoration(r: &Restoration) -> Json {
    let (cement, axis) = match &r.retention {
        Retention::Cemented { cement, screw_axis } => (shown(cement), shown(screw_axis)),
        _ => (json!("n/a"), json!("n/a")),
    };
    json!({
        "span": r.span(), "sites": teeth(&r.sites), "pontics": teeth(&r.pontics), "retention": r.retention.to_string(),
        "cement": cement, "screw_axis": axis, "material": shown(&r.material), "facing": shown(&r.facing),
        "connector_height_mm": mm(&r.connector_height), "connector_width_mm": mm(&r.connector_width),
        "cantilever_right_teeth": r.cantilever_right, "cantilever_left_teeth": r.cantilever_left,
        "crown_height_mm": mm(&r.crown_height), "shade": shown(&r.shade), "mould": shown(&r.mould),
        "laboratory": shown(&r.laboratory), "job": shown(&r.job),
    })
}

fn event(e: &Event) -> Json {
    json!({
        "on": e.on.to_string(), "site": e.tooth.map(tooth), "position": e.position.map(|p| p.slug()),
        "what": e.what.word(), "note": e.note.as_ref().map(|n| n.as_str()), "kept": e.kept.as_ref().map(|n| n.as_str()),
    })
}

/// A part, every number with its unit.
pub fn part(p: &Part) -> Json {
    let port = |port: &Port| match port {
        Port::Seat(s) => json!({
            "kind": "seat", "side": s.side, "interface": s.interface.as_str(), "offers": shown(&s.offers),
            "accepts": shown(&s.accepts), "outer_mm": mm(&s.outer), "inner_mm": mm(&s.inner),
            "engaging": s.engaging, "index": s.index, "variant": s.variant,
        }),
        Port::Thread(t) => json!({
            "kind": "thread", "side": t.side, "diameter_mm": mm(&t.diameter), "pitch_mm": mm(&t.pitch),
            "length_mm": mm(&t.length),
        }),
        Port::HeadSeat(h) => json!({
            "kind": "head seat", "side": h.side,
            "form": match h.form { Value::Known(SeatForm::Flat) => json!("flat"), Value::Known(SeatForm::Cone(_)) => json!("cone"), _ => Json::Null },
            "half_angle_deg": match h.form { Value::Known(SeatForm::Cone(a)) => json!(a.number()), _ => Json::Null },
            "mean_diameter_mm": mm(&h.mean_diameter), "bore_mm": mm(&h.bore),
        }),
    };
    json!({
        "code": p.code.as_str(), "kind": p.kind.slug(), "system": p.system.as_str(), "description": p.description.as_str(),
        "ports": p.ports.iter().map(port).collect::<Json>(),
        "seat_height_mm": mm(&p.seat_height), "collar_short_mm": mm(&p.collar_short), "collar_long_mm": mm(&p.collar_long),
        "angle_deg": match p.angle { Value::Known(a) => json!(a.number()), Value::Unknown => Json::Null, Value::NotApplicable => json!("n/a") },
        "offset_mm": mm(&p.offset), "widest_mm": mm(&p.widest), "neck_mm": mm(&p.neck),
        "under_head_mm": mm(&p.under_head), "shank_mm": mm(&p.shank), "head_diameter_mm": mm(&p.head_diameter),
        "head_height_mm": mm(&p.head_height), "angled_channel": p.angled_channel, "drive": shown(&p.drive),
        "driver_length_mm": mm(&p.driver_length), "material": shown(&p.material),
        "torque_ncm": torque(&p.torque), "torque": p.torque.to_string(),
        "length_tolerance_mm": mm(&p.length_tolerance), "sterile": p.sterile, "use": p.reuse, "pack": shown(&p.pack),
        "gtin": shown(&p.gtin), "hibc": shown(&p.hibc), "replaced_by": p.replaced_by.as_ref().map(|c| c.as_str()),
        "belongs_to": p.belongs_to.iter().map(|c| c.as_str()).collect::<Vec<_>>(), "source": p.source.as_str(),
        "maker": shown(&p.maker),
    })
}

/// The parts whose numbers an import changed.
pub fn changed_parts(all: &[Changed]) -> Json {
    let one = |c: &Changed| {
        json!({
            "part": c.now.code.as_str(), "numbers": c.numbers(),
            "taken_as": if c.wrong { "the number was wrong" } else { "the article changed" },
            "lots": c.lots.iter().map(|l| l.as_str()).collect::<Vec<_>>(),
            "patients": c.mouths.iter().map(|m| json!({
                "case": m.case.as_str(), "site": tooth(m.site), "position": m.position.slug(),
                "stands_there": m.stands, "built_on": m.built_on,
            })).collect::<Json>(),
        })
    };
    all.iter().map(one).collect()
}

/// An interface.
pub fn interface(i: &Interface) -> Json {
    json!({
        "interface": i.id.as_str(), "description": i.description.as_str(), "source": i.source.as_str(),
        "revisions": i.revisions.iter().map(|r| json!({
            "revision": r.revision.to_string(), "what": r.what.as_str(),
        })).collect::<Json>(),
    })
}
