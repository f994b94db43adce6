//! Use: a part goes from a drawer into a patient, and what it replaces never comes back to one.

use jiff::civil::Date;
use thiserror::Error;

use super::put_in::{PutIn, torque_remark};
use crate::bench::candidate::Candidate;
use crate::bench::fit::Judging;
use crate::bench::swap::{self, Swap};
use crate::case::{Sure, TorqueRecord};
use crate::cases::entering::{self, Enter, FittedWithout};
use crate::catalog::{Kind, Lean, Position};
use crate::desk::lookup::{self, NotFound};
use crate::desk::{ExitClass, Refusal, Refused};
use crate::lots::called_back::called_back;
use crate::lots::editions;
use crate::lots::holds::{self, Standing};
use crate::lots::take::{TakeError, take_from};
use crate::matching::{Finding, Level};
use crate::record::{Became, Entry, Used, UsedHeld, View, ViewError};
use crate::units::{CaseNumber, Expiry, Lot, Note, PartCode, PlaceId, RawLabel};

/// What goes into whom.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Use {
    pub case: CaseNumber,
    pub site: String,
    pub position: Position,
    pub part: PartCode,
    pub lot: Lot,
    pub place: Option<PlaceId>,
    pub torque: TorqueRecord,
    pub lean: Option<Lean>,
    pub label: Option<RawLabel>,
    /// The drawer does not hold it by the record, and yet it was there.
    pub found: bool,
    /// Why an expired lot is used.
    pub expired_because: Option<Note>,
    /// Why what is set aside for another case is used.
    pub held_because: Option<Note>,
    pub became: Became,
}

/// Why it was not booked.
#[derive(Debug, Error)]
pub enum UseError {
    /// Something named is not on record.
    #[error(transparent)]
    NotFound(#[from] NotFound),
    /// Not there to be taken.
    #[error(
        "{0}. If the part was in your hand all the same: add --found --place PLACE, which books the correction too"
    )]
    Take(TakeError),
    /// Expired.
    #[error(
        "lot {lot} of part {part} is EXPIRED, {expiry}: not booked. If it was used all the same: add --expired-because REASON, which is recorded with your initials"
    )]
    Expired {
        /// Which part.
        part: PartCode,
        /// Which lot.
        lot: Lot,
        /// When.
        expiry: Expiry,
    },
    /// Nobody is to be given it.
    #[error(
        "lot {lot} of part {part} was CALLED BACK BY ITS MAKER (entry {entry}): it goes into nobody. Not booked. If it was used all the same: add --found --place PLACE, and it is booked with your initials"
    )]
    CalledBack {
        /// Which part.
        part: PartCode,
        /// Which lot.
        lot: Lot,
        /// By which entry.
        entry: u64,
    },
    /// Set aside for somebody else.
    #[error(
        "lot {lot} of part {part} is set aside for another case: {holds}. Not booked. Let go of it first ('spareseat release {hold}'), or, if it was used all the same: add --held-because REASON, which is recorded with your initials"
    )]
    Held {
        /// Which part.
        part: PartCode,
        /// Which lot.
        lot: Lot,
        /// The first of the holds.
        hold: u64,
        /// For whom, in words.
        holds: String,
    },
    /// A kind that has no business in that position.
    #[error("part {part} is a {kind}: it does not go in position {}. Nothing was booked", .position.slug())]
    WrongKind {
        /// Which part.
        part: PartCode,
        /// What it is.
        kind: Kind,
        /// Where it should go.
        position: Position,
    },
    /// Found, but where?
    #[error("--found needs --place: in which drawer was it?")]
    FoundWhere,
    /// Found, but the record has it there.
    #[error("place {place} holds lot {lot} of part {part} by the record too: leave out --found")]
    NotNeeded {
        /// Which part.
        part: PartCode,
        /// Which lot.
        lot: Lot,
        /// Where.
        place: PlaceId,
    },
    /// Straight parts do not lean.
    #[error("part {0} is straight: leave out --lean")]
    Straight(PartCode),
}

impl Refusal for UseError {
    fn class(&self) -> ExitClass {
        match self {
            Self::NotFound(e) => e.class(),
            Self::Take(_) | Self::CalledBack { .. } | Self::Expired { .. } | Self::Held { .. } => {
                ExitClass::Facts
            }
            Self::WrongKind { .. } | Self::FoundWhere | Self::NotNeeded { .. } | Self::Straight(_) => {
                ExitClass::Typed
            }
        }
    }
}

