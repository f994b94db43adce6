//! The order of a list of candidates: verdict, then how little changes.

use super::{Judgement, Level, Verdict};

/// Where a judgement stands in a list, least first: the verdict, then how many findings of each level, heaviest first,
/// then how far the compared values lie apart; notes only break a tie.
pub fn rank(judgement: &Judgement) -> (Verdict, [usize; 4], u64, usize) {
    let count = |level: Level| judgement.findings.iter().filter(|f| f.level == level).count();
    let counts = [Level::Against, Level::Unknown, Level::Stated, Level::Change].map(count);
    // The nearest height of five that do not fit is the one to order or to send to the laboratory.
    let apart = judgement.findings.iter().map(|f| u64::from(f.steps)).sum();
    (judgement.verdict, counts, apart, count(Level::Note))
}

/// Puts the best candidate first; equals stay in the order they came in.
pub fn order<T>(candidates: &mut [(T, Judgement)]) {
    candidates.sort_by_key(|(_, judgement)| rank(judgement));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matching::sample::{Case, Change};
    use crate::matching::{StandsOn, judge};

    #[test]
    fn verdict_then_number_then_size_of_changes() {
        let mut case = Case::abutment();
        let mut list: Vec<(&str, Judgement)> = Vec::new();
        let changes: [(&str, Change); 6] = [
            ("1.00 mm too high", |c| c.candidate.seat_height = mm(4000)),
            ("0.50 mm too high", |c| c.candidate.seat_height = mm(3500)),
            ("height not known", |c| c.candidate.seat_height = crate::catalog::Value::Unknown),
            ("collar and neck", |c| {
                c.candidate.collar_long = mm(3500);
                c.candidate.neck = mm(4000);
            }),
            ("collar", |c| c.candidate.collar_long = mm(3500)),
            ("twin", |_| ()),
        ];
        for (name, change) in changes {
            let mut one = case.clone();
            change(&mut one);
            list.push((name, one.judged()));
        }
        order(&mut list);
        let names: Vec<_> = list.iter().map(|(n, _)| *n).collect();
        let expected =
            ["twin", "collar", "collar and neck", "height not known", "0.50 mm too high", "1.00 mm too high"];
        assert_eq!(names, expected);

        // The same list where a new bridge is made: heights are changes and the nearest still comes first.
        case.stands_on = StandsOn::Nothing;
        let near = judge_at(&case, 3500);
        let far = judge_at(&case, 4000);
        assert_eq!(near.verdict, far.verdict);
        assert!(rank(&near) < rank(&far));
    }

    fn mm(base: i32) -> crate::catalog::Value<crate::units::Length> {
        crate::catalog::Value::Known(crate::units::Length::from_base(base))
    }

    fn judge_at(case: &Case, height: i32) -> Judgement {
        let mut case = case.clone();
        case.candidate.seat_height = mm(height);
        case.ask(judge)
    }
}
