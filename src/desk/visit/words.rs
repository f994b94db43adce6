//! What the visit says, in words a tired person cannot misread.
//!
//! What to do by what broke is common practice, no source, where no other is named beside it.

use crate::case::{Fitted, Restoration, Retention};
use crate::catalog::{Position, Sterile, TorqueSpec, Value};
use crate::matching::StandsOn;
use crate::units::{CaseNumber, Expiry, Tooth};

use super::tray::{Need, TrayRow, Use};
use super::{UndoRow, Visit};
use crate::desk::CAUTION;

/// What broke.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Broken {
    ProstheticScrew,
    AbutmentScrew,
    Abutment,
}

impl Broken {
    /// Every value with its word, as commands write it.
    pub const ALL: [(Self, &'static str); 3] = [
        (Self::ProstheticScrew, "prosthetic-screw"),
        (Self::AbutmentScrew, "abutment-screw"),
        (Self::Abutment, "abutment"),
    ];

    /// Its word.
    pub fn word(self) -> &'static str {
        Self::ALL.iter().find(|(b, _)| *b == self).map_or("", |(_, w)| w)
    }

    /// Where the broken part stood.
    pub const fn position(self) -> Position {
        match self {
            Self::ProstheticScrew => Position::ProstheticScrew,
            Self::AbutmentScrew => Position::AbutmentScrew,
            Self::Abutment => Position::Abutment,
        }
    }

    /// As it is reported.
    pub fn report(self) -> String {
        format!("{} broken", self.position().words())
    }
}

/// What stayed behind.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Left {
    NotKnown,
    Nothing,
    WholeScrew,
    ShankInAbutment,
    FragmentInImplant,
}

impl Left {
    /// Every value with its word, as commands write it.
    pub const ALL: [(Self, &'static str); 5] = [
        (Self::NotKnown, "not-known"),
        (Self::Nothing, "nothing"),
        (Self::WholeScrew, "whole-screw"),
        (Self::ShankInAbutment, "shank-in-abutment"),
        (Self::FragmentInImplant, "fragment-in-implant"),
    ];

    /// Its word.
    pub fn word(self) -> &'static str {
        Self::ALL.iter().find(|(l, _)| *l == self).map_or("", |(_, w)| w)
    }

    /// Refuses what cannot be.
    pub fn check(self, broken: Broken) -> Result<(), String> {
        match (broken, self) {
            (Broken::ProstheticScrew, Self::FragmentInImplant) => Err(
                "its thread sits in the abutment, not in the implant; a fragment in the implant is the abutment screw's or the abutment's".to_owned(),
            ),
            (Broken::AbutmentScrew | Broken::Abutment, Self::ShankInAbutment) => {
                Err("its thread sits in the implant, so its shank cannot be in the abutment".to_owned())
            }
            (Broken::Abutment, Self::WholeScrew) => Err("an abutment that broke is no whole screw".to_owned()),
            _ => Ok(()),
        }
    }
}

/// 'teeth 24, 25 and 27', along the arch, always with the word.
pub fn teeth(sites: &[Tooth]) -> String {
    let mut sites = sites.to_vec();
    sites.sort_by_key(|t| (!t.is_upper(), t.along_arch()));
    match &sites[..] {
        [only] => only.to_string(),
        [most @ .., last] => {
            let most: Vec<String> = most.iter().map(|t| t.iso().to_string()).collect();
            format!("teeth {} and {}", most.join(", "), last.iso())
        }
        [] => "no tooth".to_owned(),
    }
}

