//! A row of the table of what must be known: a number, what it is worth, what another one means, and why.

use spareseat::matching::{StandsOn, Verdict};

/// What it is worth to know a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Need {
    /// Missing on either side, also on both: may not go in.
    Must,
    /// Missing on either side, also on both: a change.
    Change,
    /// Missing: a note.
    Note,
    /// Says nothing about the part: no verdict moves.
    Paper,
    /// Who says it and what goes with what: the same code with other words of this kind may be the same part.
    Word,
    /// Nothing is demanded of the verdict.
    Open,
    /// A change at most, missing or other.
    Unlisted,
}

/// What another number means where both are known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Named {
    /// Does not fit.
    Fails,
    /// Does not fit, or not confirmed.
    MayNotGoIn,
    /// Fits with changes, or worse.
    AtBestChange,
    /// Fits with changes.
    Change,
    /// Does not fit under a rigid bridge; elsewhere at best a change.
    UnderBridge,
    /// Does not fit under a bridge or a crown; elsewhere at best a change.
    UnderRestoration,
    /// Under a bridge or a crown it may not go in; elsewhere at best a change.
    MayNotUnderRestoration,
    /// Shorter does not fit, longer is at best a change.
    ShorterFails,
    /// Looser is a change, tighter a note.
    LooserChanges,
    /// Nothing, or a note.
    Nothing,
    /// Anything.
    Any,
    /// A change at most.
    AtMostChange,
}

/// The verdicts that an answer may have, best and worst.
pub type Span = (Verdict, Verdict);

pub const MAY_NOT_GO_IN: Span = (Verdict::NotConfirmed, Verdict::DoesNotFit);
pub const FAILS: Span = (Verdict::DoesNotFit, Verdict::DoesNotFit);
pub const CHANGE: Span = (Verdict::FitsWithChanges, Verdict::FitsWithChanges);
pub const AT_BEST_CHANGE: Span = (Verdict::FitsWithChanges, Verdict::DoesNotFit);
pub const AT_MOST_CHANGE: Span = (Verdict::SamePart, Verdict::FitsWithChanges);
pub const ANY: Span = (Verdict::SamePart, Verdict::DoesNotFit);
pub const NOTED: Span = (Verdict::SamePart, Verdict::LikeForLike);
pub const NOTHING: Span = (Verdict::SamePart, Verdict::SamePart);

impl Named {
    /// What a number that differs by more than its step allows; `more` is by how much it is larger.
    pub fn span(self, stands_on: StandsOn, more: Option<i64>) -> Span {
        match self {
            Self::Fails => FAILS,
            Self::MayNotGoIn => MAY_NOT_GO_IN,
            Self::AtBestChange => AT_BEST_CHANGE,
            Self::Change => CHANGE,
            Self::UnderBridge if stands_on == StandsOn::Bridge => FAILS,
            Self::UnderRestoration if stands_on != StandsOn::Nothing => FAILS,
            Self::MayNotUnderRestoration if stands_on != StandsOn::Nothing => MAY_NOT_GO_IN,
            Self::UnderBridge | Self::UnderRestoration | Self::MayNotUnderRestoration => AT_BEST_CHANGE,
            Self::ShorterFails if more.is_some_and(|m| m < 0) => FAILS,
            Self::ShorterFails => AT_BEST_CHANGE,
            Self::LooserChanges if more.is_some_and(|m| m < 0) => NOTHING,
            Self::LooserChanges => CHANGE,
            Self::Nothing => NOTHING,
            Self::Any => ANY,
            Self::AtMostChange => AT_MOST_CHANGE,
        }
    }
}

/// One number of a part.
#[derive(Debug, Clone)]
pub struct Row {
    /// Its address on the sheet.
    pub at: String,
    pub need: Need,
    /// 'n/a' is an answer here; anywhere else it says as little as nothing.
    pub may_not_apply: bool,
    /// Numbers less than this apart, in base units, are the same number; 0: exact.
    pub step: i64,
    pub named: Named,
    /// The maker's word for the joint stands in for it, and for nothing that passes, bears or has a length.
    pub may_be_stated: bool,
    /// What it does in its joint.
    pub why: &'static str,
}

fn row(at: &str, need: Need, step: i64, named: Named, why: &'static str) -> Row {
    Row { at: at.to_owned(), need, may_not_apply: false, step, named, may_be_stated: false, why }
}

