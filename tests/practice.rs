//! The one builder of a small made-up practice: founded, a catalogue, cases, drawers; in memory, or as a home on a disk.
//!
//! A test that wants another practice than the demo says here what is in it. A home is made once a process for all that
//! want the same one, and copied; see `once`.

pub mod once;

use std::path::Path;

use jiff::Timestamp;
use jiff::civil::{Date, date};
use spareseat::cases::entering;
use spareseat::catalog::{Edition, Part, shipped};
use spareseat::demo;
use spareseat::desk::lookup::NotFound;
use spareseat::desk::{Desk, DeskError, Home, HomeError, Refused, Today, open_home};
use spareseat::logbook::{self, Append, Draft, Head, Logbook as _, LogbookId, MemoryLogbook};
use spareseat::maintenance::parts;
use spareseat::record::{CatalogueChanged, Entry, Record, View, ViewPlace};
use spareseat::shelf::receiving::{self, Receive};
use spareseat::units::{Act, Expiry, Initials, Lot, Note, PartCode, PlaceId, PracticeName};

use crate::support::Place;

/// The day every test lives on.
pub const DAY: Date = date(2026, 11, 25);

/// The demo's cases, as the files have them.
pub const CASES: [(&str, &str); 5] = [
    ("1047.toml", include_str!("../demo/cases/1047.toml")),
    ("2210.toml", include_str!("../demo/cases/2210.toml")),
    ("3306.toml", include_str!("../demo/cases/3306.toml")),
    ("4051.toml", include_str!("../demo/cases/4051.toml")),
    ("6188.toml", include_str!("../demo/cases/6188.toml")),
];

/// A case of the demo as it is imported on the day every test lives on.
pub fn demo_case(number: &str) -> String {
    let file = format!("{number}.toml");
    let (_, text) = CASES.into_iter().find(|(f, _)| *f == file).expect("a case of the demo");
    demo::lay_dates(text, DAY).expect("dates in braces")
}

/// Who books in every test.
pub fn by() -> Initials {
    Initials::new("AB").expect("initials")
}

/// An act for each number, spread like real ones, whose first bits choose a bucket.
pub fn spread(n: u128) -> Act {
    Act::from_bits(n.wrapping_mul(0x9e37_79b9_7f4a_7c15_f39c_c060_5ced_c835) | 1)
}

/// How a logbook begins.
#[derive(Debug, Clone)]
pub struct Founding {
    /// Its number.
    pub id: LogbookId,
    /// Whether it says that it is made up.
    pub made_up: bool,
    /// Whose it is.
    pub practice: &'static str,
    /// When, and on which day.
    pub at: (Timestamp, Date),
    /// The act of the first line.
    pub act: Act,
}

impl Founding {
    /// At noon of the day every test lives on.
    pub fn at_noon() -> Self {
        let noon = demo::noon(DAY).expect("a day has a noon");
        let practice = "Mudflat Practice (made up)";
        Self { id: Act::from_bits(0x5EA7), made_up: true, practice, at: (noon, DAY), act: spread(1) }
    }

    /// The clock of that moment.
    pub fn today(&self) -> Today {
        Today { now: self.at.0, date: self.at.1, said: true }
    }

    /// Its name.
    pub fn name(&self) -> PracticeName {
        PracticeName::new(self.practice).expect("a name")
    }

    /// The first line.
    pub fn draft(&self) -> Draft {
        let founded = logbook::Founding { format: 1, logbook: self.id, made_up: self.made_up };
        let entry = Entry::Founded(founded).to_raw();
        Draft { at: self.at.0, on: self.at.1, by: by(), practice: self.name(), act: self.act, entry }
    }

    /// A logbook in memory with that line.
    pub fn in_memory(&self) -> MemoryLogbook {
        let logbook = MemoryLogbook::new(self.id);
        let founded = logbook.append(&Head::start(self.id), &self.draft());
        assert!(matches!(founded, Ok(Append::Appended(..))), "{founded:?}");
        logbook
    }

    /// A home with that line.
    pub fn home(&self, root: &Path) -> Result<(), HomeError> {
        Home::at(root).make(self.id, self.made_up, &self.name(), &by(), self.today(), self.act)
    }
}

/// A desk over a record in memory.
pub fn desk_over(logbook: MemoryLogbook, today: Today) -> Desk {
    Desk::new(Record::open(Box::new(logbook), ViewPlace::Memory).expect("a view in memory"), today)
}

/// A lot that is received: part, lot, how many, into which drawer, and its expiry where it has one.
pub type Pack<'a> = (&'a str, &'a str, u32, &'a str, Option<&'a str>);

/// What is in a practice.
#[derive(Debug, Clone)]
pub struct Builder {
    founding: Founding,
    catalogue: Vec<(String, String)>,
    cases: Vec<(String, String)>,
    packs: Vec<(String, String, u32, String, Option<String>)>,
}

impl Builder {
    /// The shipped catalogue, and nothing else.
    pub fn shipped() -> Self {
        let catalogue = shipped().iter().map(|(f, t)| ((*f).to_owned(), (*t).to_owned())).collect();
        Self { founding: Founding::at_noon(), catalogue, cases: Vec::new(), packs: Vec::new() }
    }

    /// As a real practice: its first line does not say that it is made up.
    pub fn real(mut self) -> Self {
        self.founding.made_up = false;
        self
    }

