//! The expectation for one question: the verdicts it may have, best and worst, with the reasons.

use std::sync::Arc;

use spareseat::catalog::{Lean, Part, Placed, Position, Value};
use spareseat::matching::{Judgement, Question, StandsOn, Verdict, judge};

use super::joints::{self, Others, Reason};
use super::rows::{
    ANY, AT_BEST_CHANGE, AT_MOST_CHANGE, CHANGE, MAY_NOT_GO_IN, NOTED, NOTHING, Need, Row, Span,
};
use super::sheet::{Cell, Sheet};
use super::table::Shape;
use super::vary::PORTS;

/// A question that owns its sheets.
#[derive(Debug, Clone)]
pub struct Ask {
    pub position: Position,
    /// Of the part as it is before anything is changed.
    pub shape: Shape,
    /// Of the candidate, the same way.
    pub other_shape: Shape,
    pub fitted: Sheet,
    pub candidate: Sheet,
    pub others: Vec<(Position, Sheet)>,
    pub lean: Value<Lean>,
    pub stands_on: StandsOn,
}

impl Ask {
    /// What the library says.
    pub fn judged(&self) -> Judgement {
        let (fitted, candidate) = (self.fitted.part(), self.candidate.part());
        let others: Vec<(Position, Arc<Part>)> = self.others.iter().map(|(at, s)| (*at, s.part())).collect();
        let placed: Vec<Placed<'_>> = others.iter().map(|(at, part)| (*at, &**part)).collect();
        judge(&Question {
            position: self.position,
            fitted: &fitted,
            lean: &self.lean,
            others: &placed,
            stands_on: self.stands_on,
            candidate: &candidate,
            verifications: &[],
        })
    }

    fn is_same_code(&self) -> bool {
        self.fitted.text("code") == self.candidate.text("code")
    }

    /// The same code with the same numbers, whatever the paper says.
    fn is_same_part(&self, rows: &[Row]) -> bool {
        let ports = [
            "seat below",
            "seat above",
            "thread below",
            "thread above",
            "head-seat below",
            "head-seat above",
        ];
        let as_many = |port: &&str| self.fitted.ports_of(port) == self.candidate.ports_of(port);
        let equal = |row: &Row| {
            let (f, c) = (self.fitted.cell(&row.at), self.candidate.cell(&row.at));
            // An old entry does not say who made the part; the code says that it is the same one.
            f == c || (row.at == "maker" && (f == Cell::Unknown || c == Cell::Unknown))
        };
        let decides = |r: &&Row| !matches!(r.need, Need::Paper | Need::Word);
        self.is_same_code() && ports.iter().all(as_many) && rows.iter().filter(decides).all(equal)
    }
}

/// The verdicts that may be given.
#[derive(Debug)]
pub struct Expected {
    pub best: Verdict,
    pub worst: Verdict,
    reasons: Vec<Reason>,
}

impl Expected {
    /// The expectation, from the table and from geometry.
    pub fn of(ask: &Ask) -> Self {
        let rows = ask.shape.rows();
        if ask.is_same_part(rows) {
            return Self::read_off(Verdict::SamePart, of_same_part(ask));
        }
        let mut reasons: Vec<Reason> =
            rows.iter().map(|row| (of_row(ask, row), format!("{}: {}", row.at, row.why))).collect();
        reasons.extend(of_ports(ask));
        reasons.extend(of_place(ask));
        reasons.extend(joints::against(ask.position, &ask.candidate, &ask.others, true));
        reasons.extend(contradictions(ask));
        reasons.extend(room_for_longer(ask));
        Self::read_off(Verdict::LikeForLike, reasons)
    }

    fn read_off(start: Verdict, reasons: Vec<Reason>) -> Self {
        let span = reasons
            .iter()
            .fold((start, start), |all, ((best, worst), _)| (all.0.max(*best), all.1.max(*worst)));
        Self { best: span.0, worst: span.1, reasons }
    }

    /// Whether a verdict is one of them.
    ///
    /// 'Not confirmed' and 'does not fit' are one rank here: either way the part may not go in. Which of the two is said
    /// is held by the rules' own tests.
    pub fn allows(&self, verdict: Verdict) -> bool {
        let rank = |v: Verdict| v.min(Verdict::NotConfirmed);
        (rank(self.best)..=rank(self.worst)).contains(&rank(verdict))
    }

    /// The heaviest reasons, for the message of a test.
    pub fn why(&self) -> String {
        let heavy =
            self.reasons.iter().filter(|((best, _), _)| *best == self.best && *best > Verdict::LikeForLike);
        let mut why: Vec<&str> = heavy.map(|(_, why)| why.as_str()).collect();
        why.dedup();
        format!("expected {} to {} ({})", self.best, self.worst, why.join("; "))
    }
}

