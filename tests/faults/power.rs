//! The power goes at every step of a scripted day, and whatever was not synced is dropped, kept, torn or zeroed.

use std::collections::HashSet;
use std::path::{Path, PathBuf};

use spareseat::desk::Desk;
use spareseat::logbook::{Append, FileLogbook, LOGBOOK_FILE, LogbookError};
use spareseat::record::{Notice, Record, RecordError, VIEW_FOLDER, ViewPlace};

use super::acts::ACTS;
use super::disk::{Fate, Fault, Files, Kind, SimDisk};
use super::recording::Recording;
use super::stocking::Stocking;
use super::visits::{BRIDGE, Visiting};
use super::world::{self, CASE, Ledger, Step, act, today};

/// What happens that day: what is booked, and what the disk does to it.
type Day = &'static [(Step, Option<Fault>)];

/// The sync fails once: taken back, booked again.
const ONE_SYNC: Option<Fault> = Some(Fault { kind: Some(Kind::Sync), skip: 0, times: 1 });
/// The write breaks off in the middle and cannot be taken back: the next booking sets it aside.
const BROKEN_OFF: Option<Fault> = Some(Fault { kind: None, skip: 0, times: 2 });

/// Deliveries, moves and uses, on a disk that fails now and then.
const FAILING: Day = &[
    (Step::Catalogue, None),
    (Step::Case, None),
    (Step::Receive(6, 0), None),
    (Step::Move(2, 0), None),
    (Step::Use(0), ONE_SYNC),
    (Step::Use(0), None),
    (Step::Use(1), BROKEN_OFF),
    (Step::Receive(3, 1), None),
    (Step::Use(1), None),
    (Step::Move(1, 1), None),
];

/// What happens to stock beside that. What fails makes no entry: 6 is the hold, 18 the use of what is held, 20 the need.
const STOCK: Day = &[
    (Step::Catalogue, None),
    (Step::Case, None),
    (Step::Receive(6, 0), None),
    (Step::Stock(Stocking::Deliver(1)), None),
    (Step::Stock(Stocking::Hold(2, CASE)), None),
    (Step::Stock(Stocking::Release(6)), ONE_SYNC),
    (Step::Stock(Stocking::Release(6)), None),
    (Step::Stock(Stocking::Discard), None),
    (Step::Stock(Stocking::Quarantine), None),
    (Step::Stock(Stocking::Lift), BROKEN_OFF),
    (Step::Stock(Stocking::Lift), None),
    (Step::Stock(Stocking::Count), None),
    (Step::Stock(Stocking::Return), None),
    (Step::Use(0), None),
    (Step::Stock(Stocking::GiveBack), None),
    (Step::Stock(Stocking::Reprocess), None),
    (Step::Visit(Visiting::Case), None),
    (Step::Stock(Stocking::Hold(3, BRIDGE)), None),
    (Step::Stock(Stocking::UseHeld), None),
    (Step::Counter(18), None),
    (Step::Stock(Stocking::Need), None),
    (Step::Stock(Stocking::NeedOff(20)), None),
    (Step::Stock(Stocking::WithdrawDelivered(1)), ONE_SYNC),
    (Step::Stock(Stocking::WithdrawDelivered(1)), None),
    (Step::Stock(Stocking::Withdraw), None),
];

/// What happens in cases, and what else is entered.
const RECORD: Day = &[
    (Step::Catalogue, None),
    (Step::Case, None),
    (Step::Receive(6, 0), None),
    (Step::Visit(Visiting::Case), None),
    (Step::Record(Recording::Answer), None),
    (Step::Visit(Visiting::Open), None),
    (Step::Visit(Visiting::Tray), ONE_SYNC),
    (Step::Visit(Visiting::Tray), None),
    (Step::Visit(Visiting::End), None),
    (Step::Record(Recording::Close(true)), None),
    (Step::Record(Recording::Close(false)), None),
    (Step::Record(Recording::Fit), None),
    (Step::Record(Recording::Note), None),
    (Step::Record(Recording::Verify), BROKEN_OFF),
    (Step::Record(Recording::Verify), None),
    (Step::Record(Recording::Check), None),
    (Step::Record(Recording::Bands(0)), None),
    (Step::Record(Recording::BridgeEnd), None),
    (Step::Record(Recording::Bridge), None),
    (Step::Measure, None),
    (Step::Take(false), None),
    (Step::Take(true), None),
    (Step::Correct, None),
];

/// Something that was asked for: from when on it may stand, when it was acknowledged, and the view left by it.
struct Asked {
    step: Step,
    n: u32,
    from: usize,
    acknowledged: Option<(usize, PathBuf)>,
}

/// Opens the desk of a process of its own; with what it has to say.
pub fn open(disk: &SimDisk, home: &Path) -> Result<(Desk, Vec<Notice>), RecordError> {
    world::patiently(|| {
        let place = ViewPlace::Home(home.to_owned());
        Ok(Desk::new(Record::open(Box::new(FileLogbook::new(disk.clone())), place)?, today()))
    })
}

/// Opens the desk of a process of its own.
pub fn desk(disk: &SimDisk, home: &Path) -> Result<Desk, RecordError> {
    open(disk, home).map(|(desk, _)| desk)
}

