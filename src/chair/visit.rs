//! The visit: from the call to the drawer.
//!
//! It only reads. The answer comes in the order in which it is needed at the chair: what to take, what to do before
//! the first turn, what is fitted, what to undo, the tray, when to stop, and what then. What is done about a report is
//! a table (catalog/tables/calls.toml); here it is laid over what the record says of the case.

mod after;
mod answering;
mod back;
mod causes;
mod fill;
mod kit;
mod missing;
mod scene;
mod sections;
mod sets;
mod tools;
mod tray;
mod walk_in;
mod way;
mod words;

use jiff::civil::Date;
use thiserror::Error;

use crate::case::{Broken, Ends, Fitted, Left};
use crate::cases::empty::Empty;
use crate::catalog::{Part, Position, TorqueAsked};
use crate::desk::lookup::NotFound;
use crate::desk::{ExitClass, Refusal};
use crate::lots::holds::Standing;
use crate::matching::{StandsOn, Verdict};
use crate::record::{OpenVisit, Shown};
use crate::units::{CaseNumber, Note, PartCode, Tooth, show_date};
pub use answering::answer;
pub use answering::{difference, left_behind};
pub use causes::Cause;
pub use sets::Mixed;
pub use tools::ToolRow;
pub use tray::{Missing, TrayRow, TrayUse};
pub use walk_in::{Possible, drawers};
pub use words::usable_on;

/// What is asked; what is left out is taken from the visit that is going on.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct VisitQuestion {
    pub case: CaseNumber,
    pub site: Option<String>,
    pub broken: Option<Broken>,
    pub left: Option<Left>,
}

/// Why there is no answer.
#[derive(Debug, Error)]
pub enum VisitError {
    /// Something named is not on record.
    #[error(transparent)]
    NotFound(#[from] NotFound),
    /// The two things reported exclude each other.
    #[error("{report}: {why}. Say again what broke and what stayed behind")]
    Contradiction {
        /// What is reported.
        report: String,
        /// Why that cannot be.
        why: String,
    },
    /// Nothing says what is asked.
    #[error("no visit is open on case {0}: say --site TOOTH and --broken WHAT")]
    NotSaid(CaseNumber),
    /// The case is closed.
    #[error(
        "case {case} was closed on {} ({because}): nothing was looked up. To open it again: 'spareseat --as INITIALS case reopen {case} --because REASON'", show_date(*.on)
    )]
    Closed {
        /// Which case.
        case: CaseNumber,
        /// When.
        on: Date,
        /// Why.
        because: Note,
    },
}

impl Refusal for VisitError {
    fn class(&self) -> ExitClass {
        match self {
            Self::NotFound(e) => e.class(),
            Self::Closed { .. } => ExitClass::Facts,
            Self::Contradiction { .. } | Self::NotSaid(_) => ExitClass::Typed,
        }
    }
}

/// What was asked, complete.
#[derive(Debug, Clone, Copy)]
#[allow(missing_docs)]
pub struct Asked {
    pub today: Date,
    pub site: Tooth,
    pub broken: Broken,
    pub left: Left,
    /// The position that is meant.
    pub position: Option<Position>,
}

impl Asked {
    /// Whether that is what the open visit reports.
    fn is_of(&self, open: &OpenVisit) -> bool {
        open.site == self.site && open.broken == self.broken && open.left == self.left
    }

    /// The entry that booked the tray for it.
    fn booked(&self, open: &OpenVisit) -> Option<u64> {
        open.booked.filter(|_| self.is_of(open))
    }
}

/// A part in the mouth as the answer names it.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct FittedRow {
    pub site: Tooth,
    pub fitted: Fitted,
}

/// A step on the way to the broken part.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct UndoRow {
    pub sites: Vec<Tooth>,
    pub what: String,
    /// Which driver, and where it lies, when the drive is known.
    pub driver: String,
}

