//! A practice in memory: the demo's catalogue and cases, and whatever parts and stock a test puts beside them.

use jiff::civil::{Date, date};
use spareseat::cases::entering;
use spareseat::catalog::{Edition, Part, shipped};
use spareseat::demo;
use spareseat::desk::lookup::NotFound;
use spareseat::desk::{Desk, DeskError, Failing, Refused, Today};
use spareseat::logbook::{Append, Draft, Founding, Head, Logbook, LogbookId, MemoryLogbook};
use spareseat::maintenance::parts;
use spareseat::record::{CatalogueChanged, Entry, Record, View, ViewPlace};
use spareseat::shelf::receiving::{self, Receive};
use spareseat::units::{Act, Initials, Lot, Note, PartCode, PlaceId, PracticeName};

/// The day every test here lives on.
pub const DAY: Date = date(2026, 11, 25);

/// The demo's cases, as the files have them.
pub const CASES: [(&str, &str); 5] = [
    ("1047.toml", include_str!("../../demo/cases/1047.toml")),
    ("2210.toml", include_str!("../../demo/cases/2210.toml")),
    ("3306.toml", include_str!("../../demo/cases/3306.toml")),
    ("4051.toml", include_str!("../../demo/cases/4051.toml")),
    ("6188.toml", include_str!("../../demo/cases/6188.toml")),
];

/// A record in memory with a catalogue; nothing of it touches a disk.
pub struct Practice {
    desk: Desk,
    act: u128,
}

impl Practice {
    /// A founded practice with the shipped catalogue and nothing else.
    pub fn founded() -> Self {
        let (now, id) = (demo::noon(DAY).expect("a day has a noon"), LogbookId::from_bits(0x5EA7));
        let today = Today { now, date: DAY, said: true };
        let logbook = MemoryLogbook::new(id);
        let founding = Entry::Founded(Founding { format: 1, logbook: id, made_up: true });
        let practice = PracticeName::new("Mudflat Practice (made up)").expect("a name");
        let draft =
            Draft { at: now, on: DAY, by: by(), practice, act: Act::from_bits(1), entry: founding.to_raw() };
        assert!(matches!(logbook.append(&Head::start(id), &draft), Ok(Append::Appended(..))));
        let record = Record::open(Box::new(logbook), ViewPlace::Memory).expect("a view in memory");
        let mut practice = Self { desk: Desk::new(record, today), act: 1 };
        let files: Vec<(String, String)> =
            shipped().iter().map(|(f, t)| ((*f).to_owned(), (*t).to_owned())).collect();
        practice.import(&files).expect("the shipped catalogue is whole");
        practice
    }

    /// The same with the demo's cases; no stock.
    pub fn with_cases() -> Self {
        let mut practice = Self::founded();
        for (file, text) in CASES {
            practice.case(file, &demo::lay_dates(text, DAY).expect("dates in braces"));
        }
        practice
    }

    pub fn view(&self) -> &View {
        self.desk.view()
    }

    /// Up to which entry it is.
    pub fn entry(&self) -> u64 {
        self.desk.entry()
    }

    fn next_act(&mut self) -> Act {
        self.act += 1;
        Act::from_bits(self.act)
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
    pub fn book<E: Failing + std::error::Error>(
        &mut self,
        decide: impl FnMut(&View) -> Result<Entry, E>,
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
        self.book(|_| Ok::<_, Refused<NotFound>>(Entry::Catalogue(entry.clone()))).expect("booked");
    }

    /// Puts pieces of a part into a drawer.
    pub fn receive(&mut self, code: &str, lot: &str, quantity: u32, place: &str) {
        let ask = Receive {
            part: PartCode::new(code).expect("a code"),
            lot: Lot::new(lot).expect("a lot"),
            quantity,
            place: PlaceId::new(place).expect("a place"),
            new_place: true,
            expiry: None,
            label: None,
        };
        self.book(|view| receiving::decide(view, &ask)).unwrap_or_else(|e| panic!("{code}: {e}"));
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

fn by() -> Initials {
    Initials::new("AB").expect("initials")
}
