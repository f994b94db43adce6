//! The view damaged, half-written or locked: always the right answer, from a new view or from memory.

use std::fs;
use std::path::{Path, PathBuf};

use spareseat::desk::open_home;
use spareseat::record::{Notice, VIEW_FOLDER};
use spareseat::store::Store;

use super::world::{self, Ledger, READY, Step, store_at};

const DAY: [Step; 5] = [READY[0], READY[1], READY[2], Step::Move(2, 0), Step::Use(1)];

struct Ready {
    _folder: tempfile::TempDir,
    root: PathBuf,
    expected: String,
}

fn ready() -> Ready {
    let folder = crate::support::folder();
    let root = folder.path().join("ready");
    let home = world::home(&root, &DAY);
    let expected = world::answers(&mut open_home(&home, world::today()).expect("it opens")).expect("answers");
    Ready { _folder: folder, root, expected }
}

/// Copies the home, hurts its view, and holds every answer and the whole record against what they were.
fn survives(ready: &Ready, what: &str, hurt: impl FnOnce(&Path)) -> Vec<Notice> {
    let root = ready.root.with_file_name("hurt");
    let _ = fs::remove_dir_all(&root);
    world::copy(&ready.root, &root);
    hurt(&root.join(VIEW_FOLDER));
    let mut desk = open_home(&spareseat::desk::Home::at(&root), world::today())
        .unwrap_or_else(|e| panic!("{what}: {e}"));
    assert_eq!(world::answers(&mut desk).unwrap_or_else(|e| panic!("{what}: {e}")), ready.expected, "{what}");
    let mut ledger = Ledger::of(&DAY);
    ledger.check_whole(&mut desk).unwrap_or_else(|e| panic!("{what}: {e}"));
    let next = world::act(1000);
    Step::Receive(1, 1).book(&mut desk, next).unwrap_or_else(|e| panic!("{what}: {e}"));
    ledger.acknowledged(Step::Receive(1, 1), next);
    ledger.check_whole(&mut desk).unwrap_or_else(|e| panic!("{what}, after a booking: {e}"));
    desk.notices()
}

fn files(folder: &Path) -> Vec<PathBuf> {
    let mut out: Vec<PathBuf> = Vec::new();
    for entry in fs::read_dir(folder).expect("a view").flatten() {
        let path = entry.path();
        if path.is_dir() { out.extend(files(&path)) } else { out.push(path) }
    }
    out.sort();
    out
}

#[test]
fn a_view_that_is_gone_emptied_cut_or_left_with_the_fold_s_mark_is_made_anew() {
    let ready = ready();
    survives(&ready, "deleted", |view| fs::remove_dir_all(view).expect("deleted"));
    survives(&ready, "emptied", |view| {
        fs::remove_dir_all(view).expect("deleted");
        fs::create_dir(view).expect("made");
    });
    for (n, path) in files(&ready.root.join(VIEW_FOLDER)).iter().enumerate() {
        let len = fs::metadata(path).expect("a file").len();
        for keep in [0, len / 2, len.saturating_sub(1)] {
            survives(&ready, &format!("{} cut to {keep}", path.display()), |view| {
                let file = fs::OpenOptions::new().write(true).open(&files(view)[n]).expect("a file");
                file.set_len(keep).expect("cut");
            });
        }
        survives(&ready, &format!("{} deleted", path.display()), |view| {
            fs::remove_file(&files(view)[n]).expect("deleted");
        });
    }
    // A child that another test is just starting may hold a copy of our lock for a moment: then once more.
    let marked = || {
        survives(&ready, "left with the mark", |view| {
            let store = store_at(view);
            store.apply(vec![(b"M".to_vec(), Some(vec![1]))]).expect("marked");
            store.flush().expect("flushed");
        })
    };
    let tries = std::iter::repeat_with(marked).take(5);
    let notices = tries.into_iter().find(|said| *said != [Notice::ViewBusy]).expect("not busy five times");
    assert_eq!(notices, [Notice::ViewMadeAnew("it had been left half-written".to_owned())]);
}

#[test]
fn a_byte_flipped_at_every_64th_offset_never_gives_a_wrong_answer() {
    let ready = ready();
    let mut tried = 0;
    for (n, path) in files(&ready.root.join(VIEW_FOLDER)).iter().enumerate() {
        let content = fs::read(path).expect("a file");
        // Long stretches of a fresh store are zeros: one flip in each is enough for the short form.
        let mut zeros = 0;
        for at in (0..content.len()).step_by(64) {
            let block = &content[at..content.len().min(at + 64)];
            zeros = if block.iter().all(|b| *b == 0) { zeros + 1 } else { 0 };
            if zeros > 1 && (!world::long() || zeros % 64 != 0) {
                continue;
            }
            tried += 1;
            survives(&ready, &format!("{} flipped at {at}", path.display()), |view| {
                let file = &files(view)[n];
                let mut hurt = fs::read(file).expect("a file");
                hurt[at] ^= 0xff;
                fs::write(file, hurt).expect("written");
            });
        }
    }
    assert!(tried > 50, "only {tried} flips: the view has no content to hurt");
}

#[test]
fn a_locked_view_folder_is_left_alone_and_answered_from_memory() {
    let ready = ready();
    let ours = survives(&ready, "our lock is held", |view| {
        let path = view.with_file_name(format!("{VIEW_FOLDER}.lock"));
        let file =
            fs::OpenOptions::new().write(true).create(true).truncate(false).open(path).expect("a lock");
        file.lock().expect("locked");
        std::mem::forget(file); // held until the test ends, as another program would
    });
    assert_eq!(ours, [Notice::ViewBusy]);
    let theirs = survives(&ready, "the store's own lock is held", |view| {
        std::mem::forget(store_at(view));
    });
    assert_eq!(theirs, [Notice::ViewBusy]);
}