/// A part on record that is not as the one the restoration was built on.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Stray {
    pub site: Tooth,
    pub position: Position,
    pub now: PartCode,
    pub built_on: PartCode,
    pub verdict: Verdict,
    pub why: String,
}

/// What comes of a call.
#[derive(Debug, Clone)]
pub enum Reply {
    /// The answer.
    Visit(Box<Visit>),
    /// The part the report is about is not there.
    NotThere(NotThere),
}

/// Why a part is not there, in one sentence.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct NotThere {
    pub case: CaseNumber,
    pub made_up: bool,
    pub site: Tooth,
    pub broken: Broken,
    pub sentence: String,
}

/// The answer, section by section.
#[derive(Debug, Clone)]
pub struct Visit {
    /// What was asked.
    pub asked: Asked,
    /// What the table says of such a report.
    pub call: Called,
    /// What stands there.
    pub mouth: AtTheSite,
    /// What is read first.
    pub head: FirstLines,
    /// To the broken part and back.
    pub way: Way,
    /// What is laid out to go in.
    pub tray: LaidOut,
    /// What it is done with.
    pub tools: Tools,
    /// What it takes when that does not do.
    pub step_up: StepUp,
    /// Where it cannot be done today, or not here.
    pub otherwise: Otherwise,
    /// When it is done.
    pub after: After,
}

/// What the table says of a report.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Called {
    /// The report in words.
    pub report: String,
    pub ends: Ends,
    /// What is done first, in words.
    pub first: String,
    /// Something can have stayed behind; else the step up is for what does not hold.
    pub leaves_something: bool,
}

/// Whose mouth it is, and what stands at the site.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct AtTheSite {
    pub case: CaseNumber,
    pub made_up: bool,
    pub span: String,
    pub stands_on: StandsOn,
    pub fitted: Vec<FittedRow>,
    pub strays: Vec<Stray>,
    /// Parts to be replaced, or what they stand on, that somebody only guessed.
    pub guessed: Vec<(Tooth, Position)>,
    /// The positions of the restoration that must be filled and are empty.
    pub empty: Vec<Empty>,
    /// Something stands on the abutment here, and no restoration is on record.
    pub bridge_not_on_record: bool,
    /// The visit that is going on.
    pub open: Option<OpenVisit>,
}

/// What is read first.
#[derive(Debug, Clone, Default)]
#[allow(missing_docs)]
pub struct FirstLines {
    pub answer: Vec<String>,
    pub causes: Vec<Cause>,
    /// What lies ready is not what it was when it was shown.
    pub changed: Option<String>,
}

/// To the broken part and back.
#[derive(Debug, Clone, Default)]
#[allow(missing_docs)]
pub struct Way {
    pub before: Vec<String>,
    pub undo: Vec<UndoRow>,
    pub fragment: Vec<String>,
    pub stop_rule: String,
    /// In which order it goes back.
    pub put_back: Vec<String>,
}

/// What is laid out to go in.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct LaidOut {
    pub rows: Vec<TrayRow>,
    /// For an empty position of which nobody knows what stood there: what its neighbour has. Never taken unseen.
    pub candidates: Vec<TrayRow>,
    pub missing: Vec<Missing>,
    /// What is tightened again, the same part, and to what.
    pub again: Vec<(Tooth, Part, TorqueAsked)>,
    /// Alike parts of several lots: each is kept apart from the others.
    pub keep_apart: Vec<Mixed>,
    /// What is held for the case of these parts and stays in its drawer, with how many units.
    pub holds_left: Vec<(Standing, u32)>,
    /// Nothing is on record there: what lies in the house that it might be, and how many more.
    pub possible: Vec<Possible>,
    pub possible_more: usize,
}

/// What it is done with.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Tools {
    pub rows: Vec<ToolRow>,
    /// Drivers without which nothing can be opened or tightened.
    pub missing: Vec<String>,
}

