//! If the bridge cannot go back today: a cap for everything that would stand open.

use super::scene::Scene;
use super::tools::{ToolRow, WhatFor, drivers, in_house};
use super::tray::TrayUse;
use crate::case::Fitted;
use crate::catalog::{Kind, Part, Placed, Position, Seat, Side, Value};
use crate::desk::lookup::pieces;
use crate::matching::{Judgement, Question, StandsOn, Verdict, judge_for_now};
use crate::record::ViewError;
use crate::stock::pick;
use crate::units::{PartCode, Tooth, teeth};

/// Caps with their drawers, and what is said beside them.
#[derive(Default)]
pub(super) struct Caps {
    pub rows: Vec<ToolRow>,
    pub words: Vec<String>,
}

/// A cap, what is said of it, and the sites it goes on.
struct Group {
    kind: Kind,
    part: Part,
    judgement: Judgement,
    sites: Vec<Tooth>,
}

/// `gone` is the site whose abutment does not hold: there the implant is covered, not the abutment.
pub(super) fn caps(scene: &Scene<'_>, gone: Option<Tooth>) -> Result<Caps, ViewError> {
    let mut groups: Vec<Group> = Vec::new();
    let mut open: Vec<(Tooth, String)> = Vec::new();
    for tooth in &scene.order {
        match cap_for(scene, *tooth, gone == Some(*tooth), &groups)? {
            Ok((kind, part, judgement)) => match groups.iter_mut().find(|g| g.part.code == part.code) {
                Some(group) => group.sites.push(*tooth),
                None => groups.push(Group { kind, part, judgement, sites: vec![*tooth] }),
            },
            Err(why) => open.push((*tooth, why)),
        }
    }
    let mut rows = Vec::new();
    let mut words = Vec::new();
    for Group { kind, part, judgement, sites } in groups {
        let picks = pick(&in_house(scene, &part)?, sites.len() as u32, scene.today);
        let mut left = sites.iter().copied();
        for pick in picks {
            rows.push(ToolRow {
                usage: TrayUse::Take,
                kind,
                what_for: WhatFor::Cover,
                sites: left.by_ref().take(pick.take as usize).collect(),
                description: part.description.to_string(),
                part: Some(part.clone()),
                judgement: Some(judgement.clone()),
                quantity: pick.take,
                pick: Some(pick),
            });
        }
        let short: Vec<Tooth> = left.collect();
        if !short.is_empty() {
            words.push(short_of(kind, &part.code, sites.len(), &short));
        }
    }
    let turned: Vec<_> = rows
        .iter()
        .filter_map(|r: &ToolRow| Some((r, r.part.as_ref()?.drive)))
        .flat_map(|(r, drive)| r.sites.iter().map(move |site| (*site, drive)))
        .collect();
    rows.extend(drivers(scene, &[], &turned)?);
    for (why, sites) in by_reason(open) {
        words.push(format!("No cap for {}: {why}.", teeth(&sites)));
    }
    Ok(Caps { rows, words })
}

/// What is said when not every site of a kind of cap gets one.
fn short_of(kind: Kind, code: &PartCode, wanted: usize, short: &[Tooth]) -> String {
    let (kind, missing) = (kind.words(), teeth(short));
    match wanted - short.len() {
        0 => format!("Not in the house: {kind} {code}, for {missing}."),
        here => format!(
            "Not complete: {here} of {} of {kind} {code} in the house; none for {missing}.",
            pieces(wanted as i64)
        ),
    }
}

fn by_reason(open: Vec<(Tooth, String)>) -> Vec<(String, Vec<Tooth>)> {
    let mut groups: Vec<(String, Vec<Tooth>)> = Vec::new();
    for (tooth, why) in open {
        match groups.iter_mut().find(|(w, _)| *w == why) {
            Some((_, sites)) => sites.push(tooth),
            None => groups.push((why, vec![tooth])),
        }
    }
    groups
}

