//! Rule `head-over-bore`: a screw's head is held by the shoulder it rests on, all round.
//!
//! Asked from both sides: of a new head over the bore that is there, and of a new bore under the head that is there. The
//! same numbers are held against each other when a part comes in (`catalog::check`).

use super::Rule;
use super::compare::said;
use crate::catalog::{HEAD_OVER_BORE, HeadSeat, Part, Port, Side};
use crate::matching::joint;
use crate::matching::{Finding, Level, Question};

pub const RULE: Rule = Rule {
    id: "head-over-bore",
    demands: "a screw's head is at least 0.30 mm wider than the bore under it, and bears between the two",
    reason: "a narrower head is pulled into the bore or through it when it is tightened",
    source: "geometry; the margin of 0.30 mm is our own choice",
    states: rule,
};

pub fn rule(q: &Question<'_>) -> Vec<Finding> {
    q.candidate.ports.iter().filter_map(|port| held(q, port)).collect()
}

fn held(q: &Question<'_>, port: &Port) -> Option<Finding> {
    let Port::HeadSeat(own) = port else { return None };
    let met = joint::partners(q, q.candidate, port);
    let (_, mate, Port::HeadSeat(other)) = met.first()? else { return None };
    let (screw, head, shoulder): (&Part, &HeadSeat, &HeadSeat) =
        if own.side == Side::Below { (q.candidate, own, other) } else { (mate, other, own) };
    let (wide, bore) = (screw.head_diameter.known(), shoulder.bore.known());
    let text = (said("bore", &shoulder.bore), said("head diameter", &screw.head_diameter));
    // What is not known of the new part is asked for by the rule `known`; of the screw that is there, here.
    if own.side == Side::Above && wide.is_none() {
        let effect = "measure or ask the maker: head diameter of the screw that goes through it";
        return Some(RULE.finds(Level::Unknown, text.0, text.1, effect));
    }
    if let (Some(wide), Some(bore)) = (wide, bore)
        && wide.base() - bore.base() < HEAD_OVER_BORE
    {
        let effect = format!(
            "a head of {wide} is not held over a bore of {bore}: it needs 0.30 mm more than the bore"
        );
        return Some(RULE.finds(Level::Against, text.0, text.1, effect));
    }
    for bearing in [head, shoulder] {
        let Some(mean) = bearing.mean_diameter.known() else { continue };
        let whose = if bearing.side == Side::Below { "the head bears" } else { "the shoulder bears" };
        if wide.is_some_and(|wide| mean >= wide) {
            let effect = format!("{whose} on {mean} and the head is only {} wide", screw.head_diameter);
            return Some(RULE.finds(Level::Against, text.0, text.1, effect));
        }
        if bore.is_some_and(|bore| mean <= bore) {
            let effect = format!("{whose} on {mean}, and the bore there is {} wide", shoulder.bore);
            return Some(RULE.finds(Level::Against, text.0, text.1, effect));
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matching::sample::{Case, head, mm};

    #[test]
    fn a_new_head_over_the_bore_that_is_there() {
        // The samples' cylinder has a bore of 1.6 mm, and the fitted head bears on 1.9 mm.
        let narrow = "Against: a head of 1.4 mm is not held over a bore of 1.6 mm: it needs 0.30 mm more than the bore";
        let rows = [
            (2300, 1900, String::new()),
            (2000, 1900, String::new()),
            (1400, 1900, narrow.to_owned()),
            (1899, 1700, narrow.replace("1.4", "1.899")),
            (1900, 1900, "Against: the head bears on 1.9 mm and the head is only 1.9 mm wide".to_owned()),
            (2300, 1600, "Against: the head bears on 1.6 mm, and the bore there is 1.6 mm wide".to_owned()),
        ];
        for (wide, mean, expected) in rows {
            let mut case = Case::prosthetic_screw();
            case.candidate.head_diameter = mm(wide);
            head(&mut case.candidate, Side::Below).mean_diameter = mm(mean);
            assert_eq!(case.states(RULE).join("; "), expected, "{wide} {mean}");
        }
    }

    #[test]
    fn a_new_bore_under_the_head_that_is_there() {
        let mut case = Case::two_piece();
        assert_eq!(case.states(RULE), Vec::<String>::new());
        let screw = case.others[1].1.head_diameter.known().unwrap().base();
        head(&mut case.candidate, Side::Above).bore = mm(screw - 200);
        assert!(case.states(RULE)[0].starts_with("Against: a head of"), "{:?}", case.states(RULE));
    }
}
