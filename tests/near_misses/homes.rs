//! Ten thousand random homes: the order of ports, parts and files, the side of the mouth and what else is in the
//! catalogue say nothing about a part.

use std::collections::BTreeMap;

use fastrand::Rng;
use spareseat::bench::swap;
use spareseat::catalog::{Lean, Position, Value, shipped};
use spareseat::demo;
use spareseat::matching::Verdict;
use spareseat::units::{Angle, Tooth};

use super::expected::Ask;
use super::generated::twin;
use super::stages;
use super::table::Shape;
use super::vary::singles;
use crate::practice::{Builder, CASES, DAY, Practice};

/// A question as another home has it: everything in another order, and the mouth mirrored.
fn elsewhere(ask: &Ask, rng: &mut Rng) -> Ask {
    let mut other = ask.clone();
    for part in [&mut other.fitted, &mut other.candidate] {
        part.turn_ports(rng.usize(..4));
    }
    for (_, part) in &mut other.others {
        part.turn_ports(rng.usize(..4));
    }
    rng.shuffle(&mut other.others);
    if let Value::Known(Lean::At(angle)) = other.lean {
        other.lean = Value::Known(Lean::At(Angle::from_base(360_000 - angle.base())));
    }
    other
}

/// A random question: a part of the demo, and for it a twin with a change or two, or another part of the catalogue.
fn random(rng: &mut Rng) -> (String, Ask) {
    let stages: Vec<_> = stages::all().collect();
    let stage = stages[rng.usize(..stages.len())];
    let mut ask = twin(stage);
    if rng.bool() {
        let changes = singles(&ask);
        for _ in 0..rng.usize(..3) {
            changes[rng.usize(..changes.len())].apply(&mut ask);
        }
    } else {
        let same_place = |p: &&super::sheet::Sheet| {
            Shape::of(p).is_some_and(|shape| stages::position_of(shape) == stage.ask.position)
        };
        let all: Vec<_> = stages::CATALOGUE.iter().filter(same_place).collect();
        ask.candidate = all[rng.usize(..all.len())].clone();
    }
    if ask.shape.is_angled() && rng.bool() {
        ask.lean = Value::Known(Lean::At(Angle::from_base(rng.i32(0..360_000))));
    }
    (stage.name.clone(), ask)
}

#[test]
fn ten_thousand_homes_in_another_order_give_the_same_verdicts() {
    let mut rng = Rng::with_seed(0x5eed_0004);
    let mut verdicts: BTreeMap<&str, usize> = BTreeMap::new();
    for n in 0..10_000 {
        let (name, ask) = random(&mut rng);
        let here = ask.judged();
        let there = elsewhere(&ask, &mut rng).judged();
        assert_eq!(here.verdict, there.verdict, "{n}, {name}: {:#?} {:#?}", here.findings, there.findings);
        let levels = |j: &spareseat::matching::Judgement| {
            let mut all: Vec<_> = j.findings.iter().map(|f| (f.level, f.rule)).collect();
            all.sort_unstable();
            all
        };
        assert_eq!(levels(&here), levels(&there), "{n}, {name}");
        *verdicts.entry(here.verdict.words()).or_default() += 1;
    }
    for verdict in ["like for like", "fits, with changes", "not confirmed", "does not fit"] {
        assert!(verdicts.get(verdict).is_some_and(|n| *n > 100), "{verdicts:?}");
    }
}

