//! A program that stops in the middle of a booking, with the lock in its hand.

use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use super::world::{self, READY, Step};
use crate::support::{DAY, Place, code, eased, program, text};

/// A booking that hangs between its write and its sync, as a stopped process does.
struct Hanging {
    tracer: Child,
    pid: String,
}

impl Hanging {
    fn at(place: &Place) -> Self {
        let mut command = eased("strace");
        command.args(["-f", "-qq", "-o", "/dev/null", "-e", "trace=fdatasync"]);
        // The first sync of a booking over a view that is up to date is the one after its write.
        command.args(["-e", "inject=fdatasync:delay_enter=90000000"]);
        command.arg(program()).arg("--home").arg(place.home()).args(["--on", DAY, "--as", "AB"]);
        command.args(Step::Receive(1, 0).command(place.folder()));
        let tracer = command.stdout(Stdio::null()).stderr(Stdio::null()).spawn();
        let tracer = tracer.expect("strace starts: 'bash tests/run' installs it");
        let logbook = place.home().join("logbook.jsonl");
        let before = std::fs::metadata(&logbook).expect("a logbook").len();
        let until = Instant::now() + Duration::from_secs(30);
        while std::fs::metadata(&logbook).expect("a logbook").len() == before {
            assert!(Instant::now() < until, "the booking never came to its write");
            std::thread::sleep(Duration::from_millis(5));
        }
        let pid = std::fs::read_to_string(place.home().join("lock")).expect("the lock names its holder");
        let stopped = Command::new("kill").args(["-STOP", &pid]).status().expect("kill starts");
        assert!(stopped.success(), "process {pid} cannot be stopped");
        Self { tracer, pid }
    }
}

impl Drop for Hanging {
    fn drop(&mut self) {
        let _ = Command::new("kill").args(["-KILL", &self.pid]).status();
        let _ = self.tracer.kill();
        let _ = self.tracer.wait();
    }
}

#[test]
fn a_stopped_program_holding_the_lock_is_named_and_look_ups_still_answer() {
    let place = Place::empty();
    world::home(&place.home(), &READY);
    let hanging = Hanging::at(&place);

    let begun = Instant::now();
    let stock = place.run(&["stock"]);
    let waited = begun.elapsed();
    assert_eq!(code(&stock), 0, "{}", text(&stock.stderr));
    assert!(
        text(&stock.stdout).contains("6 pieces"),
        "the unsynced booking is in the answer: {}",
        text(&stock.stdout)
    );
    let said = text(&stock.stderr);
    assert!(
        said.contains("answered as of entry 4") && said.contains(&format!("process {}", hanging.pid)),
        "{said}"
    );
    // Two seconds for the lock, a quarter of one for the view, and what a busy machine adds.
    assert!(waited < Duration::from_secs(6), "a look-up waited {waited:?}");

    let begun = Instant::now();
    let out = place.book(&[
        "receive",
        world::SCREW,
        "--lot",
        world::LOT,
        "--quantity",
        "1",
        "--place",
        world::DRAWERS[0],
    ]);
    assert_eq!(code(&out), 3, "{}", text(&out.stderr));
    assert!(begun.elapsed() > Duration::from_secs(9), "a booking gave up after {:?}", begun.elapsed());
    let said = text(&out.stderr);
    assert!(
        said.contains(&format!("process {}", hanging.pid)) && said.contains("nothing was booked"),
        "{said}"
    );

    drop(hanging);
    let out = place.book(&[
        "receive",
        world::SCREW,
        "--lot",
        world::LOT,
        "--quantity",
        "1",
        "--place",
        world::DRAWERS[0],
    ]);
    assert_eq!(code(&out), 0, "{}", text(&out.stderr));
    assert_eq!(code(&place.run(&["logbook", "verify"])), 0);
}
