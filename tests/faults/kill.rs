//! Killed at every system call, by strace's fault injection, from the first touch of the home on.
//!
//! strace counts each call by its name and thread, so the points are 'the n-th call of that name': those of the main
//! thread after it first names the home, and those of the view's own threads beyond them. A first run is traced to
//! learn them; a copy of the same small home is used for each.
//!
//! Calls that touch no file (memory, signals, threads) leave on the disk what the call before them left, or what another
//! thread is just doing: the short form kills at every third of them, `SPARESEAT_LONG=1` at every one. At calls that may
//! touch a file both kill at every one.

use std::collections::{BTreeMap, BTreeSet};
use std::os::unix::process::ExitStatusExt as _;
use std::path::{Path, PathBuf};
use std::process::Output;

use spareseat::desk::HomeError;

use super::acts::Known;
use super::copies;
use super::world::{self, Ledger, PRACTICE, READY, Step, act};
use crate::support::{DAY, code, eased, program, text};

/// What is killed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Victim {
    Booking(Step),
    Rebuild,
    New,
    Backup,
}

/// Calls that every booking makes after it has first touched the home.
const SURE: [&str; 4] = ["flock", "pread64", "pwrite64", "openat"];
/// What a backup makes.
const OF_A_BACKUP: [&str; 5] = ["flock", "pread64", "openat", "mkdir", "fsync"];

/// Calls that touch no file.
const FILELESS: [&str; 18] = [
    "brk",
    "clone3",
    "futex",
    "getrandom",
    "gettid",
    "madvise",
    "mmap",
    "mprotect",
    "munmap",
    "prctl",
    "prlimit64",
    "rseq",
    "rt_sigaction",
    "rt_sigprocmask",
    "sched_getaffinity",
    "sched_yield",
    "set_robust_list",
    "sigaltstack",
];

impl Victim {
    /// The exit status of the whole command.
    fn ends_with(self) -> i32 {
        match self {
            Self::Booking(step) => step.ends_with(),
            Self::Rebuild | Self::New | Self::Backup => 0,
        }
    }
}

/// A small home to copy, and files for the commands beside it.
struct Stage {
    folder: tempfile::TempDir,
    ledger: Ledger,
}

impl Stage {
    fn new(victim: Victim, steps: &[Step]) -> Self {
        let folder = world::folder();
        let template = folder.path().join("template");
        if victim != Victim::New {
            world::home(&template, steps);
        }
        if victim == Victim::Booking(Step::Accept) {
            world::restored(&template);
        }
        Self { folder, ledger: Ledger::of(steps) }
    }

    fn fresh_home(&self) -> PathBuf {
        let (home, template) = (self.folder.path().join("home"), self.folder.path().join("template"));
        let copies = self.folder.path().join("copies");
        for before in [&home, &copies].into_iter().filter(|f| f.exists()) {
            std::fs::remove_dir_all(before).expect("the one before goes");
        }
        if template.exists() {
            world::copy(&template, &home);
        }
        home
    }

    /// Where a backup goes: two folders that are not there yet.
    fn backup(&self) -> PathBuf {
        self.folder.path().join("copies/of-today")
    }

    fn strace(&self, home: &Path, victim: Victim, options: &[&str]) -> Output {
        let words = match victim {
            Victim::Booking(step) => step.command(self.folder.path()),
            Victim::Rebuild => ["logbook", "rebuild"].map(ToOwned::to_owned).into(),
            Victim::New => ["new", "--practice", PRACTICE].map(ToOwned::to_owned).into(),
            Victim::Backup => copies::words(&self.backup()),
        };
        let mut command = eased("strace");
        command.args(["-f", "-qq", "-e", "signal=none"]).args(options).arg(program());
        command
            .arg("--home")
            .arg(home)
            .args(["--on", DAY, "--as", "AB", "--act", &act(77).to_string()])
            .args(words);
        command.env_remove("SPARESEAT_HOME").output().unwrap_or_else(|e| {
            panic!(
                "strace could not be started ({e}): install it ('apt-get install strace'), as tests/run does"
            )
        })
    }

