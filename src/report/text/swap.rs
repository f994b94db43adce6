//! The answer to a swap question.

use std::fmt::Write as _;

use jiff::civil::Date;

use super::super::capital;
use super::{finding, pieces, section, worth_reading};
use crate::bench::candidate::Candidate;
use crate::bench::fit::FIT;
use crate::bench::swap::{Swap, SwapSet};
use crate::catalog::Position;
use crate::chair::visit::usable_on;
use crate::desk::CAUTION;
use crate::desk::lookup::guess_line;
use crate::matching::{Finding, StandsOn};
use crate::units::{Tooth, visible};

pub(super) fn in_house(c: &Candidate, today: Date) -> String {
    if c.in_house.is_empty() {
        return "not in the house".to_owned();
    }
    let one = |l: &crate::stock::StockLine| {
        let state = if l.expiry.is_over(today) {
            format!("EXPIRED {}", l.expiry)
        } else {
            usable_on(l.expiry, today)
        };
        format!("{} of lot {} in {}, {state}", pieces(l.quantity), l.lot, l.place)
    };
    c.in_house.iter().map(one).collect::<Vec<_>>().join("; ")
}

/// What of a candidate is set aside, for whom and until when.
pub(super) fn set_aside(out: &mut String, c: &Candidate) {
    for held in &c.held {
        let _ = writeln!(out, "    set aside, {}", held.words());
    }
}

/// How much is said about a candidate.
#[derive(Debug, Clone, Copy)]
pub(super) struct Detail {
    /// Every finding, whatever the verdict.
    pub whole: bool,
    /// With rule and source.
    pub why: bool,
}

pub(super) fn candidate(out: &mut String, c: &Candidate, today: Date, detail: Detail) {
    let _ = writeln!(out, "  {}: {} ({})", c.judgement.verdict, c.part.code, c.part.description);
    let _ = writeln!(out, "    {}; {}", in_house(c, today), c.torque);
    set_aside(out, c);
    let all = &c.judgement.findings;
    let shown: Vec<&Finding> =
        if detail.whole { all.iter().collect() } else { worth_reading(c.judgement.verdict, all).collect() };
    for f in shown {
        let _ = writeln!(out, "    - {}", finding(f, detail.why));
    }
}

/// The same without what the fit says, where that stands below the head already.
fn beside_the_fit(c: &Candidate) -> Candidate {
    let mut shown = c.clone();
    shown.judgement.findings.retain(|f| f.rule != FIT);
    shown
}

/// What the fit says of the one part that is asked about, below the head.
fn fit(c: &Candidate) -> Option<&str> {
    c.judgement.findings.iter().find(|f| f.rule == FIT).map(|f| f.effect.as_str())
}

/// The line of what was guessed, before everything else.
pub(super) fn guess(guessed: &[(Tooth, Position)]) -> String {
    guess_line(guessed).map_or(String::new(), |line| line + "\n")
}

/// The answer to a swap question.
pub fn swap(s: &Swap, today: Date, why: bool) -> String {
    let mut out = guess(&s.guessed);
    let on = match s.stands_on {
        StandsOn::Bridge => "under an existing rigid bridge",
        StandsOn::OneCrown => "under one existing crown",
        StandsOn::Nothing => "with nothing standing on it yet",
    };
    let position = s.position.words();
    match (&s.laboratory_work, &s.candidates[..]) {
        (Some(work), _) => {
            let _ = writeln!(out, "{}.", visible(work));
        }
        (None, [only]) => {
            let _ = writeln!(
                out,
                "{}: {} in place of {}, {on}.",
                only.judgement.verdict, only.part.code, s.fitted.part.code
            );
            if let Some(fit) = fit(only) {
                let _ = writeln!(out, "{}.", capital(&visible(fit)));
            }
        }
        (None, all) => {
            let good: Vec<&Candidate> = all.iter().filter(|c| c.judgement.verdict.puts_it_back()).collect();
            let _ = match good.first() {
                Some(best) => writeln!(
                    out,
                    "{} of {} candidates put it back as it was, first: {} ({}).",
                    good.len(),
                    all.len() + s.not_shown,
                    best.part.code,
                    best.judgement.verdict
                ),
                None => {
                    writeln!(out, "None of {} candidates puts it back as it was.", all.len() + s.not_shown)
                }
            };
        }
    }
    let on_record = if s.restoration_not_on_record {
        "\nNOT KNOWN: what else holds this bridge, which other screws? No restoration is on record there."
    } else {
        ""
    };
    let fitted = match &s.empty {
        Some(empty) => format!("EMPTY: {}. Held against", empty.words()),
        None => "Fitted".to_owned(),
    };
    let _ = writeln!(
        out,
        "Case {}, {} ({}), position {position}, {on}. {fitted}: {} ({}).{on_record}\n",
        s.case,
        s.site,
        s.site.words(),
        s.fitted.part.code,
        s.fitted.part.description
    );
    if let Some(now) = &s.stands_there {
        let built_on = &s.fitted.part.code;
        let _ = writeln!(
            out,
            "CAREFUL: on record there now is {now}; the restoration was built on {built_on}, and every part here is held against that.\n"
        );
    }
    if !s.to_laboratory.is_empty() {
        section(&mut out, "To the laboratory with it", &s.to_laboratory);
    }
    if s.laboratory_work.is_none() {
        let (here, away): (Vec<_>, Vec<_>) = s.candidates.iter().partition(|c| !c.in_house.is_empty());
        let detail = Detail { whole: s.candidates.len() == 1, why };
        let one = |out: &mut String, c: &Candidate| match detail.whole {
            true => candidate(out, &beside_the_fit(c), today, detail),
            false => candidate(out, c, today, detail),
        };
        here.iter().for_each(|c| one(&mut out, c));
        if !away.is_empty() {
            let _ = writeln!(out, "  ---- not in the house ----");
            away.iter().for_each(|c| one(&mut out, c));
        }
        if s.not_shown > 0 {
            let _ = writeln!(out, "  and {} more parts that do not fit", s.not_shown);
        }
    }
    let _ = writeln!(out, "\n{CAUTION}");
    out
}

/// The answer for a set of swaps under one bridge.
pub fn swap_set(s: &SwapSet, today: Date, why: bool) -> String {
    let worst = s.swaps.iter().map(|(_, _, c)| c.judgement.verdict).max();
    let worst = worst.map_or(String::new(), |v| v.to_string());
    let mut out = guess(&s.guessed);
    let _ = writeln!(out, "{worst}: {} swaps judged as a set, bridge {}.", s.swaps.len(), s.span);
    // One bridge: what the fit says of the one it says of the other.
    if let Some(fit) = s.swaps.iter().find_map(|(_, _, c)| fit(c)) {
        let _ = writeln!(out, "{}.", capital(&visible(fit)));
    }
    for careful in &s.careful {
        let _ = writeln!(out, "CAREFUL: {}.", visible(careful));
    }
    for (site, fitted, c) in &s.swaps {
        let _ = writeln!(
            out,
            "\nCase {}, {site} ({}), position {}. Fitted: {}.",
            s.case,
            site.words(),
            s.position.words(),
            fitted.part.code
        );
        candidate(&mut out, &beside_the_fit(c), today, Detail { whole: true, why });
    }
    let _ = writeln!(out, "\n{CAUTION}");
    out
}
