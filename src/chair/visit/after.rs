//! Putting back in order, and what comes after: what is still to be done, and how it goes on record.

use super::tray::{TrayRow, TrayUse};
use super::{Asked, Visit};
use crate::case::{Broken, Call, Ends, Left};
use crate::catalog::{Position, TorqueSpec};
use crate::matching::StandsOn;
use crate::units::Tooth;

/// The order in which it goes back.
///
/// Settling: 2-10 % of preload lost in the first minutes (doi 10.1186/s40729-018-0154-2); retighten once. The rest is
/// common practice, no source.
pub(super) fn put_back(visit: &Visit) -> Vec<String> {
    let mut lines = Vec::new();
    if visit.call.ends == Ends::Refer || (visit.tray.rows.is_empty() && visit.tray.again.is_empty()) {
        return lines;
    }
    let new_abutment = visit.tray.rows.iter().any(|r| r.position == Position::Abutment);
    if visit.mouth.stands_on == StandsOn::Bridge && (new_abutment || !visit.tray.again.is_empty()) {
        lines.push("The abutment first; then a one-screw test: one screw at one end, look for a gap at the other, before the second screw goes in.".to_owned());
    }
    lines.push(
        match visit.mouth.stands_on {
            StandsOn::Bridge => {
                "Every screw by fingers first; then in turn to the torque, from the middle outwards; each once more after ten minutes, before the channels are closed."
            }
            _ => "By fingers first, then to the torque; once more after ten minutes, before the channel is closed.",
        }
        .to_owned(),
    );
    lines
}

/// After the restoration is back, or after it could not go back.
pub(super) fn after(
    visit: &Visit,
    asked: &Asked,
    calls: &[&Call],
    is_open: bool,
    is_booked: bool,
) -> Vec<String> {
    let mut lines = Vec::new();
    let case = &visit.mouth.case;
    if is_booked {
        lines.extend(put_back(visit));
    }
    // A seat that is worn stays in where the part that is new is another one: then there is no piece to keep.
    let is_new = |(site, position): (Tooth, Position)| {
        let on_tray = visit.tray.rows.iter().any(|r| r.position == position && r.sites.contains(&site));
        // One that was made for the patient is made again, and until then stays in.
        let mut missing = visit.tray.missing.iter().filter(|m| m.fitted.made.is_none());
        on_tray || missing.any(|m| m.position == position && m.sites.contains(&site))
    };
    let worn = asked.broken == Broken::WornThread && visit.meant().is_none_or(is_new);
    let gave_way = calls.iter().any(|c| c.may_leave()) || worn;
    if visit.call.ends != Ends::Refer {
        lines.push(
            "Count out the gauze and every small part; a part not found is looked for by X-ray.".to_owned(),
        );
        if gave_way {
            lines.push("Keep what gave way in a bag with its lot number.".to_owned());
        }
        lines.push("Check the bite and the splint.".to_owned());
    }
    let us = "spareseat --as INITIALS";
    if !is_open {
        // Said only where something else could be said.
        let left = if asked.left == Left::NotKnown || !visit.call.leaves_something {
            String::new()
        } else {
            format!(" --left {}", asked.left)
        };
        lines.push(format!(
            "Put the visit on record: {us} visit {case} --site {} --broken {}{left} --open",
            asked.site.iso(),
            asked.broken
        ));
    }
    if asked.broken == Broken::NotKnown {
        lines.push(format!("When somebody has looked: {us} visit {case} --broken WHAT --left WHAT --narrow"));
    } else if !visit.tray.rows.is_empty() && !is_booked {
        lines.push(format!(
            "Book the tray, with the torques that were really set: {us} use {case} --visit{}{}",
            torques(&visit.tray.rows),
            lots(visit)
        ));
        let step_up: Vec<TrayRow> =
            visit.step_up.rows.iter().filter(|r| r.usage == TrayUse::Take).cloned().collect();
        if !step_up.is_empty() {
            let all: Vec<TrayRow> = visit.tray.rows.iter().chain(&step_up).cloned().collect();
            lines.push(format!(
                "Or, with the step up taken: {us} use {case} --visit --step-up{}{}",
                torques(&all),
                lots(visit)
            ));
        }
        lines.push("Beside it: --except, --dropped, --opened TOOTH:POSITION for what was not used, fell, or was only opened.".to_owned());
    }
    let goes_back = visit.tray.missing.is_empty()
        && visit.tools.missing.is_empty()
        && visit.left_empty().next().is_none()
        && !visit.mouth.bridge_not_on_record;
    let (first, others) = match visit.call.ends {
        Ends::Parts if goes_back || is_booked => ("back-in", "not-today, laboratory, referred"),
        Ends::Parts => ("not-today", "back-in, laboratory, referred"),
        Ends::Laboratory => ("laboratory", "back-in, not-today, referred"),
        Ends::Refer => ("referred", "not-today, laboratory"),
    };
    lines.push(format!("Then end it: {us} visit {case} --end {first}"));
    lines.push(format!("Other ends: {others}."));
    lines.push(format!("Set the next check: {us} case next-check {case} --due DATE --because WHAT"));
    let piece = visit.mouth.open.as_ref().and_then(|o| o.booked).filter(|_| is_booked && gave_way);
    if let Some(entry) = piece {
        lines.push(format!(
            "Label for the bag, sheet for the maker: spareseat sheet bag {case} --entry {entry}; spareseat sheet complaint {case} --entry {entry}"
        ));
    }
    lines
}

/// The lots of alike parts as they would be typed, where the tray has more than one of them.
fn lots(visit: &Visit) -> String {
    let mut out = String::new();
    for set in &visit.tray.keep_apart {
        for (lot, sites) in &set.lots {
            for site in sites {
                out.push_str(&format!(" --lot {}:{}={lot}", site.iso(), set.position.slug()));
            }
        }
    }
    out
}

/// The torques of a tray as they would be typed, had each screw been tightened as its source states.
fn torques(tray: &[TrayRow]) -> String {
    let mut out = String::new();
    for row in tray.iter().filter(|r| r.torque.rules != TorqueSpec::NotApplicable) {
        let torque = row.torque.rules.stated().map_or("not-measured".to_owned(), |t| t.number().to_string());
        for site in &row.sites {
            out.push_str(&format!(" --torque {}:{}={torque}", site.iso(), row.position.slug()));
        }
    }
    out
}
