//! What one booking costs beside the bare append and sync of as many bytes on the same disk, act by act, pair by pair.
//!
//! One desk of the made-up practice, its view on disk, as in a program that stays open; the acts are booked one after the
//! other, round by round, so that each finds what the one before it left. What a round needs beside them is booked
//! without being timed. The own cost of an act is, pair by pair, what its booking takes longer than its peer.

use std::fs::{self, File};
use std::os::unix::fs::FileExt as _;
use std::path::{Path, PathBuf};
use std::time::Instant;

use spareseat::amend::countering::{self, Counter};
use spareseat::case::{Broken, Left, Sure, TorqueRecord};
use spareseat::cases::entering::{self, Enter, FittedWithout};
use spareseat::catalog::{Position, shipped};
use spareseat::chair::visit::VisitQuestion;
use spareseat::demo;
use spareseat::desk::{Desk, Home, Refused, Today, open_home, open_home_after};
use spareseat::fitting::laying::{self, Told};
use spareseat::fitting::using::{self, Use};
use spareseat::fitting::visiting;
use spareseat::maintenance::parts;
use spareseat::record::{Became, Entry, Needed, Outcome, View};
use spareseat::shelf::apart::{self, Source, Units};
use spareseat::shelf::counting::{self, Count, Found};
use spareseat::shelf::holding::{self, SetItAside};
use spareseat::shelf::moving::{self, Move};
use spareseat::shelf::planning;
use spareseat::shelf::receiving::{self, Receive};
use spareseat::shelf::returning::{self, Return, To};
use spareseat::tracing::withdrawing;
use spareseat::units::{Act, CaseNumber, Initials, Lot, Note, PartCode, PlaceId, Tooth};

/// How many rounds.
const ROUNDS: usize = 200;
/// What the own cost of one booking may be in the median, ms.
const TARGET_MS: f64 = 0.1;
const CASE: &str = "1047";
const OTHER_CASE: &str = "2210";
const SCREW: &str = "plover-prosthetic-screw-1.4";
const LOT: &str = "PS-1120";
/// A lot that is set aside whole.
const HELD: &str = "PS-HELD";
/// A lot that its maker calls back.
const CALLED_BACK: &str = "PS-BACK";
/// A part that may be used again, and its lot.
const CAP: (&str, &str) = ("plover-healing-cap-4.8", "HC-0450");
const DRAWERS: [&str; 2] = ["cabinet-2-drawer-1", "cabinet-2-drawer-2"];

/// The bookings of one act: what each took, and what its peer took, s.
struct Timed {
    what: &'static str,
    pairs: Vec<(f64, f64)>,
}

struct Bench {
    desk: Desk,
    home: Home,
    today: Today,
    logbook: PathBuf,
    bare: File,
    written: u64,
    acts: u128,
    timed: Vec<Timed>,
}

fn case(number: &str) -> CaseNumber {
    CaseNumber::new(number).expect("a case number")
}

fn part(code: &str) -> PartCode {
    PartCode::new(code).expect("a code")
}

fn lot(name: &str) -> Lot {
    Lot::new(name).expect("a lot")
}

fn place(drawer: usize) -> PlaceId {
    PlaceId::new(DRAWERS[drawer]).expect("a place")
}

fn because() -> Note {
    Note::new("as measured").expect("a note")
}

fn by() -> Initials {
    Initials::new("AB").expect("initials")
}

fn units(quantity: u32) -> Units {
    Units { part: part(SCREW), lot: lot(LOT), quantity }
}

fn received(name: &str, quantity: u32) -> Receive {
    let (part, lot, place) = (part(SCREW), lot(name), place(0));
    Receive { part, lot, quantity, place, new_place: true, expiry: None, label: None }
}

fn used(name: &str, held: bool) -> Use {
    Use {
        case: case(CASE),
        site: "25".to_owned(),
        position: Position::ProstheticScrew,
        part: part(SCREW),
        lot: lot(name),
        place: Some(place(0)),
        torque: TorqueRecord::NotMeasured,
        lean: None,
        label: None,
        found: false,
        expired_because: None,
        held_because: held.then(because),
        became: Became::Discarded,
    }
}

impl Bench {
    fn new(folder: &Path) -> Self {
        let date = jiff::civil::date(2026, 11, 25);
        let today = Today { now: demo::noon(date).expect("a time"), date, said: true };
        let home = Home::at(&folder.join("booking"));
        let mut acts = 0;
        drop(demo::lay_down(&home, today, || Ok(fresh(&mut acts))).expect("a made-up practice"));
        let mut desk = open_home(&home, today).expect("it opens");
        parts::import(&mut desk, Some(&by()), fresh(&mut acts), &catalogue()).expect("a catalogue");
        let bare = File::create(home.root().join("bare")).expect("a file");
        let logbook = home.root().join("logbook.jsonl");
        let mut bench = Self { desk, home, today, logbook, bare, written: 0, acts, timed: Vec::new() };
        bench.quietly(|view| receiving::decide(view, &received(CALLED_BACK, 3)));
        bench
    }

