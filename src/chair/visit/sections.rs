//! The sections of an answer: a row of the call table over what the record says.

use super::kit::{drives, fragment_tools, tools_for};
use super::scene::{Need, Scene};
use super::sets::{left_over, mixed};
use super::tools::{drivers, missing};
use super::tray::{TrayRow, TrayUse, alternatives, lay_out};
use super::{
    After, Asked, AtTheSite, Called, FirstLines, FittedRow, LaidOut, Otherwise, StepUp, Stray, Tools, Visit,
    Way, after, back, causes, fill, step_up_title, walk_in, way, words,
};
use crate::bench::fit::Judging;
use crate::bench::laboratory;
use crate::bench::swap::by_the_rules;
use crate::case::{Broken, Call, Ends, Event, Fitted, Grinding, Happening, Left};
use crate::cases::empty::Empty;
use crate::catalog::Position;
use crate::desk::lookup;
use crate::record::{OpenVisit, ViewError};
use crate::units::{Tooth, show_date, teeth};

/// What is reported, with the rows of the table that it may be.
struct Report<'a, 's> {
    scene: &'s Scene<'s>,
    judging: Judging<'s>,
    asked: Asked,
    call: &'a Call,
    /// One tray for all the causes it covers, each part once.
    calls: Vec<&'a Call>,
    nothing_is_known: bool,
    leaves_something: bool,
}

/// The row of the table over what the record says.
pub(super) fn lay_over(
    scene: &Scene<'_>,
    call: &Call,
    asked: Asked,
    nothing_is_known: bool,
    open: Option<&OpenVisit>,
) -> Result<Visit, ViewError> {
    let causes = if asked.broken == Broken::NotKnown { causes::likely(scene) } else { Vec::new() };
    let calls: Vec<&Call> = match &causes[..] {
        [] => vec![call],
        some => some.iter().filter(|(c, _)| c.covered).map(|(_, call)| *call).collect(),
    };
    let leaves_something = calls.iter().any(|c| c.leaves_something());
    let judging = scene.judging()?;
    let report = Report { scene, judging, asked, call, calls, nothing_is_known, leaves_something };
    let wanted = report.wanted();
    let next = report.next_step(&wanted);
    let tray = report.tray(&wanted)?;
    let step_up = report.step_up(&next)?;
    let (way, undone) = report.way()?;
    let rows = tools_for(scene, &report.calls, &asked, &undone, &tray.rows, nothing_is_known)?;
    let tools = Tools { missing: missing(&rows), rows };
    let is_booked = open.and_then(|o| asked.booked(o)).is_some();
    // What is booked lies in no drawer any more, to be sterilised or warned of.
    let laid_out = if is_booked { &[][..] } else { &tray.rows[..] };
    let in_drawers: Vec<&TrayRow> = laid_out.iter().chain(&step_up.rows).collect();
    let before = report.before(&undone, &next, &in_drawers);
    let otherwise = report.otherwise()?;
    let cautions = words::cautions(&asked, &report.calls, scene.is_cemented(), &in_drawers, &otherwise.tools);
    let mut visit = Visit {
        asked,
        call: Called {
            report: call.report.clone(),
            ends: call.ends,
            first: call.first.clone(),
            leaves_something,
        },
        mouth: report.mouth(&wanted, &next, open)?,
        head: FirstLines {
            causes: causes.into_iter().map(|(cause, _)| cause).collect(),
            ..FirstLines::default()
        },
        way: Way {
            before,
            fragment: way::fragment(
                &asked,
                &report.calls,
                next.first().map(|n| n.fitted.position),
                &fragment_tools(&tools.rows),
            ),
            stop_rule: report.stop_rule(&tray, &next, &step_up),
            ..way
        },
        tray,
        tools,
        step_up,
        otherwise,
        after: After { cautions, ..After::default() },
    };
    visit.way.put_back = after::put_back(&visit);
    visit.after.steps = after::after(&visit, &asked, &report.calls, open.is_some(), is_booked);
    Ok(visit)
}

