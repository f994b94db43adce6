//! What the visit says, in words a tired person cannot misread.
//!
//! What to do by what broke is common practice, no source, where no other is named beside it.

use crate::desk::CAUTION;
use crate::case::{Restoration, Retention};
use crate::catalog::{Position, Sterile, TorqueSpec, Value};
use crate::units::{Expiry, Tooth};

use super::tray::{Need, TrayRow, Use};
use super::{UndoRow, Visit};

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

/// '24, 25 and 27', always with the word.
pub fn teeth(sites: &[Tooth]) -> String {
    match sites {
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

fn usable(expiry: Expiry, days: Option<i32>) -> String {
    match (expiry.last_day(), days) {
        (Some(_), Some(0)) => format!("usable until today, {expiry}"),
        (Some(_), Some(1)) => format!("usable until {expiry} (1 day left)"),
        (Some(_), Some(days)) if days <= 60 => format!("usable until {expiry} ({days} days left)"),
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
        format!(
            "{} {}{count}, part {}, lot {}, from {}: for {}; {}.",
            row.quantity,
            row.part.kind.short(),
            row.part.code,
            row.pick.lot,
            row.pick.place,
            teeth(&row.sites),
            torque(row.torque())
        )
    };
    let mut lines: Vec<String> = visit.tray.iter().map(|row| format!("TAKE {}", take(row))).collect();
    for missing in &visit.missing {
        lines.push(format!(
            "NOT IN THE HOUSE: a {} for {} that puts the bridge back where it was.",
            missing.fitted.kind.short(),
            missing.site
        ));
    }
    match visit.if_fragment_stays.iter().find(|r| r.usage == Use::Take) {
        Some(row) => {
            let height = match row.part.seat_height {
                Value::Known(height) if row.position == Position::Abutment => {
                    format!(" Same seat height ({height}): the bridge goes straight back.")
                }
                _ => String::new(),
            };
            lines.push(format!("ONLY IF THE FRAGMENT STAYS IN: TAKE {}{height}", take(row)));
        }
        None if !visit.if_fragment_stays_words.is_empty() => {
            lines.push("IF THE FRAGMENT STAYS IN: nothing in the house puts the bridge back where it was.".to_owned());
        }
        None => {}
    }
    lines
}

/// What comes before the first turn.
pub fn before(broken: Broken, left: Left, cemented: bool, tray: &[TrayRow]) -> Vec<String> {
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
    if broken == Broken::Abutment {
        lines.push("Angled abutment: photograph it and mark which way it leans before anything is loosened.".to_owned());
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

/// The way to the fragment.
pub fn fragment(broken: Broken, left: Left) -> Vec<String> {
    let mut lines = vec![match (broken, left) {
        (Broken::ProstheticScrew, Left::WholeScrew) => {
            "The whole screw is in, its head stripped: slot the head, or drill the head off and treat the rest as a shank.".to_owned()
        }
        (Broken::ProstheticScrew, _) => {
            "The shank is in the abutment's thread. Try a probe, turning it out by hand, before any tool.".to_owned()
        }
        _ => "The fragment is in the implant's thread: the implant is at risk. A retrieval kit, unhurried; stop when in doubt.".to_owned(),
    }];
    // Published: used dry, an ultrasonic tip reached 78 °C (doi 10.1186/s12903-022-02653-w).
    lines.push("Ultrasonic: with water, low power, in pulses; used dry it reached 78 °C in one study.".to_owned());
    lines
}

/// When to stop.
pub fn stop_rule(has_next: bool) -> String {
    let next = if has_next { "go to 'If the fragment stays'" } else { "stop and ask the clinician" };
    format!("If the new screw does not run down by fingers alone, the thread is hurt: stop, do not force it, {next}.")
}

/// What it takes when the fragment stays in.
pub fn next_step(next: &[Need<'_>], left: Left) -> Vec<String> {
    let Some(first) = next.first() else { return Vec::new() };
    let mut lines = Vec::new();
    if left == Left::NotKnown {
        lines.push("Not known yet what stayed behind: have this ready too.".to_owned());
    }
    lines.push(format!(
        "The next step up is a new {} at {}: the very same height, angle and index, from the same maker, so that the bridge goes straight back.",
        first.fitted.position.words(),
        first.site
    ));
    lines.push("After it a one-screw test: one screw at one end, look for a gap at the other, before the second screw goes in.".to_owned());
    lines
}

/// A cemented bridge is opened, not knocked off.
pub fn open_cemented(restoration: Option<&Restoration>, sites: Vec<Tooth>) -> UndoRow {
    let axis = match restoration.map(|r| &r.retention) {
        Some(Retention::Cemented { screw_axis: Value::Known(axis), .. }) => {
            format!("the screw axis meets the crown here: {axis}")
        }
        _ => "where the screw axis meets the crown is not on record: look at the radiograph and the model".to_owned(),
    };
    UndoRow {
        sites,
        what: "open the bridge over the abutment screws and lift bridge and abutments as one, or cut it".to_owned(),
        driver: axis,
    }
}

/// After the bridge is back.
pub fn after() -> Vec<String> {
    vec![
        // Settling: 2-10 % of preload lost in the first minutes (doi 10.1186/s40729-018-0154-2); retighten once.
        "Tighten all screws of the bridge in turn, from the middle outwards, then each once more after ten minutes.".to_owned(),
        "Count out the gauze and every small part; a part not found is looked for by X-ray.".to_owned(),
        "Keep the broken piece with its lot number. Check the bite and the splint; set the next check.".to_owned(),
        "Book it: spareseat --as INITIALS use CASE --site … --position … --part … --lot … --torque …".to_owned(),
    ]
}

/// The cautions that bear on this visit.
pub fn cautions(broken: Broken, left: Left, cemented: bool, tray: &[TrayRow], next: &[TrayRow]) -> Vec<String> {
    let mut lines = vec![
        CAUTION.to_owned(),
        "Loose small parts: floss, gauze screen, chair not flat.".to_owned(),
    ];
    let unknown = tray.iter().chain(next).any(|r| *r.torque() == TorqueSpec::NotKnown);
    if unknown {
        lines.push("A torque is not known for a part listed here: read the maker's instructions, never guess.".to_owned());
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
