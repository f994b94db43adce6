//! Two thousand kills at random times, two programs at a time, and a parent that remembers every acknowledged booking.

use std::io::Read as _;
use std::path::Path;
use std::process::{Command, Stdio};
use std::sync::Mutex;
use std::time::{Duration, Instant};

use super::visits::Visiting;
use super::world::{self, Ledger, READY, Step, act};
use crate::support::{DAY, program, text};

/// Both drawers and the bridge are there from the beginning: which booking comes first is left to chance.
const BEFORE: [Step; 5] = [READY[0], READY[1], READY[2], Step::Receive(6, 1), Step::Visit(Visiting::Case)];

const KILLS: u32 = 2000;
/// How many bookings the kills were meant for may yet end before the kill: then more are started.
const MOST_STARTED: u32 = 4 * KILLS;

/// What the two children share: the next act, how many were killed, and what was acknowledged.
struct Tally {
    next: u32,
    killed: u32,
    ledger: Ledger,
}

fn step(n: u32, random: &mut fastrand::Rng) -> Step {
    match (n % 6, random.usize(..2)) {
        (0 | 1, drawer) => Step::Receive(1 + n % 3, drawer),
        (2, drawer) => Step::Move(1, drawer),
        (3, drawer) => Step::Use(drawer),
        // A visit that is begun, and then its tray: which of them finds the other there is left to chance too.
        (4, _) => Step::Visit([Visiting::Open, Visiting::End][(n / 6 % 2) as usize]),
        _ => Step::Visit(Visiting::Tray),
    }
}

/// Starts one booking after the other and kills each after a random time.
fn kill_one_after_the_other(home: &Path, longest: Duration, seed: u64, tally: &Mutex<Tally>) {
    let mut random = fastrand::Rng::with_seed(seed);
    loop {
        let (n, step) = {
            let mut tally = tally.lock().expect("the other went well");
            if tally.killed >= KILLS || tally.next >= MOST_STARTED {
                return;
            }
            tally.next += 1;
            let step = step(tally.next, &mut random);
            let n = tally.next;
            tally.ledger.tried(step, act(n));
            (n, step)
        };
        let mut command = Command::new(program());
        command.arg("--home").arg(home).args(["--on", DAY, "--as", "AB", "--act", &act(n).to_string()]);
        command.args(step.command(home)).stdout(Stdio::piped()).stderr(Stdio::piped());
        let mut child = command.spawn().expect("the program starts");
        let until = Instant::now() + longest.mul_f64(random.f64());
        while Instant::now() < until && child.try_wait().expect("it is ours").is_none() {
            std::thread::sleep(Duration::from_micros(500));
        }
        child.kill().expect("it is ours");
        let status = child.wait().expect("it is ours");
        let mut out = String::new();
        child.stdout.take().expect("piped").read_to_string(&mut out).expect("text");
        let mut tally = tally.lock().expect("the other went well");
        match status.code() {
            None => tally.killed += 1,
            Some(0) => {
                assert!(world::acknowledges(&out), "it ended well and acknowledged nothing: {out}");
            }
            // There may be nothing in that drawer, or no visit to end.
            Some(1) => {}
            Some(code) => {
                let mut err = String::new();
                child.stderr.take().expect("piped").read_to_string(&mut err).expect("text");
                panic!("{step:?} ended with {code}: {out}{err}");
            }
        }
        if world::acknowledges(&out) {
            tally.ledger.acknowledged(step, act(n));
        }
    }
}

#[test]
fn two_thousand_random_kills_lose_nothing_that_was_acknowledged() {
    let memory = Path::new("/dev/shm");
    let folder = if memory.is_dir() { tempfile::tempdir_in(memory) } else { tempfile::tempdir() };
    let folder = folder.expect("a folder");
    let home = folder.path().join("home");
    world::home(&home, &BEFORE);
    let (seed, began) = (0x5ea7, Instant::now());
    let whole = Command::new(program()).arg("--home").arg(&home).args(["--on", DAY, "stock"]).output();
    assert!(whole.is_ok_and(|out| out.status.success()), "the program answers");
    // Up to a little longer than a whole run takes, so that kills fall on all of it.
    let longest = began.elapsed().mul_f64(1.5);
    let tally = Mutex::new(Tally { next: 100, killed: 0, ledger: Ledger::of(&BEFORE) });
    std::thread::scope(|threads| {
        for n in 0..2 {
            let (home, tally) = (&home, &tally);
            threads.spawn(move || kill_one_after_the_other(home, longest, seed + n, tally));
        }
    });
    let tally = tally.into_inner().expect("both went well");
    assert!(tally.killed >= KILLS, "only {} kills of {} started", tally.killed, tally.next);
    let acknowledged = tally.ledger.count();
    assert!(
        acknowledged > 50,
        "only {acknowledged} were acknowledged: the kills came too early to show anything"
    );
    let trays = tally.ledger.acknowledged_of(Step::Visit(Visiting::Tray));
    assert!(trays > 3, "only {trays} trays were acknowledged");
    let verify = Command::new(program()).arg("--home").arg(&home).args(["logbook", "verify"]).output();
    let verify = verify.expect("the program starts");
    assert_eq!(
        verify.status.code(),
        Some(0),
        "seed {seed}: {}{}",
        text(&verify.stdout),
        text(&verify.stderr)
    );
    let (mut desk, _) = world::open(&home).expect("it opens");
    tally.ledger.check_whole(&mut desk).unwrap_or_else(|e| panic!("seed {seed}: {e}"));
}
