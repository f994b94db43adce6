//! Figures of the record, each beside a stated peer in the same run. Never a timed test.
//!
//! ```sh
//! cargo build --release --examples && cargo bench --bench record            # 100 000 parts and entries
//! cargo build --release --examples && cargo bench --bench record -- million # and a million of each, 15 minutes
//! cargo bench --bench record -- booking                                      # only what a booking costs, act by act
//! cargo build --release --examples && cargo bench --bench record -- trace    # only tracing and calling back
//! ```
//!
//! Peers: a program that does nothing (`true`), an empty sled opened by a process of its own (this one), the sqlite3
//! shell answering as many indexed look-ups on as many rows, and the bare append and sync of equal bytes.

mod booking;
mod tracing;

use std::fs::{self, OpenOptions};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use spareseat::record::VIEW_FOLDER;
use spareseat::store::SledStore;

const RUNS: usize = 41;
/// How many rows a visit looks up, roughly: parts, stock, assemblies, lists.
const LOOKUPS: usize = 120;

fn main() {
    let args: Vec<String> = std::env::args().collect();
    if let Some(at) = args.iter().position(|a| a == "open-empty-sled") {
        SledStore::open(Path::new(&args[at + 1])).expect("an empty store");
        return;
    }
    let folder = tempfile::tempdir().expect("a folder");
    load("when it began");
    let only = |part: &str| args.iter().any(|a| a == part);
    if only("booking") {
        booking::every_act(folder.path());
        return load("when it ended");
    }
    println!("| what | median | p90 | peak memory |\n|---|---|---|---|");
    if only("trace") {
        tracing::all(&scaled(folder.path(), 100_000, 100_000));
        return load("when it ended");
    }
    peers(folder.path());
    let ten = scaled(folder.path(), 10_000, 100_000);
    visits("visit, 10 000 parts, 100 000 entries", &ten);
    let hundred = scaled(folder.path(), 100_000, 100_000);
    visits("visit, 100 000 parts, 100 000 entries", &hundred);
    unusable(&hundred);
    sqlite(folder.path(), 100_000);
    tracing::all(&hundred);
    booking::every_act(folder.path());
    if only("million") {
        let parts = scaled(folder.path(), 1_000_000, 100_000);
        visits("visit, 1 000 000 parts, 100 000 entries", &parts);
        fs::remove_dir_all(parts).expect("room");
        let entries = scaled(folder.path(), 100_000, 1_000_000);
        visits("visit, 100 000 parts, 1 000 000 entries", &entries);
        let whole = entries.join(VIEW_FOLDER);
        println!("| view of 1 000 000 entries on disk | {} MB | | |", size(&whole) >> 20);
        once("fold of 1 000 000 entries into a new view", &entries, &["logbook", "rebuild"]);
        once("verify of 1 000 000 entries", &entries, &["logbook", "verify"]);
    }
}

/// How busy the machine was: figures of a shared one mean little.
fn load(when: &str) {
    let load = fs::read_to_string("/proc/loadavg").unwrap_or_else(|e| format!("not known: {e}"));
    println!("load average {when}: {}", load.trim());
}

/// One run of a program: how long, and its peak memory in KiB as the system last said it.
fn run(command: &mut Command) -> (Duration, u64) {
    let begun = Instant::now();
    let mut child = command.stdout(Stdio::null()).stderr(Stdio::null()).spawn().expect("it starts");
    let status = format!("/proc/{}/status", child.id());
    let mut peak = 0;
    let poll = Duration::from_micros(500);
    while child.try_wait().expect("it can be asked").is_none() {
        let said = fs::read_to_string(&status).unwrap_or_default();
        let kib =
            said.lines().find_map(|l| l.strip_prefix("VmHWM:")?.trim().strip_suffix(" kB")?.parse().ok());
        peak = peak.max(kib.unwrap_or(0));
        std::thread::sleep(poll);
    }
    (begun.elapsed(), peak)
}

