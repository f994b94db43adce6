//! The real thing: a desk over a record, in memory or on a disk, that can be closed, opened and folded anew.

use std::io::Read;
use std::sync::Arc;

use jiff::{Timestamp, ToSpan as _};
use spareseat::amend::countering;
use spareseat::case::{Event, Happening, Sure, TorqueRecord};
use spareseat::cases::entering;
use spareseat::catalog::{EditionId, Lean, Position};
use spareseat::desk::{Desk, DeskError, Home, Refused, Today, open_home, open_home_after};
use spareseat::fitting::using;
use spareseat::logbook::{
    Append, Draft, EachLine, Head, Logbook, LogbookError, LogbookId, MemoryLogbook, Tail,
};
use spareseat::maintenance::parts;
use spareseat::record::{Became, Booked, Entry, Notice, Record, View, ViewPlace};
use spareseat::shelf::{moving, receiving};
use spareseat::units::{Act as ActId, CaseNumber, Expiry, Lot, Note, PartCode, PlaceId, Tooth};
use tempfile::TempDir;

use super::acts::{Act, Asked, ImportAct, ReceiveAct};
use super::plain::Plain;
use crate::practice::{Founding, by};
use crate::support::folder;

/// The tiny catalogue; the torque of one part is filled in anew at each import.
const CATALOGUE: &str = include_str!("../museum/catalogue.toml");

/// The same, with one abutment that may be used again.
fn catalogue() -> String {
    let code = "code = \"heron-mua-17\"";
    assert!(CATALOGUE.contains(code));
    CATALOGUE.replace(code, &format!("{code}\nuse = \"reusable\""))
}

#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Backend {
    Memory,
    Disk,
}

/// A logbook that outlives the record over it.
#[derive(Clone)]
struct Shared(Arc<MemoryLogbook>);

impl Logbook for Shared {
    fn identity(&self) -> Result<LogbookId, LogbookError> {
        self.0.identity()
    }
    fn has_grown(&self, head: &Head) -> Result<bool, LogbookError> {
        self.0.has_grown(head)
    }
    fn read(&self, after: &Head, each: &mut EachLine<'_>) -> Result<Tail, LogbookError> {
        self.0.read(after, each)
    }
    fn append(&self, after: &Head, draft: &Draft) -> Result<Append, LogbookError> {
        self.0.append(after, draft)
    }
    fn keep(&self, content: &[u8]) -> Result<EditionId, LogbookError> {
        self.0.keep(content)
    }
    fn fetch(&self, edition: &EditionId) -> Result<Box<dyn Read + '_>, LogbookError> {
        self.0.fetch(edition)
    }
}

enum Kept {
    Memory(Shared),
    Disk(TempDir),
}

/// Record, desk and the clock.
pub struct Bench {
    kept: Kept,
    desk: Option<Desk>,
    now: Timestamp,
}

impl Bench {
    /// A founded record with the tiny catalogue in it.
    pub fn new(backend: Backend) -> Self {
        let now: Timestamp = "2026-11-25T08:00:00Z".parse().unwrap();
        let practice = "Model practice (made up)";
        let founding = Founding { practice, at: (now, Plain::default().today), ..Founding::at_noon() };
        let kept = match backend {
            Backend::Memory => Kept::Memory(Shared(Arc::new(founding.in_memory()))),
            Backend::Disk => {
                let folder = folder();
                founding.home(&folder.path().join("home")).unwrap();
                Kept::Disk(folder)
            }
        };
        let mut bench = Self { kept, desk: None, now };
        bench.reopen(&Plain::default());
        let files = [("catalogue.toml".to_owned(), catalogue())];
        parts::import(bench.desk(), Some(&by()), ActId::from_bits(2), &files).unwrap();
        bench
    }

    pub fn desk(&mut self) -> &mut Desk {
        self.desk.as_mut().expect("it is open")
    }

