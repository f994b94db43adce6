//! Entries that no counter takes back, and what puts each of them right instead.

use crate::record::Entry;

/// What an entry is that no counter takes back, and what to do instead.
pub fn stays(entry: &Entry) -> Option<String> {
    Some(match entry {
        Entry::Received(_) | Entry::Moved(_) | Entry::Used(_) | Entry::UsedHeld(_) | Entry::Tray(_) => {
            return None;
        }
        Entry::Counted(_)
        | Entry::Discarded(_)
        | Entry::Returned(_)
        | Entry::Reprocessed(_)
        | Entry::Quarantined(_)
        | Entry::QuarantineLifted(_) => return None,
        Entry::CalledBack(e) if !e.lines.is_empty() => return None,
        Entry::CalledBack(e) => format!(
            "says that lot {} was called back, and nothing of it was left to be moved: it stays",
            e.lot
        ),
        Entry::Founded(_) => "began the logbook: it stays".to_owned(),
        Entry::Catalogue(_) | Entry::CatalogueCorrected(_) => {
            "changed the catalogue: import the right file instead, with 'spareseat part import'".to_owned()
        }
        Entry::Case(e) => format!(
            "entered case {}: put it right with 'spareseat case found', or with a file and 'spareseat case import FILE --replace'",
            e.case.number
        ),
        Entry::Fitted(e) => format!(
            "says what was found in case {}: enter what is true instead, with 'spareseat case found {}'",
            e.case, e.case
        ),
        Entry::Happened(e) => format!(
            "is a note to case {}: put it right with another one, 'spareseat case note {}'",
            e.case, e.case
        ),
        Entry::Verification(_) => {
            "says that a part was tried: it stands until one of the two parts gets other numbers, with 'spareseat part import'"
                .to_owned()
        }
        Entry::Accepted(_) => "is somebody's decision to go on with a logbook: it stays".to_owned(),
        Entry::Visit(e) => format!(
            "is a step of a visit of case {}: narrow the visit with --narrow or end it with --end instead, 'spareseat visit {}'",
            e.case, e.case
        ),
        Entry::Countered(e) => {
            format!("took entry {} back, and a counter is not countered: book again what was right", e.entry)
        }
        Entry::CaseClosed(e) => format!(
            "{} case {}: use 'spareseat case {} {}' instead",
            if e.closed { "closed" } else { "opened" },
            e.case,
            if e.closed { "reopen" } else { "close" },
            e.case
        ),
        Entry::CheckSet(e) => format!(
            "set the next check of case {}: set another one instead, 'spareseat case next-check {}'",
            e.case, e.case
        ),
        Entry::Taken(e) | Entry::TakenWithForms(e) => format!(
            "took case {} from {}: ask for a new share and take that, it is put in its place",
            e.case.number, e.origin.practice
        ),
        Entry::Measured(e) => format!(
            "says where sites of case {} lie: take what is true instead, with 'spareseat case measured {}'",
            e.case, e.case
        ),
        Entry::SetAside(e) => {
            format!("sets stock aside for case {}: let go of it instead, with 'spareseat release ENTRY'", e.case)
        }
        Entry::Needed(e) => {
            format!("plans work for case {}: call it off instead, with 'spareseat need {} --off ENTRY'", e.case, e.case)
        }
        Entry::Bridge(e) => format!(
            "entered a restoration of case {}, or ended one: end it, or enter it again, with 'spareseat case bridge {}'",
            e.case, e.case
        ),
        Entry::NeedOff(e) => {
            format!("called planned work of case {} off: plan it anew, with 'spareseat need {}'", e.case, e.case)
        }
        Entry::Released(_) => {
            "let go of what was set aside: set it aside anew instead, with 'spareseat hold'".to_owned()
        }
        Entry::BandsSet(_) => "set the bands of the fit: set others instead, 'spareseat bands'".to_owned(),
        Entry::Confirmed(e) => format!(
            "is what {} answered about case {}: it stays, and a new answer stands beside it",
            e.laboratory, e.case
        ),
    })
}