    /// With this case file.
    pub fn case(mut self, file: &str, text: &str) -> Self {
        self.cases.push((file.to_owned(), text.to_owned()));
        self
    }

    /// With these of the demo's cases.
    pub fn demo_cases<'a>(self, numbers: impl IntoIterator<Item = &'a str>) -> Self {
        numbers
            .into_iter()
            .fold(self, |builder, number| builder.case(&format!("{number}.toml"), &demo_case(number)))
    }

    /// With all of the demo's cases.
    pub fn all_cases(self) -> Self {
        self.demo_cases(CASES.iter().map(|(file, _)| file.trim_end_matches(".toml")))
    }

    /// With this in its drawers.
    pub fn packs<'a>(mut self, packs: impl IntoIterator<Item = Pack<'a>>) -> Self {
        self.packs.extend(packs.into_iter().map(|(part, lot, quantity, place, expiry)| {
            (part.to_owned(), lot.to_owned(), quantity, place.to_owned(), expiry.map(ToOwned::to_owned))
        }));
        self
    }

    /// It, in memory: nothing of it touches a disk.
    pub fn in_memory(&self) -> Practice {
        self.filled(desk_over(self.founding.in_memory(), self.founding.today()))
    }

    /// Its home, for the program to work in: made once a process, copied for each who asks.
    pub fn place(&self) -> Place {
        Place::copied(&format!("{self:?}"), |place| {
            self.founding.home(&place.home()).expect("a home");
            let desk = open_home(&Home::at(&place.home()), self.founding.today()).expect("it opens");
            self.filled(desk);
        })
    }

    fn filled(&self, desk: Desk) -> Practice {
        let mut practice = Practice { desk, act: 1 };
        practice.import(&self.catalogue).expect("a whole catalogue");
        for (file, text) in &self.cases {
            practice.case(file, text);
        }
        for (part, lot, quantity, place, expiry) in &self.packs {
            practice.receive((part, lot, *quantity, place, expiry.as_deref()));
        }
        practice
    }
}

/// A practice whose record is open: what a test puts beside what was built.
pub struct Practice {
    desk: Desk,
    act: u128,
}

impl Practice {
    pub fn view(&self) -> &View {
        self.desk.view()
    }

    /// Up to which entry it is.
    pub fn entry(&self) -> u64 {
        self.desk.entry()
    }

    fn next_act(&mut self) -> Act {
        self.act += 1;
        spread(self.act)
    }

    /// Imports files of the catalogue form; what was refused, in words.
    pub fn import(&mut self, files: &[(String, String)]) -> Result<(), String> {
        let act = self.next_act();
        parts::import(&mut self.desk, Some(&by()), act, files).map(|_| ()).map_err(|e| e.to_string())
    }

    /// Books a case file.
    pub fn case(&mut self, file: &str, text: &str) {
        self.book(|view| entering::import(view, file, text, false, DAY))
            .unwrap_or_else(|e| panic!("{file}: {e}"));
    }

    /// Books what an act decides.
    pub fn book<E: std::error::Error>(
        &mut self,
        decide: impl FnMut(&View) -> Result<Entry, Refused<E>>,
    ) -> Result<u64, String> {
        let act = self.next_act();
        self.desk.book(Some(&by()), act, decide).map(|b| b.seq).map_err(|e: DeskError<E>| e.to_string())
    }

    /// Puts parts into the catalogue as an edition of before may have had them: no check of today looks at them.
    pub fn old_edition(&mut self, more: impl IntoIterator<Item = Part>) {
        let record = self.desk.record();
        let mut edition = parts::edition(record.view(), record.logbook()).expect("the edition in force");
        let more: Vec<Part> = more.into_iter().collect();
        edition.parts.retain(|old| more.iter().all(|new| new.code != old.code));
        edition.parts.extend(more);
        let edition = sorted(edition);
        let kept = record.logbook().keep(&edition.encode()).expect("kept in memory");
        let parts = u32::try_from(edition.parts.len()).expect("few");
        let from = Note::new("parts of an old edition").expect("a note");
        let entry = CatalogueChanged { edition: kept, parts, added: parts, changed: 0, from };
        self.book::<NotFound>(|_| Ok(Entry::Catalogue(entry.clone()))).expect("booked");
    }

    /// Puts pieces of a part into a drawer.
    pub fn receive(&mut self, (part, lot, quantity, place, expiry): Pack) {
        let ask = Receive {
            part: PartCode::new(part).expect("a code"),
            lot: Lot::new(lot).expect("a lot"),
            quantity,
            place: PlaceId::new(place).expect("a place"),
            new_place: true,
            expiry: expiry.map(|e| Expiry::parse(e).expect("an expiry")),
            label: None,
        };
        self.book(|view| receiving::decide(view, &ask)).unwrap_or_else(|e| panic!("{part} {lot}: {e}"));
    }
}

/// Parts in the order in which an edition keeps them.
fn sorted(edition: Edition) -> Edition {
    let drafted = spareseat::catalog::Draft {
        systems: edition.systems.into_iter().map(|s| (s, String::new(), 0)).collect(),
        interfaces: edition.interfaces.into_iter().map(|i| (i, String::new(), 0)).collect(),
        parts: edition.parts.into_iter().map(|p| (p, String::new(), 0)).collect(),
        mistakes: Vec::new(),
    };
    Edition::from_draft(drafted).expect("nothing was checked")
}