    /// Each call's name with the numbers at which to kill.
    fn points(&self, victim: Victim) -> BTreeMap<String, std::ops::RangeInclusive<u64>> {
        let home = self.fresh_home();
        let trace = self.folder.path().join("trace");
        let out = self.strace(&home, victim, &["-o", &trace.to_string_lossy()]);
        assert_eq!(
            code(&out),
            victim.ends_with(),
            "strace or the program failed: {} {}",
            text(&out.stdout),
            text(&out.stderr)
        );
        let traced = std::fs::read_to_string(trace).expect("a trace");
        points(&traced, &home.to_string_lossy())
    }
}

/// Reads the points off a trace.
fn points(traced: &str, home: &str) -> BTreeMap<String, std::ops::RangeInclusive<u64>> {
    let (mut main, mut there) = (None, false);
    let mut before: BTreeMap<&str, u64> = BTreeMap::new();
    let mut made: BTreeMap<(&str, &str), u64> = BTreeMap::new();
    for line in traced.lines() {
        let Some((thread, call)) = line.split_once(' ') else { continue };
        let Some((name, _)) = call.trim_start().split_once('(') else { continue };
        if !name.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_') {
            continue; // the second half of a call, or an exit
        }
        let main = *main.get_or_insert(thread);
        there |= thread == main && name != "execve" && line.contains(home);
        *made.entry((name, thread)).or_default() += 1;
        if !there {
            *before.entry(name).or_default() += 1;
        }
    }
    let names: BTreeSet<&str> = made.keys().map(|(name, _)| *name).collect();
    let range = |name: &str| {
        let most = made.iter().filter(|((n, _), _)| *n == name).map(|(_, count)| *count).max().unwrap_or(0);
        before.get(name).copied().unwrap_or(0) + 1..=most
    };
    names
        .into_iter()
        .map(|name| (name.to_owned(), range(name)))
        .filter(|(_, range)| !range.is_empty())
        .collect()
}

/// What must be true of a home whose program was just killed: `Err` says what is not.
fn after_the_kill(stage: &Stage, home: &Path, victim: Victim, out: &Output) -> Result<(), String> {
    let (mut ledger, act) = (stage.ledger.clone(), act(77));
    let told = world::acknowledges(&text(&out.stdout));
    if let Victim::Booking(step) = victim {
        if told { ledger.acknowledged(step, act) } else { ledger.tried(step, act) }
    }
    let open = || world::open(home).map_err(|e| format!("it does not open: {e}"));
    let (mut desk, _) = open()?;
    // Until the decision is on record the entries that are missing must be known to be missing.
    let undecided = victim == Victim::Booking(Step::Accept) && desk.trouble().is_some();
    if undecided {
        if told {
            return Err("it was told that the logbook is accepted".to_owned());
        }
    } else {
        ledger.check_whole(&mut desk)?;
    }
    match victim {
        Victim::Booking(Step::Accept) if !undecided => {
            if !world::acts(&mut desk)?.contains(&act) {
                return Err("nothing is missing any more, and who decided so is not on record".to_owned());
            }
            ledger.acknowledged(Step::Accept, act);
        }
        Victim::Booking(step) => {
            let before = world::acts(&mut desk)?.contains(&act);
            let booked = step.book(&mut desk, act).map_err(|e| format!("the same act again: {e}"))?;
            if booked.before != before {
                return Err(format!(
                    "the same act again: booked before {}, and it stood there {before}",
                    booked.before
                ));
            }
            ledger.acknowledged(step, act);
        }
        Victim::Rebuild => desk.record().anew("asked for").map_err(|e| format!("rebuild again: {e}"))?,
        Victim::Backup => {
            drop(desk);
            return copies::after_the_kill(home, &stage.backup(), out);
        }
        Victim::New => {}
    }
    ledger.check_whole(&mut desk)
}