/// What is unknown in both is the same unknown; the mouth and what is known still count.
fn of_same_part(ask: &Ask) -> Vec<Reason> {
    let mut reasons = Vec::new();
    let words = ask.shape.rows().iter().filter(|r| r.need == Need::Word);
    if words.into_iter().any(|r| ask.fitted.cell(&r.at) != ask.candidate.cell(&r.at)) {
        reasons.push((NOTED, "its maker's or its source's words changed".to_owned()));
    }
    let leans = ask.fitted.number("angle").is_some_and(|a| a > 0);
    let may_lean = ask.shape.is_angled() && ask.fitted.number("angle").is_none();
    if !matches!(ask.lean, Value::Known(_)) {
        if leans {
            reasons.push((MAY_NOT_GO_IN, "which way it leans is not on record".to_owned()));
        } else if may_lean || ask.fitted.cell("angle") == Cell::Unknown {
            reasons.push((ANY, "it may lean".to_owned()));
        }
    }
    // The record contradicts itself.
    for ((best, _), why) in joints::against(ask.position, &ask.candidate, &ask.others, false) {
        let span = if best == Verdict::DoesNotFit { MAY_NOT_GO_IN } else { ANY };
        reasons.push((span, why));
    }
    let inside = matches!(ask.shape, Shape::Base | Shape::Cylinder) && ask.stands_on != StandsOn::Nothing;
    if inside {
        reasons.push((ANY, "it is inside the bridge".to_owned()));
    }
    if ask.fitted.cell("made") != Cell::Unknown {
        reasons.push((ANY, "it is made again for the patient, to a drawing that nobody here has".to_owned()));
    }
    // 'n/a' where it is no answer, or a port that such a part never has: the record is odd, and may be called so.
    let odd_port = |port: &str| ask.fitted.has_port(port) && !ask.shape.needs(port);
    let odd = |row: &Row| !row.may_not_apply && ask.fitted.cell(&row.at) == Cell::DoesNotApply;
    if PORTS.iter().any(|(port, ..)| odd_port(port)) || ask.shape.rows().iter().any(odd) {
        reasons.push((ANY, "no such part exists".to_owned()));
    }
    if doubled(&ask.fitted) {
        reasons.push((ANY, "two ports of one kind and side, of an old edition".to_owned()));
    }
    reasons
}

/// What is on record cannot stand where it stands: then nobody knows what does.
fn contradictions(ask: &Ask) -> Vec<Reason> {
    let against = joints::against(ask.position, &ask.fitted, &ask.others, false);
    let known =
        against.into_iter().filter(|((best, _), why)| *best >= Verdict::NotConfirmed && why != joints::TIGHT);
    known.map(|(_, why)| (MAY_NOT_GO_IN, format!("the record contradicts itself: {why}"))).collect()
}

fn of_row(ask: &Ask, row: &Row) -> Span {
    let (f, c) = (ask.fitted.cell(&row.at), ask.candidate.cell(&row.at));
    match row.need {
        Need::Open | Need::Word => return ANY,
        Need::Paper => return NOTHING,
        _ => {}
    }
    // A port that is not there is a question of its own.
    let is_port = row.at.contains('/');
    if is_port && (f == Cell::NoPort || c == Cell::NoPort) {
        return NOTHING;
    }
    let engages =
        |part: &Sheet, seat: &str| part.cell(&format!("{seat}/engaging")) != Cell::Known(false.into());
    let mut may_not_apply = row.may_not_apply;
    if let Some(seat) = row.at.strip_suffix("/index") {
        if !engages(&ask.fitted, seat) && !engages(&ask.candidate, seat) {
            return ANY;
        }
        may_not_apply = false;
    }
    // The seat that does not engage says of its index what it likes.
    let counts = |part: &Sheet| row.at.strip_suffix("/index").is_none_or(|seat| engages(part, seat));
    let empty =
        |cell: &Cell| cell.is_missing() || half_said(cell) || (*cell == Cell::DoesNotApply && !may_not_apply);
    if (empty(&f) && counts(&ask.fitted)) || (empty(&c) && counts(&ask.candidate)) {
        let said_not_to_apply = f == Cell::DoesNotApply || c == Cell::DoesNotApply;
        return match row.need {
            Need::Must if row.may_be_stated && is_stated(ask, &row.at) => AT_BEST_CHANGE,
            Need::Must => MAY_NOT_GO_IN,
            // Without its inner edge nobody can say that the ring touches at all.
            Need::Change if said_not_to_apply || row.at.ends_with("/inner") => AT_BEST_CHANGE,
            Need::Change => CHANGE,
            Need::Unlisted => AT_MOST_CHANGE,
            _ => NOTHING,
        };
    }
    if !counts(&ask.fitted) || !counts(&ask.candidate) {
        return AT_BEST_CHANGE;
    }
    if f == c {
        return NOTHING;
    }
    let more = f.number().zip(c.number()).map(|(f, c)| c - f);
    if more.is_some_and(|m| m.abs() < row.step) {
        return if row.need == Need::Must { ANY } else { AT_MOST_CHANGE };
    }
    row.named.span(ask.stands_on, more)
}