fn torque(t: &TorqueSpec) -> String {
    match t {
        TorqueSpec::Stated(t) => format!("tighten to {t}"),
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

/// The one line that comes first, and the one for the next step.
pub fn answer(visit: &Visit) -> Vec<String> {
    let take = |row: &TrayRow| {
        let count = if row.quantity == 1 { String::new() } else { "s".to_owned() };
        let soon = row.pick.expiry.days_left(visit.today).is_some_and(|days| days <= SOON);
        let usable =
            if soon { format!("; {}", usable_on(row.pick.expiry, visit.today)) } else { String::new() };
        format!(
            "{} {}{count}, part {}, lot {}, from {}: for {}; {}{usable}.",
            row.quantity,
            row.part.kind.short(),
            row.part.code,
            row.pick.lot,
            row.pick.place,
            teeth(&row.sites),
            torque(row.torque())
        )
    };
    // What is missing comes first: a tired reader takes the first line for the answer.
    let mut lines = Vec::new();
    for missing in &visit.missing {
        let (kind, wanted) = (missing.fitted.kind.short(), missing.sites.len() + missing.served);
        let (code, sites) = (&missing.fitted.code, teeth(&missing.sites));
        lines.push(match missing.served {
            0 => format!("NOT IN THE HOUSE: no {kind} like {code} for {sites}."),
            some => format!(
                "NOT COMPLETE: {some} of {wanted} {kind}s like {code} in the house; missing for {sites}."
            ),
        });
    }
    for what in &visit.tools_missing {
        lines.push(format!("NOT IN THE HOUSE: {what}."));
    }
    let stuck = visit.left == Left::FragmentInImplant;
    let when = if stuck { "ONLY WHEN THE FRAGMENT IS OUT OF THE IMPLANT: TAKE" } else { "TAKE" };
    lines.extend(visit.tray.iter().map(|row| format!("{when} {}", take(row))));
    for (site, position, code) in &visit.if_fragment_stays_needs {
        let found = visit.if_fragment_stays.iter().find(|r| r.usage == Use::Take && r.position == *position);
        lines.push(match found {
            Some(row) => {
                let height = match row.part.seat_height {
                    Value::Known(height) if *position == Position::Abutment => {
                        format!(" Same seat height ({height}): the bridge goes straight back.")
                    }
                    _ => String::new(),
                };
                format!("ONLY IF THE FRAGMENT STAYS IN: TAKE {}{height}", take(row))
            }
            None => format!(
                "IF THE FRAGMENT STAYS IN: no {} like {code} in the house for {site}.",
                position.words()
            ),
        });
    }
    for stray in &visit.strays {
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
    lines
}

/// What comes before the first turn.
pub(super) fn before(
    broken: Broken,
    left: Left,
    cemented: bool,
    angled: Option<&Fitted>,
    tray: &[TrayRow],
) -> Vec<String> {
    let mut lines = vec![
        "Radiograph first: is the fragment where it is said to be, and does the implant stand firm?".to_owned(),
        "Floss on the driver, gauze screen with its tail outside, counted out again; chair not flat. Small parts are swallowed or inhaled.".to_owned(),
        "If the implant itself moves: stop. Not a parts matter: take the load off and refer.".to_owned(),
    ];
    if left != Left::Nothing {
        lines.push("Do not turn a screw whose shank is stuck.".to_owned());
    }
    if cemented {
        lines.push("Cemented: do not knock it off, that loads the screws that are left.".to_owned());
    }
    if let Some(angled) = angled.filter(|_| broken != Broken::ProstheticScrew) {
        let lean = match angled.lean {
            Value::Known(lean) => format!("on record it leans {lean}"),
            _ => "which way it leans is not on record".to_owned(),
        };
        lines.push(format!(
            "Angled abutment ({lean}): photograph it and make a key before anything is loosened."
        ));
    }
    let mut first: Vec<String> = Vec::new();
    for row in tray.iter().filter(|r| r.part.sterile == Sterile::ToBeSterilised) {
        let line = format!("To be sterilised first: {}.", row.part.code);
        if !first.contains(&line) {
            first.push(line);
        }
    }
    lines.extend(first);
    lines
}

/// The way to the fragment; `holder` is the position whose thread holds a prosthetic screw.
pub(super) fn fragment(broken: Broken, left: Left, holder: Option<Position>) -> Vec<String> {
    let mut lines = vec![match (broken, left) {
        (Broken::ProstheticScrew, Left::WholeScrew) => {
            "The whole screw is in, its head stripped: slot the head, or drill the head off and treat the rest as a shank.".to_owned()
        }
        (Broken::ProstheticScrew, _) => format!(
            "A shank left behind sits in the thread of the {}. Try to turn it out with a probe, by hand, before any tool.",
            holder.map_or("abutment", Position::words)
        ),
        _ => "A fragment left behind sits in the implant's thread: the implant is at risk. A retrieval set, unhurried; stop when in doubt.".to_owned(),
    }];
    // Published: used dry, an ultrasonic tip reached 78 °C (doi 10.1186/s12903-022-02653-w).
    lines.push(
        "Ultrasonic: with water, low power, in pulses; used dry it reached 78 °C in one study.".to_owned(),
    );
    lines
}

/// When to stop.
pub fn stop_rule(has_next: bool) -> String {
    let next = if has_next { "Go to 'If the fragment stays'." } else { "Ask the clinician." };
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
        Position::AbutmentScrew => format!(
            "The next step up is a new {} at {site}: the thread for the prosthetic screw is in its head. The abutment stays where it is.",
            position.words()
        ),
        _ => format!(
            "The next step up is a new {} at {site}: the very same height, angle and index, from the same maker, so that the bridge goes straight back.",
            position.words()
        ),
    });
    lines.push("After it a one-screw test: one screw at one end, look for a gap at the other, before the second screw goes in.".to_owned());
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
        in_house: true,
    }
}

