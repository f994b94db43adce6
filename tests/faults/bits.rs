//! Damage inside the logbook: each bit of the last line flipped, a byte in the middle, and what the program says of it.

use std::path::Path;

use spareseat::desk::Desk;
use spareseat::logbook::{FileLogbook, LOGBOOK_FILE, Logbook as _, LogbookError};
use spareseat::record::{Notice, Record, Trouble, ViewPlace};

use super::disk::{Files, SimDisk};
use super::power;
use super::world::{self, Ledger, Step, act};
use crate::support::text;

/// The day that is damaged: its last three lines are short ones.
pub const STEPS: [Step; 6] = [
    Step::Catalogue,
    Step::Case,
    Step::Receive(6, 0),
    Step::Move(2, 0),
    Step::Receive(1, 1),
    Step::Move(1, 1),
];

/// The files of that day, its view in `home`, and where its lines begin, the end included.
pub fn day(home: &Path) -> (Files, Vec<usize>) {
    let made = world::home(home, &STEPS);
    let mut files = Files::new();
    files.insert(LOGBOOK_FILE.to_owned(), std::fs::read(made.root().join(LOGBOOK_FILE)).expect("a logbook"));
    for entry in std::fs::read_dir(home.join("editions")).expect("editions") {
        let entry = entry.expect("an entry");
        let name = format!("editions/{}", entry.file_name().to_string_lossy());
        files.insert(name, std::fs::read(entry.path()).expect("an edition"));
    }
    let newlines = files[LOGBOOK_FILE].iter().enumerate().filter(|(_, b)| **b == b'\n').map(|(n, _)| n + 1);
    (files.clone(), [0].into_iter().chain(newlines).collect())
}

/// What came of opening a damaged logbook.
pub enum Opened {
    /// Nothing to answer from: the whole program would exit with 3 and this.
    Not(String),
    /// It answers; with what trouble, if any, and what it has to say beside the answer.
    Desk(Box<Desk>, Option<String>, Vec<Notice>),
}

/// Opens these files over the view in `home`.
pub fn open(files: &Files, home: &Path) -> Opened {
    match power::open(&SimDisk::holding(files), home) {
        Err(e) => Opened::Not(e.to_string()),
        Ok((desk, notices)) => {
            let trouble = desk.trouble().filter(|t| !t.lets_look()).map(ToString::to_string);
            Opened::Desk(Box::new(desk), trouble, notices)
        }
    }
}

/// The answers as of each entry of the day, by a fold from nothing.
pub fn answers_by_entry(files: &Files) -> Vec<String> {
    let lines: Vec<&[u8]> = files[LOGBOOK_FILE].split_inclusive(|b| *b == b'\n').collect();
    (0..=lines.len())
        .map(|n| {
            let mut cut = files.clone();
            cut.insert(LOGBOOK_FILE.to_owned(), lines[..n].concat());
            let home = crate::support::folder();
            match open(&cut, home.path()) {
                Opened::Desk(mut desk, None, _) => answers(&mut desk),
                _ => String::new(),
            }
        })
        .collect()
}

/// The answers, or why there is none; before the catalogue is imported there is no part to look up.
pub fn answers(desk: &mut Desk) -> String {
    world::answers(desk).unwrap_or_else(|e| e)
}

/// Every flip of one bit of the last line: which bit, and the files.
fn flips<'f>(files: &'f Files, lines: &[usize]) -> impl Iterator<Item = (usize, Files)> + use<'f> {
    let (begin, end) = (lines[lines.len() - 2], lines[lines.len() - 1]);
    (begin * 8..end * 8).map(|bit| {
        let mut hurt = files.clone();
        hurt.get_mut(LOGBOOK_FILE).expect("it is there")[bit / 8] ^= 1 << (bit % 8);
        (bit, hurt)
    })
}

