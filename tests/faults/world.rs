//! A very small practice: four parts, one case, one lot; what can be booked there, and what must be true after it.
//!
//! Small so that thousands of damaged copies can be opened; the expected stock is added up here from what each act
//! does, apart from the program's own fold.

use std::collections::BTreeMap;
use std::path::Path;
use std::time::Duration;

use jiff::civil::Date;
use spareseat::case::TorqueRecord;
use spareseat::cases::entering;
use spareseat::catalog::Position;
use spareseat::desk::lookup::{self, NotFound};
use spareseat::desk::{Desk, Home, HomeError, Refused, Today};
use spareseat::fitting::using::{self, Use};
use spareseat::logbook::{Draft, LOGBOOK_FILE, LogbookId};
use spareseat::maintenance::{parts, upkeep};
use spareseat::record::{Became, Booked, Entry, ReceiveLine, Received, View};
use spareseat::shelf::moving::{self, Move};
use spareseat::shelf::receiving::{self, Receive};
use spareseat::shelf::shelves;
use spareseat::stock::Where;
use spareseat::store::{SledStore, StoreError};
use spareseat::units::{Act, CaseNumber, Lot, Note, PartCode, PlaceId, PracticeName};

pub use super::ledger::{Ledger, acts};
pub use super::opening::{copy, long, open, patiently};
use super::recording::Recording;
use super::stocking::Stocking;
use super::visits::Visiting;
use super::{measuring, taking, taking_back};
pub use crate::practice::by;
use crate::practice::{Founding, spread};
pub use crate::support::folder;

/// The part that is bought, moved and used.
pub const SCREW: &str = "plover-prosthetic-screw-1.4";
/// Its lot.
pub const LOT: &str = "PS-1120";
/// Whose practice it is.
pub const PRACTICE: &str = "Mudflat Practice (made up)";
/// The case with one site.
pub const CASE: &str = "1047";
/// The two drawers.
pub const DRAWERS: [&str; 2] = ["cabinet-2-drawer-1", "cabinet-2-drawer-2"];

/// Its catalogue as a file.
pub const CATALOGUE: &str = include_str!("catalogue.toml");
const CASE_FILE: &str = include_str!("case.toml");

/// Something that can be booked here.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// The catalogue is imported.
    Catalogue,
    /// It is imported again with another length of the screw: the number was wrong.
    Correct,
    /// The case is imported.
    Case,
    /// So many screws come into that drawer.
    Receive(u32, usize),
    /// So many go from that drawer to the other.
    Move(u32, usize),
    /// One goes from that drawer into the patient.
    Use(usize),
    /// What happens around a visit, in a case with a bridge.
    Visit(Visiting),
    /// A case that another practice shared is taken; its interfaces say their form, or they do not.
    Take(bool),
    /// Where the case's site lies is taken from a file.
    Measure,
    /// What happens to stock beside deliveries, moves and uses.
    Stock(Stocking),
    /// What is entered beside all that.
    Record(Recording),
    /// That entry is taken back.
    Counter(u64),
    /// A backup that was put in place is gone on with; see `restored`.
    Accept,
}

/// The steps that make the home ready for use.
pub const READY: [Step; 3] = [Step::Catalogue, Step::Case, Step::Receive(6, 0)];

/// How its logbook begins.
pub fn founded() -> Founding {
    Founding { id: id(), practice: PRACTICE, act: act(u32::MAX), ..Founding::at_noon() }
}

/// The day every test lives on, at noon.
pub fn today() -> Today {
    founded().today()
}

fn day() -> Date {
    today().date
}

/// The logbook every small home has.
pub fn id() -> LogbookId {
    Act::from_bits(0xb00c)
}

/// Spread like real acts, whose first bits choose a bucket.
pub fn act(n: u32) -> Act {
    spread(u128::from(n))
}

/// Whose practice.
pub fn practice() -> PracticeName {
    founded().name()
}

/// The first line.
pub fn founding() -> Draft {
    founded().draft()
}

impl Step {
    /// How the program ends when the step is booked: a visit on record answers as the look does, and its driver is in no
    /// drawer of this practice.
    pub fn ends_with(self) -> i32 {
        i32::from(matches!(self, Self::Visit(Visiting::Open)))
    }

