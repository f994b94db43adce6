//! Rule `known`: everything that must be known is known, of the fitted part, of the candidate, and of what it meets.
//!
//! The table is `catalog::known`. The other rules compare what is stated; this one closes the verdict: a hole that none of
//! them has named, on either side or on both, is named here.

use super::{OURS, Rule};
use crate::catalog::{
    Hole, Kind, Number, Part, PortKind, Position, Side, Weight, holes, holes_in_port, port_twice,
};
use crate::matching::joint;
use crate::matching::{Finding, Level, Question};

pub const RULE: Rule = Rule {
    id: "known",
    demands: "every port and number that its kind must have, by the table of what must be known; no port twice",
    reason: "two parts are never alike in what nobody has stated",
    source: OURS,
    states: rule,
};

/// Whose number it is.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Whose {
    Fitted,
    Candidate,
    Both,
    Mate(Position),
}

/// Every hole that bears on the question.
pub fn rule(q: &Question<'_>) -> Vec<Finding> {
    not_yet_said(q, &[])
}

/// The holes that `said` has not named yet, at their weight or heavier.
pub fn not_yet_said(q: &Question<'_>, said: &[Finding]) -> Vec<Finding> {
    let mut out: Vec<Finding> = Vec::new();
    let (fitted, candidate) = (holes(q.fitted), holes(q.candidate));
    for hole in &candidate {
        let whose = if fitted.contains(hole) { Whose::Both } else { Whose::Candidate };
        out.extend(names(q, hole, whose, said));
    }
    for hole in fitted.iter().filter(|hole| !candidate.contains(hole)) {
        // What the fitted part has no port for, because it comes in other pieces, is asked of the candidate.
        out.extend(names(q, hole, Whose::Fitted, said));
    }
    for (at, hole) in mates(q) {
        out.extend(names(q, &hole, Whose::Mate(at), said));
    }
    out.extend(threads_elsewhere(q));
    out
}

/// A finding for a hole, unless a rule about that number has said as much.
fn names(q: &Question<'_>, hole: &Hole, whose: Whose, said: &[Finding]) -> Option<Finding> {
    let level = level(q, hole, whose);
    let about = rules_about(hole);
    if said.iter().any(|f| f.level <= level && about.contains(&f.rule)) {
        return None;
    }
    let of = match whose {
        Whose::Fitted => "the fitted part".to_owned(),
        Whose::Candidate => "the new part".to_owned(),
        Whose::Both => "both parts".to_owned(),
        Whose::Mate(at) => format!("the {}", at.words()),
    };
    let effect = match level {
        Level::Stated => format!("by the maker's statement only, not on record: {hole} of {of}"),
        Level::Change if hole.weight == Weight::Must => {
            format!("by the verification made here, not on record: {hole} of {of}")
        }
        _ if hole.not_applicable => format!("ask the maker: {hole} of {of} cannot be 'n/a'"),
        _ => format!("measure or ask the maker: {hole} of {of}"),
    };
    let text = |has: bool| if has { String::new() } else { format!("{hole} not known") };
    let lacks = |who: Whose| whose == who || whose == Whose::Both;
    Some(RULE.finds(level, text(!lacks(Whose::Fitted)), text(!lacks(Whose::Candidate)), effect))
}

fn level(q: &Question<'_>, hole: &Hole, whose: Whose) -> Level {
    let (Weight::Must, Some(number)) = (hole.weight, hole.number) else {
        return if hole.weight == Weight::Must { Level::Unknown } else { Level::Change };
    };
    if !joint::is_covered(number) || whose == Whose::Fitted {
        return Level::Unknown;
    }
    let ports = q.candidate.ports.iter();
    let stated =
        ports.flat_map(|port| joint::partners(q, q.candidate, port).into_iter().map(move |m| (port, m)));
    let covers = stated.into_iter().any(|(port, (at, mate, _))| {
        let here = match whose {
            Whose::Mate(position) => position == at && PortKind::of(port) == kind_of(hole),
            _ => hole.port == Some((PortKind::of(port), port.side())),
        };
        let stated = match whose {
            Whose::Mate(_) => q.maker_names_both(mate),
            _ => q.maker_states_joint(mate),
        };
        here && stated
    });
    match covers {
        // A number that both parts lack is covered for the new one only.
        true if whose != Whose::Both => Level::Stated,
        _ if q.verified().is_some() => Level::Change,
        _ => Level::Unknown,
    }
}

