//! What the visit says, in words a tired person cannot misread.
//!
//! What to do by what broke is common practice, no source, where no other is named beside it.

use super::Asked;
use super::missing::{doubted, made_for, not_in_house, not_whole, seats};
use super::scene::Need;
use super::sets::{hold_left, keep_apart};
use super::tools::ToolRow;
use super::tray::{TrayRow, TrayUse};
use super::{UndoRow, Visit};
use crate::case::{Broken, Call, Ends, Fitted, Left, Restoration, Retention};
use crate::catalog::{Position, Sterile, TorqueAsked, TorqueSpec, Value};
use crate::desk::CAUTION;
use crate::desk::lookup::guess_line;
use crate::units::{Expiry, Tooth, teeth};

/// Refuses what cannot have stayed behind.
pub(super) fn cannot_be(call: &Call, left: Left) -> Option<String> {
    if let Some(why) = call.cannot_be.get(&left) {
        return Some(why.clone());
    }
    let something = !matches!(left, Left::NotKnown | Left::Nothing);
    match call.word {
        Broken::NotKnown if left != Left::NotKnown => {
            Some("nobody has looked, so nobody knows what stayed behind".to_owned())
        }
        _ if something && !call.may_leave() => {
            Some("nothing broke off there, so nothing can have stayed behind".to_owned())
        }
        _ => None,
    }
}

fn torque(t: &TorqueAsked) -> String {
    match &t.rules {
        TorqueSpec::Stated(_) => format!("tighten to {t}"),
        TorqueSpec::NotApplicable => "held by its own screw: no torque of its own".to_owned(),
        other => other.to_string(),
    }
}

/// With so few days left they are said wherever the part is named (our judgement).
const SOON: i32 = 60;

fn usable(expiry: Expiry, days: Option<i32>) -> String {
    match (expiry.last_day(), days) {
        (Some(_), Some(0)) => format!("usable until today, {expiry}"),
        (Some(_), Some(1)) => format!("usable until {expiry} (1 day left)"),
        (Some(_), Some(days)) if days <= SOON => format!("usable until {expiry} ({days} days left)"),
        (Some(_), _) => format!("usable until {expiry}"),
        _ => expiry.to_string(),
    }
}

/// Until when, with the days where they are few.
pub fn usable_on(expiry: Expiry, today: jiff::civil::Date) -> String {
    usable(expiry, expiry.days_left(today))
}

/// A row of the tray as one instruction.
fn take(row: &TrayRow, today: jiff::civil::Date) -> String {
    let count = if row.quantity == 1 { "" } else { "s" };
    let soon = row.pick.expiry.days_left(today).is_some_and(|days| days <= SOON);
    let usable = if soon { format!("; {}", usable_on(row.pick.expiry, today)) } else { String::new() };
    let sterile = match row.part.sterile {
        Sterile::ToBeSterilised => "; NOT STERILE: sterilise first",
        Sterile::Sterile | Sterile::NotStated => "",
    };
    format!(
        "{} {}{count}, part {}, lot {}, from {}: for {}; {}{usable}{sterile}.",
        row.quantity,
        row.part.kind.short(),
        row.part.code,
        row.pick.lot,
        row.pick.place,
        teeth(&row.sites),
        torque(&row.torque)
    )
}

