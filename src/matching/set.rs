//! Several swaps judged as a set: all abutments of a bridge raised alike are one change, not three refusals.

use super::rules::SEAT_HEIGHT;
use super::{Judgement, Level, Question, StandsOn, judge};
use crate::units::Length;

/// Less than this apart is alike, as for one seat.
const ALIKE: Length = Length::from_base(10);

/// Judges swaps at several sites of one bridge together; `whole` when no site of the bridge is left out.
///
/// A bridge whose seats all move alike along parallel axes sits as it sat, only higher or lower. Angled parts have no
/// parallel axes to speak of, so a set with one of them is judged site by site.
pub fn judge_set(questions: &[Question<'_>], whole: bool) -> Vec<Judgement> {
    let alone: Vec<Judgement> = questions.iter().map(judge).collect();
    let Some(raised) = raised_alike(questions).filter(|_| whole && questions.len() > 1) else { return alone };
    let (by, way) = (Length::from_base(raised.abs()), if raised > 0 { "higher" } else { "lower" });
    let one_change = |judgement: Judgement, question: &Question<'_>| {
        let mut findings = judgement.findings;
        for finding in findings.iter_mut().filter(|f| f.rule == SEAT_HEIGHT.id && f.level == Level::Against) {
            finding.level = Level::Change;
            finding.effect = format!(
                "all seats of this bridge move alike: it seats as before, {by} {way}: bite, gum, cleaning"
            );
        }
        Judgement::read_off(findings, question.is_same_part())
    };
    alone.into_iter().zip(questions).map(|(judgement, question)| one_change(judgement, question)).collect()
}

/// By how much every seat moves, when all move alike and none is angled.
fn raised_alike(questions: &[Question<'_>]) -> Option<i32> {
    let moved = |q: &Question<'_>| {
        let straight = q.fitted.angle.known()?.base() == 0 && q.candidate.angle.known()?.base() == 0;
        let by = q.candidate.seat_height.known()?.base() - q.fitted.seat_height.known()?.base();
        (straight && q.stands_on == StandsOn::Bridge).then_some(by)
    };
    let all: Vec<i32> = questions.iter().map(moved).collect::<Option<_>>()?;
    let (least, most) = (*all.iter().min()?, *all.iter().max()?);
    (most - least < ALIKE.base()).then_some(most)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matching::Verdict;
    use crate::matching::sample::{Case, mm};

    fn verdicts(heights: [i32; 3], whole: bool) -> Vec<Verdict> {
        let cases = heights.map(|height| {
            let mut case = Case::abutment();
            case.candidate.seat_height = mm(height);
            case
        });
        let others: Vec<Vec<_>> = cases.iter().map(Case::placed).collect();
        let questions: Vec<Question<'_>> =
            cases.iter().zip(&others).map(|(case, others)| case.question(others)).collect();
        judge_set(&questions, whole).into_iter().map(|j| j.verdict).collect()
    }

    #[test]
    fn all_seats_raised_alike_are_one_change_and_anything_else_is_refused() {
        use Verdict::{DoesNotFit, FitsWithChanges, LikeForLike};
        assert_eq!(verdicts([3500; 3], true), [FitsWithChanges; 3]);
        assert_eq!(verdicts([3500; 3], false), [DoesNotFit; 3], "a site of the bridge is left out");
        assert_eq!(verdicts([3500, 3500, 3000], true), [DoesNotFit, DoesNotFit, LikeForLike]);
        assert_eq!(verdicts([3500, 3500, 3510], true), [DoesNotFit; 3]);
        assert_eq!(verdicts([3000; 3], true), [LikeForLike; 3]);
    }
}
