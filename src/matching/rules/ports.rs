//! Rule `ports`: the candidate has the ports the fitted part has, and no others.
//!
//! A port that only one of the two has is a joint that only one of the two makes, whether or not anything on record meets
//! it now.

use super::compare::side_words;
use super::{OURS, Rule};
use crate::catalog::{Part, Port, PortKind, Position, Side};
use crate::matching::{Finding, Level, Question};

pub const RULE: Rule = Rule {
    id: "ports",
    demands: "the ports of the fitted part and no others; a one-piece abutment for a two-piece one differs as it must",
    reason: "a port that only one of them has makes a joint that only one of them makes",
    source: OURS,
    states: rule,
};

pub fn rule(q: &Question<'_>) -> Vec<Finding> {
    // That its thread is its own, and that it has no shoulder then, is the matter of the rule `pieces`.
    let of_pieces = |port: &Port| {
        let place = (PortKind::of(port), port.side());
        q.fitted.is_one_piece() != q.candidate.is_one_piece()
            && matches!(place, (PortKind::Thread, Side::Below) | (PortKind::HeadSeat, Side::Above))
    };
    let more = q.candidate.ports.iter().filter(|p| !has(q.fitted, p) && !of_pieces(p));
    let less = q.fitted.ports.iter().filter(|p| !has(q.candidate, p) && !of_pieces(p));
    let named = |port: &Port| format!("{} {}", side_words(port.side()), port.words());
    let more = more.map(|port| {
        let effect = format!("has a port that the fitted part has not: its {}", named(port));
        RULE.finds(Level::Change, format!("no {}", named(port)), named(port), effect)
    });
    let less = less.map(|port| {
        let none = format!("no {}", named(port));
        // The prosthetic screw held in the one body, and would hold in another part's thread.
        let two_piece = !q.fitted.is_one_piece() && !q.candidate.is_one_piece();
        if q.position == Position::Abutment
            && two_piece
            && (PortKind::of(port), port.side()) == (PortKind::Thread, Side::Above)
        {
            let effect =
                "ask the maker: where the prosthetic screw holds, in the abutment or in its own screw";
            return RULE.finds(Level::Unknown, named(port), none, effect);
        }
        let effect = format!("has no {} where the fitted part has one", named(port));
        RULE.finds(Level::Change, named(port), none, effect)
    });
    more.chain(less).collect()
}

fn has(part: &Part, port: &Port) -> bool {
    part.ports.iter().any(|p| (PortKind::of(p), p.side()) == (PortKind::of(port), port.side()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matching::sample::Case;

    #[test]
    fn a_port_that_only_one_of_them_has_is_a_change() {
        for case in Case::all() {
            assert_eq!(case.states(RULE), Vec::<String>::new(), "{}", case.position);
        }
        let mut case = Case::prosthetic_screw();
        case.candidate.ports.push(Case::upper_thread());
        assert_eq!(case.states(RULE), ["Change: has a port that the fitted part has not: its upper thread"]);
        std::mem::swap(&mut case.fitted, &mut case.candidate);
        assert_eq!(case.states(RULE), ["Change: has no upper thread where the fitted part has one"]);
        let mut case = Case::two_piece();
        case.candidate = Case::abutment().candidate;
        assert_eq!(case.states(RULE), Vec::<String>::new());
    }
}
