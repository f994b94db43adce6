//! What a port of the candidate really meets, and what a maker's word may stand in for.

use super::{Finding, Level, Question};
use crate::catalog::{Number, Part, Placed, Port, Position, Side, mate_below};
use crate::units::Length;

/// A port of another part at the site, with that part and its position.
pub type Met<'a> = (Position, &'a Part, &'a Port);

/// The parts at the site with `part` in the position asked about.
pub fn site_with<'a>(q: &Question<'a>, part: &'a Part) -> Vec<Placed<'a>> {
    // A one-piece abutment is its own screw: the one on record comes out with the abutment that needed it.
    let no_screw = q.position == Position::Abutment && part.is_one_piece();
    let stays = |at: &Placed<'_>| !(no_screw && at.0 == Position::AbutmentScrew);
    q.others.iter().copied().filter(stays).chain([(q.position, part)]).collect()
}

/// Every lower port of the other parts, with what it meets when `part` stands in the position asked about.
pub fn others_standing<'a>(q: &Question<'a>, part: &'a Part) -> Vec<(Met<'a>, Option<Met<'a>>)> {
    let site = site_with(q, part);
    let others = site.iter().filter(|(at, _)| *at != q.position);
    others
        .flat_map(|(at, other)| other.ports.iter().map(move |port| (*at, *other, port)))
        .filter(|(_, _, port)| port.side() == Side::Below)
        .map(|met| (met, mate_below(met.0, met.2, &site)))
        .collect()
}

/// What `port` of `part`, standing in the position asked about, meets: one part below, or any number above.
pub fn partners<'a>(q: &Question<'a>, part: &'a Part, port: &Port) -> Vec<Met<'a>> {
    if port.side() == Side::Below {
        return mate_below(q.position, port, q.others).into_iter().collect();
    }
    let meets = |met: &Option<Met<'a>>| met.is_some_and(|(_, _, found)| std::ptr::eq(found, port));
    others_standing(q, part).into_iter().filter(|(_, met)| meets(met)).map(|(other, _)| other).collect()
}

/// Ports of other parts that met the fitted part and meet another part on record once the candidate stands there.
pub fn moved_elsewhere<'a>(q: &Question<'a>) -> Vec<(Met<'a>, Met<'a>)> {
    let before = others_standing(q, q.fitted);
    let stood_here = |other: &Met<'_>| {
        let same = |m: &Met<'_>| std::ptr::eq(m.2, other.2);
        before.iter().any(|(o, met)| same(o) && met.is_some_and(|(at, ..)| at == q.position))
    };
    let now = others_standing(q, q.candidate).into_iter().filter_map(|(other, met)| Some((other, met?)));
    now.filter(|(other, (at, ..))| *at != q.position && stood_here(other)).collect()
}

/// Whether a maker's statement about a joint stands in for this number when nobody has stated it.
///
/// It covers that the two parts mate: interface and revision, thread size, form of the head. It covers no index, no length,
/// no depth, no height, and no diameter that must pass or bear.
pub fn is_covered(number: Number) -> bool {
    matches!(number, Number::Offers | Number::Accepts | Number::Diameter | Number::Pitch | Number::Form)
}

/// A finding that two ports are not known to mate: covered by the maker's statement about `mate`, or by the practice's own
/// verification of this very pair; both stand in the finding.
pub fn mating_unknown(q: &Question<'_>, mate: &Part, finding: Finding) -> Finding {
    let (level, word) = if q.maker_states_joint(mate) {
        (Level::Stated, "by the maker's statement only")
    } else if q.verified().is_some() {
        // A verification never makes two parts like for like, whoever made them.
        (Level::Change, "by the verification made here")
    } else {
        return finding;
    };
    Finding { level, effect: format!("{word}, not on record: {}", finding.effect), ..finding }
}

/// How much thread is left below the tip of a screw.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Room {
    /// At least a pitch.
    Left(Length),
    /// Less than a pitch.
    Tight(Length),
    /// The screw ends this much too late.
    Bottoms(Length),
}

/// Whether a thread of this usable depth takes a screw that reaches `tip` into it.
pub fn room(depth: Length, tip: Length, pitch: Length) -> Room {
    let left = depth.apart(tip);
    match depth >= tip {
        true if left >= pitch => Room::Left(left),
        true => Room::Tight(left),
        false => Room::Bottoms(left),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matching::sample::Case;

    #[test]
    fn the_prosthetic_screw_meets_two_parts_and_the_abutment_four_ports() {
        let case = Case::prosthetic_screw();
        let met = |case: &Case, port: usize| -> Vec<String> {
            case.ask(|q| {
                let port = &q.candidate.ports[port];
                let met = partners(q, q.candidate, port);
                met.iter().map(|(at, _, p)| format!("{} {}", at.slug(), p.words())).collect()
            })
        };
        assert_eq!(met(&case, 0), ["abutment thread"]);
        assert_eq!(met(&case, 1), ["cylinder head seat"]);
        let case = Case::abutment();
        let all: Vec<_> = (0..4).flat_map(|n| met(&case, n)).collect();
        assert_eq!(all, ["implant seat", "cylinder seat", "implant thread", "prosthetic-screw thread"]);
    }

    #[test]
    fn room_is_left_tight_or_gone() {
        let mm = Length::from_base;
        assert_eq!(room(mm(2800), mm(2500), mm(300)), Room::Left(mm(300)));
        assert_eq!(room(mm(2800), mm(2501), mm(300)), Room::Tight(mm(299)));
        assert_eq!(room(mm(2800), mm(2800), mm(300)), Room::Tight(mm(0)));
        assert_eq!(room(mm(2800), mm(2900), mm(300)), Room::Bottoms(mm(100)));
    }
}