    /// Closes the record and opens it again, on the model's day.
    pub fn reopen(&mut self, plain: &Plain) {
        self.desk = None; // before the next one asks for the view's lock
        self.now += 1.minute();
        let today = Today { now: self.now, date: plain.today, said: true };
        let mut desk = match &self.kept {
            Kept::Memory(logbook) => {
                Desk::new(Record::open(Box::new(logbook.clone()), ViewPlace::Memory).unwrap(), today)
            }
            Kept::Disk(folder) => open_home(&Home::at(&folder.path().join("home")), today).unwrap(),
        };
        let mut said = desk.notices();
        // Tests beside this one start programs; between fork and exec such a child holds a copy of our lock, on a busy
        // machine for longer than a look-up waits. The answer then comes from memory and must be as right.
        said.retain(|notice| *notice != Notice::ViewBusy);
        assert_eq!(said, [], "nothing is to be said of a whole record");
        self.desk = Some(desk);
    }

    /// Throws the view away and folds it again.
    pub fn rebuild(&mut self) {
        self.desk().record().anew("the model asks for it").unwrap();
        self.desk().notices();
    }

    /// A view folded at once from the logbook, in memory.
    pub fn at_once(&self) -> Record {
        let logbook: Box<dyn Logbook> = match &self.kept {
            Kept::Memory(logbook) => Box::new(logbook.clone()),
            Kept::Disk(folder) => Box::new(Home::at(&folder.path().join("home")).logbook()),
        };
        Record::open(logbook, ViewPlace::Memory).unwrap()
    }

    /// Removes the view on disk; a view in memory is gone whenever the record is closed.
    pub fn forget_view(&mut self) {
        self.desk = None;
        if let Kept::Disk(folder) = &self.kept {
            std::fs::remove_dir_all(folder.path().join("home").join(spareseat::record::VIEW_FOLDER)).unwrap();
        }
    }

    pub fn book<E: ToString>(
        &mut self,
        id: u128,
        decide: impl FnMut(&View) -> Result<Entry, Refused<E>>,
    ) -> Asked {
        asked(self.desk().book(Some(&by()), ActId::from_bits(id), decide))
    }

    /// Asks for the act.
    pub fn ask(&mut self, act: &Act, id: u128, plain: &Plain) -> Asked {
        let today = plain.today;
        match act {
            Act::Receive(a) => {
                let ask = received(a);
                self.book(id, |view| receiving::decide(view, &ask))
            }
            Act::Deliver(lines) => {
                let lines: Vec<_> = lines.iter().map(received).collect();
                self.book(id, |view| receiving::decide_all(view, &lines))
            }
            Act::Move(a) => {
                let ask = moving::Move {
                    part: PartCode::new(a.part).unwrap(),
                    lot: Lot::new(a.lot).unwrap(),
                    quantity: a.quantity,
                    from: a.from.map(|p| PlaceId::new(p).unwrap()),
                    to: PlaceId::new(a.to).unwrap(),
                    new_place: a.new_place,
                };
                self.book(id, |view| moving::decide(view, &ask))
            }
            Act::Use(a) => {
                let ask = using::Use {
                    case: CaseNumber::new(a.case).unwrap(),
                    site: a.site.to_string(),
                    position: Position::from_slug(a.position).unwrap(),
                    part: PartCode::new(a.part).unwrap(),
                    lot: Lot::new(a.lot).unwrap(),
                    place: a.place.map(|p| PlaceId::new(p).unwrap()),
                    torque: TorqueRecord::NotMeasured,
                    lean: a.lean.then_some(Lean::NAMED[0].0),
                    label: None,
                    found: a.found,
                    expired_because: a.expired.then(|| Note::new("nothing else in the house").unwrap()),
                    held_because: a.held.then(|| Note::new("he is in the chair").unwrap()),
                    became: if a.kept { Became::Kept } else { Became::Discarded },
                };
                self.book(id, |view| using::decide(view, &ask, today))
            }
            Act::Import(a) => {
                let text = case_file(a);
                self.book(id, |view| entering::import(view, "case.toml", &text, a.replace, today))
            }
            Act::Fit { case, site, position, part, ahead } => {
                let fitted = entering::FittedWithout {
                    position: Position::from_slug(position).unwrap(),
                    lot: None,
                    label: None,
                    on: Some(if *ahead { today.tomorrow().unwrap() } else { today }),
                    torque: TorqueRecord::NotRecorded,
                    lean: None,
                    driver: None,
                    sure: Sure::Guess,
                };
                let (case, site) = (CaseNumber::new(case).unwrap(), Tooth::from_iso(*site).unwrap());
                let ask = entering::Enter { case, site, part: PartCode::new(part).unwrap(), fitted };
                self.book(id, |view| entering::enter(view, &ask, today))
            }
            Act::Counter { entry, mouth } => self.counter(id, *entry, *mouth, plain),
            Act::Visit(a) => self.visit(id, a, plain),
            Act::Hold(a) => self.hold(id, a, plain),
            Act::Apart(a) => self.apart(id, a),
            Act::Count(a) => self.count(id, a, plain),
            Act::Note { case, site, ahead } => self.note(id, case, *site, *ahead, plain),
            Act::Verify { fitted, candidate } => {
                let (fitted, candidate) = (PartCode::new(fitted).unwrap(), PartCode::new(candidate).unwrap());
                let how = Note::new("on the analog").unwrap();
                self.book(id, |view| parts::verify(view, &fitted, &candidate, 3, &how, &by(), today))
            }
            Act::Catalogue { torque, wrong } => {
                let text = catalogue().replace("torque = 30", &format!("torque = {torque}"));
                let text = if *wrong { text.replace("collar = 3.0", "colar = 3.0") } else { text };
                let files = [("catalogue.toml".to_owned(), text)];
                asked(
                    parts::import(self.desk(), Some(&by()), ActId::from_bits(id), &files)
                        .map(|done| done.booked),
                )
            }
        }
    }

