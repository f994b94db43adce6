//! The table of rules: one rule a file, each with its id, its reason and its source.

use std::fmt::Display;

use super::{Finding, Level, Question};

mod above;
mod angle;
mod channel;
mod collar;
mod compare;
mod drive;
mod engaging;
mod for_now;
mod head_over_bore;
mod head_seat;
mod inside_bridge;
mod job;
mod known;
mod lean;
mod made;
mod material;
mod mates;
mod notes;
mod offset;
mod other_maker;
mod pieces;
mod platform;
mod ports;
mod post_form;
mod record;
mod revision;
mod ring;
mod screw_head;
mod screw_length;
mod seat_height;
mod shank;
mod thread_depth;
mod tolerance;
mod torque;
mod variant;
mod width;

pub(super) use for_now::RULE as FOR_NOW;
pub(super) use known::{RULE as KNOWN, not_yet_said, twice as ports_twice};
pub(super) use lean::RULE as LEAN;
pub(super) use record::{CONTRADICTS, RULE as RECORD, says as contradicts_the_record};
pub(super) use seat_height::RULE as SEAT_HEIGHT;

/// Rules about how a part meets its mates: where the fitted part itself breaks one, its record or its mate's is wrong.
const OF_A_JOINT: [&str; 9] = [
    mates::RULE.id,
    engaging::RULE.id,
    thread_depth::RULE.id,
    platform::RULE.id,
    ring::RULE.id,
    head_seat::RULE.id,
    head_over_bore::RULE.id,
    shank::RULE.id,
    screw_length::RULE.id,
];

/// Habit of the trade that no source was found for.
const COMMON: &str = "common practice, no source";
/// What a rigid body and its measures say by themselves.
const GEOMETRY: &str = "geometry";
/// What this program promises: nothing fits on missing data.
const OURS: &str = "our own rule: nothing fits on missing data";

/// A rule: what it demands, why, and the function that states what it finds.
#[derive(Debug, Clone, Copy)]
pub struct Rule {
    /// Its slug, the `rule` of its findings.
    pub id: &'static str,
    /// What it demands.
    pub demands: &'static str,
    /// Why.
    pub reason: &'static str,
    /// Where that comes from.
    pub source: &'static str,
    /// Looks at a question and states what it finds.
    pub(super) states: fn(&Question<'_>) -> Vec<Finding>,
}

impl Rule {
    /// A finding of this rule; both values with their unit, empty where nothing is compared.
    pub(super) fn finds(
        &self,
        level: Level,
        fitted: impl Display,
        candidate: impl Display,
        effect: impl Display,
    ) -> Finding {
        Finding {
            rule: self.id,
            level,
            fitted: fitted.to_string(),
            candidate: candidate.to_string(),
            effect: effect.to_string(),
            source: self.source,
            steps: 0,
        }
    }
}

/// Every rule, in the order they are explained in.
pub fn table() -> &'static [Rule] {
    const ALL: &[Rule] = &[
        job::RULE,
        channel::RULE,
        inside_bridge::RULE,
        mates::RULE,
        above::RULE,
        platform::RULE,
        ring::RULE,
        engaging::RULE,
        seat_height::RULE,
        offset::RULE,
        angle::RULE,
        variant::RULE,
        lean::RULE,
        post_form::RULE,
        head_seat::RULE,
        head_over_bore::RULE,
        shank::RULE,
        screw_length::RULE,
        thread_depth::RULE,
        screw_head::RULE,
        other_maker::RULE,
        made::RULE,
        collar::RULE,
        width::RULE,
        pieces::RULE,
        ports::RULE,
        drive::RULE,
        torque::RULE,
        material::RULE,
        revision::RULE,
        tolerance::RULE,
        record::RULE,
        notes::RULE,
        for_now::RULE,
        known::RULE,
    ];
    ALL
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_rule_says_who_it_is_and_why() {
        let mut ids: Vec<_> = table().iter().map(|r| r.id).collect();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), table().len(), "two rules of one id");
        for rule in table() {
            for text in [rule.id, rule.demands, rule.reason, rule.source] {
                assert!(
                    !text.is_empty() && !text.ends_with('.') && !text.contains('|'),
                    "{}: '{text}'",
                    rule.id
                );
            }
        }
    }
}
