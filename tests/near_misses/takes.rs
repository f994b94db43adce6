//! What is laid out: no near miss stands in a row to take, and every row for a mouth carries its verdict.

use spareseat::case::{Broken, Left};
use spareseat::catalog::{Kind, Position};
use spareseat::chair::visit::{self, Reply, VisitQuestion};
use spareseat::demo;
use spareseat::fitting::visiting::{self, WalkIn};
use spareseat::matching::Verdict;
use spareseat::record::View;
use spareseat::report::json;
use spareseat::shelf::receiving::{self, Receive};
use spareseat::units::{CaseNumber, Expiry, Lot, PartCode, PlaceId, Tooth};

use super::expected::{Ask, Expected};
use super::generated::twin;
use super::stages::{self, Stage};
use super::vary::{Whose, singles};
use crate::practice::{Builder, DAY, Practice};
use crate::support::side_by_side;

/// Every report that the words allow at every site of a case.
fn reports() -> impl Iterator<Item = (Broken, Option<Left>)> {
    let lefts = || std::iter::once(None).chain(Left::ALL.iter().map(|(left, _)| Some(*left)));
    Broken::ALL.iter().flat_map(move |(broken, _)| lefts().map(|left| (*broken, left)))
}

/// Every answer there is to calls about these cases, as the JSON has it.
fn answers(practice: &Practice, case: &str, each: &mut dyn FnMut(&str, &serde_json::Value)) {
    let view = practice.view();
    let number = CaseNumber::new(case).expect("a number");
    let sites = view.case(&number).expect("a view").expect("the case").sites;
    for site in sites {
        for (broken, left) in reports() {
            let ask = VisitQuestion {
                case: number.clone(),
                site: Some(site.iso().to_string()),
                broken: Some(broken),
                left,
            };
            // What cannot be, or is not there, lays nothing out.
            let Ok(Reply::Visit(answer)) = visit::answer(view, &ask, DAY) else { continue };
            let words = format!("case {case}, tooth {}: {broken}, {left:?}", site.iso());
            each(&words, &json::visit(&answer, practice.entry()));
        }
    }
}

/// The lists of an answer that hold rows.
const LISTS: [&str; 3] = ["tray", "if_fragment_stays", "if_bridge_cannot_go_back"];

fn rows(answer: &serde_json::Value) -> impl Iterator<Item = (&'static str, &serde_json::Value)> {
    LISTS.into_iter().flat_map(move |list| {
        let rows = answer[list].as_array().unwrap_or_else(|| panic!("no list {list}"));
        rows.iter().map(move |row| (list, row))
    })
}

fn kind_of(view: &View, row: &serde_json::Value) -> Option<Kind> {
    let code = PartCode::new(row["part"].as_str()?).expect("a code");
    Some(view.part(&code).expect("a view")?.kind)
}

/// Closes what stands open for a while and replaces nothing.
fn is_cover(kind: Kind) -> bool {
    matches!(kind, Kind::HealingCap | Kind::HealingAbutment | Kind::CoverScrew)
}

/// What is wrong with the rows of an answer.
fn wrong_rows(view: &View, words: &str, answer: &serde_json::Value) -> Vec<String> {
    let mut wrong = Vec::new();
    for (list, row) in rows(answer) {
        let kind = kind_of(view, row);
        let for_a_mouth = kind.is_some_and(Kind::is_fitted);
        let may = match row["verdict"].as_str() {
            None => !for_a_mouth,
            Some("same part" | "like for like") => true,
            Some("fits, with changes") if kind.is_some_and(is_cover) => true,
            Some(_) => row["use"] != "take",
        };
        if !may {
            wrong.push(format!("{words}: {list}: {} {} is '{}'", row["use"], row["part"], row["verdict"]));
        }
    }
    wrong
}