    fn len(&self) -> u64 {
        fs::metadata(&self.logbook).expect("a logbook").len()
    }

    /// Books without being timed; gives the entry.
    fn quietly<E: std::fmt::Debug>(&mut self, decide: impl FnMut(&View) -> Result<Entry, Refused<E>>) -> u64 {
        let act = fresh(&mut self.acts);
        self.desk.book(Some(&by()), act, decide).expect("booked").seq
    }

    /// Books, and writes and syncs as many bytes beside it; gives the entry.
    fn timed<E: std::fmt::Debug>(
        &mut self,
        what: &'static str,
        decide: impl FnMut(&View) -> Result<Entry, Refused<E>>,
    ) -> u64 {
        self.pair(what, |bench| bench.quietly(decide))
    }

    fn pair(&mut self, what: &'static str, book: impl FnOnce(&mut Self) -> u64) -> u64 {
        let before = self.len();
        let begun = Instant::now();
        let entry = book(self);
        let whole = begun.elapsed().as_secs_f64();
        let line = vec![b'x'; (self.len() - before) as usize];
        let begun = Instant::now();
        self.bare.write_all_at(&line, self.written).and_then(|()| self.bare.sync_data()).expect("written");
        let plain = begun.elapsed().as_secs_f64();
        self.written += line.len() as u64;
        match self.timed.iter_mut().find(|t| t.what == what) {
            Some(timed) => timed.pairs.push((whole, plain)),
            None => self.timed.push(Timed { what, pairs: vec![(whole, plain)] }),
        }
        entry
    }

    /// What comes in, is moved, counted, set aside and used.
    fn drawers(&mut self) {
        let date = self.today.date;
        self.timed("receive", |view| receiving::decide(view, &received(LOT, 8)));
        let lines: Vec<Receive> = (0..14).map(|n| received(&format!("PS-2{n:03}"), 1)).collect();
        self.timed("receive of 14 lines", |view| receiving::decide_all(view, &lines));
        let (part_of, lot_of) = (part(SCREW), lot(LOT));
        for (from, to) in [(0, 1), (1, 0)] {
            let ask = Move {
                part: part_of.clone(),
                lot: lot_of.clone(),
                quantity: 1,
                from: Some(place(from)),
                to: place(to),
                new_place: true,
            };
            self.timed("move", |view| moving::decide(view, &ask));
        }
        let used_one = used(LOT, false);
        let entry = self.timed("use", |view| using::decide(view, &used_one, date));
        self.counter(Some("counter of that use"), entry);
        self.quietly(|view| using::decide(view, &used_one, date));
        self.quietly(|view| receiving::decide(view, &received(HELD, 1)));
        let aside = SetItAside {
            case: case(OTHER_CASE),
            part: part(SCREW),
            lot: Some(lot(HELD)),
            quantity: 1,
            until: date,
            place: None,
            because: None,
        };
        let hold = self.timed("hold", |view| holding::set_aside(view, &aside, date));
        self.timed("use of what is held for another", |view| using::decide(view, &used(HELD, true), date));
        self.timed("release", |view| holding::release(view, &[hold], None));
        let there = self.desk.view().stock_of(&part(SCREW)).expect("a view").into_iter();
        let there = there.filter(|l| l.lot == lot(LOT) && l.place.house() == Some(&place(0)));
        let counted = there.map(|l| l.quantity as u32).sum();
        let found = vec![Found { part: part(SCREW), lot: Some(lot(LOT)), counted }];
        let count = Count { place: place(0), found, all: false };
        self.timed("count", |view| counting::decide(view, &count, &because()));
        let (case, part) = (case(CASE), part(SCREW));
        let needed = Needed { case: case.clone(), on: date, part, quantity: 1, because: None };
        let need = self.timed("need", |view| planning::plan(view, &needed, date));
        self.timed("need called off", |view| planning::call_off(view, &case, need, None));
    }

    /// What leaves the drawers otherwise, and what comes back.
    fn apart(&mut self) {
        let (drawer, why) = (Source::Drawer(Some(place(0))), because());
        self.timed("discard", |view| apart::discard(view, &units(1), &drawer, &why));
        self.timed("quarantine", |view| {
            apart::quarantine(view, &part(SCREW), &lot(LOT), Some(1), Some(&place(0)), &why)
        });
        self.timed("quarantine lifted", |view| apart::lift(view, &units(1), &place(0), false, &why));
        let back = Return {
            case: case(CASE),
            site: "25".to_owned(),
            position: Position::ProstheticScrew,
            to: To::Gone(Became::Discarded),
            because: because(),
        };
        self.timed("return", |view| returning::decide(view, &back));
        // A cap that stood in a patient, so that there is one to be reprocessed.
        self.cap();
        let position = Position::HealingCap;
        let back = Return { position, to: To::Reprocess, ..back };
        self.timed("return to be reprocessed", |view| returning::decide(view, &back));
        let cap = Units { part: part(CAP.0), lot: lot(CAP.1), quantity: 1 };
        self.timed("reprocess", |view| apart::reprocess(view, &cap, &place(0), false));
        let (called_back, screw) = (lot(CALLED_BACK), part(SCREW));
        let entry =
            self.timed("withdraw", |view| withdrawing::decide(view, &called_back, Some(&screw), None));
        // Taken back, so that it can be called back again and no lot more lies there each round.
        self.counter(None, entry);
    }