    fn counter(&mut self, id: u128, entry: u64, was_in_mouth: bool, plain: &Plain) -> Asked {
        let today = Today { now: self.now, date: plain.today, said: true };
        let kept = &self.kept;
        let earlier = |until| match kept {
            Kept::Memory(logbook) => {
                Ok(Desk::as_of(Record::open_as_of(Box::new(logbook.clone()), until).unwrap(), today))
            }
            Kept::Disk(folder) => open_home_after(&Home::at(&folder.path().join("home")), today, until),
        };
        let ask = countering::Counter { entry, because: None, was_in_mouth };
        let desk = self.desk.as_mut().expect("it is open");
        let done = countering::counter(desk, Some(&by()), ActId::from_bits(id), &ask, earlier);
        asked(done.map(|(booked, _)| booked))
    }

    fn note(&mut self, id: u128, case: &str, site: Option<u8>, ahead: bool, plain: &Plain) -> Asked {
        let on = if ahead { plain.today.tomorrow().unwrap() } else { plain.today };
        let event =
            Event { on, tooth: None, position: None, what: Happening::Checked, kept: None, note: None };
        let (case, site) = (CaseNumber::new(case).unwrap(), site.map(|s| s.to_string()));
        self.book(id, |view| entering::happened(view, &case, site.as_deref(), event.clone(), plain.today))
    }
}

fn asked<E: ToString>(outcome: Result<Booked, DeskError<E>>) -> Asked {
    match outcome {
        Ok(booked) => Asked::Booked { entry: booked.seq, before: booked.before },
        Err(DeskError::Refused(why)) => Asked::Refused(why.to_string()),
        Err(_) => panic!("the record itself refused"),
    }
}

fn received(a: &ReceiveAct) -> receiving::Receive {
    receiving::Receive {
        part: PartCode::new(a.part).unwrap(),
        lot: Lot::new(a.lot).unwrap(),
        quantity: a.quantity,
        place: PlaceId::new(a.place).unwrap(),
        new_place: a.new_place,
        expiry: a.expiry.map(|e| Expiry::parse(e).unwrap()),
        label: None,
    }
}

/// The act as a person would have written it.
fn case_file(a: &ImportAct) -> String {
    let numbering = if a.wrong { "" } else { "numbering = \"iso-3950\"\n" };
    let mut text = format!(
        "form = 1\ncase = \"{}\"\n{numbering}[[event]]\non = \"2026-01-01\"\nwhat = \"checked\"\n",
        a.case
    );
    if !a.bridge.is_empty() {
        text.push_str(&format!(
            "[[restoration]]\nsites = {:?}\nretention = \"screwed to abutments\"\n",
            a.bridge
        ));
    }
    for site in &a.sites {
        text.push_str(&format!("[[site]]\ntooth = {site}\n"));
        for (position, part, lot) in &a.fitted {
            let lot = lot.map_or(String::new(), |l| format!("lot = \"{l}\"\n"));
            text.push_str(&format!(
                "[[site.fitted]]\nposition = \"{position}\"\npart = \"{part}\"\nsure = \"label\"\n{lot}"
            ));
        }
    }
    text
}