/// The line that comes first, and the ones for what may come next.
pub fn answer(visit: &Visit) -> Vec<String> {
    // A guess comes before what rests on it.
    let mut lines: Vec<String> = guess_line(&visit.mouth.guessed).into_iter().collect();
    if visit.call.ends != Ends::Refer {
        lines.extend(not_whole(visit));
    }
    match visit.call.ends {
        Ends::Refer => lines.push(format!("NOT A PARTS MATTER, {}: {}.", visit.asked.site, visit.call.first)),
        Ends::Laboratory => {
            lines.push(format!("LABORATORY WORK, {}: {}.", visit.asked.site, visit.call.first));
        }
        Ends::Parts if visit.asked.broken == Broken::NotKnown => {
            let causes: Vec<String> = visit.head.causes.iter().map(|c| c.report.clone()).collect();
            lines.push(format!(
                "NOT LOOKED AT YET, {}. Likely, in this order: {}.",
                visit.asked.site,
                causes.join("; ")
            ));
        }
        Ends::Parts => {}
    }
    // What is missing comes before what is there: a tired reader takes the first line for the answer.
    lines.extend(not_in_house(visit));
    let stuck = visit.asked.left == Left::FragmentInImplant;
    let when = match visit.call.ends {
        Ends::Laboratory => "WHEN IT COMES BACK: TAKE",
        _ if stuck => "ONLY WHEN THE FRAGMENT IS OUT OF THE IMPLANT: TAKE",
        _ => "TAKE",
    };
    lines.extend(visit.tray.again.iter().map(|(site, part, asked)| {
        format!(
            "TIGHTEN AGAIN the {} at {site}, the one that is in, once the bridge is off; look at its seat and thread first; {}.",
            part.kind.short(),
            torque(asked)
        )
    }));
    lines.extend(visit.tray.rows.iter().map(|row| format!("{when} {}", take(row, visit.asked.today))));
    lines.extend(visit.tray.keep_apart.iter().map(keep_apart));
    lines.extend(visit.tray.holds_left.iter().map(|(held, units)| hold_left(held, *units)));
    if visit.implant_thread_in_doubt() {
        lines.push(
            "FIRST MAKE SURE that nothing is left in the implant's thread: on a fragment no new part sits."
                .to_owned(),
        );
    }
    let only = visit.only_if();
    for (site, position, part) in &visit.step_up.needs {
        let found = visit.step_up.rows.iter().find(|r| r.usage == TrayUse::Take && r.position == *position);
        lines.push(match found {
            Some(row) => {
                // What else holds the bridge is not known: nothing is promised of it.
                let seats = if visit.mouth.bridge_not_on_record { String::new() } else { seats(row) };
                format!("ONLY IF {only}: TAKE {}{seats}", take(row, visit.asked.today))
            }
            None => match made_for(part, &[*site]) {
                Some(made) => format!("IF {only}: {made}"),
                None => match doubted(&visit.step_up.rows, *position) {
                    Some(why) => format!("IF {only}: NOT CONFIRMED, {site}: {why}."),
                    None => {
                        format!(
                            "IF {only}: no {} like {} in the house for {site}.",
                            position.words(),
                            part.code
                        )
                    }
                },
            },
        });
    }
    for stray in &visit.mouth.strays {
        lines.push(format!(
            "CAREFUL, {}: {} on record is {}, but the restoration was built on {} ({}: {}). Every part here is held against {}.",
            stray.site,
            stray.position.words(),
            stray.now,
            stray.built_on,
            stray.verdict,
            stray.why,
            stray.built_on
        ));
    }
    if let Some(changed) = &visit.head.changed {
        lines.push(changed.clone());
    }
    lines
}

/// The tray is booked: what is left to do.
pub(super) fn is_booked(visit: &Visit, entry: u64) -> String {
    format!(
        "BOOKED: the tray of this visit went in with entry {entry}. Left to do: what stands under 'After'; then end the visit: spareseat --as INITIALS visit {} --end back-in",
        visit.mouth.case
    )
}

/// What comes before the first turn.
pub(super) fn before(
    asked: &Asked,
    ends: Ends,
    cemented: bool,
    angled: Option<&Fitted>,
    rows: &[&TrayRow],
) -> Vec<String> {
    let mut lines = Vec::new();
    if ends == Ends::Refer {
        lines.push(
            "Stop: no screw is turned, no part is changed. Take the load off: out of contact, soft food."
                .to_owned(),
        );
        lines.push("Radiograph for the clinician who takes over.".to_owned());
        return lines;
    }
    lines.push(
        match asked.left {
            Left::Nothing | Left::NotKnown if asked.broken == Broken::NotKnown => {
                "Look first, then radiograph: what moves, and does the implant stand firm?"
            }
            Left::Nothing => "Radiograph first: does everything sit, and does the implant stand firm?",
            _ => "Radiograph first: is the fragment where it is said to be, and does the implant stand firm?",
        }
        .to_owned(),
    );
    lines.push("Floss on the driver, gauze screen with its tail outside, counted out again; chair not flat. Small parts are swallowed or inhaled.".to_owned());
    lines.push(
        "If the implant itself moves: stop. Not a parts matter: take the load off and refer.".to_owned(),
    );
    if asked.left != Left::Nothing {
        lines.push("Do not turn a screw whose shank is stuck.".to_owned());
    }
    if cemented {
        lines.push("Cemented: do not knock it off, that loads the screws that are left.".to_owned());
    }
    if let Some(angled) = angled {
        let lean = match angled.lean {
            Value::Known(lean) => format!("on record it leans {lean}"),
            _ => "which way it leans is not on record".to_owned(),
        };
        lines.push(format!(
            "Angled abutment ({lean}): photograph it and make a key before anything is loosened."
        ));
    }
    let mut first: Vec<&str> = Vec::new();
    for row in rows.iter().filter(|r| r.part.sterile == Sterile::ToBeSterilised && r.usage == TrayUse::Take) {
        if !first.contains(&row.part.code.as_str()) {
            first.push(row.part.code.as_str());
        }
    }
    if !first.is_empty() {
        lines.push(format!("NOT STERILE: sterilise first: {}.", first.join(", ")));
    }
    lines.push("Instruments: only from a tray whose indicator shows that it was sterilised; this record does not know it.".to_owned());
    lines
}