/// A material without its coating is half a material.
fn half_said(cell: &Cell) -> bool {
    matches!(cell, Cell::Known(json) if json.get("coating").is_some_and(serde_json::Value::is_null))
}

/// Whether the maker's word stands for the joint of that port: named by either of the two, or by the part it replaces.
fn is_stated(ask: &Ask, at: &str) -> bool {
    let code = ask.candidate.text("code");
    if ask.fitted.cell("replaced_by") == Cell::Known(code.into()) {
        return true;
    }
    let port = at.split('/').next().unwrap_or_default();
    let mates = if port.ends_with("below") {
        joints::mate_below(ask.position, port, &ask.others).into_iter().collect()
    } else {
        joints::mates_above(ask.position, port, &ask.others)
    };
    let lists = |who: &Sheet, named: &str| match who.cell("belongs_to") {
        Cell::Known(list) => list.as_array().is_some_and(|l| l.iter().any(|c| c == named)),
        _ => false,
    };
    mates.iter().any(|mate| lists(&ask.candidate, mate.text("code")) || lists(mate, code))
}

fn doubled(part: &Sheet) -> bool {
    ["seat below", "seat above", "thread below", "thread above", "head-seat below", "head-seat above"]
        .iter()
        .any(|port| part.ports_of(port) > 1)
}

/// Ports that are missing, double or too many.
fn of_ports(ask: &Ask) -> Vec<Reason> {
    let mut reasons = Vec::new();
    let mut may_not = |when: bool, why: String| {
        if when {
            reasons.push((MAY_NOT_GO_IN, why));
        }
    };
    for (part, shape) in [(&ask.fitted, ask.shape), (&ask.candidate, ask.other_shape)] {
        may_not(doubled(part), "two ports of one kind and side: which of them is meant?".to_owned());
        for port in shape.ports() {
            may_not(!part.has_port(port), format!("{} has no {port} on record", part.text("code")));
        }
        if shape == Shape::MultiUnitTwoPieces && !part.has_port("thread above") {
            let screw = ask.others.iter().find(|(at, _)| *at == Position::AbutmentScrew);
            let in_screw = screw.is_some_and(|(_, s)| s.has_port("thread above"));
            may_not(!in_screw, "no thread for the prosthetic screw on record".to_owned());
        }
    }
    if ask.shape != ask.other_shape {
        reasons.push((AT_BEST_CHANGE, "one piece for two, or the other way round".to_owned()));
        return reasons;
    }
    for port in
        ["seat below", "seat above", "thread below", "thread above", "head-seat below", "head-seat above"]
    {
        match (ask.fitted.has_port(port), ask.candidate.has_port(port)) {
            (true, false) if ask.shape.needs(port) => {
                reasons.push((MAY_NOT_GO_IN, format!("the fitted part has a {port}")));
            }
            (true, false) => reasons.push((AT_BEST_CHANGE, format!("the fitted part has a {port}"))),
            (false, true) => reasons.push((AT_BEST_CHANGE, format!("a {port} that the fitted part lacks"))),
            _ => {}
        }
    }
    reasons
}

/// What the mouth adds: the lean, and what is bonded in or stands on a post.
fn of_place(ask: &Ask) -> Vec<Reason> {
    let mut reasons = Vec::new();
    let restored = ask.stands_on != StandsOn::Nothing;
    let inside = matches!(ask.shape, Shape::Base | Shape::Cylinder);
    if restored && (inside || (ask.shape.has_post() && !ask.is_same_code())) {
        reasons.push((MAY_NOT_GO_IN, "what is bonded on it was made to its own form".to_owned()));
    } else if restored && ask.shape.has_post() {
        reasons.push((ANY, "what is bonded on it was made to the old numbers".to_owned()));
    }
    let leans = |part: &Sheet| part.number("angle").is_some_and(|a| a > 0);
    if leans(&ask.fitted) && !matches!(ask.lean, Value::Known(_)) {
        reasons.push((MAY_NOT_GO_IN, "which way the fitted part leans is not on record".to_owned()));
    }
    reasons
}

/// A screw longer under its head goes as much deeper, and needs the room for it.
fn room_for_longer(ask: &Ask) -> Option<Reason> {
    let longer = ask.candidate.number("under_head")? - ask.fitted.number("under_head")?;
    if longer < 10 || !matches!(ask.shape, Shape::ProstheticScrew | Shape::AbutmentScrew) {
        return None;
    }
    let female = joints::mate_below(ask.position, "thread below", &ask.others as &Others)?;
    let (depth, pitch) = (female.number("thread above/length")?, female.number("thread above/pitch")?);
    let tip = ask.fitted.number("thread below/length")? + longer;
    (tip + pitch > depth).then(|| (MAY_NOT_GO_IN, "its tip comes to the ground of the hole".to_owned()))
}