fn row(what: &str, mut runs: Vec<(Duration, u64)>) {
    runs.sort();
    let ms = |at: usize| format!("{:.1} ms", runs[at].0.as_secs_f64() * 1e3);
    let peak = runs.iter().map(|(_, kib)| *kib).max().unwrap_or(0);
    println!(
        "| {what} | {} | {} | {:.0} MB |",
        ms(runs.len() / 2),
        ms(runs.len() * 9 / 10),
        peak as f64 / 1024.0
    );
}

fn repeat(what: &str, times: usize, mut command: impl FnMut() -> Command) {
    run(&mut command());
    row(what, (0..times).map(|_| run(&mut command())).collect());
}

fn peers(folder: &Path) {
    repeat("a program that does nothing (true)", RUNS, || Command::new("true"));
    let store = folder.join("empty-sled");
    let this = std::env::current_exe().expect("this program");
    repeat("an empty sled opened", RUNS, || {
        let mut command = Command::new(&this);
        command.arg("open-empty-sled").arg(&store);
        command
    });
}

fn spareseat(home: &Path, args: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_spareseat"));
    command.arg("--home").arg(home).args(["--on", "2026-11-25", "--as", "AB"]).args(args);
    command
}

fn scaled(folder: &Path, parts: u32, entries: u32) -> PathBuf {
    let home = folder.join(format!("{parts}-{entries}"));
    let made = Path::new(env!("CARGO_BIN_EXE_spareseat")).with_file_name("examples").join("scale");
    let size = [parts, 1000, entries].map(|n| n.to_string());
    let done = Command::new(made)
        .arg("--home")
        .arg(&home)
        .args(["--parts", &size[0], "--cases", &size[1], "--entries", &size[2], "--seed", "1"])
        .stdout(Stdio::null())
        .status();
    assert!(done.is_ok_and(|s| s.success()), "first: cargo build --release --examples");
    run(&mut spareseat(&home, &["case", "list"])); // folds the view once
    home
}

const VISIT: [&str; 7] =
    ["visit", "100000", "--site", "25", "--broken", "prosthetic-screw", "--left=shank-in-abutment"];

fn visits(what: &str, home: &Path) {
    repeat(what, RUNS, || spareseat(home, &VISIT));
}

fn unusable(home: &Path) {
    let lock = OpenOptions::new()
        .write(true)
        .open(home.join(format!("{VIEW_FOLDER}.lock")))
        .expect("the view's lock");
    lock.lock().expect("held");
    repeat("the same, view unusable (0.25 s of it waiting for the view)", 5, || spareseat(home, &VISIT));
}

fn once(what: &str, home: &Path, args: &[&str]) {
    row(what, vec![run(&mut spareseat(home, args))]);
}

fn size(folder: &Path) -> u64 {
    let mut total = 0;
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let meta = entry.metadata().expect("a file");
        total += if meta.is_dir() { size(&entry.path()) } else { meta.len() };
    }
    total
}

fn sqlite(folder: &Path, rows: usize) {
    let file = folder.join("peer.sqlite");
    let make = format!(
        "create table part(code text primary key, body blob); \
         with recursive n(i) as (select 0 union all select i + 1 from n where i < {rows} - 1) \
         insert into part select 'sys-' || i || '-part', randomblob(400) from n;"
    );
    let made = Command::new("sqlite3").arg(&file).arg(make).stdout(Stdio::null()).status();
    if !made.is_ok_and(|s| s.success()) {
        println!("| sqlite3 shell | not installed | | |");
        return;
    }
    let step = rows / LOOKUPS;
    let ask: String = (0..LOOKUPS)
        .map(|n| format!("select hex(body) from part where code = 'sys-{}-part';", n * step))
        .collect();
    repeat("sqlite3 shell, 120 indexed look-ups in 100 000 rows", RUNS, || {
        let mut command = Command::new("sqlite3");
        command.arg(&file).arg(&ask);
        command
    });
}
