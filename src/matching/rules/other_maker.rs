//! Rule `other-maker`: a part of another maker, or of one that nobody has stated, is not confirmed until the practice has
//! tried it. Who states the numbers is another fact: a practice may measure what two makers make.
//!
//! A verification turns the doubt into a change with its own words, and covers what is unknown inside the joint; it never
//! outweighs a must that fails and never covers a height. It is void as soon as either part's numbers change.

use super::Rule;
use super::compare::{ask, said};
use crate::matching::{Finding, Level, Question};
use crate::units::show_date;

pub const RULE: Rule = Rule {
    id: "other-maker",
    demands: "fitted part and candidate are of one maker, or the practice has recorded a verification of this pair",
    reason: "look-alikes of other makers differ in contact, rotational misfit and the way they fail",
    source: "Gigandet 2014, doi 10.1111/j.1708-8208.2012.00479.x",
    states: rule,
};

pub fn rule(q: &Question<'_>) -> Vec<Finding> {
    let same = q.same_maker();
    if same == Some(true) {
        return Vec::new();
    }
    let (level, effect) = match q.verified() {
        None if same.is_none() => (
            Level::Unknown,
            format!(
                "{}; nobody here has verified the pair",
                ask("maker", &q.fitted.maker, &q.candidate.maker)
            ),
        ),
        None => (Level::Unknown, "another maker's part: nobody here has verified the pair".to_owned()),
        Some(v) => {
            let pieces = if v.pieces == 1 { "1 piece".to_owned() } else { format!("{} pieces", v.pieces) };
            let effect = format!(
                "another maker's part, verified here by {} on {}, {pieces}: {}",
                v.by,
                show_date(v.on),
                v.how
            );
            (Level::Change, effect)
        }
    };
    vec![RULE.finds(level, said("maker", &q.fitted.maker), said("maker", &q.candidate.maker), effect)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::{Side, Value};
    use crate::matching::sample::{Case, Change, mm, seat, thread};
    use crate::matching::{Verdict, Verification};
    use crate::units::{Initials, Note};

    fn foreign() -> Case {
        let mut case = Case::abutment();
        case.candidate.maker = Value::Known(crate::units::Name::new("somebody else, invented").unwrap());
        case
    }

    fn verify(case: &mut Case) {
        case.verifications = vec![Verification {
            fitted: case.fitted.clone(),
            candidate: case.candidate.clone(),
            pieces: 5,
            how: Note::new("seated on the model, gap gauge").unwrap(),
            by: Initials::new("AB").unwrap(),
            on: jiff::civil::date(2026, 3, 12),
        }];
    }

    #[test]
    fn another_maker_is_not_confirmed_until_verified_here() {
        let mut case = foreign();
        assert_eq!(case.states(RULE), ["Unknown: another maker's part: nobody here has verified the pair"]);
        assert_eq!(case.judged().verdict, Verdict::NotConfirmed);
        verify(&mut case);
        let how = "Change: another maker's part, verified here by AB on 12 Mar 2026, 5 pieces: seated on the model, gap \
                   gauge";
        assert_eq!(case.states(RULE), [how]);
        assert_eq!(case.judged().verdict, Verdict::FitsWithChanges);
    }

    #[test]
    fn a_verification_is_void_when_either_side_changes() {
        for change in [|c: &mut Case| c.fitted.widest = mm(4900), |c: &mut Case| c.candidate.neck = mm(3900)]
        {
            let mut case = foreign();
            verify(&mut case);
            change(&mut case);
            assert_eq!(case.judged().verdict, Verdict::NotConfirmed);
        }
    }

    #[test]
    fn a_verification_of_a_pair_of_one_maker_is_a_change_too() {
        let mut case = Case::abutment();
        thread(&mut case.candidate, Side::Below).pitch = Value::Unknown;
        verify(&mut case);
        assert_eq!(case.judged().verdict, Verdict::FitsWithChanges);
        assert!(case.states(RULE).is_empty());
    }

    #[test]
    fn a_verification_covers_the_joint_and_neither_height_nor_what_fails() {
        let rows: [(Change, Verdict); 5] = [
            (|c| thread(&mut c.candidate, Side::Below).pitch = Value::Unknown, Verdict::FitsWithChanges),
            (|c| seat(&mut c.candidate, Side::Above).accepts = Value::Unknown, Verdict::FitsWithChanges),
            (|c| c.candidate.seat_height = Value::Unknown, Verdict::NotConfirmed),
            (|c| c.candidate.seat_height = mm(3500), Verdict::DoesNotFit),
            (|c| thread(&mut c.candidate, Side::Below).pitch = mm(350), Verdict::DoesNotFit),
        ];
        for (n, (change, expected)) in rows.into_iter().enumerate() {
            let mut case = foreign();
            change(&mut case);
            verify(&mut case);
            assert_eq!(case.judged().verdict, expected, "row {n}");
        }
    }
}
