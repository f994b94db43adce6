//! Random acts through the desk against a plain model: what is booked, what is refused, and what the view then says.
//!
//! The model knows nothing of entries, rows or logbooks: it adds and subtracts in maps. Between the acts the record is
//! closed and opened, folded anew, and held against a view folded at once in memory. Everything follows from the seed.

mod acts;
mod apart;
mod bench;
mod check;
mod counting;
mod holding;
mod plain;
mod receiving;
mod visits;

use spareseat::logbook::Head;
use spareseat::maintenance::upkeep;

use acts::{Act, Asked};
use apart::ApartAct;
use bench::{Backend, Bench};
use holding::HoldAct;
use plain::Plain;

/// Where the random choices come from.
pub struct Dice(fastrand::Rng);

impl Dice {
    fn new(seed: u64) -> Self {
        Self(fastrand::Rng::with_seed(seed))
    }

    /// 0 to `n` - 1.
    pub fn below(&mut self, n: usize) -> usize {
        self.0.usize(..n)
    }

    /// True `percent` times of a hundred.
    pub fn chance(&mut self, percent: usize) -> bool {
        self.below(100) < percent
    }

    /// One of `all`.
    pub fn pick<T: Copy>(&mut self, all: &[T]) -> T {
        all[self.below(all.len())]
    }
}

/// How often each kind of act was booked and refused, so that a generator that never hits anything is noticed.
#[derive(Default)]
struct Tally {
    acts: std::collections::BTreeMap<&'static str, [u32; 2]>,
    /// How many holds were found short: undercut by what has happened since they were made.
    short: usize,
    /// How many units of what was set aside for another case went into a patient.
    used_held: usize,
}

impl Tally {
    fn count(&mut self, kind: &'static str, booked: bool) {
        self.acts.entry(kind).or_default()[usize::from(booked)] += 1;
    }

    /// Every kind was booked and refused at least `least` times.
    fn has_seen_all(&self, least: u32) {
        assert_eq!(self.acts.len(), 25, "{:?}", self.acts);
        assert!(self.short > 0, "no hold was ever undercut");
        assert!(self.used_held > 0, "nothing that was set aside for another case was used");
        for (kind, [refused, booked]) in &self.acts {
            // Lots are called back now and then, and few parts may be used again.
            let rare = ["withdraw", "reprocess"].contains(kind);
            let (least, refused) = if rare { (1, &1) } else { (least, refused) };
            assert!(*refused >= least && *booked >= least, "{kind}: {booked} booked, {refused} refused");
        }
    }
}

/// What must be true right after an act was booked.
fn at_once(bench: &mut Bench, plain: &Plain, act: &Act, told: &str, tally: &mut Tally) {
    match act {
        Act::Hold(HoldAct::Hold { .. }) => holding::covered(bench.desk().view(), plain, told),
        Act::Apart(ApartAct::Withdraw { lot }) => apart::withdrawn(bench, plain, *lot, told),
        Act::Use(a) if a.held => {
            let (_, logbook) = bench.desk().view_and_logbook();
            let head = Head::start(logbook.identity().unwrap());
            let entry = upkeep::entry(logbook, &head, plain.entries()).unwrap().unwrap();
            tally.used_held += usize::from(entry.kind() == "use.2");
        }
        _ => {}
    }
}

/// Plays `acts` random acts; `look` says after how many the whole record is held against the model.
fn play(backend: Backend, seed: u64, acts: usize, look: usize, tally: &mut Tally) {
    let mut dice = Dice::new(seed);
    let mut bench = Bench::new(backend);
    let mut plain = Plain::default();
    let mut made: Vec<(u128, u64)> = Vec::new();
    for n in 0..acts {
        let told = format!("seed {seed}, act {n}");
        let act = Act::random(&mut dice, &plain);
        // Now and then the act of an earlier booking comes again, with whatever was asked this time.
        if !made.is_empty() && dice.chance(4) {
            let (id, entry) = dice.pick(&made);
            let again = bench.ask(&act, id, &plain);
            assert_eq!(
                again,
                Asked::Booked { entry, before: true },
                "{told}: the act of entry {entry} again"
            );
        } else {
            let id = dice.0.u128(..);
            let asked = bench.ask(&act, id, &plain);
            let expected = plain.apply(&act);
            let booked = asked == Asked::Booked { entry: plain.entries(), before: false };
            assert_eq!(booked, expected, "{told}: {act:?} came to {asked:?}");
            assert!(booked || matches!(asked, Asked::Refused(_)), "{told}: {act:?} came to {asked:?}");
            tally.count(act.kind(), booked);
            if booked {
                made.push((id, plain.entries()));
                at_once(&mut bench, &plain, &act, &told, tally);
            }
        }
        if dice.chance(2) {
            plain.next_day();
            bench.reopen(&plain);
        }
        if dice.chance(1) {
            bench.rebuild();
        }
        if n % look == look - 1 {
            tally.short += check::everything(&mut bench, &plain, &told);
        }
    }
    check::everything(&mut bench, &plain, &format!("seed {seed}, at the end"));
    check::folded_at_once(&mut bench, &plain, &format!("seed {seed}, at the end"));
}

#[test]
fn random_acts_over_a_logbook_in_memory() {
    for seed in [1, 2, 3] {
        let mut tally = Tally::default();
        play(Backend::Memory, seed, 2400, 60, &mut tally);
        tally.has_seen_all(5);
    }
}

#[test]
fn random_acts_over_a_logbook_and_a_view_on_disk() {
    let mut tally = Tally::default();
    for seed in [13, 14] {
        play(Backend::Disk, seed, 800, 60, &mut tally);
    }
    tally.has_seen_all(1);
}