/// The demo's drawers.
fn stock(practice: &mut Practice) {
    let text = demo::lay_dates(include_str!("../../demo/stock.txt"), DAY).expect("dates in braces");
    for line in text.lines().filter(|l| !l.starts_with('#') && !l.is_empty()) {
        let words: Vec<&str> = line.split_whitespace().collect();
        let [part, lot, quantity, place, expiry] = words[..] else { panic!("{line}") };
        let ask = Receive {
            part: PartCode::new(part).expect("a code"),
            lot: Lot::new(lot).expect("a lot"),
            quantity: quantity.parse().expect("a number"),
            place: PlaceId::new(place).expect("a place"),
            new_place: true,
            expiry: (expiry != "-").then(|| Expiry::parse(expiry).expect("an expiry")),
            label: None,
        };
        practice.book(|view| receiving::decide(view, &ask)).unwrap_or_else(|e| panic!("{line}: {e}"));
    }
}

fn walk_in(practice: &mut Practice) {
    let walk_in = WalkIn {
        case: CaseNumber::new("5120").expect("a number"),
        site: Tooth::parse("36").expect("a tooth"),
        broken: Broken::NotKnown,
        left: None,
        note: None,
    };
    practice.book(|view| visiting::walk_in(view, &walk_in)).expect("booked");
}

const ALL_CASES: [&str; 6] = ["1047", "2210", "3306", "4051", "5120", "6188"];

/// Over all reports and all cases, with the demo's drawers and with one of everything in the house.
#[test]
fn every_row_for_a_mouth_has_its_verdict_and_only_what_puts_it_back_is_taken() {
    let mut wrong = Vec::new();
    let (mut asked, mut taken) = (0, 0);
    for everything in [false, true] {
        let mut practice = Builder::shipped().all_cases().in_memory();
        if everything {
            for (n, part) in stages::CATALOGUE.iter().enumerate() {
                practice.receive((part.text("code"), &format!("LOT-{n}"), 9, "cabinet-1-drawer-1", None));
            }
        } else {
            stock(&mut practice);
        }
        walk_in(&mut practice);
        for case in ALL_CASES {
            answers(&practice, case, &mut |words, answer| {
                asked += 1;
                taken +=
                    rows(answer).filter(|(_, row)| row["use"] == "take" && !row["part"].is_null()).count();
                wrong.extend(wrong_rows(practice.view(), words, answer));
            });
        }
    }
    assert!(asked > 400 && taken > 1_000, "{asked} answers, {taken} rows to take");
    wrong.sort();
    wrong.dedup();
    let shown: Vec<&String> = wrong.iter().take(40).collect();
    assert!(wrong.is_empty(), "{} of {asked} answers: {shown:#?}", wrong.len());
}

/// Parts under codes of their own that may not take the place of what stands at this stage.
fn near_misses(stage: &Stage, most: usize) -> Vec<Ask> {
    let ask = twin(stage);
    let mut all: Vec<Ask> = Vec::new();
    for change in singles(&ask).into_iter().filter(|c| c.whose == Whose::Candidate) {
        let mut changed = ask.clone();
        if change.apply(&mut changed) && Expected::of(&changed).best > Verdict::LikeForLike {
            all.push(changed);
        }
    }
    // From the whole list, not from its beginning.
    let step = all.len().div_ceil(most).max(1);
    let mut chosen: Vec<Ask> = all.into_iter().step_by(step).collect();
    for (n, miss) in chosen.iter_mut().enumerate() {
        miss.candidate = miss.candidate.renamed(&format!("near-miss-{n}"));
        for number in ["gtin", "hibc"] {
            miss.candidate.forget(number);
        }
    }
    chosen
}

/// Case, site, position: one of each shape that is changed at the chair.
const SEATS: [(&str, &str, Position); 9] = [
    ("1047", "25", Position::Abutment),
    ("1047", "25", Position::ProstheticScrew),
    ("2210", "45", Position::Abutment),
    ("2210", "45", Position::AbutmentScrew),
    ("2210", "35", Position::Abutment),
    ("2210", "35", Position::AbutmentScrew),
    ("2210", "35", Position::ProstheticScrew),
    ("3306", "46", Position::AbutmentScrew),
    ("4051", "34", Position::AbutmentScrew),
];