#[test]
fn each_bit_of_the_last_line_is_flipped_with_the_view_present() {
    let folder = crate::support::folder();
    let home = folder.path().join("home");
    let (files, lines) = day(&home);
    let whole = answers_by_entry(&files).pop().expect("an answer");
    let head = world::open(&home).expect("it opens").0.view().head().head;
    // A NUL makes it look like a line that a power cut left unfinished: then it is missing, and both numbers stand.
    let lost = "entries are missing: the view has entry 7, the logbook ends at entry 6";
    let damaged = "the logbook is damaged at line 7: ";
    for (bit, hurt) in flips(&files, &lines) {
        let logbook = FileLogbook::new(SimDisk::holding(&hurt));
        assert_eq!(logbook.has_grown(&head).ok(), Some(true), "bit {bit}: a look at it is enough to see it");
        let read = logbook.read(&head, &mut |_, _| panic!("bit {bit}: there is nothing to read"));
        let told = read.expect_err("it is not what the view has seen").to_string();
        assert!(told == lost || told.starts_with(damaged), "bit {bit}: {told}");
        // Opening sled takes a while: one bit of every byte, another one each time, goes through the whole record.
        if bit / 8 % 8 != bit % 8 && !world::long() {
            continue;
        }
        let Opened::Desk(mut desk, Some(trouble), _) = open(&hurt, &home) else {
            panic!("bit {bit}: not seen")
        };
        assert_eq!(trouble, told, "bit {bit}");
        assert_eq!(answers(&mut desk), whole, "bit {bit}: look-ups answer as before");
        let refused = Step::Receive(1, 0).book(&mut desk, act(99)).expect_err("nothing may be booked");
        assert!(
            refused.contains("read-only, nothing was booked") && refused.contains(&told),
            "bit {bit}: {refused}"
        );
    }
}

#[test]
fn each_bit_of_the_last_line_is_flipped_without_the_view() {
    let folder = crate::support::folder();
    let (files, lines) = day(&folder.path().join("home"));
    let before = answers_by_entry(&files);
    let mut limits = 0;
    for (bit, hurt) in flips(&files, &lines) {
        let logbook = Box::new(FileLogbook::new(SimDisk::holding(&hurt)));
        let record = Record::open(logbook, ViewPlace::Memory).expect("six good lines answer");
        let mut desk = Desk::new(record, world::today());
        assert_eq!(answers(&mut desk), before[6], "bit {bit}: what the six good lines say");
        match desk.trouble() {
            Some(Trouble::Logbook(LogbookError::Damaged { line: 7, .. })) => {}
            // The limit: a line that looks unfinished is one nobody acknowledged, where no view knows better.
            None => {
                let said = desk.notices();
                assert!(
                    said.iter().any(|n| matches!(n, Notice::Unfinished { after: 6, .. })),
                    "bit {bit}: {said:?}"
                );
                limits += 1;
            }
            other => panic!("bit {bit}: {other:?}"),
        }
    }
    // Only a NUL, which the flip of a bit makes of '@' and of the space.
    let (begin, end) = (lines[lines.len() - 2], lines[lines.len() - 1]);
    assert_eq!(limits, files[LOGBOOK_FILE][begin..end].iter().filter(|b| matches!(**b, b' ' | b'@')).count());
}

