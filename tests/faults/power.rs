//! The power goes at every step of a scripted day, and whatever was not synced is dropped, kept, torn or zeroed.

use std::collections::HashSet;
use std::path::{Path, PathBuf};

use spareseat::desk::Desk;
use spareseat::logbook::{Append, FileLogbook, LOGBOOK_FILE, LogbookError};
use spareseat::record::{Notice, Record, RecordError, VIEW_FOLDER, ViewPlace};

use super::disk::{Fate, Fault, Files, Kind, SimDisk};
use super::world::{self, Ledger, Step, act, today};

/// The day: what is booked, and what the disk does to it.
const DAY: [(Step, Option<Fault>); 10] = [
    (Step::Catalogue, None),
    (Step::Case, None),
    (Step::Receive(6, 0), None),
    (Step::Move(2, 0), None),
    // The sync fails once: taken back, booked again.
    (Step::Use(0), Some(Fault { kind: Some(Kind::Sync), skip: 0, times: 1 })),
    (Step::Use(0), None),
    // The write breaks off in the middle and cannot be taken back: the next booking sets it aside.
    (Step::Use(1), Some(Fault { kind: None, skip: 0, times: 2 })),
    (Step::Receive(3, 1), None),
    (Step::Use(1), None),
    (Step::Move(1, 1), None),
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

fn play(folder: &Path) -> (SimDisk, usize, Vec<Asked>) {
    let (disk, home) = (SimDisk::default(), folder.join("home"));
    std::fs::create_dir(&home).expect("a folder");
    let made = FileLogbook::new(disk.clone()).found(world::id(), &world::founding());
    assert!(matches!(made, Ok(Append::Appended(..))), "{made:?}");
    let founded = disk.steps();
    let mut day = Vec::new();
    for (n, (step, fault)) in (1..).zip(DAY) {
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
        day.push(Asked { step, n, from, acknowledged });
    }
    (disk, founded, day)
}

/// Opens what is left, checks it, books again what was not acknowledged, and something new.
fn come_back(
    files: &Files,
    view: Option<&Path>,
    ledger: &Ledger,
    open: &[(Step, u32)],
) -> Result<(), String> {
    let home = tempfile::tempdir().expect("a folder");
    if let Some(view) = view {
        world::copy(view, &home.path().join(VIEW_FOLDER));
    }
    let mut desk =
        desk(&SimDisk::holding(files), home.path()).map_err(|e| format!("it does not open: {e}"))?;
    ledger.check_whole(&mut desk)?;
    let mut ledger = ledger.clone();
    // Something new, where there is a catalogue already.
    let next = if ledger.knows(Step::Catalogue) { Step::Receive(1, 0) } else { Step::Catalogue };
    for (step, n) in open.iter().copied().chain([(next, 1000)]) {
        step.book(&mut desk, act(n)).map_err(|e| format!("{step:?} could not be booked afterwards: {e}"))?;
        ledger.acknowledged(step, act(n));
    }
    ledger.check_whole(&mut desk)
}

#[test]
fn the_power_goes_at_every_step_of_a_day() {
    let folder = tempfile::tempdir().expect("a folder");
    let (disk, founded, day) = play(folder.path());
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
