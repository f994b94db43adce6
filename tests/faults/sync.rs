//! A sync that fails once, and for ever, at each append; and a reader beside a writer whose syncs fail.

use std::collections::BTreeSet;
use std::path::Path;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::time::Duration;

use spareseat::desk::Desk;
use spareseat::logbook::{Append, Disk as _, FileLogbook, Head, LOGBOOK_FILE, Logbook as _, draft_line};
use spareseat::record::{Record, ViewPlace};
use spareseat::units::Act;

use super::acts::{ACTS, Known};
use super::disk::{Fate, Fault, Kind, SimDisk};
use super::power::desk;
use super::world::{self, Ledger, READY, Step, act, today};

/// A disk with a founded logbook and these steps booked.
fn disk_after(ready: &[Step], home: &Path) -> (SimDisk, Ledger) {
    let disk = SimDisk::default();
    FileLogbook::new(disk.clone()).found(world::id(), &world::founding()).expect("a logbook");
    let mut desk = desk(&disk, home).expect("it opens");
    for (n, step) in (1..).zip(ready) {
        step.book(&mut desk, act(n)).unwrap_or_else(|e| panic!("{step:?}: {e}"));
    }
    (disk, Ledger::of(ready))
}

/// Fails the disk's steps of that kind (or of all) at every place of every act's booking: `times` of them in a row.
fn fail_at_each_step(kind: Option<Kind>, times: usize) {
    for Known { name, step, before: ready } in ACTS {
        for skip in 0.. {
            let (home, step) = (world::folder(), *step);
            let (disk, mut ledger) = disk_after(ready, home.path());
            let own = act(ready.len() as u32 + 1);
            let said = format!("{name}, after {skip} good steps ({kind:?}) {times} bad ones");
            let mut desk = desk(&disk, home.path()).expect("it opens");
            let before = world::answers(&mut desk);
            disk.fail(Some(Fault { kind, skip, times }));
            ledger.tried(step, own);
            let booked = step.book(&mut desk, own);
            let survived = booked.is_ok();
            let mut uncertain = false;
            match booked {
                Ok(_) => ledger.acknowledged(step, own),
                Err(e) => {
                    uncertain = e.contains("taking it back failed too");
                    // A counter reads the logbook first: what it says then is that it could not.
                    let says =
                        uncertain || e.contains("nothing was booked") || e.starts_with("could not read ");
                    assert!(says && e.contains("the disk failed on purpose"), "{said}: {e}");
                    assert_eq!(
                        world::answers(&mut desk),
                        before,
                        "{said}: look-ups still answer, and as before"
                    );
                }
            }
            // The same desk goes on where the disk lets it; then the disk is mended and it goes on in any case.
            if times == usize::MAX && !survived {
                ledger.tried(step, act(500));
                let again = step.book(&mut desk, act(500));
                assert!(again.is_err(), "{said}: booked on a disk that never syncs");
                assert_eq!(world::answers(&mut desk), before, "{said}: and the look-ups still as before");
            }
            disk.fail(None);
            step.book(&mut desk, own).unwrap_or_else(|e| panic!("{said}, mended, the same act: {e}"));
            ledger.acknowledged(step, own);
            ledger.check_whole(&mut desk).unwrap_or_else(|e| panic!("{said}: {e}"));
            drop(desk);
            // A disk that takes neither a line's sync nor its cut, and then says yes to a later sync of the same bytes,
            // cannot be seen through; where only syncs fail it can.
            let fates = [Fate::Dropped, Fate::Kept, Fate::Zeroed, Fate::Torn(1), Fate::Hole(1)];
            let fates = if uncertain && kind.is_none() { &fates[..0] } else { &fates[..] };
            // Whatever of the failure still lies unsynced on the disk may go with the next power cut.
            for fate in fates.iter().copied() {
                let left = SimDisk::holding(&disk.after_power_cut(disk.steps(), fate));
                let fresh = world::folder();
                for home in [home.path(), fresh.path()] {
                    let mut desk =
                        self::desk(&left, home).unwrap_or_else(|e| panic!("{said}, {fate:?}: {e}"));
                    ledger.check_whole(&mut desk).unwrap_or_else(|e| panic!("{said}, {fate:?}: {e}"));
                }
            }
            if survived {
                assert!(skip > 0, "{said}: nothing failed");
                break;
            }
        }
    }
}

#[test]
fn a_sync_fails_once_at_each_append() {
    fail_at_each_step(Some(Kind::Sync), 1);
}

#[test]
fn a_sync_fails_for_ever_from_each_append() {
    fail_at_each_step(Some(Kind::Sync), usize::MAX);
}

#[test]
fn any_step_of_the_disk_fails_once_twice_and_for_ever() {
    for times in [1, 2, usize::MAX] {
        fail_at_each_step(None, times);
    }
}

