//! Knowing less is never better: taking numbers away never leads into the mouth.
//!
//! Between different codes, taking a number away never leads to 'like for like', and without a maker's statement never
//! from 'not confirmed' or 'does not fit' to 'fits, with changes'. 'Not confirmed' and 'does not fit' are one rank
//! here: may not go in.

use fastrand::Rng;
use serde_json::json;
use spareseat::matching::Verdict;

use super::expected::Ask;
use super::generated::twin;
use super::rows::Need;
use super::sheet::Cell;
use super::stages;
use super::table::Shape;
use super::vary::{Change, What, Whose, has_does_not_apply, may_be_unknown, singles};

/// 0: puts the bridge back; 1: fits, with changes; 2: may not go in.
fn rank(verdict: Verdict) -> u8 {
    match verdict {
        Verdict::SamePart | Verdict::LikeForLike => 0,
        Verdict::FitsWithChanges => 1,
        Verdict::NotConfirmed | Verdict::DoesNotFit => 2,
    }
}

/// Everything that can be taken away from a question: left out, or 'n/a' where that is no answer.
fn takings(ask: &Ask) -> Vec<Change> {
    let mut all = Vec::new();
    for row in ask.shape.rows().iter().filter(|r| may_be_unknown(&r.at)) {
        for whose in [Whose::Candidate, Whose::Fitted, Whose::Both] {
            all.push(Change { whose, what: What::Forget(row.at.clone()) });
            let says_nothing = !row.may_not_apply && matches!(row.need, Need::Must | Need::Change);
            if says_nothing && has_does_not_apply(&row.at) {
                all.push(Change { whose, what: What::DoesNotApply(row.at.clone()) });
            }
        }
    }
    for (n, (_, mate)) in ask.others.iter().enumerate() {
        let numbers = mate.addresses().into_iter().filter(|at| may_be_unknown(at) && !is_statement(at));
        all.extend(numbers.map(|at| Change { whose: Whose::Mate(n), what: What::Forget(at) }));
    }
    all.retain(|c| !matches!(&c.what, What::Forget(at) if is_statement(at)));
    all
}

fn is_statement(at: &str) -> bool {
    ["replaced_by", "belongs_to"].contains(&at)
}

/// Nobody says of any part here that it belongs to another or replaces it.
fn without_statements(mut ask: Ask) -> Ask {
    for part in [&mut ask.fitted, &mut ask.candidate].into_iter().chain(ask.others.iter_mut().map(|(_, p)| p))
    {
        part.set("belongs_to", json!([]));
        part.set("replaced_by", json!(null));
    }
    ask
}

/// The exceptions found, in words.
struct Exceptions {
    tried: usize,
    found: Vec<String>,
}

impl Exceptions {
    fn none() -> Self {
        Self { tried: 0, found: Vec::new() }
    }

    fn hold(&mut self, name: &str, ask: &Ask, before: Verdict, taken: &[&Change], stated: bool) {
        let mut less = ask.clone();
        if !taken.iter().all(|change| change.apply(&mut less)) {
            return;
        }
        self.tried += 1;
        let after = less.judged().verdict;
        let back = rank(after) == 0 && rank(before) > 0;
        let into_mouth = !stated && rank(before) == 2 && rank(after) < 2;
        if back || into_mouth {
            self.found.push(format!("{name}: '{before}' became '{after}' by taking away {taken:?}"));
        }
    }
}

#[test]
fn taking_numbers_away_never_leads_into_the_mouth() {
    let mut exceptions = Exceptions::none();
    let mut rng = Rng::with_seed(0x5eed_0003);
    for (s, stage) in stages::all().enumerate() {
        // Something is against the candidate, or changed, so that there is something to get away with.
        let whole = twin(stage);
        let changes = singles(&whole);
        for n in 0..2 {
            let stated = n == 1;
            let mut ask = if stated { whole.clone() } else { without_statements(whole.clone()) };
            for _ in 0..=(s + n) % 2 {
                changes[rng.usize(..changes.len())].apply(&mut ask);
            }
            if ask.candidate.text("code") == ask.fitted.text("code") {
                continue;
            }
            let before = ask.judged().verdict;
            let all = takings(&ask);
            for one in &all {
                exceptions.hold(&stage.name, &ask, before, &[one], stated);
            }
            for _ in 0..100 {
                let pair = [&all[rng.usize(..all.len())], &all[rng.usize(..all.len())]];
                exceptions.hold(&stage.name, &ask, before, &pair, stated);
            }
        }
    }
    assert!(exceptions.tried > 30_000, "{}", exceptions.tried);
    let found = exceptions.found;
    assert!(found.is_empty(), "{} of {}:\n{}", found.len(), exceptions.tried, shown(&found));
}

fn shown(all: &[String]) -> String {
    all.iter().take(40).cloned().collect::<Vec<_>>().join("\n")
}

/// Every pair of numbers of one part of each shape, for a candidate of which one number is against.
#[test]
fn no_pair_of_numbers_taken_away_hides_what_was_against() {
    let mut exceptions = Exceptions::none();
    for shape in Shape::ALL {
        let stage = stages::all().find(|s| s.ask.shape == shape).expect("a part of this shape");
        let mut ask = without_statements(twin(stage));
        let at = if shape.ports().contains(&"thread below") {
            "thread below/length"
        } else {
            "head-seat above/bore"
        };
        let Cell::Known(_) = ask.candidate.cell(at) else { panic!("{shape:?}: {at} is not known") };
        ask.candidate.set(at, json!(9_500));
        let before = ask.judged().verdict;
        let mine = takings(&ask).into_iter().filter(|c| c.whose == Whose::Candidate).collect::<Vec<_>>();
        for (n, one) in mine.iter().enumerate() {
            for other in &mine[n + 1..] {
                exceptions.hold(&stage.name, &ask, before, &[one, other], false);
            }
        }
    }
    assert!(exceptions.tried > 5_000, "{}", exceptions.tried);
    let found = exceptions.found;
    assert!(found.is_empty(), "{} of {}:\n{}", found.len(), exceptions.tried, shown(&found));
}