/// After the restoration is back.
pub fn after(
    case: &CaseNumber,
    piece: (Tooth, Position),
    tray: &[TrayRow],
    stands_on: StandsOn,
) -> Vec<String> {
    // Settling: 2-10 % of preload lost in the first minutes (doi 10.1186/s40729-018-0154-2); retighten once.
    let tighten = match stands_on {
        StandsOn::Bridge => {
            "Tighten all screws of the bridge in turn, from the middle outwards, each once more after ten minutes."
        }
        _ => "Tighten once more after ten minutes.",
    };
    let mut lines = vec![
        tighten.to_owned(),
        "Count out the gauze and every small part; a part not found is looked for by X-ray.".to_owned(),
        "Keep the broken piece with its lot number. Check the bite and the splint; set the next check."
            .to_owned(),
    ];
    for row in tray {
        let torque = row.part.torque.stated().map_or("not-measured".to_owned(), |t| t.number().to_string());
        for site in &row.sites {
            let kept = if (*site, row.position) == piece { " --old kept" } else { "" };
            lines.push(format!(
                "Book it: spareseat --as INITIALS use {case} --site {} --position {} --part {} --lot {} --torque {torque}{kept}",
                site.iso(),
                row.position.slug(),
                row.part.code,
                row.pick.lot
            ));
        }
    }
    lines
}

/// The cautions that bear on this visit.
pub fn cautions(
    broken: Broken,
    left: Left,
    cemented: bool,
    tray: &[TrayRow],
    next: &[TrayRow],
) -> Vec<String> {
    let mut lines =
        vec![CAUTION.to_owned(), "Loose small parts: floss, gauze screen, chair not flat.".to_owned()];
    let used = tray.iter().chain(next).filter(|r| r.usage != Use::Leave);
    let unknown = used.into_iter().any(|r| *r.torque() == TorqueSpec::NotKnown);
    if unknown {
        lines.push(
            "A torque is not known for a part listed here: read the maker's instructions, never guess."
                .to_owned(),
        );
    }
    if left != Left::Nothing {
        lines.push("Retrieval makes heat: water, pulses, low power.".to_owned());
    }
    if cemented {
        lines.push("Cemented bridge: knocking it off loads the screws that are left.".to_owned());
    }
    if broken != Broken::ProstheticScrew {
        lines.push("If the implant itself may be broken or moves: stop and refer.".to_owned());
    }
    lines
}
