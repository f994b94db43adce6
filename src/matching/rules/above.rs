//! Rule `upper-port`: where the record does not say what stands on a port, it must be as the fitted part's.
//!
//! What mates with the fitted part is there in the mouth even when nobody has written it down. A seat that differs is a
//! seat it will not sit on; a thread or a shoulder that differs takes another screw, which has to be named first.

use super::compare::{counterpart, is_built_on, other_above, port_words, stands_in};
use super::{OURS, Rule};
use crate::catalog::{Mating, Port, Side};
use crate::matching::joint;
use crate::matching::{Finding, Level, Question};

pub const RULE: Rule = Rule {
    id: "upper-port",
    demands: "an upper port that nothing on record meets is as the fitted part's",
    reason: "what stands there was made to the fitted part, on record or not",
    source: OURS,
    states: rule,
};

pub fn rule(q: &Question<'_>) -> Vec<Finding> {
    let upper = q.fitted.ports.iter().filter(|p| p.side() == Side::Above);
    let unmet = upper.filter(|port| joint::partners(q, q.fitted, port).is_empty());
    unmet.filter_map(|port| compare(q, port)).collect()
}

fn compare(q: &Question<'_>, port: &Port) -> Option<Finding> {
    let candidate = counterpart(q.candidate, port);
    let is_seat = matches!(port, Port::Seat(_));
    let (level, effect) = match candidate.map(|c| stands_in(port, c)) {
        Some(Mating::Mates) => return None,
        // A one-piece abutment has no shoulder because it has no screw.
        None if matches!(port, Port::HeadSeat(_)) && q.candidate.is_one_piece() => return None,
        Some(Mating::NotKnown(what)) => (Level::Unknown, format!("measure or ask the maker: {what}")),
        Some(Mating::Not(why)) if is_seat && is_built_on(q) => {
            (Level::Against, format!("what stands there does not sit on this seat: {why}"))
        }
        Some(Mating::Not(why)) if is_seat => {
            (Level::Change, format!("what goes on top is of another seat: {why}"))
        }
        Some(Mating::Not(_)) => {
            (other_above(q), "it takes another screw: name it and ask again for both".to_owned())
        }
        None => (Level::Unknown, format!("ask the maker: its upper {} is not on record", port.words())),
    };
    let has = candidate.map_or_else(|| format!("no upper {}", port.words()), port_words);
    Some(RULE.finds(level, port_words(port), has, effect))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::{Position, Value};
    use crate::matching::StandsOn;
    use crate::matching::sample::{Case, Change, mm, seat, thread};
    use crate::units::InterfaceId;

    #[test]
    fn nobody_has_written_down_what_stands_there() {
        let bridge = StandsOn::Bridge;
        let none = StandsOn::Nothing;
        let other_seat: Change =
            |c| seat(&mut c.candidate, Side::Above).interface = InterfaceId::new("top-5.5").unwrap();
        let minor: Change =
            |c| seat(&mut c.candidate, Side::Above).offers = Value::Known("1.1.0".parse().unwrap());
        let other_thread: Change = |c| thread(&mut c.candidate, Side::Above).diameter = mm(1600);
        let no_seat: Change =
            |c| c.candidate.ports.retain(|p| !(p.side() == Side::Above && matches!(p, Port::Seat(_))));
        let ask_revision = "measure or ask the maker: the revision of interface top-4.8";
        let rows: [(StandsOn, Change, String); 8] = [
            (bridge, |_| (), String::new()),
            (
                bridge,
                other_seat,
                "Against: what stands there does not sit on this seat: interface top-5.5 for top-4.8"
                    .to_owned(),
            ),
            (
                none,
                other_seat,
                "Change: what goes on top is of another seat: interface top-5.5 for top-4.8".to_owned(),
            ),
            (bridge, minor, format!("Unknown: {ask_revision}")),
            (none, minor, format!("Unknown: {ask_revision}")),
            (
                bridge,
                other_thread,
                "Unknown: it takes another screw: name it and ask again for both".to_owned(),
            ),
            (bridge, no_seat, "Unknown: ask the maker: its upper seat is not on record".to_owned()),
            (none, no_seat, "Unknown: ask the maker: its upper seat is not on record".to_owned()),
        ];
        for (n, (stands_on, change, expected)) in rows.into_iter().enumerate() {
            let mut case = Case::abutment();
            case.stands_on = stands_on;
            case.others.retain(|(at, _)| *at == Position::Implant);
            change(&mut case);
            assert_eq!(case.states(RULE).join("; "), expected, "row {n}");
        }
    }

    #[test]
    fn what_is_on_record_is_asked_itself() {
        let mut case = Case::abutment();
        seat(&mut case.candidate, Side::Above).interface = InterfaceId::new("top-5.5").unwrap();
        assert!(case.states(RULE).is_empty());
    }
}
