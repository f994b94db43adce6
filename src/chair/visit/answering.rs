//! The answer: a row of the call table over what the record says.

use jiff::civil::Date;

use super::kit::{drives, fragment_tools, tools_for};
use super::scene::{Need, Scene};
use super::sets::{left_over, mixed};
use super::tools;
use super::tray::{TrayRow, Use, alternatives, lay_out};
use super::{
    Asked, FittedRow, NotThere, Reply, Stray, Visit, VisitError, VisitQuestion, after, back, causes, fill,
    missing, step_up_title, walk_in, way, words,
};
use crate::bench::laboratory;
use crate::bench::swap::by_the_rules;
use crate::case::{Broken, Call, Ends, Event, Fitted, Grinding, Happening, Left};
use crate::cases::empty::Empty;
use crate::catalog::Position;
use crate::desk::lookup;
use crate::record::{OpenVisit, Shown, View, ViewError};
use crate::units::{Tooth, show_date, teeth};

/// Answers a call.
pub fn answer(view: &View, ask: &VisitQuestion, today: Date) -> Result<Reply, VisitError> {
    let case = lookup::case(view, &ask.case)?;
    let state = view.state(&ask.case)?;
    if let Some((on, because)) = state.closed {
        return Err(VisitError::Closed { case: ask.case.clone(), on, because });
    }
    let open = state.visit;
    let site = match (&ask.site, &open) {
        (Some(typed), _) => lookup::site(&case, typed)?,
        (None, Some(open)) => open.site,
        (None, None) => return Err(VisitError::NotSaid(ask.case.clone())),
    };
    let same = open.as_ref().filter(|o| o.site == site);
    let broken =
        ask.broken.or(same.map(|o| o.broken)).ok_or_else(|| VisitError::NotSaid(ask.case.clone()))?;
    // What stayed behind was said of that report only.
    let left = ask.left.or(same.filter(|o| o.broken == broken).map(|o| o.left));
    let scene = Scene::set(view, today, case, site)?;
    let Some(call) = scene.row(broken) else { return Err(VisitError::NotSaid(ask.case.clone())) };
    let left = left_behind(call, left)?;
    let asked = Asked { site, broken, left, position: scene.about(call).map(|f| f.position) };
    let nothing_is_known = scene.own().is_empty();
    if !nothing_is_known && !call.about.is_empty() && asked.position.is_none() {
        return Ok(Reply::NotThere(not_there(&scene, call)));
    }
    let mut visit = lay_over(&scene, call, &asked, nothing_is_known, open.as_ref())?;
    visit.changed = open.as_ref().and_then(|o| changed(&visit, o));
    if let Some(entry) = visit.booked() {
        // What was to be laid out is in the mouth: the rest of the answer is what is still to be done.
        (visit.tray, visit.tools, visit.missing) = Default::default();
        visit.tray_candidates.clear();
        (visit.tools_missing, visit.undo, visit.fragment) = Default::default();
        (visit.keep_apart, visit.holds_left) = Default::default();
        visit.answer = missing::not_whole(&visit);
        visit.answer.push(words::is_booked(&visit, entry));
        return Ok(Reply::Visit(Box::new(visit)));
    }
    visit.answer = if nothing_is_known { nothing_known(&visit) } else { words::answer(&visit) };
    Ok(Reply::Visit(Box::new(visit)))
}

/// What stayed behind: as it was said, where that can be, else as the table has it.
pub fn left_behind(call: &Call, said: Option<Left>) -> Result<Left, VisitError> {
    let unsaid = match call.word {
        Broken::NotKnown => Left::NotKnown,
        _ if call.may_leave() => Left::NotKnown,
        _ => Left::Nothing,
    };
    let left = said.or(call.left).unwrap_or(unsaid);
    match words::cannot_be(call, left) {
        Some(why) => Err(VisitError::Contradiction { report: call.report.clone(), why }),
        None => Ok(left),
    }
}

fn not_there(scene: &Scene<'_>, call: &Call) -> NotThere {
    let wanted: Vec<&str> = call.about.iter().map(|p| p.words()).collect();
    let there = lookup::list(scene.own().iter().map(|f| f.position.words().to_owned()));
    let absent = call.absent.as_ref().map_or(String::new(), |a| format!(" {a}."));
    NotThere {
        case: scene.case.number.clone(),
        made_up: scene.case.made_up,
        site: scene.site,
        broken: call.word,
        sentence: format!(
            "case {}, {} ({}): no {} is on record there. On record: {there}.{absent}",
            scene.case.number,
            scene.site,
            scene.site.words(),
            wanted.join(" and no ")
        ),
    }
}