pub fn must(at: &str, step: i64, named: Named, why: &'static str) -> Row {
    row(at, Need::Must, step, named, why)
}

pub fn change(at: &str, step: i64, why: &'static str) -> Row {
    row(at, Need::Change, step, Named::Change, why)
}

pub fn note(at: &str, why: &'static str) -> Row {
    row(at, Need::Note, 0, Named::Nothing, why)
}

pub fn paper(at: &str, why: &'static str) -> Row {
    Row { may_not_apply: true, ..row(at, Need::Paper, 0, Named::Nothing, why) }
}

pub fn open(at: &str, why: &'static str) -> Row {
    Row { may_not_apply: true, ..row(at, Need::Open, 0, Named::Any, why) }
}

pub fn word(at: &str, why: &'static str) -> Row {
    Row { may_not_apply: true, ..row(at, Need::Word, 0, Named::Any, why) }
}

pub fn unlisted(at: &str, why: &'static str) -> Row {
    row(at, Need::Unlisted, 0, Named::AtMostChange, why)
}

/// 'n/a' is an answer.
pub fn ann(row: Row) -> Row {
    Row { may_not_apply: true, ..row }
}

fn stated(row: Row) -> Row {
    Row { may_be_stated: true, ..row }
}

/// Below stands what is in the mouth; above stands what was made to the fitted part, or nothing is made yet.
fn other_port(port: &str) -> Named {
    if port.ends_with("above") { Named::MayNotUnderRestoration } else { Named::MayNotGoIn }
}

/// A seat: what stands on what.
pub fn seat(port: &str, leans: bool) -> Vec<Row> {
    let at = |key: &str| format!("{port}/{key}");
    let other = other_port(port);
    let mut rows = vec![
        stated(must(&at("interface"), 0, other, "another interface is another geometry")),
        // What another revision means is asked of the mate.
        stated(must(&at("offers"), 0, Named::Any, "which revision it is made to")),
        stated(must(&at("accepts"), 0, Named::Any, "which revisions it stands on")),
        must(
            &at("outer"),
            10,
            Named::AtBestChange,
            "a wider one hangs over, a smaller one opens under less moment",
        ),
        change(&at("inner"), 10, "the ring that carries: the inner edge opens the joint earlier or later"),
        must(
            &at("engaging"),
            0,
            if leans { Named::Fails } else { Named::AtBestChange },
            "what must not turn is held by the index; what is turned in must be free of it",
        ),
        ann(must(&at("index"), 0, Named::MayNotGoIn, "another count of positions is another index")),
    ];
    rows.push(if leans {
        must(&at("variant"), 0, Named::UnderRestoration, "the other variant cannot lean the same way")
    } else {
        open(&at("variant"), "only the lower seat of an angled part has one")
    });
    rows
}

/// A thread, male or female.
pub fn thread(port: &str) -> Vec<Row> {
    let at = |key: &str| format!("{port}/{key}");
    let other = other_port(port);
    vec![
        stated(must(&at("diameter"), 0, other, "the name of the thread: another one does not run in")),
        stated(must(&at("pitch"), 0, other, "the name of the thread: another one jams after a turn")),
        must(
            &at("length"),
            10,
            Named::AtBestChange,
            "turns that carry; one too long stands on the ground of its hole and clamps nothing",
        ),
    ]
}

/// A screw's head.
pub fn head() -> Vec<Row> {
    vec![
        stated(must("head-seat below/form", 0, Named::MayNotGoIn, "a cone on a plane bears on an edge")),
        must(
            "head-seat below/mean_diameter",
            10,
            Named::AtBestChange,
            "where it bears: the friction arm, and the shoulder has to be there",
        ),
        open("head-seat below/bore", "a screw's head has none"),
    ]
}

/// The shoulder a head rests on.
pub fn shoulder() -> Vec<Row> {
    vec![
        stated(must("head-seat above/form", 0, other_port("above"), "a cone on a plane bears on an edge")),
        must("head-seat above/mean_diameter", 10, Named::AtBestChange, "where the head bears"),
        must(
            "head-seat above/bore",
            10,
            Named::AtBestChange,
            "the shank has to pass it and the head must not",
        ),
    ]
}
