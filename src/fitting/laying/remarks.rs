//! What is said beside a booked tray.

use crate::case::{Fitted, TorqueRecord};
use crate::cases::empty;
use crate::catalog::TorqueSpec;
use crate::fitting::put_in::torque_remark;
use crate::record::{Entry, View, ViewError};

/// What the person should hear beside it: nothing is refused for a torque that nobody said.
pub fn remarks(view: &View, entry: &Entry) -> Result<Vec<String>, ViewError> {
    let Entry::Tray(tray) = entry else { return Ok(Vec::new()) };
    let mut lines = Vec::new();
    let silent = tray
        .lines
        .iter()
        .filter(|l| l.torque == TorqueRecord::NotRecorded && l.part.torque != TorqueSpec::NotApplicable);
    let silent: Vec<String> = silent.map(|l| format!("{} at {}", l.position.words(), l.site)).collect();
    if !silent.is_empty() {
        lines.push(format!(
            "no torque was said for {}: booked as not recorded. To put it on record now: 'spareseat case found CASE --site TOOTH --position POSITION --part PART --sure label --torque NCM', one for each",
            silent.join(", ")
        ));
    }
    if let (Some(case), Some(line)) = (view.case(&tray.case)?, tray.lines.first()) {
        lines.extend(empty::remarks(view, &case, line.site)?);
    }
    let scanned = tray.lines.iter().filter(|l| l.label.is_some()).count();
    if scanned > 0 && scanned < tray.lines.len() {
        let not = tray.lines.iter().filter(|l| l.label.is_none());
        let not: Vec<String> = not.map(|l| format!("{} at {}", l.position.words(), l.site)).collect();
        lines.push(format!("no label was scanned for {}", not.join(", ")));
    }
    for line in &tray.lines {
        if let TorqueRecord::Measured(set) = line.torque {
            let at = format!("{} at {}", line.position.words(), line.site);
            let asked =
                Fitted::torque_asked(&view.assembly(&tray.case, line.site)?, line.position, &line.part);
            lines.extend(torque_remark(&asked, set).map(|said| format!("{at}: {said}")));
        }
        if line.part.is_angled() && line.lean.is_unknown() {
            lines.push(format!(
                "which way the new abutment at {} leans is not said: enter it with --lean {}=DIRECTION next time, or 'case found' now",
                line.site,
                line.site.iso()
            ));
        }
    }
    Ok(lines)
}
