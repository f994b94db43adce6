//! The generator: single changes of every part, and pairs of them, held against the expectation.

use std::collections::{BTreeMap, BTreeSet};

use fastrand::Rng;
use spareseat::matching::{StandsOn, Verdict};

use super::expected::{Ask, Expected};
use super::stages::{self, Stage};
use super::vary::{Change, singles, some};

/// What went wrong, by kind of mistake, with the first of each in words.
#[derive(Default)]
pub struct Wrong {
    tried: usize,
    found: BTreeMap<String, (usize, String)>,
}

impl Wrong {
    /// Asks one question; `key` says what was done, so that like mistakes are counted together.
    pub fn ask(&mut self, ask: &Ask, key: &str, words: impl Fn() -> String) {
        self.tried += 1;
        let (expected, judged) = (Expected::of(ask), ask.judged());
        if expected.allows(judged.verdict) {
            return;
        }
        let side = if judged.verdict < expected.best { "TOO GOOD" } else { "too strict" };
        let findings: Vec<String> =
            judged.findings.iter().map(|f| format!("{} {:?}: {}", f.rule, f.level, f.effect)).collect();
        let text = format!(
            "{}: '{}', {}. Findings: {}",
            words(),
            judged.verdict,
            expected.why(),
            findings.join(" | ")
        );
        let at = format!("{side} {:?} {key}", ask.shape);
        self.found.entry(at).or_insert((0, text)).0 += 1;
    }

    pub fn tried(&self) -> usize {
        self.tried
    }

    /// Fails with one line for each kind of mistake.
    pub fn none(&self) {
        let all: usize = self.found.values().map(|(n, _)| n).sum();
        let lines: Vec<String> =
            self.found.iter().map(|(at, (n, text))| format!("{n:6} {at}\n         {text}")).collect();
        assert!(all == 0, "{all} of {} variants, {} kinds:\n{}", self.tried, lines.len(), lines.join("\n"));
    }
}

/// The stage's question with the part renamed, so that the candidate is another article with the same numbers.
pub fn twin(stage: &Stage) -> Ask {
    let mut ask = stage.ask.clone();
    ask.candidate = ask.candidate.renamed("a-twin");
    ask
}

fn key(change: &Change) -> String {
    let text = format!("{:?} {:?}", change.whose, change.what);
    // Values are many; what was done to which number is what counts.
    text.split(',').next().unwrap_or_default().to_owned()
}

/// What the part stands under, beside what the stage has: each of the three at some part.
fn also_under(stage: &Stage, n: usize) -> StandsOn {
    let all = [StandsOn::Bridge, StandsOn::OneCrown, StandsOn::Nothing];
    if n.is_multiple_of(3) { stage.ask.stands_on } else { all[n % all.len()] }
}

#[test]
fn a_renamed_part_is_like_for_like_and_the_same_code_is_the_same_part() {
    let mut wrong = Wrong::default();
    for stage in stages::all() {
        wrong.ask(&stage.ask, "same code", || stage.name.clone());
        wrong.ask(&twin(stage), "renamed", || stage.name.clone());
    }
    wrong.none();
}

#[test]
fn no_number_changed_or_taken_away_is_called_better_than_is_known() {
    let mut wrong = Wrong::default();
    let mut seen = BTreeSet::new();
    for (s, stage) in stages::all().enumerate() {
        let ask = twin(stage);
        // All of them for one part of each shape and family; of the rest each number and port in its turn.
        let first = seen.insert((ask.shape, ask.fitted.text("system").to_owned()));
        let changes = if first { singles(&ask) } else { some(&ask, s) };
        for (n, change) in changes.iter().enumerate() {
            let mut changed = ask.clone();
            changed.stands_on = also_under(stage, n + s);
            if change.apply(&mut changed) {
                wrong.ask(&changed, &key(change), || format!("{}: {change:?}", stage.name));
            }
        }
    }
    assert!(wrong.tried() > 20_000, "{} variants", wrong.tried());
    wrong.none();
}

#[test]
fn a_changed_edition_of_the_same_code_is_another_part() {
    let mut wrong = Wrong::default();
    let mut rng = Rng::with_seed(0x5eed_0001);
    for stage in stages::all() {
        let all = singles(&stage.ask);
        for _ in 0..40 {
            let change = &all[rng.usize(..all.len())];
            let mut changed = stage.ask.clone();
            if change.apply(&mut changed) {
                wrong.ask(&changed, &key(change), || format!("{}: {change:?}", stage.name));
            }
        }
    }
    assert!(wrong.tried() > 5_000, "{} variants", wrong.tried());
    wrong.none();
}

#[test]
fn no_pair_of_changes_cancels_out() {
    let mut wrong = Wrong::default();
    let mut rng = Rng::with_seed(0x5eed_0002);
    for stage in stages::all() {
        let ask = twin(stage);
        let all = singles(&ask);
        for _ in 0..110 {
            let pair = [&all[rng.usize(..all.len())], &all[rng.usize(..all.len())]];
            let mut changed = ask.clone();
            changed.stands_on = also_under(stage, rng.usize(..9));
            if pair.iter().all(|change| change.apply(&mut changed)) {
                let both = format!("{} + {}", key(pair[0]), key(pair[1]));
                wrong.ask(&changed, &both, || format!("{}: {pair:?}", stage.name));
            }
        }
    }
    assert!(wrong.tried() > 12_000, "{} variants", wrong.tried());
    wrong.none();
}

#[test]
fn every_pair_of_parts_of_the_catalogue_is_judged_as_the_table_says() {
    let mut wrong = Wrong::default();
    for stage in stages::all() {
        for part in stages::CATALOGUE.iter() {
            let Some(shape) = super::table::Shape::of(part) else { continue };
            if stages::position_of(shape) == stage.ask.position
                && part.text("code") != stage.ask.fitted.text("code")
            {
                let ask = Ask { candidate: part.clone(), other_shape: shape, ..stage.ask.clone() };
                let at = format!("{shape:?}");
                wrong.ask(&ask, &at, || format!("{} for {}", part.text("code"), stage.name));
            }
        }
    }
    assert!(wrong.tried() > 2_000, "{} pairs", wrong.tried());
    wrong.none();
}

#[test]
fn the_declared_successor_is_like_for_like_and_no_better() {
    let stage = stages::all().find(|s| s.name == "plover-mua-4.1-c3.0").expect("the part with a successor");
    let successor = stages::CATALOGUE.iter().find(|p| p.text("code") == "plover-mua-4.1-c3.0-b");
    let mut wrong = Wrong::default();
    let mut best = Verdict::DoesNotFit;
    let mut ask = stage.ask.clone();
    ask.candidate = successor.expect("the successor").clone();
    for change in singles(&ask) {
        let mut changed = ask.clone();
        if change.apply(&mut changed) {
            wrong.ask(&changed, &key(&change), || format!("{change:?}"));
            best = best.min(changed.judged().verdict);
        }
    }
    wrong.none();
    assert_eq!(best, Verdict::LikeForLike);
}
