//! Two thousand kills at random times, two programs at a time, and a parent that remembers every acknowledged booking.

use std::collections::BTreeSet;
use std::io::Read as _;
use std::path::Path;
use std::process::Stdio;
use std::sync::Mutex;
use std::time::{Duration, Instant};

use spareseat::units::Act;

use super::recording::Recording;
use super::stocking::Stocking;
use super::visits::{BRIDGE, Visiting};
use super::world::{self, CASE, Ledger, READY, Step, act};
use crate::support::{DAY, text};

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
    /// What was acknowledged and can be let go of, called off, taken back: its entry.
    known: Vec<(Step, u64)>,
}

impl Tally {
    /// Enough was acknowledged to show that it lasts: of a busy machine the kills mostly come too early.
    fn enough(&self) -> bool {
        self.known.len() > 50 && self.trays() > 3 && self.sorts().len() > 15
    }

    fn trays(&self) -> usize {
        self.ledger.acknowledged_of(Step::Visit(Visiting::Tray))
    }

    /// The sorts of acts that were acknowledged.
    fn sorts(&self) -> BTreeSet<String> {
        self.known.iter().map(|(step, _)| step.sort()).collect()
    }

    /// The entry of a step of that sort, any of them.
    fn any(&self, random: &mut fastrand::Rng, sort: fn(&Step) -> bool) -> Option<u64> {
        let known: Vec<u64> = self.known.iter().filter(|(step, _)| sort(step)).map(|(_, n)| *n).collect();
        random.choice(known)
    }

    /// The next step: of every sort there is.
    fn step(&self, random: &mut fastrand::Rng) -> Step {
        let (n, drawer) = (self.next, random.usize(..2));
        let case = random.choice([CASE, BRIDGE]).unwrap_or(CASE);
        let step = match n % 42 {
            0 => return Step::Stock(Stocking::Deliver(n)),
            1 => Stocking::Hold(1 + n % 3, case),
            2 => Stocking::Discard,
            3 => Stocking::Return,
            4 => Stocking::GiveBack,
            5 => Stocking::Reprocess,
            6 => Stocking::Quarantine,
            7 => Stocking::Lift,
            8 => Stocking::Count,
            9 => Stocking::Need,
            10 => Stocking::UseHeld,
            11 => {
                let hold = self.any(random, |s| matches!(s, Step::Stock(Stocking::Hold(..))));
                hold.map_or(Stocking::Hold(1, case), Stocking::Release)
            }
            12 => {
                let need = self.any(random, |s| matches!(s, Step::Stock(Stocking::Need)));
                need.map_or(Stocking::Need, Stocking::NeedOff)
            }
            13 => Stocking::WithdrawDelivered(n - 13 - 42 * random.u32(..3)),
            14 => return Step::Record(Recording::Fit),
            15 => return Step::Record(Recording::Note),
            16 => return Step::Record(Recording::Verify),
            17 => return Step::Record(Recording::Close(n / 42 % 4 == 0)),
            18 => return Step::Record(Recording::Check),
            19 => return Step::Record(Recording::Bands((n / 42 % 100) as usize)),
            20 => return Step::Record(Recording::Answer),
            21 => return Step::Take(n % 2 == 0),
            22 => return Step::Measure,
            23 => {
                let delivery = self.any(random, |s| matches!(s, Step::Receive(..)));
                return delivery.map_or(Step::Receive(2, drawer), Step::Counter);
            }
            24..=27 => return Step::Move(1, drawer),
            28..=30 => return Step::Use(drawer),
            // A visit that is begun, and then its tray: which of them finds the other there is left to chance too.
            31 | 33 => return Step::Visit([Visiting::Open, Visiting::End][(n / 42 % 2) as usize]),
            32 | 34 | 35 => return Step::Visit(Visiting::Tray),
            _ => return Step::Receive(1 + n % 3, drawer),
        };
        Step::Stock(step)
    }

    /// What was printed acknowledges it.
    fn told(&mut self, step: Step, act: Act, out: &str) {
        self.ledger.acknowledged(step, act);
        let number =
            out.lines().find_map(|line| line.strip_prefix("entry ")?.split(':').next()?.parse().ok());
        self.known.push((step, number.unwrap_or_else(|| panic!("which entry? {out}"))));
    }
}

/// Starts one booking after the other and kills each after a random time.
fn kill_one_after_the_other(home: &Path, longest: Duration, seed: u64, tally: &Mutex<Tally>) {
    let mut random = fastrand::Rng::with_seed(seed);
    loop {
        let (n, step) = {
            let mut tally = tally.lock().expect("the other went well");
            if tally.killed >= KILLS && tally.enough() || tally.next >= MOST_STARTED {
                return;
            }
            tally.next += 1;
            let step = tally.step(&mut random);
            let n = tally.next;
            tally.ledger.tried(step, act(n));
            (n, step)
        };
        let mut command = crate::support::started();
        command.arg("--home").arg(home).args(["--on", DAY, "--as", "AB", "--act", &act(n).to_string()]);
        command.args(step.command(home)).stdout(Stdio::piped()).stderr(Stdio::piped());
        let mut child = command.spawn().expect("the program starts");
        // One in six comes too late as a rule, so that there is something to lose.
        let patience = if random.u8(..6) == 0 { 4.0 } else { random.f64() };
        let until = Instant::now() + longest.mul_f64(patience);
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
            Some(code) => {
                let mut err = String::new();
                child.stderr.take().expect("piped").read_to_string(&mut err).expect("text");
                // There may be nothing in that drawer, no visit to end, no such hold any more.
                let refused = [1, 2].contains(&code) && !err.contains("Usage");
                assert!(refused, "{step:?} ended with {code}: {out}{err}");
            }
        }
        if world::acknowledges(&out) {
            tally.told(step, act(n), &out);
        }
    }
}

#[test]
fn two_thousand_random_kills_lose_nothing_that_was_acknowledged() {
    let folder = world::folder();
    let home = folder.path().join("home");
    world::home(&home, &BEFORE);
    let (seed, mut ledger) = (0x5ea7, Ledger::of(&BEFORE));
    let mut took = Vec::new();
    for n in 50..56 {
        let began = Instant::now();
        let mut command = crate::support::started();
        command.arg("--home").arg(&home).args(["--on", DAY, "--as", "AB", "--act", &act(n).to_string()]);
        let whole = command.args(Step::Receive(1, 0).command(&home)).output().expect("the program starts");
        assert!(whole.status.success(), "{}", text(&whole.stderr));
        ledger.acknowledged(Step::Receive(1, 0), act(n));
        took.push(began.elapsed());
    }
    // As long as a booking takes by itself, so that beside another one kills fall on all of it.
    took.sort();
    let longest = took[took.len() / 2];
    let tally = Mutex::new(Tally { next: 100, killed: 0, ledger, known: Vec::new() });
    std::thread::scope(|threads| {
        for n in 0..2 {
            let (home, tally) = (&home, &tally);
            threads.spawn(move || kill_one_after_the_other(home, longest, seed + n, tally));
        }
    });
    let tally = tally.into_inner().expect("both went well");
    assert!(tally.killed >= KILLS, "only {} kills of {} started", tally.killed, tally.next);
    let (acknowledged, trays, sorts) = (tally.known.len(), tally.trays(), tally.sorts());
    assert!(
        tally.enough(),
        "only {acknowledged} were acknowledged, {trays} of them trays; the kills came too early to show anything: {sorts:?}"
    );
    let verify = crate::support::started().arg("--home").arg(&home).args(["logbook", "verify"]).output();
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
