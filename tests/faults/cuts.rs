//! The logbook cut at every byte of its last three lines; a backup put in place under a newer view.

use spareseat::logbook::LOGBOOK_FILE;
use spareseat::record::VIEW_FOLDER;

use super::bits::{Opened, STEPS, answers, answers_by_entry, day, open};
use super::disk::SimDisk;
use super::power;
use super::world::{self, Ledger, Step, act};
use crate::support::{Place, text};

#[test]
fn cut_at_every_byte_of_the_last_three_lines_with_the_view_present() {
    let folder = crate::support::folder();
    let home = folder.path().join("home");
    let (files, lines) = day(&home);
    let whole = answers_by_entry(&files).pop().expect("an answer");
    for len in lines[lines.len() - 4]..files[LOGBOOK_FILE].len() {
        let mut cut = files.clone();
        cut.get_mut(LOGBOOK_FILE).expect("it is there").truncate(len);
        let Opened::Desk(mut desk, Some(trouble), _) = open(&cut, &home) else {
            panic!("cut at {len}: not seen")
        };
        let left = lines.iter().filter(|end| **end > 0 && **end <= len).count();
        assert_eq!(
            trouble,
            format!("entries are missing: the view has entry 7, the logbook ends at entry {left}")
        );
        assert_eq!(answers(&mut desk), whole, "cut at {len}: look-ups answer from the view");
        let refused = Step::Receive(1, 0).book(&mut desk, act(99)).expect_err("nothing may be booked");
        assert!(refused.contains(&trouble), "cut at {len}: {refused}");
    }
}

/// The limit: who has neither view nor paper cannot know of entries that are gone from the end.
#[test]
fn cut_at_every_byte_of_the_last_three_lines_without_the_view() {
    let folder = crate::support::folder();
    let (files, lines) = day(&folder.path().join("home"));
    let by_entry = answers_by_entry(&files);
    for len in lines[lines.len() - 4]..files[LOGBOOK_FILE].len() {
        let mut cut = files.clone();
        cut.get_mut(LOGBOOK_FILE).expect("it is there").truncate(len);
        let empty = crate::support::folder();
        let Opened::Desk(mut desk, None, notices) = open(&cut, empty.path()) else {
            panic!("cut at {len}: it must open")
        };
        let left = lines.iter().filter(|end| **end > 0 && **end <= len).count();
        assert_eq!((desk.entry(), answers(&mut desk)), (left as u64, by_entry[left].clone()), "cut at {len}");
        let said: Vec<String> = notices.iter().map(ToString::to_string).collect();
        let unfinished = len - lines[left];
        assert_eq!(
            said.first()
                .is_some_and(|n| n.starts_with(&format!("{unfinished} bytes of an unfinished entry stand"))),
            unfinished > 0,
            "cut at {len}: {said:?}"
        );
    }
}

#[test]
fn a_backup_under_a_newer_view_waits_for_a_person() {
    let place = Place::empty();
    let home = place.home();
    world::home(&home, &STEPS[..4]);
    let backup = place.folder().join("backup").to_string_lossy().into_owned();
    assert_eq!(place.run(&["logbook", "backup", &backup]).status.code(), Some(0));
    for (n, step) in (5..).zip(&STEPS[4..]) {
        let (mut desk, _) = world::open(&home).expect("it opens");
        step.book(&mut desk, act(n)).expect("booked");
    }
    std::fs::copy(place.folder().join("backup").join(LOGBOOK_FILE), home.join(LOGBOOK_FILE))
        .expect("restored");

    let numbers = "entries are missing: the view has entry 7, the logbook ends at entry 5";
    let receive = Step::Receive(1, 0).command(place.folder());
    let receive: Vec<&str> = receive.iter().map(|w| &**w).collect();
    for (words, answer) in [
        (&["stock"][..], "7 pieces in the house, 2 lines."),
        (&["case", "show", "1047"], "Case 1047"),
        (&receive, ""),
        (&["logbook", "verify"], ""),
        (&["logbook", "rebuild"], ""),
    ] {
        let out = place.book(words);
        let (stdout, stderr) = (text(&out.stdout), text(&out.stderr));
        assert!(out.status.code() == Some(3) && stderr.contains(numbers), "{words:?}: {stdout}{stderr}");
        assert!(stdout.to_lowercase().starts_with(&answer.to_lowercase()), "{words:?}: {stdout}");
        assert!(stderr.contains("logbook accept"), "{words:?} does not say what to do: {stderr}");
    }
    assert!(home.join(VIEW_FOLDER).exists(), "what is left of the missing entries is kept");

    let accepted = place.book(&["logbook", "accept", "--because", "restored after the disk was changed"]);
    let (stdout, stderr) = (text(&accepted.stdout), text(&accepted.stderr));
    assert_eq!(accepted.status.code(), Some(0), "{stdout}{stderr}");
    assert!(
        stdout
            .starts_with("entry 6: the logbook that ends at entry 5 is accepted; the view had held entry 7."),
        "{stdout}"
    );
    let shown = text(&place.run(&["logbook", "show"]).stdout);
    assert!(shown.contains("restored after the disk was changed"), "{shown}");
    assert_eq!(place.run(&["logbook", "verify"]).status.code(), Some(0));
    assert_eq!(place.book(&receive).status.code(), Some(0));
    let stock = text(&place.run(&["stock"]).stdout);
    assert!(
        stock.starts_with("7 pieces in the house, 2 lines."),
        "six of the backup and the one just received: {stock}"
    );
}

