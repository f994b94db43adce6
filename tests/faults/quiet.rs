//! A damaged view never puts a panic on the screen: sled panics on some damage, in its own threads too.
//!
//! The sweep runs in a process of its own, so that everything any thread says can be read off its stderr.

use std::fs;
use std::path::Path;
use std::process::Command;

use spareseat::record::VIEW_FOLDER;
use spareseat::store::Store as _;

use super::world::{self, READY, Step, store_at};
use crate::support::{DAY, code, text};

/// Which home the child works on; without it the test is the parent.
const HOME: &str = "SPARESEAT_TEST_QUIET_HOME";

const DAY_OF: [Step; 5] = [READY[0], READY[1], READY[2], Step::Move(2, 0), Step::Use(1)];

/// Hurts one byte after the other in copies of the view and asks: the right answer each time, or the child panics.
fn sweep(home: &Path) {
    let (mut desk, _) = world::open(home).expect("it opens");
    let expected = world::answers(&mut desk).expect("answers");
    drop(desk);
    let (view, whole) = (home.join(VIEW_FOLDER), home.with_file_name("whole-view"));
    world::copy(&view, &whole);
    let mut names: Vec<_> = fs::read_dir(&whole).expect("a view").flatten().collect();
    names.retain(|entry| entry.path().is_file());
    for name in names {
        let content = fs::read(name.path()).expect("a file");
        let file = Path::new(&name.file_name()).to_owned();
        // The stretches of zeros too: a byte that appears there may be taken for the beginning of something.
        for at in (0..content.len()).step_by(64) {
            fs::remove_dir_all(&view).expect("the hurt one goes");
            world::copy(&whole, &view);
            let mut hurt = content.clone();
            hurt[at] ^= 0x55;
            fs::write(view.join(&file), hurt).expect("written");
            let (mut desk, _) = world::open(home).unwrap_or_else(|e| panic!("{file:?} at {at}: {e}"));
            // Every other time verify is the first to read the rows, so that it meets the damage itself.
            if at % 128 == 0 {
                let found =
                    desk.record().verify().unwrap_or_else(|e| panic!("{file:?} at {at}: verify: {e}"));
                assert!(!found.view_differs, "{file:?} at {at}: the view differs and nobody noticed");
            }
            let answers = world::answers(&mut desk);
            assert_eq!(answers.as_ref(), Ok(&expected), "{file:?} at {at}");
        }
    }
}

#[test]
fn a_byte_flipped_at_every_64th_offset_of_the_view_puts_no_panic_on_the_screen() {
    if let Some(home) = std::env::var_os(HOME) {
        return sweep(Path::new(&home));
    }
    let folder = crate::support::folder();
    let home = folder.path().join("home");
    world::home(&home, &DAY_OF);
    let name = "faults::quiet::a_byte_flipped_at_every_64th_offset_of_the_view_puts_no_panic_on_the_screen";
    let child = Command::new(std::env::current_exe().expect("this very program"))
        .args(["--exact", name, "--nocapture"])
        .env(HOME, &home)
        .output()
        .expect("it starts");
    let (out, err) = (text(&child.stdout), text(&child.stderr));
    assert!(child.status.success() && out.contains("1 passed"), "{out}{err}");
    assert!(!err.contains("panicked"), "a panic reached the screen: {err}");
}

/// What a person sees of it, through the program.
#[test]
fn the_program_says_that_the_view_was_made_anew_and_answers() {
    let cut = |view: &Path| {
        let db = fs::OpenOptions::new().write(true).open(view.join("db")).expect("a file");
        db.set_len(db.metadata().expect("a length").len() / 2).expect("cut");
    };
    let emptied = |view: &Path| {
        fs::remove_dir_all(view).expect("removed");
        fs::create_dir(view).expect("made");
    };
    let strangers = |view: &Path| fs::write(view.join("db"), [0xa5; 4096]).expect("written");
    let marked = |view: &Path| {
        let store = store_at(view);
        store.apply(vec![(b"M".to_vec(), Some(vec![1]))]).expect("marked");
        store.flush().expect("flushed");
    };
    type Hurt<'h> = (&'h str, &'h dyn Fn(&Path));
    let table: [Hurt; 4] =
        [("cut", &cut), ("emptied", &emptied), ("strangers' bytes", &strangers), ("the mark", &marked)];
    for (what, hurt) in table {
        for words in [&["stock"][..], &["logbook", "verify"]] {
            let folder = crate::support::folder();
            let home = folder.path().join("home");
            world::home(&home, &DAY_OF);
            hurt(&home.join(VIEW_FOLDER));
            let run = || {
                crate::support::started().arg("--home").arg(&home).args(["--on", DAY]).args(words).output()
            };
            let first = run().expect("the program starts");
            let (out, err) = (text(&first.stdout), text(&first.stderr));
            assert_eq!(code(&first), 0, "{what}, {words:?}: {out}{err}");
            assert!(!err.contains("panicked"), "{what}, {words:?}: {err}");
            assert!(
                err.lines().all(|l| l.starts_with("note: the view was made anew")),
                "{what}, {words:?}: {err}"
            );
            let second = run().expect("the program starts");
            assert_eq!(text(&second.stdout), out, "{what}, {words:?}: the same answer from the new view");
            assert_eq!(text(&second.stderr), "", "{what}, {words:?}: and nothing more to say");
        }
    }
}
