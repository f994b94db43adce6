//! A line of the logbook damaged, one after the other, in the demo's practice: no reading command answers otherwise than
//! before unless it says so, with exit status 3.

use std::fs;
use std::path::Path;
use std::process::Output;

use spareseat::record::VIEW_FOLDER;

use super::opening::copy;
use crate::support::{Place, code, text};

/// What only looks. Those of the first list read their answer off the logbook, so that they cannot know it all.
const FROM_THE_LOGBOOK: &[&str] = &[
    "trace --lot PS-0952",
    "trace --lot PS-1120",
    "trace --lot PS-1120 --json",
    "trace --case 1047",
    "trace --case 1047 --json",
    "trace --lot PS-0952 --fhir",
    "logbook show",
    "logbook show --case 1047",
    "logbook show --lot PS-1120",
    "logbook show --lot PS-1120 --json",
    "logbook show --since 2026-11-25",
];

/// These read the logbook too, and their answer is of the part that was read or is none.
const IN_PART: &[&str] = &[
    "logbook verify",
    "sheet bag 1047",
    "sheet complaint 1047",
    "--as-of 20 stock",
    "--as-of 49 case show 1047",
    "--as-of 50 stock --json",
];

/// And these look at the view.
const FROM_THE_VIEW: &[&str] = &[
    "stock",
    "stock --json",
    "stock --low",
    "stock --expires-within 30",
    "stock --fhir",
    "case list",
    "case show 1047",
    "case show 1047 --json",
    "case due",
    "visit 1047 --site 25 --broken prosthetic-screw --left shank-in-abutment",
    "swap 1047 25 abutment",
    "fit 1047 --swap 25:abutment=plover-mua-4.1-c3.5",
    "weakest 1047",
    "find (01)09521234000648(10)PS-1120",
    "part list",
    "bands",
];

/// One byte in the middle of a line, in its text or in its number.
fn damage(logbook: &[u8], line: usize) -> Vec<u8> {
    let begins = logbook.split_inclusive(|b| *b == b'\n').take(line - 1).map(<[u8]>::len).sum::<usize>();
    let len = logbook[begins..].iter().position(|b| *b == b'\n').expect("there is such a line");
    let mut out = logbook.to_vec();
    out[begins + len / 2] ^= 0x01;
    out
}

fn run(place: &Place, line: &str) -> Output {
    place.run(&line.split(' ').collect::<Vec<_>>())
}

/// The answers of the whole record, and copies of it to be damaged.
struct Stage {
    place: Place,
    logbook: Vec<u8>,
    answers: Vec<(&'static str, i32, String)>,
}

impl Stage {
    fn new() -> Self {
        let place = Place::demo();
        let answer = |line: &&'static str| {
            let out = run(&place, line);
            assert!(matches!(code(&out), 0 | 1), "{line}: {}", text(&out.stderr));
            (*line, code(&out), text(&out.stdout))
        };
        let all = FROM_THE_LOGBOOK.iter().chain(IN_PART).chain(FROM_THE_VIEW);
        let answers = all.map(answer).collect();
        let logbook = fs::read(place.home().join("logbook.jsonl")).expect("a logbook");
        copy(&place.home(), &place.folder().join("whole"));
        Self { place, logbook, answers }
    }

    fn last(&self) -> usize {
        self.logbook.iter().filter(|b| **b == b'\n').count()
    }

    /// The home again, with that line damaged.
    fn damaged(&self, line: usize, view: bool) {
        let home = self.place.home();
        fs::remove_dir_all(&home).expect("the one before goes");
        copy(&self.place.folder().join("whole"), &home);
        fs::write(home.join("logbook.jsonl"), damage(&self.logbook, line)).expect("written");
        if !view {
            fs::remove_dir_all(home.join(VIEW_FOLDER)).expect("there was one");
        }
    }
}

/// Whether an answer is the same as before, or says that it is not; else what is wrong with it.
fn fair(line: &str, before: &(i32, &str), out: &Output) -> Result<(), String> {
    let (shown, said) = (text(&out.stdout), text(&out.stderr));
    let same = (code(out), shown.as_str()) == *before;
    match code(out) {
        3 if said.contains("damaged") && said.contains("what to do: ") => {}
        _ if same => {}
        status => return Err(format!("changed in silence, exit {status}: {shown}{said}")),
    }
    let list = FROM_THE_LOGBOOK.contains(&line);
    if list && same && code(out) != 3 {
        return Err(format!("nothing was read behind the damage, and nobody says so: {shown}"));
    }
    // Of a list there is half a one that says so, or none.
    if list && !shown.is_empty() && !shown.contains("this list is not complete") {
        return Err(format!("the list does not say that it is not complete: {shown}"));
    }
    Ok(())
}

#[test]
fn no_answer_changes_in_silence_whatever_line_is_damaged() {
    let stage = Stage::new();
    let last = stage.last();
    assert!(last >= 50, "the demo has {last} entries");
    let some = [1, 2, 3, 21, last / 2, 49, last - 1, last];
    let every: Vec<usize> = (1..=last).collect();
    let lines = if super::world::long() { &every[..] } else { &some[..] };
    let (mut asked, mut loud) = (0, 0);
    for (line, view) in lines.iter().flat_map(|line| [(*line, true), (*line, false)]) {
        stage.damaged(line, view);
        for (typed, status, shown) in &stage.answers {
            let out = run(&stage.place, typed);
            fair(typed, &(*status, shown.as_str()), &out).unwrap_or_else(|e| {
                panic!("line {line} of {last} damaged, view {view}: '{typed}': {e}");
            });
            asked += 1;
            loud += u32::from(code(&out) == 3);
        }
    }
    // Nearly all where there is no view, and the lists where there is one.
    assert!(
        asked >= 500 && loud >= asked / 2 && loud < asked,
        "{loud} of {asked} answers say that something is wrong"
    );
}

/// A backup of a damaged record is none, and the lot is kept apart all the same.
#[test]
fn with_a_damaged_line_nothing_is_backed_up_and_a_lot_is_still_called_back() {
    let stage = Stage::new();
    for line in [2, 21, 49] {
        stage.damaged(line, true);
        let backup = stage.place.run(&["logbook", "backup", "copy"]);
        assert_eq!((code(&backup), text(&backup.stdout)), (3, String::new()), "line {line}");
        assert!(!Path::new(&stage.place.folder().join("copy")).exists(), "line {line}");
        let out = stage.place.book(&["withdraw", "--lot", "PS-1120"]);
        let shown = text(&out.stdout);
        assert_eq!(code(&out), 3, "line {line}: {shown}{}", text(&out.stderr));
        assert!(
            shown.contains("kept apart: 3 pieces") && shown.contains("this list is not complete"),
            "{shown}"
        );
        let stock = text(&run(&stage.place, "stock").stdout);
        assert!(stock.contains("quarantine") || !stock.contains("PS-1120"), "line {line}: {stock}");
    }
}