    /// Books it.
    pub fn book(self, desk: &mut Desk, act: Act) -> Result<Booked, String> {
        let by = by();
        let text = |e: &dyn std::fmt::Display| e.to_string();
        match self {
            Self::Catalogue => {
                let files = [("catalogue.toml".to_owned(), CATALOGUE.to_owned())];
                parts::import(desk, Some(&by), act, &files).map(|done| done.booked).map_err(|e| text(&e))
            }
            Self::Correct => {
                let files = [("catalogue.toml".to_owned(), corrected())];
                let said = parts::NumberWasWrong { all: false, parts: vec![code()] };
                let done = parts::import_saying(desk, Some(&by), act, &files, &said);
                done.map(|done| done.booked).map_err(|e| text(&e))
            }
            Self::Case => desk
                .book(Some(&by), act, |view| entering::import(view, "case.toml", CASE_FILE, false, day()))
                .map_err(|e| text(&e)),
            Self::Receive(quantity, drawer) => {
                let ask = Receive {
                    part: code(),
                    lot: lot(),
                    quantity,
                    place: place(drawer),
                    new_place: true,
                    expiry: None,
                    label: None,
                };
                desk.book(Some(&by), act, |view| receiving::decide(view, &ask)).map_err(|e| text(&e))
            }
            Self::Move(quantity, drawer) => {
                let ask = Move {
                    part: code(),
                    lot: lot(),
                    quantity,
                    from: Some(place(drawer)),
                    to: place(1 - drawer),
                    new_place: true,
                };
                desk.book(Some(&by), act, |view| moving::decide(view, &ask)).map_err(|e| text(&e))
            }
            Self::Use(drawer) => {
                let ask = used(drawer);
                desk.book(Some(&by), act, |view| using::decide(view, &ask, day())).map_err(|e| text(&e))
            }
            Self::Visit(step) => step.book(desk, act),
            Self::Take(forms) => taking::book(desk, act, forms),
            Self::Measure => measuring::book(desk, act),
            Self::Stock(step) => step.book(desk, act),
            Self::Record(step) => step.book(desk, act),
            Self::Counter(entry) => taking_back::book(desk, act, entry),
            Self::Accept => {
                let why = Note::new("restored").expect("a reason");
                upkeep::accept(desk, Some(&by), act, &why).map(|(.., booked)| booked).map_err(|e| text(&e))
            }
        }
    }

    /// Which act it is, whatever the numbers and names in it.
    pub fn sort(self) -> String {
        format!("{self:?}").chars().filter(char::is_ascii_alphabetic).collect()
    }

    /// The command that books it; files are written into `folder`.
    pub fn command(self, folder: &Path) -> Vec<String> {
        let file = |name: &str, content: &str| {
            let path = folder.join(name);
            std::fs::write(&path, content).expect("a file for the command");
            path.to_string_lossy().into_owned()
        };
        let lot = ["--lot", LOT, "--quantity"];
        let words = |words: &[&str]| words.iter().map(|w| (*w).to_owned()).collect::<Vec<String>>();
        match self {
            Self::Catalogue => words(&["part", "import", &file("catalogue.toml", CATALOGUE)]),
            Self::Correct => {
                let file = file("catalogue.toml", &corrected());
                words(&["part", "import", &file, "--number-was-wrong", SCREW])
            }
            Self::Case => words(&["case", "import", &file("case.toml", CASE_FILE)]),
            Self::Receive(n, drawer) => {
                let (n, to) = (n.to_string(), ["--place", DRAWERS[drawer], "--new-place"]);
                words(&[&["receive", SCREW], &lot[..], &[n.as_str()], &to[..]].concat())
            }
            Self::Move(n, drawer) => {
                let n = n.to_string();
                let way = ["--from", DRAWERS[drawer], "--to", DRAWERS[1 - drawer], "--new-place"];
                words(&[&["move", SCREW], &lot[..], &[n.as_str()], &way[..]].concat())
            }
            Self::Visit(step) => step.command(&file),
            Self::Take(forms) => taking::command(forms, &file),
            Self::Measure => measuring::command(&file),
            Self::Stock(step) => step.command(&file),
            Self::Record(step) => step.command(&file),
            Self::Counter(entry) => taking_back::command(entry),
            Self::Accept => words(&["logbook", "accept", "--because", "restored"]),
            Self::Use(drawer) => words(&[
                "use",
                CASE,
                "--site",
                "25",
                "--position",
                "prosthetic-screw",
                "--part",
                SCREW,
                "--lot",
                LOT,
                "--torque",
                "15",
                "--place",
                DRAWERS[drawer],
            ]),
        }
    }
}

/// The catalogue with another length under the head of the screw.
fn corrected() -> String {
    let at = CATALOGUE.find(&format!("code = \"{SCREW}\"\n")).expect("the screw");
    let (before, its) = CATALOGUE.split_at(at);
    let changed = its.replacen("under_head = 3.2", "under_head = 3.3", 1);
    assert_ne!(changed, its, "the length is another one");
    format!("{before}{changed}")
}

/// A use of one screw from that drawer.
pub fn used(drawer: usize) -> Use {
    Use {
        case: CaseNumber::new(CASE).expect("a case number"),
        site: "25".to_owned(),
        position: Position::ProstheticScrew,
        part: code(),
        lot: lot(),
        place: Some(place(drawer)),
        torque: TorqueRecord::NotMeasured,
        lean: None,
        label: None,
        found: false,
        expired_because: None,
        held_because: None,
        became: Became::Discarded,
    }
}