/// What the person should hear about a use beside that it is booked: facts are booked, whatever they are.
pub fn remarks(view: &View, ask: &Use, today: Date) -> Result<Vec<String>, ViewError> {
    let mut lines = Vec::new();
    lines.extend(above_it(view, ask)?);
    if let Some(entry) = called_back(view, &ask.part, &ask.lot)? {
        lines.push(format!(
            "LOT {} WAS CALLED BACK BY ITS MAKER (entry {entry}): it should be in no mouth. Look at what the maker says",
            ask.lot
        ));
    }
    let Ok(swap) = swap::answer(view, &ask.case, &ask.site, ask.position, Some(&ask.part), today) else {
        lines.extend(where_nothing_stood(view, ask)?);
        return Ok(lines);
    };
    let Some(candidate) = judged(view, ask, &swap)? else { return Ok(lines) };
    let judgement = &candidate.judgement;
    if !judgement.verdict.puts_it_back() {
        lines.push(format!(
            "by the record this part in place of {}: {}. Look again before the patient leaves",
            swap.fitted.part.code, judgement.verdict
        ));
    }
    lines.extend(judgement.findings.iter().filter(|f| is_heard(f)).map(in_words));
    if let TorqueRecord::Measured(set) = ask.torque {
        lines.extend(torque_remark(&candidate.torque, set));
    }
    Ok(lines)
}

/// The part by the numbers of the lot that went in.
fn judged(view: &View, ask: &Use, swap: &Swap) -> Result<Option<Candidate>, ViewError> {
    let part = match editions::of_lot(view, &ask.part, &ask.lot) {
        Ok(part) => part,
        Err(NotFound::View(e)) => return Err(e),
        Err(_) => return Ok(None),
    };
    if let Some(found) = swap.candidates.iter().find(|c| c.part.is_same_as(&part)) {
        return Ok(Some(found.clone()));
    }
    // Nothing of that lot lies in the house by the record.
    let assembly = view.assembly(&ask.case, swap.site)?;
    let measure = lookup::built_on(view, &ask.case, swap.site, &assembly)?;
    let Some(case) = view.case(&ask.case)? else { return Ok(None) };
    let restorations = view.restorations(&ask.case)?;
    let judging = Judging::of_record(view, &case, lookup::restoration_at(&restorations, swap.site))?;
    let at = judging.at(swap.site, &swap.fitted, &measure, &assembly, swap.stands_on)?;
    Ok(Some(at.judge(part)?.1))
}

/// Whatever is against the part or not known of it, another maker, another torque; what only differs is in 'swap'.
fn is_heard(finding: &Finding) -> bool {
    matches!(finding.level, Level::Against | Level::Unknown | Level::Stated)
        || ["other-maker", "torque"].contains(&finding.rule)
}

fn in_words(finding: &Finding) -> String {
    let mark = match finding.level {
        Level::Against => "AGAINST",
        Level::Unknown => "NOT KNOWN",
        Level::Stated => "MAKER SAYS",
        Level::Change => "change",
        Level::Note => "to know",
    };
    let values = match (finding.fitted.as_str(), finding.candidate.as_str()) {
        ("", "") => String::new(),
        ("", part) => format!(" (this part: {part})"),
        (fitted, "") => format!(" (fitted: {fitted})"),
        (fitted, part) => format!(" (fitted: {fitted}; this part: {part})"),
    };
    format!("{mark}: {}{values}", finding.effect)
}

/// A part in a position where nothing was on record: held against what stands beside it.
fn where_nothing_stood(view: &View, ask: &Use) -> Result<Vec<String>, ViewError> {
    if matches!(ask.position, Position::HealingCap | Position::CoverScrew) {
        return Ok(Vec::new());
    }
    let Some(case) = view.case(&ask.case)? else { return Ok(Vec::new()) };
    let Ok(site) = lookup::site(&case, &ask.site) else { return Ok(Vec::new()) };
    let fitted = FittedWithout {
        position: ask.position,
        lot: None,
        label: None,
        on: None,
        torque: ask.torque,
        lean: None,
        driver: None,
        sure: Sure::Label,
    };
    let enter = Enter { case: ask.case.clone(), site, part: ask.part.clone(), fitted };
    let mut lines = vec![format!(
        "nothing was on record as {} at {site}: look whether case, tooth and position are right",
        ask.position.words()
    )];
    lines.extend(entering::remarks(view, &enter)?);
    Ok(lines)
}