/// What it takes when the fragment stays in, or the first does not hold.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct StepUp {
    pub rows: Vec<TrayRow>,
    pub tools: Vec<ToolRow>,
    /// What it needs: where, in which position, which part is fitted there.
    pub needs: Vec<(Tooth, Position, Part)>,
    pub words: Vec<String>,
}

/// Where it cannot be done today, or not here.
#[derive(Debug, Clone, Default)]
#[allow(missing_docs)]
pub struct Otherwise {
    /// Caps for what stays open, and their drivers.
    pub tools: Vec<ToolRow>,
    pub words: Vec<String>,
    pub to_laboratory: Vec<String>,
    pub rest_of_bridge: Vec<String>,
}

/// When it is done.
#[derive(Debug, Clone, Default)]
#[allow(missing_docs)]
pub struct After {
    pub steps: Vec<String>,
    pub cautions: Vec<String>,
}

impl Visit {
    /// Whether the restoration can be put back today with what lies in the house.
    pub fn is_complete(&self) -> bool {
        let goes_in = self.call.ends == Ends::Parts
            && self.tray.missing.is_empty()
            && self.tools.missing.is_empty()
            && !self.tray.rows.is_empty();
        self.mouth.empty.is_empty()
            && !self.mouth.bridge_not_on_record
            && (self.booked().is_some() || goes_in)
    }

    /// The empty positions that this tray does not fill.
    pub fn left_empty(&self) -> impl Iterator<Item = &Empty> {
        let filled =
            |e: &Empty| self.tray.rows.iter().any(|r| r.position == e.position && r.sites.contains(&e.site));
        self.mouth.empty.iter().filter(move |e| !filled(e))
    }

    /// 'crown', 'bridge', or where nothing says which 'restoration'.
    pub fn restoration(&self) -> &'static str {
        match self.mouth.stands_on {
            StandsOn::Bridge => "bridge",
            StandsOn::OneCrown => "crown",
            StandsOn::Nothing => "restoration",
        }
    }

    /// The entry that booked the tray of this visit.
    pub fn booked(&self) -> Option<u64> {
        self.asked.booked(self.mouth.open.as_ref()?)
    }

    /// The part that the report is about.
    pub fn meant(&self) -> Option<(Tooth, Position)> {
        self.asked.position.map(|position| (self.asked.site, position))
    }

    /// The heading of the next step up, where there is one.
    pub fn step_up_title(&self) -> &'static str {
        step_up_title(self.call.leaves_something)
    }

    /// The new part goes into the implant, and nobody has said that its thread is free.
    fn implant_thread_in_doubt(&self) -> bool {
        let into_implant = matches!(self.meant(), Some((_, Position::Abutment | Position::AbutmentScrew)));
        self.call.ends == Ends::Parts
            && self.call.leaves_something
            && self.asked.left == Left::NotKnown
            && into_implant
            && !self.tray.rows.is_empty()
    }

    fn only_if(&self) -> &'static str {
        if self.call.leaves_something { "THE FRAGMENT STAYS IN" } else { "IT DOES NOT HOLD" }
    }

    /// Whether that is the part that gave way: the report says which, and where that one stays in it is none.
    pub fn is_what_broke(&self, site: Tooth, position: Position) -> bool {
        let Some((meant_at, meant)) = self.meant() else { return false };
        let gave_way = !matches!(
            self.asked.broken,
            Broken::NotKnown | Broken::Loose | Broken::UngluedBase | Broken::Facing
        );
        (meant_at, meant) == (site, position) && gave_way
    }

    /// Every unit to be laid out, one by one.
    pub fn shown(&self) -> Vec<Shown> {
        let takes = self.step_up.rows.iter().filter(|r| r.usage == TrayUse::Take);
        let mut all: Vec<Shown> = self.tray.rows.iter().chain(takes).flat_map(TrayRow::units).collect();
        all.sort();
        all
    }
}

fn step_up_title(leaves_something: bool) -> &'static str {
    if leaves_something { "If the fragment stays" } else { "If it does not hold" }
}