fn kind_of(hole: &Hole) -> PortKind {
    hole.port.map_or(PortKind::Seat, |(kind, _)| kind)
}

/// The holes in the ports that the candidate really meets, and in a framework that nothing carries.
fn mates(q: &Question<'_>) -> Vec<(Position, Hole)> {
    let mut out: Vec<(Position, Hole)> = Vec::new();
    for port in &q.candidate.ports {
        for (at, mate, met) in joint::partners(q, q.candidate, port) {
            let in_port = holes_in_port(met, mate.is_angled());
            out.extend(in_port.into_iter().filter(|h| h.weight == Weight::Must).map(|h| (at, h)));
        }
    }
    out.extend(framework(q));
    out
}

/// A framework that comes down on the part asked about has a seat for it, on record or not.
fn framework(q: &Question<'_>) -> Option<(Position, Hole)> {
    let at = |position| q.others.iter().find(|(p, _)| *p == position).map(|(_, part)| *part);
    let carried = at(Position::Cylinder).or(at(Position::Base)).is_some();
    let frame = at(Position::Framework)?;
    let bears_it = matches!(q.candidate.kind, Kind::MultiUnitAbutment) && q.position == Position::Abutment;
    let lower_seat = frame.ports.iter().any(|p| PortKind::of(p) == PortKind::Seat && p.side() == Side::Below);
    (bears_it && !carried && !lower_seat).then_some((
        Position::Framework,
        Hole {
            port: Some((PortKind::Seat, Side::Below)),
            number: None,
            weight: Weight::Must,
            not_applicable: false,
        },
    ))
}

/// A two-piece multi-unit without a thread above: the prosthetic screw holds in the abutment's own screw, and that has to
/// be on record with its thread.
fn threads_elsewhere(q: &Question<'_>) -> Option<Finding> {
    let two = |part: &Part| part.kind == Kind::MultiUnitAbutment && !part.is_one_piece();
    let has = |part: &Part| part.thread(Side::Above).is_some();
    let lacks = |part: &Part| two(part) && !has(part);
    if q.position != Position::Abutment || !(lacks(q.candidate) || lacks(q.fitted)) {
        return None;
    }
    let screw = q.others.iter().find(|(at, _)| *at == Position::AbutmentScrew);
    if screw.is_some_and(|(_, screw)| has(screw)) {
        return None;
    }
    let effect = "ask the maker: where the prosthetic screw holds, in the abutment or in its own screw";
    let text = |part: &Part| if lacks(part) { "no upper thread on record" } else { "" };
    Some(RULE.finds(Level::Unknown, text(q.fitted), text(q.candidate), effect))
}

/// Two ports of one kind and side: which of them meets its mate is not told.
pub fn twice(q: &Question<'_>) -> Vec<Finding> {
    let mates = q.others.iter().map(|(at, part)| (format!("the {}", at.words()), *part));
    let both = [("the fitted part".to_owned(), q.fitted), ("the new part".to_owned(), q.candidate)];
    let finding = |(whose, part): (String, &Part)| {
        let (kind, side) = port_twice(part)?;
        let effect = format!("ask the maker: {whose} has two ports on record as its {}", kind.words(side));
        Some(RULE.finds(Level::Unknown, "", "", effect))
    };
    both.into_iter().chain(mates).filter_map(finding).collect()
}

