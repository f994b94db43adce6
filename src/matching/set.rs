//! Judged beyond one part among its mates: several swaps as a set, and a part that meets two records of one site.

use super::rules::{CONTRADICTS, SEAT_HEIGHT};
use super::{Finding, Judgement, Level, Question, StandsOn, Verdict, judge};
use crate::units::Length;

/// Less than this apart is alike, as for one seat.
const ALIKE: Length = Length::from_base(10);

/// What is known of a set beside its parts.
#[derive(Debug, Clone, Copy)]
pub struct Together<'a> {
    /// No site of the bridge is left out.
    pub whole: bool,
    /// Which way the implants stand, of length one, in the order of the questions; none unless all were measured.
    pub axes: Option<&'a [[f64; 3]]>,
    /// What the bridge on its new seats comes to: decides where nobody measured that the axes are parallel.
    pub fit: Level,
}

/// Judges swaps at several sites of one bridge together.
///
/// A bridge whose seats all move alike along parallel axes sits as it sat, only higher or lower. Angled parts have no
/// parallel axes to speak of, so a set with one of them is judged site by site.
pub fn judge_set(questions: &[Question<'_>], together: &Together<'_>) -> Vec<Judgement> {
    let alone: Vec<Judgement> = questions.iter().map(judge).collect();
    let raised = raised_alike(questions).filter(|_| together.whole && questions.len() > 1);
    let Some(raised) = raised.filter(|by| *by != 0) else { return alone };
    let (by, way) = (Length::from_base(raised.abs()), if raised > 0 { "higher" } else { "lower" });
    let (level, effect) = match together.axes {
        Some(axes) if move_alike(questions, axes) => (
            Level::Change,
            format!(
                "all seats of this bridge move alike: it seats as before, {by} {way}: bite, gum, cleaning"
            ),
        ),
        // As the rule says it of each seat alone.
        _ if together.fit == Level::Against => return alone,
        Some(_) => (
            together.fit,
            format!(
                "all seats of this bridge move by {by}, but its implants do not stand parallel: see the fit"
            ),
        ),
        None => (
            together.fit,
            format!(
                "all seats of this bridge move by {by}; whether its implants stand parallel was not measured: see the fit"
            ),
        ),
    };
    let one_change = |judgement: Judgement, question: &Question<'_>| {
        let mut findings = judgement.findings;
        for finding in findings.iter_mut().filter(|f| f.rule == SEAT_HEIGHT.id && f.level == Level::Against) {
            finding.level = level;
            finding.effect.clone_from(&effect);
        }
        Judgement::read_off(findings, question.is_same_part())
    };
    alone.into_iter().zip(questions).map(|(judgement, question)| one_change(judgement, question)).collect()
}

/// How far a seat moves along its implant, in thousandths of a mm; none for an angled part or where that is not known.
fn moves(q: &Question<'_>) -> Option<i32> {
    let straight = q.fitted.angle.known()?.base() == 0 && q.candidate.angle.known()?.base() == 0;
    let by = q.candidate.seat_height.known()?.base() - q.fitted.seat_height.known()?.base();
    (straight && q.stands_on == StandsOn::Bridge).then_some(by)
}