impl<'s> Report<'_, 's> {
    fn is_referred(&self) -> bool {
        self.call.ends == Ends::Refer
    }

    /// The positions of the restoration that must be filled, and are looked at.
    fn empty(&self) -> &'s [Empty] {
        if self.is_referred() || self.nothing_is_known { &[] } else { &self.scene.empty }
    }

    /// The parts that must be new.
    fn wanted(&self) -> Vec<Need<'s>> {
        let new: Vec<_> = self.calls.iter().flat_map(|c| c.new.iter().copied()).collect();
        let mut wanted = self.scene.resolve(&new);
        fill::add_stood_before(self.scene, self.empty(), &mut wanted);
        wanted
    }

    /// What to lay out beside it in case the first choice fails: the parts of the next step that are not on the tray yet.
    fn next_step(&self, wanted: &[Need<'s>]) -> Vec<Need<'s>> {
        let asked = &self.asked;
        let possible = |c: &&&Call| !c.leaves_something() || asked.left != Left::Nothing;
        let steps: Vec<_> =
            self.calls.iter().filter(possible).flat_map(|c| c.step_up.iter().copied()).collect();
        let mut next = self.scene.resolve(&steps);
        next.retain(|n| !wanted.iter().any(|w| w.site == n.site && w.fitted.position == n.fitted.position));
        next
    }

    fn tray(&self, wanted: &[Need<'s>]) -> Result<LaidOut, ViewError> {
        let Self { scene, asked, .. } = self;
        let candidates = fill::candidates(scene, &self.judging, self.empty())?;
        let (rows, missing) = lay_out(scene, &self.judging, wanted)?;
        let again: Vec<_> = self.calls.iter().flat_map(|c| c.again.iter().copied()).collect();
        let again = match asked.broken {
            // Not before somebody has looked.
            Broken::NotKnown => Vec::new(),
            _ => scene.resolve(&again),
        };
        let (possible, possible_more) = match self.nothing_is_known {
            true => walk_in::possible(scene, asked.broken)?,
            false => (Vec::new(), 0),
        };
        Ok(LaidOut {
            candidates,
            missing,
            again: again.iter().map(|n| (n.site, n.fitted.part.clone(), n.torque(&n.fitted.part))).collect(),
            keep_apart: mixed(&rows),
            holds_left: left_over(scene.view, &scene.case.number, &rows, scene.today)?,
            rows,
            possible,
            possible_more,
        })
    }

    fn step_up(&self, next: &[Need<'s>]) -> Result<StepUp, ViewError> {
        let Self { scene, asked, .. } = self;
        let mut rows = Vec::new();
        for need in next {
            rows.extend(alternatives(scene, &self.judging, need)?);
        }
        let turned: Vec<&Need<'_>> = next.iter().collect();
        let taken = rows.iter().filter(|r: &&TrayRow| r.usage == TrayUse::Take);
        let tools = drivers(scene, &turned, &taken.flat_map(drives).collect::<Vec<_>>())?;
        let mut words = way::next_step(scene, next, asked)?;
        if next.is_empty() {
            words.extend(words::last_resort(&self.calls, asked));
        }
        let needs = next.iter().map(|n| (n.site, n.fitted.position, n.measure.part.clone())).collect();
        Ok(StepUp { rows, tools, needs, words })
    }

    /// The way in, with the parts that a driver turns on it.
    fn way(&self) -> Result<(Way, Vec<Need<'s>>), ViewError> {
        let Self { scene, asked, calls, .. } = self;
        // Nobody has looked: the way to look is the likeliest cause's; the tools are there for all.
        let (undo, _) = way::undo(scene, &calls[..calls.len().min(1)], asked)?;
        let (_, undone) = way::undo(scene, calls, asked)?;
        Ok((Way { undo, ..Way::default() }, undone))
    }

    fn before(&self, undone: &[Need<'s>], next: &[Need<'s>], rows: &[&TrayRow]) -> Vec<String> {
        let Self { scene, asked, call, .. } = self;
        let angled = scene.own().iter().find(|f| f.part.is_angled());
        let its = |n: &Need<'_>| {
            n.site == scene.site && matches!(n.fitted.position, Position::Abutment | Position::AbutmentScrew)
        };
        let is_turned = undone.iter().chain(next).any(its) || asked.position == Some(Position::AbutmentScrew);
        let angled = angled.filter(|_| is_turned);
        let mut before = words::before(asked, call.ends, scene.is_cemented(), angled, rows);
        if self.nothing_is_known && !self.is_referred() {
            before.extend(walk_in::look_at());
        }
        before
    }

    fn stop_rule(&self, tray: &LaidOut, next: &[Need<'s>], step_up: &StepUp) -> String {
        let goes_on = !next.is_empty() || !step_up.words.is_empty();
        let is_screwed = self.nothing_is_known || !tray.rows.is_empty() || !tray.missing.is_empty();
        let title = goes_on.then(|| step_up_title(self.leaves_something));
        words::stop_rule(self.call.ends, is_screwed, title)
    }

    fn otherwise(&self) -> Result<Otherwise, ViewError> {
        let Self { scene, asked, .. } = self;
        if self.is_referred() {
            // Nothing is taken off an implant that moves: nothing stands open, and nothing goes to the laboratory.
            return Ok(Otherwise::default());
        }
        let off = [Broken::Abutment, Broken::AbutmentScrew, Broken::WornThread, Broken::AbutmentLoose];
        let gone = off.contains(&asked.broken).then_some(asked.site);
        let caps = back::caps(scene, gone)?;
        let restoration = scene.restoration.as_ref();
        Ok(Otherwise {
            tools: caps.rows,
            words: caps.words,
            to_laboratory: laboratory::needs(scene.view, restoration, &scene.sites, &scene.case.load)?,
            rest_of_bridge: rest_of_bridge(scene, asked, &scene.view.events(&scene.case.number)?),
        })
    }

    fn mouth(
        &self,
        wanted: &[Need<'s>],
        next: &[Need<'s>],
        open: Option<&OpenVisit>,
    ) -> Result<AtTheSite, ViewError> {
        let scene = self.scene;
        let own = scene.own().iter();
        Ok(AtTheSite {
            case: scene.case.number.clone(),
            made_up: scene.case.made_up,
            span: scene.span(),
            stands_on: scene.stands_on(),
            fitted: own.map(|f| FittedRow { site: scene.site, fitted: f.clone() }).collect(),
            strays: strays(scene)?,
            guessed: guessed(scene, wanted.iter().chain(next)),
            empty: scene.empty.clone(),
            bridge_not_on_record: !self.is_referred() && scene.bridge_is_not_on_record(),
            open: open.cloned(),
        })
    }
}

/// What the answer rests on and nobody has read from a label: all that stands where a part is to be replaced.
fn guessed<'n, 's: 'n>(
    scene: &'n Scene<'_>,
    needs: impl Iterator<Item = &'n Need<'s>>,
) -> Vec<(Tooth, Position)> {
    lookup::guessed(needs.map(|need| (need.site, scene.assembly(need.site))))
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