fn play(folder: &Path, day: Day) -> (SimDisk, usize, Vec<Asked>) {
    let (disk, home) = (SimDisk::default(), folder.join("home"));
    std::fs::create_dir(&home).expect("a folder");
    let made = FileLogbook::new(disk.clone()).found(world::id(), &world::founding());
    assert!(matches!(made, Ok(Append::Appended(..))), "{made:?}");
    let founded = disk.steps();
    let mut asked = Vec::new();
    for (n, (step, fault)) in (1..).zip(day.iter().copied()) {
        let from = disk.steps();
        let mut desk = desk(&disk, &home).expect("it opens");
        disk.fail(fault);
        let booked = step.book(&mut desk, act(n));
        disk.fail(None);
        drop(desk);
        assert_eq!(booked.is_err(), fault.is_some(), "{step:?}: {booked:?}");
        let acknowledged = booked.is_ok().then(|| {
            let view = folder.join(format!("view-after-{n}"));
            world::copy(&home.join(VIEW_FOLDER), &view);
            (disk.steps(), view)
        });
        asked.push(Asked { step, n, from, acknowledged });
    }
    (disk, founded, asked)
}

/// Opens what is left, checks it, books again what was not acknowledged, and something new.
fn come_back(
    files: &Files,
    view: Option<&Path>,
    ledger: &Ledger,
    open: &[(Step, u32)],
) -> Result<(), String> {
    let home = world::folder();
    if let Some(view) = view {
        world::copy(view, &home.path().join(VIEW_FOLDER));
    }
    let mut desk =
        desk(&SimDisk::holding(files), home.path()).map_err(|e| format!("it does not open: {e}"))?;
    ledger.check_whole(&mut desk)?;
    let mut ledger = ledger.clone();
    // Something new, where there is a catalogue already.
    let next = match (ledger.knows(Step::Case), ledger.knows(Step::Catalogue)) {
        (true, _) => Step::Record(Recording::Note),
        (false, true) => Step::Receive(1, 0),
        (false, false) => Step::Catalogue,
    };
    for (step, n) in open.iter().copied().chain([(next, 1000)]) {
        step.book(&mut desk, act(n)).map_err(|e| format!("{step:?} could not be booked afterwards: {e}"))?;
        ledger.acknowledged(step, act(n));
    }
    ledger.check_whole(&mut desk)
}

fn the_power_goes_at_every_step_of(day: Day) {
    let folder = world::folder();
    let (disk, founded, day) = play(folder.path(), day);
    let (mut tried, mut states) = (0, HashSet::new());
    for cut in 0..=disk.steps() {
        let mut ledger = Ledger::default();
        let mut views: Vec<&Path> = Vec::new();
        let mut open = Vec::new();
        for asked in day.iter().filter(|a| a.from < cut) {
            match &asked.acknowledged {
                Some((at, view)) if *at <= cut => {
                    ledger.acknowledged(asked.step, act(asked.n));
                    views.push(view);
                    // What failed before it was booked again as another act, or given up.
                    open.clear();
                }
                _ => {
                    ledger.tried(asked.step, act(asked.n));
                    open = vec![(asked.step, asked.n)];
                }
            }
        }
        for fate in Fate::all(12) {
            let files = disk.after_power_cut(cut, fate);
            if !states.insert((files.clone(), views.len(), open.clone().pop().map(|o| o.1))) {
                continue;
            }
            let said = format!("power cut after step {cut} of {}, unsynced: {fate:?}", disk.steps());
            if !files.contains_key(LOGBOOK_FILE) {
                assert!(cut < founded, "{said}: the whole logbook is gone");
                let opened = desk(&SimDisk::holding(&files), folder.path());
                assert!(matches!(opened.err(), Some(RecordError::Logbook(LogbookError::Missing))), "{said}");
                let again = FileLogbook::new(SimDisk::holding(&files)).found(world::id(), &world::founding());
                assert!(matches!(again, Ok(Append::Appended(..))), "{said}: {again:?}");
                continue;
            }
            // Gone, as before the last acknowledged booking, as after it.
            for view in [None, views.iter().rev().nth(1), views.last()] {
                tried += 1;
                come_back(&files, view.copied(), &ledger, &open)
                    .unwrap_or_else(|e| panic!("{said}, view {:?}: {e}", view.map(|v| v.file_name())));
            }
        }
    }
    // The day has this many states that differ; fewer would mean that the disk model lost its teeth.
    assert!(tried > 300, "only {tried} states");
}

#[test]
fn the_power_goes_at_every_step_of_a_day_on_a_failing_disk() {
    the_power_goes_at_every_step_of(FAILING);
}

#[test]
fn the_power_goes_at_every_step_of_a_day_of_stock() {
    the_power_goes_at_every_step_of(STOCK);
}

#[test]
fn the_power_goes_at_every_step_of_a_day_of_the_record() {
    the_power_goes_at_every_step_of(RECORD);
}

/// A day that forgets an act is no day of every act.
#[test]
fn the_days_have_every_act_of_the_table() {
    let days: Vec<_> = [FAILING, STOCK, RECORD].concat().into_iter().map(|(step, _)| step.sort()).collect();
    for known in ACTS {
        assert!(days.contains(&known.step.sort()), "{} is booked on no day: {:?}", known.name, known.step);
    }
}