#[test]
fn another_logbook_under_the_view_waits_for_a_person() {
    let place = Place::empty();
    let home = place.home();
    world::home(&home, &STEPS);
    // Of the same practice, gone another way after entry 4: as when two machines went on from one backup.
    let other = place.folder().join("other");
    world::home(&other, &STEPS[..3]);
    let mut ledger = Ledger::of(&STEPS[..3]);
    let (mut desk, _) = world::open(&other).expect("it opens");
    for n in 10..14 {
        Step::Receive(1, 1).book(&mut desk, act(n)).expect("booked");
        ledger.acknowledged(Step::Receive(1, 1), act(n));
    }
    drop(desk);
    std::fs::copy(other.join(LOGBOOK_FILE), home.join(LOGBOOK_FILE)).expect("put in place");
    let looked = place.run(&["stock"]);
    let (stdout, stderr) = (text(&looked.stdout), text(&looked.stderr));
    assert!(
        looked.status.code() == Some(3) && stdout.starts_with("7 pieces in the house, 2 lines."),
        "{stdout}{stderr}"
    );
    let told = "another logbook was put in place: the view holds entry 7 of one, this one has 8 entries and another entry 7";
    assert!(stderr.contains(told), "{stderr}");
    let accepted = place.book(&["logbook", "accept", "--because", "the other machine's is the right one"]);
    assert_eq!(accepted.status.code(), Some(0), "{}", text(&accepted.stderr));
    let (mut desk, _) = world::open(&home).expect("it opens");
    assert_eq!(desk.entry(), 9, "the decision is an entry of its own");
    assert_eq!(desk.record().verify().map(|v| v.view_differs).map_err(|e| e.to_string()), Ok(false));
}

/// What stands unfinished behind the last entry, shorter and longer than the next line, goes to cut-off/ whole.
#[test]
fn an_unfinished_line_of_any_length_is_set_aside_by_the_next_booking() {
    let folder = crate::support::folder();
    let (files, _) = day(&folder.path().join("home"));
    let zeros = [&[0; 700][..], b"\n"].concat();
    for tail in [&b"{"[..], &[b'x'; 300], &[b'x'; 5000], &[0; 2000], &zeros] {
        let said = format!("{} bytes, the first is {}", tail.len(), tail[0]);
        let mut torn = files.clone();
        torn.get_mut(LOGBOOK_FILE).expect("it is there").extend_from_slice(tail);
        let (disk, home) = (SimDisk::holding(&torn), crate::support::folder());
        let (mut desk, notices) = power::open(&disk, home.path()).expect("it opens");
        let told = format!("{} bytes of an unfinished entry stand behind entry 7", tail.len());
        assert!(notices.iter().any(|n| n.to_string().starts_with(&told)), "{said}: {notices:?}");
        let mut ledger = Ledger::of(&STEPS);
        ledger.check_whole(&mut desk).unwrap_or_else(|e| panic!("{said}, not a failure of verify: {e}"));
        for n in [100, 101] {
            Step::Receive(1, 0).book(&mut desk, act(n)).unwrap_or_else(|e| panic!("{said}: {e}"));
            ledger.acknowledged(Step::Receive(1, 0), act(n));
        }
        ledger.check_whole(&mut desk).unwrap_or_else(|e| panic!("{said}, two bookings later: {e}"));
        let aside: Vec<_> =
            disk.seen().into_iter().filter(|(name, _)| name.starts_with("cut-off/")).collect();
        let [(name, content)] = &aside[..] else { panic!("{said}: {} files set aside", aside.len()) };
        assert!(name.starts_with("cut-off/after-entry-7-") && content == tail, "{said}: {name}");
        assert!(desk.notices().iter().any(|n| n.to_string().contains(name)), "{said}: where it went is said");
    }
}