    /// A visit: opened, its tray booked, ended.
    fn visit(&mut self) {
        let (number, date) = (case(CASE), self.today.date);
        let (site, broken, left) = (Some("25".to_owned()), Some(Broken::Loose), Some(Left::Nothing));
        let ask = VisitQuestion { case: number.clone(), site, broken, left };
        self.timed("visit opened", |view| visiting::begin(view, &ask, None, date));
        let told = Told { torque: Some(TorqueRecord::NotMeasured), ..Told::default() };
        self.timed("tray of that visit", |view| laying::decide(view, &number, &told, date));
        self.timed("visit ended", |view| visiting::end(view, &number, Outcome::BackIn, None));
    }

    /// A cap that may be used again stands in the patient.
    fn cap(&mut self) {
        let fitted = FittedWithout {
            position: Position::HealingCap,
            lot: Some(lot(CAP.1)),
            label: None,
            on: None,
            torque: TorqueRecord::NotRecorded,
            lean: None,
            driver: None,
            sure: Sure::Label,
        };
        let (date, site) = (self.today.date, Tooth::from_iso(25).expect("a tooth"));
        let ask = Enter { case: case(CASE), site, part: part(CAP.0), fitted };
        self.quietly(|view| entering::enter(view, &ask, date));
    }

    /// Takes an entry back; timed if it has a name.
    fn counter(&mut self, what: Option<&'static str>, entry: u64) {
        let (home, today) = (self.home.clone(), self.today);
        let ask = Counter { entry, because: None, was_in_mouth: false };
        let book = |bench: &mut Self| {
            let act = fresh(&mut bench.acts);
            let earlier = |until| open_home_after(&home, today, until);
            let done = countering::counter(&mut bench.desk, Some(&by()), act, &ask, earlier);
            done.expect("taken back").0.seq
        };
        match what {
            Some(what) => self.pair(what, book),
            None => book(self),
        };
    }

    /// A row an act, in the order in which they were first booked.
    fn print(&self) {
        println!(
            "\n| booking, view on disk | own cost, median | p90 | a booking, median | the bare append and sync, median | all bookings to all bare ones | target {TARGET_MS} ms |\n|---|---|---|---|---|---|---|"
        );
        for Timed { what, pairs } in &self.timed {
            let sorted = |of: fn(&(f64, f64)) -> f64| {
                let mut all: Vec<f64> = pairs.iter().map(of).collect();
                all.sort_by(f64::total_cmp);
                move |tenths: usize| 1e3 * all[(all.len() * tenths / 10).min(all.len() - 1)]
            };
            let (own, whole, bare) = (sorted(|p| p.0 - p.1), sorted(|p| p.0), sorted(|p| p.1));
            let all: f64 = pairs.iter().map(|p| p.0).sum();
            let peers: f64 = pairs.iter().map(|p| p.1).sum();
            let met = if own(5) <= TARGET_MS { "met" } else { "missed" };
            println!(
                "| {what} | {:.3} ms | {:.3} ms | {:.3} ms | {:.3} ms | {:.2} | {met} |",
                own(5),
                own(9),
                whole(5),
                bare(5),
                all / peers
            );
        }
        println!("{ROUNDS} rounds; the logbook has {} entries at the end", self.desk.entry());
    }
}

fn fresh(acts: &mut u128) -> Act {
    *acts += 1;
    Act::from_bits(acts.wrapping_mul(0x9e37_79b9_7f4a_7c15_f39c_c060_5ced_c835))
}

/// The shipped catalogue with a cap that may be used again: of its own parts none that does stands in a patient.
fn catalogue() -> Vec<(String, String)> {
    let code = format!("code = \"{}\"", CAP.0);
    let files = shipped();
    let (file, text) = files.iter().find(|(_, t)| t.contains(&code)).expect("the cap's file");
    let (before, after) = text.split_once(&code).expect("the cap");
    let reusable = after.replacen("use = \"single\"", "use = \"reusable\"", 1);
    vec![((*file).to_owned(), format!("{before}{code}{reusable}"))]
}

/// Books every act so many times, and prints what each cost.
pub fn every_act(folder: &Path) {
    let mut bench = Bench::new(folder);
    for _ in 0..ROUNDS {
        bench.drawers();
        bench.visit();
        bench.apart();
    }
    bench.print();
}