/// The same of a home that was being made: there is none, and it can be made, or there is one, and it is whole.
fn after_making(home: &Path, out: &Output) -> Result<(), String> {
    let told = text(&out.stdout).contains("was made at");
    match world::make(home) {
        Ok(()) if told => return Err("it was told that there is a home, and there is none".to_owned()),
        Ok(()) | Err(HomeError::Exists(_)) => {}
        Err(e) => return Err(format!("made again: {e}")),
    }
    let (mut desk, _) = world::open(home).map_err(|e| format!("it does not open: {e}"))?;
    let lines = world::acts(&mut desk)?.len();
    if lines != 1 || desk.trouble().is_some() {
        return Err(format!("{lines} entries in a new home, {:?}", desk.trouble()));
    }
    desk.record().verify().map(|_| ()).map_err(|e| e.to_string())
}

/// An act of the table.
pub fn kill_at_every_call(known: &Known) {
    kill(Victim::Booking(known.step), known.before);
}

fn kill(victim: Victim, steps: &[Step]) {
    let stage = Stage::new(victim, steps);
    let points = stage.points(victim);
    let sure: &[&str] = match victim {
        Victim::New => &["flock", "openat"],
        Victim::Backup => &OF_A_BACKUP,
        _ => &SURE,
    };
    for call in sure {
        assert!(points.contains_key(*call), "{call} is not among the calls of the trace: {points:?}");
    }
    let (mut killed, mut planned) = (0, 0);
    for (call, numbers) in points {
        let thinned = FILELESS.contains(&call.as_str()) && !world::long();
        for n in numbers.step_by(if thinned { 3 } else { 1 }) {
            let home = stage.fresh_home();
            let (only, inject) = (format!("trace={call}"), format!("inject={call}:signal=KILL:when={n}"));
            let out = stage.strace(&home, victim, &["-o", "/dev/null", "-e", &only, "-e", &inject]);
            let said = format!("{victim:?}, killed at {call} number {n}");
            planned += 1;
            match (out.status.signal(), out.status.code()) {
                (Some(9), _) | (_, Some(137)) => killed += 1,
                // Threads share out their work differently each time.
                (_, Some(status)) if status == victim.ends_with() => {}
                other => panic!("{said}: it ended with {other:?}: {}", text(&out.stderr)),
            }
            let after = match victim {
                Victim::New => after_making(&home, &out),
                _ => after_the_kill(&stage, &home, victim, &out),
            };
            after.unwrap_or_else(|e| panic!("{said}: {e}"));
            // What the library finds whole the program must find whole; a sample, for the time it takes.
            if planned % 16 == 0 || world::long() {
                let verify =
                    crate::support::started().arg("--home").arg(&home).args(["logbook", "verify"]).output();
                let verify = verify.expect("the program starts");
                assert_eq!(code(&verify), 0, "{said}: {}{}", text(&verify.stdout), text(&verify.stderr));
            }
        }
    }
    let least = if victim == Victim::New { 20 } else { 100 };
    assert!(planned > least && killed * 10 > planned * 9, "{victim:?}: {killed} kills of {planned} planned");
}

#[test]
fn killed_at_every_call_of_rebuild() {
    kill(Victim::Rebuild, &READY);
}

#[test]
fn killed_at_every_call_of_a_backup() {
    kill(Victim::Backup, &READY);
}

#[test]
fn killed_at_every_call_of_new() {
    kill(Victim::New, &[]);
}

#[test]
fn killed_at_every_call_of_logbook_accept() {
    kill(Victim::Booking(Step::Accept), &READY);
}

#[test]
fn the_points_are_read_off_a_trace() {
    let traced = "7 execve(\"p\", [\"/h\"]) = 0\n7 read(3) = 1\n7 openat(\"/h/lock\") = 4\n7 read(4 <unfinished ...>\n\
                  8 read(5) = 1\n7 <... read resumed>) = 1\n8 rename(\"a\", \"b\") = 0\n7 +++ exited with 0 +++\n";
    let found: Vec<String> = points(traced, "/h").iter().map(|(call, n)| format!("{call} {n:?}")).collect();
    assert_eq!(found, ["openat 1..=1", "read 2..=2", "rename 1..=1"]);
}