/// When to stop.
pub fn stop_rule(ends: Ends, something_is_screwed: bool, title: Option<&str>) -> String {
    if ends == Ends::Refer {
        return "Stop here: nothing is tightened on an implant that moves or has broken.".to_owned();
    }
    if !something_is_screwed {
        return "Nothing is screwed by this answer. If the restoration has to come off, ask again with --broken loose.".to_owned();
    }
    let next = match title {
        Some(title) => format!("Go to '{title}'."),
        None => "Ask the clinician.".to_owned(),
    };
    format!(
        "If the new screw does not run down by fingers alone, the thread is hurt: stop, do not force it. {next}"
    )
}

/// What it takes when the fragment stays in.
pub(super) fn next_step(next: &[Need<'_>], left: Left) -> Vec<String> {
    let Some(first) = next.first() else { return Vec::new() };
    let mut lines = Vec::new();
    if left == Left::NotKnown {
        lines.push("Not known yet what stayed behind: have this ready too.".to_owned());
    }
    let (position, site) = (first.fitted.position, first.site);
    lines.push(match position {
        _ if first.fitted.part.made.is_some() => format!(
            "The next step up is a new {} at {site}: it was made for this patient and is made again, in the laboratory, from its file.",
            position.words()
        ),
        Position::AbutmentScrew => format!(
            "The next step up is a new {} at {site}: the thread for the prosthetic screw is in its head. The abutment stays where it is.",
            position.words()
        ),
        _ => format!(
            "The next step up is a new {} at {site}: same height, angle and index, same maker; check with the one-screw test.",
            position.words()
        ),
    });
    lines.push("After it a one-screw test: one screw at one end, look for a gap at the other, before the second screw goes in.".to_owned());
    lines
}

/// What is left when a fragment stays and no part of ours takes it out.
pub(super) fn last_resort(calls: &[&Call], asked: &Asked) -> Vec<String> {
    if asked.left == Left::Nothing {
        return Vec::new();
    }
    let mut lines: Vec<String> = Vec::new();
    for call in calls.iter().filter(|c| c.leaves_something()) {
        if let Some(then) = &call.then {
            let line = format!("It sits in {}: {then}.", call.stays_in.as_deref().unwrap_or("its thread"));
            if !lines.contains(&line) {
                lines.push(line);
            }
        }
    }
    if !lines.is_empty() {
        lines.push("Cover what stands open, do not force anything, refer if it stays in.".to_owned());
    }
    lines
}

/// A cemented bridge is opened, not knocked off.
pub fn open_cemented(restoration: Option<&Restoration>, sites: Vec<Tooth>) -> UndoRow {
    let axis = match restoration.map(|r| &r.retention) {
        Some(Retention::Cemented { screw_axis: Value::Known(axis), .. }) => {
            format!("the screw axis meets the crown here: {axis}")
        }
        _ => "where the screw axis meets the crown is not on record: look at the radiograph and the model"
            .to_owned(),
    };
    UndoRow {
        sites,
        what: "open the bridge over the abutment screws and lift bridge and abutments as one, or cut it"
            .to_owned(),
        driver: axis,
    }
}

/// The cautions that bear on this visit.
pub(super) fn cautions(
    asked: &Asked,
    calls: &[&Call],
    cemented: bool,
    tray: &[&TrayRow],
    caps: &[ToolRow],
) -> Vec<String> {
    let mut lines =
        vec![CAUTION.to_owned(), "Loose small parts: floss, gauze screen, chair not flat.".to_owned()];
    let unknown = |t: Option<&TorqueSpec>| t == Some(&TorqueSpec::NotKnown);
    let used = tray.iter().filter(|r| r.usage != TrayUse::Leave).any(|r| unknown(Some(&r.torque.rules)));
    if used || caps.iter().any(|c| unknown(c.torque())) {
        lines.push(
            "A torque is not known for a part listed here: read the maker's instructions, never guess."
                .to_owned(),
        );
    }
    if asked.left != Left::Nothing && calls.iter().any(|c| c.leaves_something()) {
        lines.push("Retrieval makes heat: water, pulses, low power.".to_owned());
    }
    if cemented {
        lines.push("Cemented bridge: knocking it off loads the screws that are left.".to_owned());
    }
    lines.push("If the implant itself may be broken or moves: stop and refer.".to_owned());
    lines
}