/// The expiry on the label, as far as it can be read: a pack that is over is over, whatever the record has.
fn printed(ask: &Use, today: Date) -> Option<Expiry> {
    let label = ask.label.as_ref()?;
    crate::scan::read(label.as_raw(), today.year()).expiry()
}

/// A cap goes on while the record has the restoration above it.
fn above_it(view: &View, ask: &Use) -> Result<Option<String>, ViewError> {
    if !matches!(ask.position, Position::HealingCap | Position::CoverScrew) {
        return Ok(None);
    }
    let Some(case) = view.case(&ask.case)? else { return Ok(None) };
    let Ok(site) = lookup::site(&case, &ask.site) else { return Ok(None) };
    let restorations = view.restorations(&ask.case)?;
    Ok(lookup::restoration_at(&restorations, site).map(|r| {
        format!(
            "the record has a restoration on {site}, {}, and it stays there by the record: if it is off for now, end the visit with --end not-today",
            r.words()
        )
    }))
}

/// The entry for a use.
pub fn decide(view: &View, ask: &Use, today: Date) -> Result<Entry, Refused<UseError>> {
    let case = lookup::case(view, &ask.case)?;
    let site = lookup::site(&case, &ask.site)?;
    let part = editions::of_lot(view, &ask.part, &ask.lot)?;
    if !ask.position.kinds().contains(&part.kind) {
        return Err(
            UseError::WrongKind { part: ask.part.clone(), kind: part.kind, position: ask.position }.into()
        );
    }
    if ask.lean.is_some() && !part.is_angled() {
        return Err(UseError::Straight(ask.part.clone()).into());
    }
    if let Some(place) = &ask.place {
        lookup::place(view, place)?;
    }
    let lines = view.stock_of(&ask.part)?;
    let called_back = called_back(view, &ask.part, &ask.lot)?;
    if let (Some(entry), false) = (called_back, ask.found) {
        return Err(UseError::CalledBack { part: ask.part.clone(), lot: ask.lot.clone(), entry }.into());
    }
    let taken = take_from(&lines, &ask.part, &ask.lot, ask.place.as_ref(), 1);
    let taken_from_nothing = taken.is_err();
    let place = match (taken, ask.found, &ask.place) {
        (Ok(place), false, _) => place,
        // Of a lot that was called back there should be none; whoever says it was found there is not sent away.
        (Ok(place), true, _) if called_back.is_some() => place,
        (Ok(place), true, _) => {
            return Err(UseError::NotNeeded { part: ask.part.clone(), lot: ask.lot.clone(), place }.into());
        }
        (Err(e), false, _) => return Err(UseError::Take(e).into()),
        (Err(_), true, None) => return Err(UseError::FoundWhere.into()),
        (Err(_), true, Some(place)) => {
            lookup::room_for(&lines, &ask.lot, place)?;
            place.clone()
        }
    };
    let recorded = lines.iter().find(|l| l.lot == ask.lot).map_or(Expiry::NotRecorded, |l| l.expiry);
    let printed = printed(ask, today).filter(|e| e.is_over(today));
    let expiry = printed.unwrap_or(recorded);
    if expiry.is_over(today) && ask.expired_because.is_none() {
        return Err(UseError::Expired { part: ask.part.clone(), lot: ask.lot.clone(), expiry }.into());
    }
    let found = ask.found && taken_from_nothing;
    let in_the_way = if found {
        Vec::new() // It lay there beside what the record knows of.
    } else {
        holds::in_the_way(view, &ask.part, &ask.lot, &ask.case, 1, today)?
    };
    if let (Some(first), None) = (in_the_way.first(), &ask.held_because) {
        let (part, lot, hold) = (ask.part.clone(), ask.lot.clone(), first.hold.entry);
        let holds = lookup::list(in_the_way.iter().map(Standing::words));
        return Err(UseError::Held { part, lot, hold, holds }.into());
    }
    let line = PutIn {
        site,
        position: ask.position,
        part,
        lot: ask.lot.clone(),
        place,
        label: ask.label.clone(),
        torque: ask.torque,
        lean: ask.lean,
        found,
        expired_because: ask.expired_because.clone().filter(|_| expiry.is_over(today)),
        became: ask.became,
    };
    let line = line.line(&view.assembly(&ask.case, site)?);
    let (case, lines) = (ask.case.clone(), vec![line]);
    Ok(match ask.held_because.clone().filter(|_| !in_the_way.is_empty()) {
        Some(held_because) => Entry::UsedHeld(UsedHeld { case, lines, held_because }),
        None => Entry::Used(Used { case, lines }),
    })
}
