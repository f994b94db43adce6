//! Holds a catalogue against itself: every mistake at once, with file and line.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use super::form::Mistake;
use super::read::Draft;
use super::{Interface, Mating, Part, Port, Side, System, Value, mating};
use crate::units::{InterfaceId, Length, PartCode, SystemId, did_you_mean};

/// How much wider a screw's head is than the bore under it, at least: our own margin, base units.
pub const HEAD_OVER_BORE: i32 = 300;

/// Checks `draft` as a whole catalogue and adds what is wrong to its mistakes.
///
/// The draft must hold everything the parts refer to: to add to an edition, put the edition's items in first.
pub fn check(draft: &mut Draft) {
    let mut found = Vec::new();
    let mut note =
        |file: &str, line: usize, what: String| found.push(Mistake { file: file.to_owned(), line, what });

    let mut systems: BTreeMap<&SystemId, &System> = BTreeMap::new();
    for (system, file, line) in &draft.systems {
        if systems.insert(&system.id, system).is_some() {
            note(file, *line, format!("system {} stands twice", system.id));
        }
    }
    let mut interfaces: BTreeMap<&InterfaceId, &Interface> = BTreeMap::new();
    for (interface, file, line) in &draft.interfaces {
        if interfaces.insert(&interface.id, interface).is_some() {
            note(file, *line, format!("interface {} stands twice", interface.id));
        }
    }
    let mut codes: HashMap<&PartCode, (&str, usize)> = HashMap::new();
    for (part, file, line) in &draft.parts {
        if let Some((first, at)) = codes.insert(&part.code, (file, *line)) {
            note(file, *line, format!("part {} stands twice: first in {first}, line {at}", part.code));
        }
    }
    let mut numbers: HashMap<String, &PartCode> = HashMap::new();
    // What is there already has its number; a mistake is one of what comes in.
    let (there, new): (Vec<_>, Vec<_>) = draft.parts.iter().partition(|(_, _, line)| *line == 0);
    for (part, file, line) in there.into_iter().chain(new) {
        for number in part.item_numbers() {
            if let Some(other) = numbers.insert(number.clone(), &part.code).filter(|o| **o != part.code) {
                note(file, *line, format!("part {}: {other} has the same item number {number}", part.code));
            }
        }
    }
    let carriers = Carriers::new(draft.parts.iter().map(|(part, ..)| part));
    for (part, file, line) in &draft.parts {
        // What is there already was taken in as it is; only what comes in is held to more.
        if *line > 0 {
            super::contradictions::of(part).into_iter().for_each(|what| note(file, *line, what));
        }
        if !systems.contains_key(&part.system) {
            let hint = did_you_mean(part.system.as_str(), systems.keys().map(|s| s.as_str()));
            note(file, *line, format!("part {}: system '{}' is not known.{hint}", part.code, part.system));
        }
        for other in part.replaced_by.iter().chain(&part.belongs_to) {
            if !codes.contains_key(other) {
                let hint = did_you_mean(other.as_str(), codes.keys().map(|c| c.as_str()));
                note(
                    file,
                    *line,
                    format!("part {} names part '{other}', which is not in the catalogue.{hint}", part.code),
                );
            }
        }
        for port in &part.ports {
            if let Some(what) = interface_mistake(port, &interfaces) {
                note(file, *line, format!("part {}: {what}", part.code));
            } else if !carriers.has_mate(port) {
                note(
                    file,
                    *line,
                    format!(
                        "part {}: its {} has no possible mate in the catalogue",
                        part.code,
                        port_words(port)
                    ),
                );
            }
        }
    }
    draft.mistakes.extend(found);
    draft.mistakes.sort();
    draft.mistakes.dedup();
}

fn port_words(port: &Port) -> String {
    let side = if port.side() == Side::Below { "lower" } else { "upper" };
    match port {
        Port::Seat(s) => format!("{side} seat on {}", s.interface),
        Port::Thread(t) => format!("{side} thread M{} x {}", t.diameter, t.pitch),
        Port::HeadSeat(h) => format!("{side} head seat, {}", h.form),
    }
}

fn interface_mistake(port: &Port, interfaces: &BTreeMap<&InterfaceId, &Interface>) -> Option<String> {
    let Port::Seat(seat) = port else { return None };
    let Some(interface) = interfaces.get(&seat.interface) else {
        let hint = did_you_mean(seat.interface.as_str(), interfaces.keys().map(|i| i.as_str()));
        return Some(format!("interface '{}' is not known.{hint}", seat.interface));
    };
    let revisions = || {
        let all: Vec<String> = interface.revisions.iter().map(|r| r.revision.to_string()).collect();
        all.join(", ")
    };
    if let Value::Known(offers) = &seat.offers
        && !interface.revisions.iter().any(|r| r.revision == *offers)
    {
        return Some(format!(
            "interface {} has no revision {offers}: it has {}",
            seat.interface,
            revisions()
        ));
    }
    if let Value::Known(accepts) = &seat.accepts
        && !interface.revisions.iter().any(|r| accepts.matches(&r.revision))
    {
        return Some(format!(
            "'{accepts}' accepts no revision of interface {}: it has {}",
            seat.interface,
            revisions()
        ));
    }
    None
}

/// Distinct ports of a catalogue by what decides mating, so that 100 000 parts are checked in one pass.
struct Carriers<'a> {
    seats: HashMap<&'a InterfaceId, Vec<&'a Port>>,
    threads: BTreeSet<(Side2, Option<Length>, Option<Length>)>,
    heads: Vec<&'a Port>,
}

/// A side that can be ordered.
type Side2 = bool;

impl<'a> Carriers<'a> {
    fn new(parts: impl Iterator<Item = &'a Part>) -> Self {
        let mut out = Self { seats: HashMap::new(), threads: BTreeSet::new(), heads: Vec::new() };
        for port in parts.flat_map(|p| &p.ports) {
            match port {
                Port::Seat(s) => {
                    let of_this = out.seats.entry(&s.interface).or_default();
                    let twin = |p: &&Port| matches!(p, Port::Seat(o) if decides(o) == decides(s));
                    if !of_this.iter().any(twin) {
                        of_this.push(port);
                    }
                }
                Port::Thread(t) => {
                    let key = (t.side == Side::Above, t.diameter.known().copied(), t.pitch.known().copied());
                    out.threads.insert(key);
                }
                Port::HeadSeat(_) => {
                    if !out.heads.contains(&port) {
                        out.heads.push(port);
                    }
                }
            }
        }
        out
    }

    fn has_mate(&self, port: &Port) -> bool {
        let possible = |other: &&Port| {
            let (lower, upper) = if port.side() == Side::Below { (*other, port) } else { (port, *other) };
            other.side() != port.side() && !matches!(mating(lower, upper), Mating::Not(_))
        };
        match port {
            Port::Seat(s) => self.seats.get(&s.interface).is_some_and(|all| all.iter().any(&possible)),
            Port::HeadSeat(_) => self.heads.iter().any(possible),
            Port::Thread(t) => match (t.diameter.known(), t.pitch.known()) {
                (Some(d), Some(p)) => self.threads.contains(&(t.side == Side::Below, Some(*d), Some(*p))),
                _ => true,
            },
        }
    }
}

type Decides<'a> =
    (Side, &'a Value<semver::Version>, &'a Value<semver::VersionReq>, &'a Value<bool>, &'a Value<u8>);

fn decides(s: &super::Seat) -> Decides<'_> {
    (s.side, &s.offers, &s.accepts, &s.engaging, &s.index)
}
