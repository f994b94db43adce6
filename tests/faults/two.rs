//! Two programs at once: one home, one lot, exactly the last unit.

use std::process::{Command, Output, Stdio};

use super::world::{self, READY, Step};
use crate::support::{DAY, Place, code, program, text};

#[test]
fn of_two_who_make_one_home_exactly_one_does() {
    for round in 0..20 {
        let place = Place::empty();
        let make = || {
            let mut command =
                place.command(&["--as", "AB", "new", "--practice", "Mudflat Practice (made up)"]);
            command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().expect("the program starts")
        };
        let both = [make(), make()].map(|child| child.wait_with_output().expect("it ends"));
        let mut codes = both.each_ref().map(code);
        codes.sort_unstable();
        assert_eq!(codes, [0, 2], "round {round}: {:?}", both.each_ref().map(|o| text(&o.stderr)));
        let second: Vec<String> = both.iter().filter(|o| code(o) == 2).map(|o| text(&o.stderr)).collect();
        assert!(second[0].contains("is a home already: nothing was made"), "round {round}: {second:?}");
        assert_eq!(code(&place.run(&["logbook", "verify"])), 0, "round {round}");
    }
}

/// Runs the same command so many times in a row, as a process of its own, and says each exit status.
fn again_and_again(place: &Place, times: u32, args: &[String]) -> std::process::Child {
    let script = "n=$1; shift; for i in $(seq $n); do \"$@\" >/dev/null 2>>\"$SAID\"; echo $?; done";
    let mut command = Command::new("bash");
    command.args(["-c", script, "bash", &times.to_string(), program()]);
    command.arg("--home").arg(place.home()).args(["--on", DAY, "--as", "AB"]).args(args);
    command.env("SAID", place.folder().join("said"));
    command.stdout(Stdio::piped()).spawn().expect("bash starts")
}

fn count(out: &Output, status: &str) -> usize {
    text(&out.stdout).lines().filter(|l| *l == status).count()
}

#[test]
fn five_hundred_bookings_each_run_the_stock_dry_at_exactly_the_last_unit() {
    const STOCK: u32 = 600;
    let place = Place::empty();
    world::home(&place.home(), &[READY[0], READY[1], Step::Receive(STOCK, 0)]);
    let using = Step::Use(0).command(place.folder());
    let both = [again_and_again(&place, 500, &using), again_and_again(&place, 500, &using)];
    let both = both.map(|child| child.wait_with_output().expect("it ends"));
    let said = std::fs::read_to_string(place.folder().join("said")).unwrap_or_default();
    let (booked, refused) =
        both.iter().fold((0, 0), |(b, r), out| (b + count(out, "0"), r + count(out, "1")));
    assert_eq!((booked, refused), (STOCK as usize, 1000 - STOCK as usize), "{said}");
    assert!(!said.contains("locked"), "somebody was refused for a lock: {said}");
    let stock = place.json(&["stock"]);
    assert_eq!(stock["rows"].as_array().map(Vec::len), Some(0), "{stock}");
    let verified = place.run(&["logbook", "verify"]);
    assert_eq!(code(&verified), 0, "{}{}", text(&verified.stdout), text(&verified.stderr));
    let entries = place.json(&["logbook", "show"]);
    let uses =
        entries["entries"].as_array().expect("entries").iter().filter(|e| e["what"]["use.1"].is_object());
    assert_eq!(uses.count(), STOCK as usize);
}