/// The row of the table over what the record says.
fn lay_over(
    scene: &Scene<'_>,
    call: &Call,
    asked: &Asked,
    nothing_is_known: bool,
    open: Option<&OpenVisit>,
) -> Result<Visit, VisitError> {
    let (view, today) = (scene.view, scene.today);
    let causes = if asked.broken == Broken::NotKnown { causes::likely(scene) } else { Vec::new() };
    // One tray for all the causes it covers, each part once.
    let calls: Vec<&Call> = match &causes[..] {
        [] => vec![call],
        some => some.iter().filter(|(c, _)| c.covered).map(|(_, call)| *call).collect(),
    };
    let leaves_something = calls.iter().any(|c| c.leaves_something());
    let new: Vec<_> = calls.iter().flat_map(|c| c.new.iter().copied()).collect();
    let mut wanted = scene.resolve(&new);
    let refer = call.ends == Ends::Refer;
    let empty: &[Empty] = if refer || nothing_is_known { &[] } else { &scene.empty };
    fill::add_stood_before(scene, empty, &mut wanted);
    let judging = scene.judging()?;
    let tray_candidates = fill::candidates(scene, &judging, empty)?;
    let (tray, missing) = lay_out(scene, &judging, &wanted)?;
    let next = next_step(scene, &calls, asked, &wanted);
    let mut if_fragment_stays = Vec::new();
    for need in &next {
        if_fragment_stays.extend(alternatives(scene, &judging, need)?);
    }
    // Nobody has looked: the way to look is the likeliest cause's; the tools are there for all.
    let (undo, _) = way::undo(scene, &calls[..calls.len().min(1)], asked)?;
    let (_, undone) = way::undo(scene, &calls, asked)?;
    let tools = tools_for(scene, &calls, asked, &undone, &tray, nothing_is_known)?;
    let turned: Vec<&Need<'_>> = next.iter().collect();
    let stays = if_fragment_stays.iter().filter(|r| r.usage == Use::Take);
    let if_fragment_stays_tools =
        tools::drivers(scene, &turned, &stays.flat_map(drives).collect::<Vec<_>>())?;
    let off = [Broken::Abutment, Broken::AbutmentScrew, Broken::WornThread, Broken::AbutmentLoose];
    let gone = off.contains(&asked.broken).then_some(asked.site);
    // Nothing is taken off an implant that moves: nothing stands open, and nothing goes to the laboratory.
    let (caps, to_laboratory) = match call.ends {
        Ends::Refer => (back::Caps::default(), Vec::new()),
        _ => {
            let restoration = scene.restoration.as_ref();
            (back::caps(scene, gone)?, laboratory::needs(view, restoration, &scene.sites, &scene.case.load)?)
        }
    };
    let stands_on = scene.stands_on();
    let again_wanted: Vec<_> = calls.iter().flat_map(|c| c.again.iter().copied()).collect();
    let again = scene.resolve(&again_wanted);
    let (possible, possible_more) =
        if nothing_is_known { walk_in::possible(scene, asked.broken)? } else { (Vec::new(), 0) };
    let is_booked = open.and_then(|o| asked.booked(o)).is_some();
    // What is booked lies in no drawer any more, to be sterilised or warned of.
    let laid_out = if is_booked { &[][..] } else { &tray[..] };
    let rows: Vec<&TrayRow> = laid_out.iter().chain(&if_fragment_stays).collect();
    let (empty, bridge_not_on_record) = (scene.empty.clone(), !refer && scene.bridge_is_not_on_record());
    let angled = scene.own().iter().find(|f| f.part.is_angled());
    let angled = angled.filter(|_| {
        undone.iter().chain(&next).any(|n| {
            n.site == scene.site && matches!(n.fitted.position, Position::Abutment | Position::AbutmentScrew)
        }) || asked.position == Some(Position::AbutmentScrew)
    });
    let mut before = words::before(asked, call.ends, scene.is_cemented(), angled, &rows);
    if nothing_is_known && call.ends != Ends::Refer {
        before.extend(walk_in::look_at());
    }
    let mut if_it_stays = way::next_step(scene, &next, asked)?;
    if next.is_empty() {
        if_it_stays.extend(words::last_resort(&calls, asked));
    }
    let tray_is_empty = tray.is_empty();
    let title = (!next.is_empty() || !if_it_stays.is_empty()).then(|| step_up_title(leaves_something));
    let mut visit = Visit {
        today,
        case: scene.case.number.clone(),
        made_up: scene.case.made_up,
        site: scene.site,
        span: scene.span(),
        stands_on,
        broken: asked.broken,
        left: asked.left,
        meant: asked.position.map(|p| (asked.site, p)),
        report: call.report.clone(),
        ends: call.ends,
        first: call.first.clone(),
        answer: Vec::new(),
        // Not before somebody has looked.
        again: match asked.broken {
            Broken::NotKnown => Vec::new(),
            _ => again.iter().map(|n| (n.site, n.fitted.part.clone(), n.torque(&n.fitted.part))).collect(),
        },
        strays: strays(scene)?,
        guessed: guessed(scene, wanted.iter().chain(&next)),
        before,
        fitted: scene.own().iter().map(|f| FittedRow { site: scene.site, fitted: f.clone() }).collect(),
        undo,
        tools_missing: tools::missing(&tools),
        fragment: way::fragment(
            asked,
            &calls,
            next.first().map(|n| n.fitted.position),
            &fragment_tools(&tools),
        ),
        tools,
        possible,
        possible_more,
        stop_rule: words::stop_rule(
            call.ends,
            nothing_is_known || !tray_is_empty || !missing.is_empty(),
            title,
        ),
        leaves_something,
        if_fragment_stays_needs: next
            .iter()
            .map(|n| (n.site, n.fitted.position, n.measure.part.clone()))
            .collect(),
        if_fragment_stays_words: if_it_stays,
        if_fragment_stays_tools,
        to_laboratory,
        rest_of_bridge: match call.ends {
            Ends::Refer => Vec::new(),
            _ => rest_of_bridge(scene, asked, &view.events(&scene.case.number)?),
        },
        put_back: Vec::new(),
        after: Vec::new(),
        cautions: words::cautions(asked, &calls, scene.is_cemented(), &rows, &caps.rows),
        if_bridge_cannot_go_back: caps.rows,
        if_bridge_cannot_go_back_words: caps.words,
        causes: causes.into_iter().map(|(cause, _)| cause).collect(),
        keep_apart: mixed(&tray),
        holds_left: left_over(view, &scene.case.number, &tray, today)?,
        tray,
        tray_candidates,
        empty,
        bridge_not_on_record,
        missing,
        if_fragment_stays,
        open: open.cloned(),
        changed: None,
    };
    visit.put_back = after::put_back(&visit);
    visit.after = after::after(&visit, asked, &calls, open.is_some(), is_booked);
    Ok(visit)
}