/// The house is full of near misses of one seat and of nothing else: what is laid out of them, and how many there are.
fn laid_out((case, site, position): (&str, &str, Position)) -> (Vec<String>, usize) {
    let mut wrong = Vec::new();
    let name = format!("case {case}, ");
    let is_it = |s: &&Stage| s.name.starts_with(&name) && s.name.contains(site) && s.ask.position == position;
    let stage = stages::OF_CASES.iter().find(is_it).unwrap_or_else(|| panic!("{case} {site} {position}"));
    let all = near_misses(stage, 60);
    let mut practice = Builder::shipped().all_cases().in_memory();
    practice.old_edition(all.iter().map(|ask| (*ask.candidate.part()).clone()));
    for miss in &all {
        practice.receive((miss.candidate.text("code"), "LOT-1", 9, "cabinet-1-drawer-1", None));
    }
    answers(&practice, case, &mut |words, answer| {
        for (list, row) in rows(answer).filter(|(_, r)| r["use"] == "take") {
            let Some(code) = row["part"].as_str().filter(|c| c.starts_with("near-miss")) else {
                continue;
            };
            let miss = all.iter().find(|ask| ask.candidate.text("code") == code).expect("one of them");
            // Another site of the bridge has other mates; what stands there is asked of itself.
            if row["sites"].as_array().is_some_and(|s| s.iter().any(|t| t == site)) {
                wrong.push(format!("{words}: {list}: TAKE {code}: {}", Expected::of(miss).why()));
            }
        }
    });
    (wrong, all.len())
}

#[test]
fn no_near_miss_in_the_house_is_ever_laid_out() {
    let (wrong, misses): (Vec<_>, Vec<_>) = side_by_side(&SEATS, |seat| laid_out(*seat)).into_iter().unzip();
    let (mut wrong, misses) = (wrong.concat(), misses.into_iter().sum::<usize>());
    assert!(misses > 300, "{misses}");
    wrong.sort();
    wrong.dedup();
    let shown: Vec<&String> = wrong.iter().take(40).collect();
    assert!(wrong.is_empty(), "{} rows: {shown:#?}", wrong.len());
}

/// The look-up says of every near miss what the rules say, or worse: it knows more than the parts.
#[test]
fn swap_calls_no_near_miss_better_than_is_known() {
    let (mut wrong, mut asked) = (Vec::new(), 0);
    for (case, site, position) in SEATS {
        let name = format!("case {case}, ");
        let is_it =
            |s: &&Stage| s.name.starts_with(&name) && s.name.contains(site) && s.ask.position == position;
        let stage = stages::OF_CASES.iter().find(is_it).unwrap_or_else(|| panic!("{case} {site} {position}"));
        let all = near_misses(stage, 200);
        let mut practice = Builder::shipped().all_cases().in_memory();
        practice.old_edition(all.iter().map(|ask| (*ask.candidate.part()).clone()));
        let number = CaseNumber::new(case).expect("a number");
        for miss in &all {
            let code = PartCode::new(miss.candidate.text("code")).expect("a code");
            let answer =
                spareseat::bench::swap::answer(practice.view(), &number, site, position, Some(&code), DAY);
            let verdict = answer.expect("an answer").candidates[0].judgement.verdict;
            let expected = Expected::of(miss);
            asked += 1;
            if verdict < expected.best.min(Verdict::NotConfirmed) {
                wrong.push(format!("{case} {site} {position}: {code} is '{verdict}', {}", expected.why()));
            }
        }
    }
    assert!(asked > 1_000, "{asked}");
    let shown: Vec<&String> = wrong.iter().take(40).collect();
    assert!(wrong.is_empty(), "{} of {asked}: {shown:#?}", wrong.len());
}
