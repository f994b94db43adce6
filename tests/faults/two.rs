//! Two programs at once: one home, one lot, exactly the last unit.

use std::path::Path;
use std::process::{Output, Stdio};

use spareseat::units::Act;

use super::acts::{ACTS, Known};
use super::world::{self, Ledger, READY, Step};
use crate::support::{DAY, Place, code, eased, program, text};

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

/// Starts the command twice at once, as these two acts, in a copy of the home; gives what came of both.
fn at_once(template: &Path, home: &Path, words: &[String], acts: [Act; 2]) -> [Output; 2] {
    let _ = std::fs::remove_dir_all(home);
    world::copy(template, home);
    let start = |act: Act| {
        let mut command = crate::support::started();
        command
            .arg("--home")
            .arg(home)
            .args(["--on", DAY, "--as", "AB", "--act", &act.to_string()])
            .args(words);
        command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().expect("the program starts")
    };
    acts.map(start).map(|child| child.wait_with_output().expect("it ends"))
}

/// One act that is asked for twice is booked once and answered twice; two acts are booked, or the second is refused for
/// what the first did, never for a lock.
#[test]
fn of_two_who_do_the_same_at_once_none_is_lost_and_none_is_booked_twice() {
    let (one, other) = (world::act(77), world::act(78));
    for Known { name, step, before } in ACTS {
        let folder = world::folder();
        let (template, home) = (folder.path().join("template"), folder.path().join("home"));
        world::home(&template, before);
        let words = step.command(folder.path());
        for acts in [[one, one], [one, other]] {
            let both = at_once(&template, &home, &words, acts);
            let said = || both.each_ref().map(|o| format!("{} {}", text(&o.stdout), text(&o.stderr)));
            let mut ledger = Ledger::of(before);
            for (act, out) in acts.iter().zip(&both) {
                match code(out) {
                    0 => ledger.acknowledged(*step, *act),
                    // A visit on record answers no while something is missing, and is booked all the same.
                    1 if step.ends_with() == 1 && world::acknowledges(&text(&out.stdout)) => {
                        ledger.acknowledged(*step, *act);
                    }
                    1 | 2 if acts == [one, other] => {}
                    _ => panic!("{name}, {acts:?}: {:?}", said()),
                }
            }
            assert!(ledger.count() > before.len(), "{name}, {acts:?}: {:?}", said());
            let (mut desk, _) = world::open(&home).expect("it opens");
            ledger.check_whole(&mut desk).unwrap_or_else(|e| panic!("{name}, {acts:?}: {e} {:?}", said()));
        }
    }
}

/// Runs the same command so many times in a row, as a process of its own, and says each exit status.
fn again_and_again(place: &Place, times: u32, args: &[String]) -> std::process::Child {
    let script = "n=$1; shift; for i in $(seq $n); do \"$@\" >/dev/null 2>>\"$SAID\"; echo $?; done";
    let mut command = eased("bash");
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