/// By how much every seat moves, when all move alike and none is angled.
fn raised_alike(questions: &[Question<'_>]) -> Option<i32> {
    let all: Vec<i32> = questions.iter().map(moves).collect::<Option<_>>()?;
    let (least, most) = (*all.iter().min()?, *all.iter().max()?);
    (most - least < ALIKE.base()).then_some(most)
}

/// Whether seats that move along these axes stay as they lie to each other (geometry).
fn move_alike(questions: &[Question<'_>], axes: &[[f64; 3]]) -> bool {
    let one = |(q, axis): (&Question<'_>, &[f64; 3])| {
        let by = Length::from_base(moves(q)?).number();
        Some(axis.map(|x| x * by))
    };
    let Some(moved) = questions.iter().zip(axes).map(one).collect::<Option<Vec<_>>>() else { return false };
    let apart = |a: &[f64; 3], b: &[f64; 3]| (0..3).map(|i| (a[i] - b[i]).powi(2)).sum::<f64>().sqrt();
    moved.len() == questions.len() && moved.iter().all(|a| moved.iter().all(|b| apart(a, b) < ALIKE.number()))
}

/// The rule of what [`contradiction`] adds.
pub const RECORD: &str = super::rules::RECORD.id;

/// A part judged among the parts the restoration was built on, and again among those that stand there `now`.
///
/// What fits the one and not the other is not confirmed: one of the two records is wrong, and the program cannot know
/// which. What is not known of a part that stands there now counts as it always does.
pub fn contradiction(built: Judgement, now: &Judgement, says: impl Fn(&str) -> Finding) -> Judgement {
    let against = |j: &Judgement| j.findings.iter().find(|f| f.level == Level::Against).cloned();
    let is_record = |f: &&Finding| f.rule == RECORD;
    // The very same part is told apart from what stands there now by the record alone.
    let same = built.verdict == Verdict::SamePart;
    let now_against = against(now).or_else(|| now.findings.iter().find(is_record).filter(|_| same).cloned());
    match (against(&built), now_against) {
        (Some(_), Some(_)) => built,
        (None, None) => {
            let mut judgement = built;
            for finding in &now.findings {
                let heard = |f: &Finding| f.rule == finding.rule && f.effect == finding.effect;
                if finding.level < Level::Note
                    && finding.rule != RECORD
                    && !judgement.findings.iter().any(heard)
                {
                    judgement.add(finding.clone());
                }
            }
            judgement
        }
        (Some(one), None) | (None, Some(one)) => {
            let why = one.effect.strip_prefix(CONTRADICTS).unwrap_or(&one.effect);
            let mut findings = vec![says(why)];
            let doubted = |f: Finding| Finding { level: f.level.max(Level::Unknown), ..f };
            findings.extend(built.findings.into_iter().map(doubted));
            Judgement { verdict: Verdict::NotConfirmed, findings }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matching::Verdict;
    use crate::matching::sample::{Case, mm};

    const UP: [f64; 3] = [0.0, 0.0, 1.0];

    fn judged(heights: [i32; 3], together: &Together<'_>) -> Vec<Judgement> {
        let cases = heights.map(|height| {
            let mut case = Case::abutment();
            case.candidate.seat_height = mm(height);
            case
        });
        let others: Vec<Vec<_>> = cases.iter().map(Case::placed).collect();
        let questions: Vec<Question<'_>> =
            cases.iter().zip(&others).map(|(case, others)| case.question(others)).collect();
        judge_set(&questions, together)
    }

    fn verdicts(heights: [i32; 3], whole: bool) -> Vec<Verdict> {
        let together = Together { whole, axes: Some(&[UP; 3]), fit: Level::Against };
        judged(heights, &together).into_iter().map(|j| j.verdict).collect()
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

    /// 1 mm along axes that spread by 0.3 moves the seats 0.29 mm apart; by 0.005 it moves them 5 µm apart [X].
    #[test]
    fn a_set_raised_alike_needs_parallel_measured_axes_else_the_fit_decides() {
        use Verdict::{DoesNotFit, FitsWithChanges, NotConfirmed};
        let unit = |x: f64| crate::fit::space::unit([x, 0.0, 1.0]).unwrap();
        let (spread, parallel) = ([UP, unit(0.3), UP], [UP, unit(0.005), UP]);
        for (axes, fit, expected) in [
            (Some(&parallel[..]), Level::Against, FitsWithChanges),
            (Some(&spread[..]), Level::Against, DoesNotFit),
            (Some(&spread[..]), Level::Change, FitsWithChanges),
            (None, Level::Against, DoesNotFit),
            (None, Level::Unknown, NotConfirmed),
            (None, Level::Change, FitsWithChanges),
        ] {
            let found = judged([4000; 3], &Together { whole: true, axes, fit });
            let verdicts: Vec<Verdict> = found.iter().map(|j| j.verdict).collect();
            assert_eq!(verdicts, [expected; 3], "{axes:?} {fit:?}");
            let as_before = found[0].findings.iter().any(|f| f.effect.contains("it seats as before"));
            assert_eq!(as_before, axes == Some(&parallel[..]), "{axes:?} {fit:?}");
        }
    }

    #[test]
    fn what_fits_one_record_of_a_site_and_not_the_other_is_not_confirmed() {
        use Verdict::{DoesNotFit, LikeForLike, NotConfirmed};
        let says = |why: &str| Finding {
            rule: RECORD,
            level: Level::Unknown,
            fitted: String::new(),
            candidate: String::new(),
            effect: format!("the record contradicts itself: {why}"),
            source: "",
            steps: 0,
        };
        let fits = Case::abutment().judged();
        let mut high = Case::abutment();
        high.candidate.seat_height = mm(3500);
        let not = high.judged();
        for (built, now, expected) in [
            (&fits, &fits, LikeForLike),
            (&fits, &not, NotConfirmed),
            (&not, &fits, NotConfirmed),
            (&not, &not, DoesNotFit),
        ] {
            let found = contradiction(built.clone(), now, says);
            assert_eq!(found.verdict, expected);
            assert_eq!(found.findings.iter().any(|f| f.rule == RECORD), expected == NotConfirmed);
            assert!(found.verdict == DoesNotFit || found.findings.iter().all(|f| f.level != Level::Against));
        }
        // What is not known of what stands there now counts.
        let mut unknown = Case::abutment();
        unknown.candidate.seat_height = crate::catalog::Value::Unknown;
        assert_eq!(contradiction(fits, &unknown.judged(), says).verdict, NotConfirmed);
    }
}