/// The cap for a site: one of which all that must be known is known and fits, in the house if there is one; else why there
/// is none.
fn cap_for(
    scene: &Scene<'_>,
    tooth: Tooth,
    abutment_is_gone: bool,
    groups: &[Group],
) -> Result<Result<(Kind, Part, Judgement), String>, ViewError> {
    let assembly = scene.assembly(tooth);
    // Under a cemented bridge the abutments come off with it.
    let stays = |f: &&Fitted| match f.position {
        Position::Implant => true,
        Position::Abutment | Position::AbutmentScrew => {
            !abutment_is_gone && !scene.is_cemented() && Fitted::at(assembly, Position::Abutment).is_some()
        }
        _ => false,
    };
    let others: Vec<Placed<'_>> = assembly.iter().filter(stays).map(|f| (f.position, &f.part)).collect();
    let carrier = others.iter().find(|(at, _)| *at == Position::Abutment).or(others.first());
    let Some((at, carrier)) = carrier else { return Ok(Err("nothing is on record there".to_owned())) };
    let kind = if *at == Position::Abutment { Kind::HealingCap } else { Kind::HealingAbutment };
    let Some(seat) = carrier.seat(Side::Above) else {
        return Ok(Err(format!("the seat of {} is not on record", carrier.code)));
    };
    let mut found: Option<(Part, Judgement)> = None;
    let mut in_doubt = false;
    for part in of_this_maker(scene, carrier, kind, seat)? {
        let judgement = for_now(&part, &others);
        match judgement.verdict {
            Verdict::DoesNotFit => continue,
            Verdict::FitsWithChanges if !judgement.is_by_statement() => {}
            _ => {
                in_doubt = true;
                continue;
            }
        }
        let taken: usize = groups.iter().filter(|g| g.part.code == part.code).map(|g| g.sites.len()).sum();
        let picks = pick(&in_house(scene, &part)?, taken as u32 + 1, scene.today);
        if picks.iter().map(|p| p.take).sum::<u32>() as usize > taken {
            return Ok(Ok((kind, part, judgement)));
        }
        found.get_or_insert((part, judgement));
    }
    Ok(match found {
        Some((part, judgement)) => Ok((kind, part, judgement)),
        None if in_doubt => {
            Err(format!("no {} of which everything that must be known fits {}", kind.words(), carrier.code))
        }
        None => Err(format!("no {} in the catalogue fits {}", kind.words(), carrier.code)),
    })
}

/// Caps on this seat by the carrier's own maker: makers' parts are not mixed, on a cap no more than under a bridge.
fn of_this_maker(scene: &Scene<'_>, carrier: &Part, kind: Kind, seat: &Seat) -> Result<Vec<Part>, ViewError> {
    // A part that was fitted before makers were asked for is looked up: its code stands for one article.
    let listed =
        scene.view.part(&carrier.code)?.filter(|p| carrier.maker.is_unknown() && p.is_same_as(carrier));
    let maker = listed.map_or_else(|| carrier.maker.clone(), |p| p.maker);
    let mut out = Vec::new();
    for code in scene.view.codes_by_interface(kind, &seat.interface)? {
        out.extend(scene.view.part(&code)?.filter(|p| p.maker.same(&maker) == Some(true)));
    }
    out.sort_by_key(|p| (p.system != carrier.system, p.code.clone()));
    Ok(out)
}

/// A cap replaces nothing: it is judged by itself, over what it stands on.
fn for_now(part: &Part, others: &[Placed<'_>]) -> Judgement {
    judge_for_now(&Question {
        position: Position::HealingCap,
        fitted: part,
        lean: &Value::NotApplicable,
        others,
        stands_on: StandsOn::Nothing,
        candidate: part,
        verifications: &[],
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_set_of_caps_that_is_not_complete_says_for_which_teeth() {
        let code = PartCode::new("dunlin-healing-cap-4.8").unwrap();
        let missing = |teeth: &[&str]| teeth.iter().map(|t| Tooth::parse(t).unwrap()).collect::<Vec<_>>();
        for (wanted, short, says) in [
            (
                1,
                missing(&["35"]),
                "Not in the house: healing cap (on abutment) dunlin-healing-cap-4.8, for tooth 35.",
            ),
            (
                4,
                missing(&["41", "33"]),
                "Not complete: 2 of 4 pieces of healing cap (on abutment) dunlin-healing-cap-4.8 in the house; none for teeth 41 and 33.",
            ),
        ] {
            assert_eq!(short_of(Kind::HealingCap, &code, wanted, &short), says);
        }
    }
}