/// Whether two parts are like for like does not depend on which of them was there first, tolerances apart.
#[test]
fn like_for_like_holds_both_ways() {
    let (mut wrong, mut found) = (Vec::new(), 0);
    for stage in stages::all() {
        for part in stages::CATALOGUE.iter() {
            let same_place = Shape::of(part).map(stages::position_of) == Some(stage.ask.position);
            if !same_place || part.text("code") == stage.ask.fitted.text("code") {
                continue;
            }
            let ask = Ask { candidate: part.clone(), ..stage.ask.clone() };
            if ask.judged().verdict == Verdict::LikeForLike {
                found += 1;
                wrong.extend(one_way_only(&ask).map(|why| format!("{}: {why}", stage.name)));
            }
        }
        // A tighter drawing is like for like, a looser one the other way round a change.
        let mut tighter = twin(stage);
        if tighter.candidate.number("length_tolerance").is_some() {
            tighter.candidate.set("length_tolerance", serde_json::json!(1));
            if tighter.judged().verdict == Verdict::LikeForLike {
                found += 1;
                wrong.extend(one_way_only(&tighter).map(|why| format!("{}: {why}", stage.name)));
            }
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
    assert!(found > 50, "only {found} pairs are like for like at all");
}

fn one_way_only(ask: &Ask) -> Option<String> {
    let mut back = ask.clone();
    std::mem::swap(&mut back.fitted, &mut back.candidate);
    let judged = back.judged();
    if judged.verdict == Verdict::LikeForLike {
        return None;
    }
    let mut same_drawing = back.clone();
    let tolerance = same_drawing.fitted.cell("length_tolerance");
    if let super::sheet::Cell::Known(json) = tolerance {
        same_drawing.candidate.set("length_tolerance", json);
    }
    let only_tolerance =
        judged.verdict == Verdict::FitsWithChanges && same_drawing.judged().verdict == Verdict::LikeForLike;
    (!only_tolerance).then(|| format!("the other way round '{}': {:?}", judged.verdict, judged.findings))
}

/// Every candidate's verdict at every position of every case.
type Verdicts = BTreeMap<(String, String, &'static str, String), Verdict>;

fn verdicts(practice: &Practice, mirrored: bool) -> Verdicts {
    let view = practice.view();
    let mut all = Verdicts::new();
    for case in view.cases().expect("cases") {
        for tooth in &case.sites {
            let named =
                if mirrored { mirror_tooth(&tooth.iso().to_string()) } else { tooth.iso().to_string() };
            for position in Position::ALL {
                let typed = tooth.iso().to_string();
                let Ok(answer) = swap::answer(view, &case.number, &typed, position, None, DAY) else {
                    continue;
                };
                for c in answer.candidates {
                    let at =
                        (case.number.to_string(), named.clone(), position.slug(), c.part.code.to_string());
                    all.insert(at, c.judgement.verdict);
                }
            }
        }
    }
    all
}

fn mirror_tooth(iso: &str) -> String {
    let (quadrant, tooth) = iso.split_at(1);
    let other = match quadrant {
        "1" => "2",
        "2" => "1",
        "3" => "4",
        _ => "3",
    };
    let mirrored = format!("{other}{tooth}");
    Tooth::parse(&mirrored).expect("the same tooth on the other side");
    mirrored
}

/// Every tooth of a line on the other side of the mouth.
fn mirror_teeth(line: &str) -> String {
    let ends = [' ', ',', '[', ']'];
    let mirrored = line.split_inclusive(ends).map(|word| {
        let bare = word.trim_end_matches(ends);
        let is_tooth = bare.len() == 2 && bare.bytes().all(|b| b.is_ascii_digit());
        if is_tooth { word.replacen(bare, &mirror_tooth(bare), 1) } else { word.to_owned() }
    });
    mirrored.collect()
}

/// A case file on the other side of the mouth.
fn mirror(text: &str) -> String {
    let line = |l: &str| {
        let key = l.split('=').next().unwrap_or_default().trim();
        match key {
            "tooth" | "sites" | "pontics" => mirror_teeth(l),
            "cantilever_right" => l.replace("right", "left"),
            "cantilever_left" => l.replace("left", "right"),
            _ => l.to_owned(),
        }
    };
    text.lines().map(line).collect::<Vec<String>>().join("\n")
}

/// The shipped files with their parts in another order.
fn shuffled(rng: &mut Rng) -> Vec<(String, String)> {
    let mut files: Vec<(String, String)> = shipped()
        .iter()
        .map(|(file, text)| {
            let mut blocks = text.split("\n[[part]]\n");
            let head = blocks.next().unwrap_or_default().to_owned();
            let mut parts: Vec<&str> = blocks.collect();
            rng.shuffle(&mut parts);
            let body: String = parts.iter().map(|p| format!("\n[[part]]\n{p}")).collect();
            ((*file).to_owned(), head + &body)
        })
        .collect();
    rng.shuffle(&mut files);
    files
}

#[test]
fn homes_filled_in_another_order_mirrored_and_with_more_in_them_answer_alike() {
    let mut rng = Rng::with_seed(0x5eed_0005);
    let usual = verdicts(&Builder::shipped().all_cases().in_memory(), false);
    assert!(usual.len() > 300, "{}", usual.len());
    for n in 0..4 {
        let mirrored = n % 2 == 1;
        let mut practice = Builder::shipped().in_memory();
        practice.import(&shuffled(&mut rng)).expect("the same parts in another order");
        // Of another shelf altogether: a consumable meets nothing.
        let more = "form = 1\ninvented = true\nsource = \"Somebody else (invented)\"\nsystem = \"plover\"\n[[part]]\ncode = \"gauze\"\nkind = \"consumable\"\ndescription = \"gauze\"\n";
        practice.import(&[("more.toml".to_owned(), more.to_owned())]).expect("gauze is welcome");
        let mut cases = CASES;
        rng.shuffle(&mut cases);
        for (file, text) in cases {
            let text = demo::lay_dates(text, DAY).expect("dates in braces");
            practice.case(file, &if mirrored { mirror(&text) } else { text });
        }
        assert_eq!(verdicts(&practice, mirrored), usual, "home {n}");
    }
}
