//! The answer: a row of the call table over what the record says.

use jiff::civil::Date;

use super::scene::Scene;
use super::sections::lay_over;
use super::{Asked, NotThere, Reply, Visit, VisitError, VisitQuestion, missing, walk_in, words};
use crate::case::{Broken, Call, Ends, Left};
use crate::desk::Refused;
use crate::desk::lookup;
use crate::record::{OpenVisit, Shown, View};

/// Answers a call.
pub fn answer(view: &View, ask: &VisitQuestion, today: Date) -> Result<Reply, Refused<VisitError>> {
    let case = lookup::case(view, &ask.case)?;
    let state = view.state(&ask.case)?;
    if let Some((on, because)) = state.closed {
        return Err(VisitError::Closed { case: ask.case.clone(), on, because }.into());
    }
    let open = state.visit;
    let site = match (&ask.site, &open) {
        (Some(typed), _) => lookup::site(&case, typed)?,
        (None, Some(open)) => open.site,
        (None, None) => return Err(VisitError::NotSaid(ask.case.clone()).into()),
    };
    let same = open.as_ref().filter(|o| o.site == site);
    let broken =
        ask.broken.or(same.map(|o| o.broken)).ok_or_else(|| VisitError::NotSaid(ask.case.clone()))?;
    // What stayed behind was said of that report only.
    let left = ask.left.or(same.filter(|o| o.broken == broken).map(|o| o.left));
    let scene = Scene::set(view, today, case, site)?;
    let Some(call) = scene.row(broken) else { return Err(VisitError::NotSaid(ask.case.clone()).into()) };
    let left = left_behind(call, left)?;
    let asked = Asked { today, site, broken, left, position: scene.about(call).map(|f| f.position) };
    let nothing_is_known = scene.own().is_empty();
    if !nothing_is_known && !call.about.is_empty() && asked.position.is_none() {
        return Ok(Reply::NotThere(not_there(&scene, call)));
    }
    let mut visit = lay_over(&scene, call, asked, nothing_is_known, open.as_ref())?;
    visit.head.changed = open.as_ref().and_then(|o| changed(&visit, o));
    if let Some(entry) = visit.booked() {
        // What was to be laid out is in the mouth: the rest of the answer is what is still to be done.
        (visit.tray.rows, visit.tools.rows, visit.tray.missing) = Default::default();
        visit.tray.candidates.clear();
        (visit.tools.missing, visit.way.undo, visit.way.fragment) = Default::default();
        (visit.tray.keep_apart, visit.tray.holds_left) = Default::default();
        visit.head.answer = missing::not_whole(&visit);
        visit.head.answer.push(words::is_booked(&visit, entry));
        return Ok(Reply::Visit(Box::new(visit)));
    }
    visit.head.answer = if nothing_is_known { nothing_known(&visit) } else { words::answer(&visit) };
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

/// The answer where nothing is on record at the site.
fn nothing_known(visit: &Visit) -> Vec<String> {
    if visit.call.ends == Ends::Refer {
        return words::answer(visit);
    }
    let drawers: Vec<String> =
        walk_in::drawers(&visit.tray.possible).iter().map(ToString::to_string).collect();
    let candidates = if drawers.is_empty() {
        "No drawer holds a part it might be.".to_owned()
    } else {
        format!("Parts it might be lie in: {}.", drawers.join(", "))
    };
    vec![
        format!(
            "NOT KNOWN what is fitted at {} ({}): look first, nothing can be named to take. {candidates}",
            visit.asked.site,
            visit.asked.site.words()
        ),
        format!(
            "As soon as a part is known: spareseat --as INITIALS case found {} --site {} --position POSITION --part PART --sure HOW (label, passport, radiograph, guess)",
            visit.mouth.case,
            visit.asked.site.iso()
        ),
    ]
}

/// What lies ready now against what was shown when the visit was put on record.
fn changed(visit: &Visit, open: &OpenVisit) -> Option<String> {
    (visit.asked.is_of(open) && open.booked.is_none()).then_some(())?;
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
