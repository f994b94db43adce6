//! An import that changes numbers: either the article changed or the number was wrong, and which lots and mouths it is.
//!
//! When the article changed, what came before keeps its numbers. When a number was wrong, the parts are what they always
//! were, and the record is put right wherever it has them. Unsaid, the article changed: then nothing is called the same.

use std::fmt::Display;

use super::PartError;
use crate::case::Fitted;
use crate::catalog::{Part, Port, Side, Value};
use crate::desk::Refused;
use crate::record::{BuiltOn, Mouth, View, ViewError, WrongNumbers, fits_a_row};
use crate::units::{CaseNumber, Lot, PartCode, Tooth};

/// Of which parts somebody says that the number was wrong.
#[derive(Debug, Clone, Default)]
#[allow(missing_docs)]
pub struct NumberWasWrong {
    /// Of every part whose numbers change.
    pub all: bool,
    pub parts: Vec<PartCode>,
}

/// A part whose numbers an import changes.
#[derive(Debug, Clone, PartialEq, Eq)]
#[allow(missing_docs)]
pub struct Changed {
    pub was: Part,
    pub now: Part,
    /// The number was wrong; else the article changed.
    pub wrong: bool,
    /// Lots with units under this roof.
    pub lots: Vec<Lot>,
    /// Every lot with those numbers, used up or not.
    pub all_lots: Vec<Lot>,
    pub mouths: Vec<Mouth>,
}

impl Changed {
    /// As the record keeps it; refused where a row would become too long.
    pub fn put_right(&self, view: &View) -> Result<WrongNumbers, Refused<PartError>> {
        for mouth in &self.mouths {
            for fitted in view.assembly(&mouth.case, mouth.site)? {
                let right = Fitted { part: self.now.clone(), ..fitted };
                if right.position == mouth.position && !fits_a_row(&right) {
                    return Err(PartError::TooLongThere(mouth.case.clone(), mouth.site).into());
                }
            }
        }
        let (now, lots, mouths) = (self.now.clone(), self.all_lots.clone(), self.mouths.clone());
        Ok(WrongNumbers { now, lots, mouths })
    }

    /// Which numbers, as they were and as they are.
    pub fn numbers(&self) -> Vec<String> {
        differences(&self.was, &self.now)
    }
}

/// The parts whose numbers change, with the lots and mouths that have them as they were.
///
/// `pairs` are the parts as they were in force and as the files have them.
pub fn changed(
    view: &View,
    pairs: &[(Part, Part)],
    said: &NumberWasWrong,
    parts: &[Part],
) -> Result<Vec<Changed>, Refused<PartError>> {
    let mut all: Vec<Changed> = Vec::new();
    for (was, now) in pairs {
        let wrong = said.all || said.parts.contains(&now.code);
        all.push(of(was.clone(), now.clone(), wrong));
    }
    // Somebody finds out later: then it is the numbers before today's.
    for code in said.parts.iter().filter(|code| !pairs.iter().any(|(_, now)| now.code == **code)) {
        let now = parts.iter().find(|p| p.code == *code);
        let before = view.earlier(code)?.pop();
        let (Some(now), Some((_, was))) = (now, before) else {
            return Err(PartError::NothingWrong(code.clone()).into());
        };
        all.push(of(was, now.clone(), true));
    }
    for one in &mut all {
        lots_of(view, one)?;
    }
    if !all.is_empty() {
        mouths_of(view, &mut all)?;
    }
    Ok(all)
}

fn of(was: Part, now: Part, wrong: bool) -> Changed {
    Changed { was, now, wrong, lots: Vec::new(), all_lots: Vec::new(), mouths: Vec::new() }
}

fn lots_of(view: &View, one: &mut Changed) -> Result<(), ViewError> {
    let code = &one.now.code;
    let in_force = view.part(code)?;
    let earlier = view.earlier(code)?;
    for line in view.stock_of(code)?.into_iter().filter(|l| l.edition != 0) {
        let numbers = earlier.iter().find(|(n, _)| *n == line.edition).map(|(_, part)| part);
        if !numbers.or(in_force.as_ref()).is_some_and(|part| part.is_same_as(&one.was)) {
            continue;
        }
        if line.quantity > 0 && line.place.is_under_roof() && !one.lots.contains(&line.lot) {
            one.lots.push(line.lot.clone());
        }
        if !one.all_lots.contains(&line.lot) {
            one.all_lots.push(line.lot);
        }
    }
    Ok(())
}

fn mouths_of(view: &View, all: &mut [Changed]) -> Result<(), ViewError> {
    for case in view.cases()? {
        for site in &case.sites {
            let assembly = view.assembly(&case.number, *site)?;
            let built_on = view.built_on(&case.number, *site)?;
            for one in all.iter_mut() {
                mouths_at(&case.number, *site, &assembly, &built_on, one);
            }
        }
    }
    Ok(())
}