/// The rules that compare this number, and so may have named it already.
fn rules_about(hole: &Hole) -> &'static [&'static str] {
    let side = hole.port.map(|(_, side)| side);
    match (hole.number, side) {
        (None, _) => &["mates", "upper-port"],
        (Some(Number::Offers | Number::Accepts | Number::Index), _) => &["mates", "upper-port"],
        (Some(Number::Diameter | Number::Pitch | Number::Form), _) => &["mates", "upper-port"],
        (Some(Number::Outer), Some(Side::Below)) => &["platform"],
        (Some(Number::Outer | Number::Inner), _) => &["ring"],
        (Some(Number::Engaging), _) => &["engaging"],
        (Some(Number::Variant), _) => &["index-variant"],
        (Some(Number::Length), Some(Side::Below)) => &["screw-length"],
        (Some(Number::Length), _) => &["thread-depth"],
        (Some(Number::MeanDiameter), _) => &["head-seat"],
        (Some(Number::Bore | Number::Shank), _) => &["shank"],
        (Some(Number::SeatHeight), _) => &["seat-height"],
        (Some(Number::Angle), _) => &["angle"],
        (Some(Number::Offset), _) => &["offset"],
        (Some(Number::UnderHead), _) => &["screw-length"],
        (Some(Number::AngledChannel), _) => &["angled-channel"],
        (Some(Number::HeadDiameter | Number::HeadHeight), _) => &["screw-head"],
        (Some(Number::CollarShort | Number::CollarLong), _) => &["collar"],
        (Some(Number::Widest | Number::Neck), _) => &["width"],
        (Some(Number::Drive), _) => &["drive"],
        (Some(Number::Tolerance), _) => &["tolerance"],
        (Some(Number::Material), _) => &["material"],
        (Some(Number::Torque), _) => &["torque"],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::{Port, Value};
    use crate::matching::Verdict;
    use crate::matching::sample::{Case, head, mm, seat, thread};

    fn without(part: &mut Part, kind: PortKind, side: Side) {
        part.ports.retain(|p: &Port| (PortKind::of(p), p.side()) != (kind, side));
    }

    #[test]
    fn a_port_that_both_lack_is_not_confirmed() {
        for (kind, side) in [
            (PortKind::Seat, Side::Above),
            (PortKind::Thread, Side::Above),
            (PortKind::Thread, Side::Below),
            (PortKind::Seat, Side::Below),
        ] {
            let mut case = Case::abutment();
            without(&mut case.fitted, kind, side);
            without(&mut case.candidate, kind, side);
            let judged = case.judged();
            assert_eq!(judged.verdict, Verdict::NotConfirmed, "{kind:?} {side:?}: {:?}", judged.findings);
        }
    }

    #[test]
    fn a_second_port_of_one_kind_and_side_is_never_confirmed() {
        let mut case = Case::abutment();
        let mut second = case.candidate.thread(Side::Below).unwrap().clone();
        second.length = mm(9000);
        case.candidate.ports.push(Port::Thread(second));
        let judged = case.judged();
        assert_eq!(judged.verdict, Verdict::NotConfirmed);
        let effect = "ask the maker: the new part has two ports on record as its lower thread";
        assert!(judged.findings.iter().any(|f| f.effect == effect), "{:?}", judged.findings);
    }

    #[test]
    fn n_a_where_a_part_has_a_number_is_a_hole() {
        type Row = (&'static str, fn() -> Case, fn(&mut Part));
        let rows: [Row; 6] = [
            ("head diameter", Case::prosthetic_screw, |p| p.head_diameter = Value::NotApplicable),
            ("angle", Case::abutment, |p| p.angle = Value::NotApplicable),
            ("offset", Case::abutment, |p| p.offset = Value::NotApplicable),
            ("length under the head", Case::abutment_screw, |p| p.under_head = Value::NotApplicable),
            ("bore", Case::two_piece, |p| head(p, Side::Above).bore = Value::NotApplicable),
            ("engaging", Case::two_piece, |p| seat(p, Side::Below).engaging = Value::NotApplicable),
        ];
        for (what, case, change) in rows {
            for both in [false, true] {
                let mut case = case();
                change(&mut case.candidate);
                if both {
                    change(&mut case.fitted);
                }
                let judged = case.judged();
                assert!(judged.verdict >= Verdict::NotConfirmed, "{what} {both}: {:?}", judged.findings);
            }
        }
    }

    #[test]
    fn a_statement_covers_its_own_joint_and_no_length() {
        // A screw that belongs to the abutment it holds: what mates with that is covered, the implant's thread is not.
        let stated = |change: fn(&mut Part)| {
            let mut case = Case::abutment_screw();
            case.candidate.belongs_to = vec![case.others[1].1.code.clone()];
            change(&mut case.candidate);
            case.judged()
        };
        let form = stated(|p| head(p, Side::Below).form = Value::Unknown);
        assert_eq!(form.verdict, Verdict::FitsWithChanges, "{:?}", form.findings);
        assert!(form.is_by_statement());
        for change in [
            (|p| p.under_head = Value::Unknown) as fn(&mut Part),
            |p| p.shank = Value::Unknown,
            |p| thread(p, Side::Below).length = Value::Unknown,
            |p| thread(p, Side::Below).pitch = Value::Unknown,
            |p| head(p, Side::Below).mean_diameter = Value::Unknown,
        ] {
            let judged = stated(change);
            assert_eq!(judged.verdict, Verdict::NotConfirmed, "{:?}", judged.findings);
        }
    }
}