pub fn code() -> PartCode {
    PartCode::new(SCREW).expect("a code")
}

pub fn lot() -> Lot {
    Lot::new(LOT).expect("a lot")
}

pub fn place(drawer: usize) -> PlaceId {
    PlaceId::new(DRAWERS[drawer]).expect("a place")
}

/// The entry of a delivery, for who writes to a logbook without a desk.
pub fn received(quantity: u32, drawer: usize) -> Entry {
    let line =
        ReceiveLine { part: code(), lot: lot(), quantity, place: place(drawer), expiry: None, label: None };
    Entry::Received(Received { lines: vec![line] })
}

/// Makes a home.
pub fn make(root: &Path) -> Result<(), HomeError> {
    founded().home(root)
}

/// Books one thing more and puts the logbook of before in place, as a backup: the view knows an entry that is missing.
pub fn restored(root: &Path) {
    let logbook = root.join(LOGBOOK_FILE);
    let backup = std::fs::read(&logbook).expect("a logbook");
    let (mut desk, _) = open(root).expect("it opens");
    Step::Receive(1, 1).book(&mut desk, act(9999)).expect("booked");
    drop(desk);
    std::fs::write(logbook, backup).expect("restored");
}

/// Makes a small home on disk and books `steps` there with the acts 1, 2, 3 …
pub fn home(root: &Path, steps: &[Step]) -> Home {
    let home = Home::at(root);
    make(root).expect("a home");
    let (mut desk, _) = open(root).expect("it opens");
    for (n, step) in steps.iter().enumerate() {
        step.book(&mut desk, act(n as u32 + 1)).unwrap_or_else(|e| panic!("{step:?}: {e}"));
    }
    home
}

/// Whether a program that was killed had told which entry it booked: the line is whole.
pub fn acknowledges(told: &str) -> bool {
    told.split_inclusive('\n').any(|line| line.starts_with("entry ") && line.ends_with('\n'))
}

/// What the two drawers hold of the screw, and what all places together hold of each of its lots, added up.
fn drawers(view: &View) -> Result<([i64; 2], i64), spareseat::record::ViewError> {
    let mut drawers = [0; 2];
    let mut sums: BTreeMap<Lot, i64> = BTreeMap::new();
    for line in view.stock_of(&code())? {
        if let Some(n) =
            DRAWERS.iter().position(|d| line.place == Where::House(PlaceId::new(d).expect("a place")))
        {
            drawers[n] += line.quantity;
        }
        *sums.entry(line.lot).or_default() += line.quantity;
    }
    Ok((drawers, sums.values().map(|n| n.abs()).sum()))
}

/// Everything a person could look up in the small home, as one text: equal texts, equal answers.
pub fn answers(desk: &mut Desk) -> Result<String, String> {
    let asked = desk.ask(|view| {
        let parts = view.parts()?;
        let stock = shelves::list(view, &shelves::StockFilter::default(), day())
            .map_err(|e| e.map(|shelves::StockError::NotFound(e)| e))?;
        let case = view.case(&CaseNumber::new(CASE).expect("a case number"))?;
        let sites = case.iter().flat_map(|c| c.sites.clone()).collect::<Vec<_>>();
        let number = CaseNumber::new(CASE).expect("a case number");
        let fitted = sites.iter().map(|t| view.assembly(&number, *t)).collect::<Result<Vec<_>, _>>()?;
        let events = view.events(&number)?;
        let screw = lookup::part(view, &code())?;
        let drawers = drawers(view)?;
        let told = stock.iter().map(|r| format!("{} {} {}", r.lot, r.place, r.quantity)).collect::<Vec<_>>();
        // The rest as one number: a text of it all would bury the message of a test that fails.
        let rest = format!("{parts:?}{stock:?}{case:?}{fitted:?}{events:?}{screw:?}");
        let rest = spareseat::catalog::EditionId::of(rest.as_bytes());
        Ok::<_, Refused<NotFound>>(format!("{told:?}, {drawers:?}, the rest {}", &rest.as_str()[..16]))
    });
    asked.map_err(|e| e.to_string())
}

/// The store of a view, to be hurt: whoever closed it last lets go of its lock in a thread of its own, which may be late
/// on a busy machine.
pub fn store_at(view: &Path) -> SledStore {
    let patiently = (0..200).find_map(|_| match SledStore::open(view) {
        Err(StoreError::Busy) => {
            std::thread::sleep(Duration::from_millis(50));
            None
        }
        other => Some(other.expect("it opens")),
    });
    patiently.expect("its lock is let go of")
}