/// Reads on as another process would, in memory, and notes every act it ever sees.
fn look(disk: &SimDisk, stop: &AtomicBool, looks: &AtomicUsize) -> BTreeSet<Act> {
    let mut seen = BTreeSet::new();
    let record = Record::open(Box::new(FileLogbook::new(disk.clone())), ViewPlace::Memory).expect("it opens");
    let mut desk = Desk::new(record, today());
    let logbook = FileLogbook::new(disk.clone());
    let mut head = Head::start(world::id());
    while !stop.load(Ordering::Relaxed) {
        seen.extend(world::acts(&mut desk).expect("it reads"));
        desk.record().refresh().expect("it reads on");
        assert!(desk.trouble().is_none(), "what was read once is gone: {:?}", desk.trouble());
        // And below the record, from where it was.
        let read = logbook.read(&head.clone(), &mut |line, at| {
            seen.insert(line.act);
            head = *at;
            std::ops::ControlFlow::Continue(())
        });
        read.expect("what was read once stays");
        looks.fetch_add(1, Ordering::Relaxed);
    }
    seen
}

/// Ends the readers however the writer ends: one that panics must not leave them reading for ever.
struct Stop<'s>(&'s AtomicBool);

impl Drop for Stop<'_> {
    fn drop(&mut self) {
        self.0.store(true, Ordering::Relaxed);
    }
}

#[test]
fn a_reader_never_sees_a_line_whose_sync_failed() {
    let home = world::folder();
    let (disk, mut ledger) = disk_after(&READY, home.path());
    disk.slow_syncs(Duration::from_micros(300));
    let (stop, looks) = (AtomicBool::new(false), AtomicUsize::new(0));
    let mut failed = BTreeSet::new();
    let readers = std::thread::scope(|threads| {
        let readers: Vec<_> = (0..2).map(|_| threads.spawn(|| look(&disk, &stop, &looks))).collect();
        let ends = Stop(&stop);
        // The writer talks to the logbook itself, so that the failing sync is the append's and not a reader's.
        let writer = FileLogbook::new(disk.clone());
        let mut head = Head::start(world::id());
        let to_end = |head: &mut Head| {
            writer.read(&head.clone(), &mut |_, at| {
                *head = *at;
                std::ops::ControlFlow::Continue(())
            })
        };
        to_end(&mut head).expect("it reads");
        for n in (0..).take_while(|n| *n < 200 || (looks.load(Ordering::Relaxed) < 100 && *n < 20_000)) {
            let mut draft = world::founding();
            draft.act = act(10_000 + n);
            draft.entry = world::received(1, 0).to_raw();
            let fails = n % 2 == 0;
            if fails {
                disk.fail_next_append();
            }
            match writer.append(&head, &draft) {
                Ok(Append::Appended(next, _)) => {
                    assert!(!fails, "an append whose sync failed was acknowledged");
                    head = next;
                    ledger.acknowledged(Step::Receive(1, 0), draft.act);
                }
                Ok(Append::Moved) => panic!("nobody else writes"),
                Err(e) => {
                    assert!(fails && e.to_string().ends_with("nothing was booked"), "{e}");
                    failed.insert(draft.act);
                }
            }
        }
        drop(ends);
        readers.into_iter().map(|r| r.join().expect("the reader ends well")).collect::<Vec<_>>()
    });
    assert!(failed.len() >= 100 && looks.into_inner() >= 100, "too little was tried");
    for seen in readers {
        assert!(seen.is_disjoint(&failed), "seen, and never acknowledged: {:?}", seen.intersection(&failed));
    }
    let mut desk = desk(&disk, home.path()).expect("it opens");
    ledger.check_whole(&mut desk).unwrap();
}

/// A reader looks at the length, gives the lock back, and reads; meanwhile a writer sets the unfinished line aside,
/// writes a shorter one there, and its sync fails.
#[test]
fn a_reader_of_an_unfinished_line_never_sees_what_is_written_over_it() {
    let home = world::folder();
    let (disk, ledger) = disk_after(&READY, home.path());
    let files = disk.seen();
    let len = files[LOGBOOK_FILE].len() as u64;
    disk.append(LOGBOOK_FILE, len, &[b'x'; 4000]).expect("an unfinished line");
    let beside = disk.clone();
    disk.after_next_unlock(move || {
        beside.cut(LOGBOOK_FILE, len).expect("cut");
        let writer = FileLogbook::new(beside.clone());
        let mut head = Head::start(world::id());
        let read = writer.read(&head.clone(), &mut |_, at| {
            head = *at;
            std::ops::ControlFlow::Continue(())
        });
        read.expect("it reads");
        let mut draft = world::founding();
        draft.act = act(10_000);
        draft.entry = world::received(1, 0).to_raw();
        // The bytes stand there, the sync has not been asked for yet.
        let (bytes, _) = draft_line(&head, &draft);
        beside.fail(Some(Fault { kind: Some(Kind::Sync), skip: 0, times: 1 }));
        beside.append(LOGBOOK_FILE, len, &bytes).expect_err("the sync fails");
    });
    let mut desk = desk(&disk, home.path()).expect("it opens");
    disk.cut(LOGBOOK_FILE, len).expect("the writer takes it back");
    ledger.check_whole(&mut desk).unwrap();
}