/// What to lay out beside it in case the first choice fails: the parts of the next step that are not on the tray yet.
fn next_step<'s>(scene: &'s Scene<'_>, calls: &[&Call], asked: &Asked, wanted: &[Need<'_>]) -> Vec<Need<'s>> {
    let possible = |c: &&&Call| !c.leaves_something() || asked.left != Left::Nothing;
    let steps: Vec<_> = calls.iter().filter(possible).flat_map(|c| c.step_up.iter().copied()).collect();
    let mut next = scene.resolve(&steps);
    next.retain(|n| !wanted.iter().any(|w| w.site == n.site && w.fitted.position == n.fitted.position));
    next
}

/// What the answer rests on and nobody has read from a label: all that stands where a part is to be replaced.
fn guessed<'n, 's: 'n>(
    scene: &'n Scene<'_>,
    needs: impl Iterator<Item = &'n Need<'s>>,
) -> Vec<(Tooth, Position)> {
    lookup::guessed(needs.map(|need| (need.site, scene.assembly(need.site))))
}

/// The answer where nothing is on record at the site.
fn nothing_known(visit: &Visit) -> Vec<String> {
    if visit.ends == Ends::Refer {
        return words::answer(visit);
    }
    let drawers: Vec<String> = walk_in::drawers(&visit.possible).iter().map(ToString::to_string).collect();
    let candidates = if drawers.is_empty() {
        "No drawer holds a part it might be.".to_owned()
    } else {
        format!("Parts it might be lie in: {}.", drawers.join(", "))
    };
    vec![
        format!(
            "NOT KNOWN what is fitted at {} ({}): look first, nothing can be named to take. {candidates}",
            visit.site,
            visit.site.words()
        ),
        format!(
            "As soon as a part is known: spareseat --as INITIALS case fit {} --site {} --position POSITION --part PART --sure HOW (label, passport, radiograph, guess)",
            visit.case,
            visit.site.iso()
        ),
    ]
}

