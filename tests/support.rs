//! What the process-level tests share: the program, a home, a day.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::atomic::{AtomicUsize, Ordering::Relaxed};

use serde_json::Value;
use tempfile::TempDir;

use crate::practice::once;

/// The day every test lives on.
pub const DAY: &str = "2026-11-25";

/// The program under test.
pub fn program() -> &'static str {
    env!("CARGO_BIN_EXE_spareseat")
}

/// The program, to be given its words.
pub fn started() -> Command {
    eased(program())
}

/// A command that starts the program: its allocator asks the system for large pieces.
///
/// Each time it is opened sled fills 18 MB of counters that nobody reads; in small pages that takes longer than a look-up.
pub fn eased(command: &str) -> Command {
    let mut command = Command::new(command);
    let pieces =
        "glibc.malloc.hugetlb=1:glibc.malloc.mmap_threshold=1073741824:glibc.malloc.top_pad=33554432";
    command.env("GLIBC_TUNABLES", pieces).env_remove("SPARESEAT_HOME");
    command
}

/// A folder in memory, where there is one: a kill leaves the page cache alone, and what a power cut takes is worked out,
/// so memory serves as a disk, and faster.
pub fn folder() -> TempDir {
    let memory = Path::new("/dev/shm");
    let folder = if memory.is_dir() { tempfile::tempdir_in(memory) } else { tempfile::tempdir() };
    folder.expect("a folder")
}

/// A folder that goes with the test, and the home in it.
pub struct Place {
    folder: TempDir,
}

impl Place {
    /// An empty folder.
    pub fn empty() -> Self {
        Self { folder: folder() }
    }

    /// A home with the made-up practice in it: made once by the program, copied for each test.
    ///
    /// Every copy is of the same practice, with the same number; where a test needs two, see `other_demo`.
    pub fn demo() -> Self {
        Self::copied("the demo", lay_demo)
    }

    /// The made-up practice of somebody else: the same in it, under numbers of its own.
    pub fn other_demo() -> Self {
        Self::copied("the demo of somebody else", lay_demo)
    }

    /// A copy of the home that `make` makes, which is asked once a process for each name.
    pub fn copied(name: &str, make: impl FnOnce(&Self)) -> Self {
        let made = once::files(name, || {
            let place = Self::empty();
            make(&place);
            once::Files::settled(&place.home())
        });
        let place = Self::empty();
        made.write(&place.home());
        place
    }

    /// Where the home is.
    pub fn home(&self) -> PathBuf {
        self.folder.path().join("home")
    }

    /// The folder around it.
    pub fn folder(&self) -> &Path {
        self.folder.path()
    }

    /// The command, on the day, in this home.
    pub fn command(&self, args: &[&str]) -> Command {
        let mut command = started();
        command.arg("--home").arg(self.home()).args(["--on", DAY]).args(args).current_dir(self.folder());
        command
    }

    /// Runs it to its end.
    pub fn run(&self, args: &[&str]) -> Output {
        self.command(args).output().expect("the program starts")
    }

    /// Runs it with initials.
    pub fn book(&self, args: &[&str]) -> Output {
        self.run(&[&["--as", "AB"], args].concat())
    }

    /// Runs it for its JSON, whatever the verdict.
    pub fn json(&self, args: &[&str]) -> Value {
        let out = self.run(&[&["--json"], args].concat());
        serde_json::from_slice(&out.stdout)
            .unwrap_or_else(|e| panic!("{e}: {args:?}: {} {}", text(&out.stdout), text(&out.stderr)))
    }
}

fn lay_demo(place: &Place) {
    let made = place.run(&["demo"]);
    assert!(made.status.success(), "{}", text(&made.stderr));
}

/// What `each` makes of all of them, in their order: on as many threads as the machine has cores, so that the longest
/// test does not run by itself at the end.
pub fn side_by_side<T: Sync, R: Send>(all: &[T], each: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let next = AtomicUsize::new(0);
    let work = || {
        let mut done = Vec::new();
        while let Some((n, one)) = Some(next.fetch_add(1, Relaxed)).and_then(|n| Some((n, all.get(n)?))) {
            done.push((n, each(one)));
        }
        done
    };
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    let mut done: Vec<(usize, R)> = std::thread::scope(|scope| {
        let workers: Vec<_> = (0..cores).map(|_| scope.spawn(work)).collect();
        let done = workers.into_iter().map(|w| w.join().unwrap_or_else(|e| std::panic::resume_unwind(e)));
        done.flatten().collect()
    });
    done.sort_by_key(|(n, _)| *n);
    done.into_iter().map(|(_, made)| made).collect()
}

#[test]
fn what_is_done_side_by_side_comes_in_its_order() {
    let all: Vec<usize> = (0..100).collect();
    assert_eq!(side_by_side(&all, |n| n * n), all.iter().map(|n| n * n).collect::<Vec<_>>());
    assert!(std::panic::catch_unwind(|| side_by_side(&all, |n| assert_ne!(*n, 7))).is_err());
}

/// Bytes as text.
pub fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// What a person is told beside an answer: the remarks behind the sentence of an act, and what stands on stderr.
pub fn heard(out: &Output) -> String {
    let remark = |line: &&str| line.starts_with("note: ") || line.starts_with("CAREFUL: ");
    let remarks: String = text(&out.stdout).lines().filter(remark).map(|line| format!("{line}\n")).collect();
    remarks + &text(&out.stderr)
}

/// The exit code.
pub fn code(out: &Output) -> i32 {
    out.status.code().unwrap_or(-1)
}