fn mouths_at(case: &CaseNumber, site: Tooth, assembly: &[Fitted], built_on: &[BuiltOn], one: &mut Changed) {
    let is_it = |part: &Part| part.is_same_as(&one.was);
    let mut positions: Vec<_> = assembly.iter().filter(|f| is_it(&f.part)).map(|f| f.position).collect();
    positions.extend(built_on.iter().filter(|b| is_it(&b.part)).map(|b| b.position));
    positions.sort_unstable();
    positions.dedup();
    for position in positions {
        let stands = assembly.iter().any(|f| f.position == position && is_it(&f.part));
        let built_on = built_on.iter().any(|b| b.position == position && is_it(&b.part));
        one.mouths.push(Mouth { case: case.clone(), site, position, stands, built_on });
    }
}

/// A number as it was and as it is, where it differs.
fn one<T: PartialEq + Display>(out: &mut Vec<String>, what: &str, was: &Value<T>, now: &Value<T>) {
    if was != now {
        out.push(format!("{what}: {was}, now {now}"));
    }
}

/// The numbers that decide and differ.
fn differences(was: &Part, now: &Part) -> Vec<String> {
    let mut out = Vec::new();
    if was.kind != now.kind {
        out.push(format!("kind: {}, now {}", was.kind, now.kind));
    }
    if was.system != now.system {
        out.push(format!("system: {}, now {}", was.system, now.system));
    }
    ports(&mut out, was, now);
    one(&mut out, "seat height", &was.seat_height, &now.seat_height);
    one(&mut out, "collar at the short side", &was.collar_short, &now.collar_short);
    one(&mut out, "collar at the long side", &was.collar_long, &now.collar_long);
    one(&mut out, "angle", &was.angle, &now.angle);
    one(&mut out, "sideways offset", &was.offset, &now.offset);
    one(&mut out, "widest diameter", &was.widest, &now.widest);
    one(&mut out, "neck", &was.neck, &now.neck);
    one(&mut out, "length under the head", &was.under_head, &now.under_head);
    one(&mut out, "shank", &was.shank, &now.shank);
    one(&mut out, "head diameter", &was.head_diameter, &now.head_diameter);
    one(&mut out, "head height", &was.head_height, &now.head_height);
    one(&mut out, "drive", &was.drive, &now.drive);
    one(&mut out, "driver length", &was.driver_length, &now.driver_length);
    one(&mut out, "material", &was.material, &now.material);
    one(&mut out, "length tolerance", &was.length_tolerance, &now.length_tolerance);
    if was.angled_channel != now.angled_channel {
        out.push("whether it is made for an angled channel".to_owned());
    }
    if was.torque != now.torque {
        out.push(format!("torque: {}, now {}", was.torque, now.torque));
    }
    // Whatever else there is to decide: a change is never silent.
    if out.is_empty() {
        out.push("numbers that decide".to_owned());
    }
    out
}

fn ports(out: &mut Vec<String>, was: &Part, now: &Part) {
    let same = |a: &Port, b: &Port| (a.side(), a.words()) == (b.side(), b.words());
    let name =
        |p: &Port| format!("{} {}", if p.side() == Side::Below { "lower" } else { "upper" }, p.words());
    for port in &was.ports {
        if !now.ports.iter().any(|p| same(p, port)) {
            out.push(format!("{}: gone", name(port)));
        }
    }
    for port in &now.ports {
        let what = |number: &str| format!("{}, {number}", name(port));
        match (was.ports.iter().find(|p| same(p, port)), port) {
            (None, _) => out.push(format!("{}: new", name(port))),
            (Some(before), port) if before == port => {}
            (Some(Port::Thread(a)), Port::Thread(b)) => {
                one(out, &what("diameter"), &a.diameter, &b.diameter);
                one(out, &what("pitch"), &a.pitch, &b.pitch);
                one(out, &what("length"), &a.length, &b.length);
            }
            (Some(Port::HeadSeat(a)), Port::HeadSeat(b)) => {
                one(out, &what("form"), &a.form, &b.form);
                one(out, &what("mean diameter"), &a.mean_diameter, &b.mean_diameter);
                one(out, &what("bore"), &a.bore, &b.bore);
            }
            (Some(Port::Seat(a)), Port::Seat(b)) => {
                if a.interface != b.interface {
                    out.push(format!("{}: {}, now {}", what("interface"), a.interface, b.interface));
                }
                one(out, &what("offers"), &a.offers, &b.offers);
                one(out, &what("accepts"), &a.accepts, &b.accepts);
                one(out, &what("outer diameter"), &a.outer, &b.outer);
                one(out, &what("inner diameter"), &a.inner, &b.inner);
                if (a.engaging, &a.index, &a.variant) != (b.engaging, &b.index, &b.variant) {
                    out.push(what("engaging or index"));
                }
            }
            (Some(_), _) => out.push(format!("{}: other numbers", name(port))),
        }
    }
}