/// What lies ready now against what was shown when the visit was put on record.
fn changed(visit: &Visit, open: &OpenVisit) -> Option<String> {
    (visit.asked().is_of(open) && open.booked.is_none()).then_some(())?;
    let now = visit.shown();
    let gone = difference(&open.tray, &now);
    let come = difference(&now, &open.tray);
    if gone.is_empty() && come.is_empty() {
        return None;
    }
    Some(format!(
        "CHANGED since it was put on record. Then: {}. Now: {}.",
        lookup::list(gone.into_iter()),
        lookup::list(come.into_iter())
    ))
}

/// What of `these` is not among `those`, in words.
pub fn difference(these: &[Shown], those: &[Shown]) -> Vec<String> {
    let one = |u: &Shown| {
        format!("{} at {}: {}, lot {}, from {}", u.position.words(), u.site, u.part, u.lot, u.place)
    };
    these.iter().filter(|u| !those.contains(u)).map(one).collect()
}

fn strays(scene: &Scene<'_>) -> Result<Vec<Stray>, ViewError> {
    let mut out = Vec::new();
    for tooth in &scene.order {
        let measures = scene.measures.get(tooth).map_or(&[][..], Vec::as_slice);
        for measure in measures {
            let now = Fitted::at(scene.assembly(*tooth), measure.position)
                .filter(|f| !f.part.is_same_as(&measure.part));
            let Some(now) = now else { continue };
            let judged = by_the_rules(scene.view, measure, measures, scene.stands_on(), &now.part)?;
            if !judged.verdict.puts_it_back() {
                let why = judged.findings.first().map_or(String::new(), |f| f.effect.clone());
                let (now, built_on) = (now.part.code.clone(), measure.part.code.clone());
                out.push(Stray {
                    site: *tooth,
                    position: measure.position,
                    now,
                    built_on,
                    verdict: judged.verdict,
                    why,
                });
            }
        }
    }
    Ok(out)
}

fn rest_of_bridge(scene: &Scene<'_>, asked: &Asked, events: &[Event]) -> Vec<String> {
    let mut lines = Vec::new();
    // Where nothing holds the bridge nothing was carried either.
    let holds = |t: &Tooth| !scene.empty.iter().any(|e| e.site == *t);
    let others: Vec<Tooth> = scene.order.iter().copied().filter(|t| *t != scene.site && holds(t)).collect();
    if !others.is_empty() && asked.broken != Broken::Facing {
        let screwed = !scene.all(Position::ProstheticScrew).is_empty();
        let set = if screwed { ", and change the bridge's prosthetic screws as a set" } else { "" };
        lines.push(format!(
            "What holds the bridge at {} carried the load of {} meanwhile: check each joint for loosening and wear{set}.",
            teeth(&others),
            scene.site
        ));
    }
    let before: Vec<&Event> = events
        .iter()
        .filter(|e| e.tooth == Some(scene.site) && e.position.is_some() && e.position == asked.position)
        .filter(|e| matches!(e.what, Happening::Broken | Happening::Loosened))
        .collect();
    if let Some(last) = before.iter().max_by_key(|e| e.on) {
        let times = if before.len() == 1 { "once".to_owned() } else { format!("{} times", before.len()) };
        lines.push(format!(
            "On record at {} in this position: broken or loose {times} before, last on {}.",
            scene.site,
            show_date(last.on)
        ));
    }
    if matches!(scene.case.load.grinding, Grinding::Possible | Grinding::Probable | Grinding::Definite) {
        let signs = scene.case.load.signs.as_ref().map_or(String::new(), |s| format!(" ({s})"));
        lines.push(format!(
            "Grinding: {}{signs}; splint: {}. There will be a next time.",
            scene.case.load.grinding, scene.case.load.splint
        ));
    }
    lines
}