#[test]
fn a_byte_in_the_middle_is_flipped() {
    let folder = crate::support::folder();
    let home = folder.path().join("home");
    let (files, lines) = day(&home);
    let by_entry = answers_by_entry(&files);
    for line in 1..lines.len() - 2 {
        // The first, the middle and the last byte of the line, its newline among them.
        for at in [lines[line], (lines[line] + lines[line + 1]) / 2, lines[line + 1] - 1] {
            let mut hurt = files.clone();
            hurt.get_mut(LOGBOOK_FILE).expect("it is there")[at] ^= 0x01;
            let said = format!("line {}, byte {at}", line + 1);
            // Over the view: as long as its own last line stands there, and the sum that line stands on, the damage is
            // found by verify and by who folds anew.
            let Opened::Desk(mut desk, trouble, _) = open(&hurt, &home) else {
                panic!("{said}: no answer over the view")
            };
            assert_eq!(trouble.is_some(), at >= lines[6] - 67, "{said}: {trouble:?}");
            assert_eq!(answers(&mut desk), by_entry[7], "{said}");
            let found = desk.record().verify().expect_err("verify finds it").to_string();
            assert!(
                found.starts_with(&format!("the logbook is damaged at line {}: ", line + 1)),
                "{said}: {found}"
            );
            drop(desk);
            // Without the view: what stands before it is answered, nothing can be booked, and the line is named.
            let empty = crate::support::folder();
            let Opened::Desk(mut desk, Some(trouble), _) = open(&hurt, empty.path()) else {
                panic!("{said}: not seen")
            };
            assert!(
                trouble.starts_with(&format!("the logbook is damaged at line {}: ", line + 1)),
                "{said}: {trouble}"
            );
            assert_eq!(answers(&mut desk), by_entry[line], "{said}");
            let refused = Step::Receive(1, 0).book(&mut desk, act(99)).expect_err("nothing may be booked");
            assert!(refused.contains(&trouble), "{said}: {refused}");
        }
    }
    // The first line says which logbook it is: without it nothing is known of a home that has no view.
    let mut hurt = files.clone();
    hurt.get_mut(LOGBOOK_FILE).expect("it is there")[40] ^= 0x01;
    let empty = crate::support::folder();
    let Opened::Not(why) = open(&hurt, empty.path()) else { panic!("answered without a first line") };
    assert!(why.starts_with("the logbook is damaged at line 1: "), "{why}");
    let Opened::Desk(mut desk, Some(trouble), _) = open(&hurt, &home) else {
        panic!("the view answers, with trouble")
    };
    assert_eq!((answers(&mut desk), trouble), (by_entry[7].clone(), why));
}

/// The same through the program: the answer on stdout, exit 3, the line named, and what to do.
#[test]
fn the_program_answers_from_a_damaged_logbook_and_books_nothing() {
    let place = crate::support::Place::empty();
    let home = place.home();
    let (files, lines) = day(&home);
    let mut hurt = files[LOGBOOK_FILE].clone();
    let last = lines[lines.len() - 2];
    hurt[last + 20] ^= 0x01;
    std::fs::write(home.join(LOGBOOK_FILE), &hurt).expect("written");
    let looked = place.run(&["stock"]);
    let (out, err) = (text(&looked.stdout), text(&looked.stderr));
    assert!(
        looked.status.code() == Some(3) && out.starts_with("7 pieces in the house, 2 lines."),
        "{out}{err}"
    );
    assert!(err.contains("damaged at line 7") && err.contains("what to do: "), "{err}");
    let booked =
        place.book(&Step::Receive(1, 0).command(place.folder()).iter().map(|s| &**s).collect::<Vec<_>>());
    let (out, err) = (text(&booked.stdout), text(&booked.stderr));
    assert!(booked.status.code() == Some(3) && out.is_empty(), "{out}{err}");
    assert!(
        err.contains("nothing was booked: the logbook is damaged at line 7") && err.contains("what to do: "),
        "{err}"
    );
    assert_eq!(std::fs::read(home.join(LOGBOOK_FILE)).expect("read"), hurt, "not a byte was changed");
    // Accepting is for a logbook that is whole; this one is not.
    let accepted = place.book(&["logbook", "accept", "--because", "tried"]);
    assert_eq!(accepted.status.code(), Some(3), "{}", text(&accepted.stderr));
    // And put right it is as before.
    std::fs::write(home.join(LOGBOOK_FILE), &files[LOGBOOK_FILE]).expect("written");
    let (mut desk, _) = world::open(&home).expect("it opens");
    Ledger::of(&STEPS).check_whole(&mut desk).unwrap();
}
