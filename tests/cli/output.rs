//! Where answers and messages go: stdout and stderr, pipes that close, disks that are full, no colour in a pipe.

use std::io::Read as _;
use std::process::Stdio;

use super::typed::{typed, words};
use crate::support::{Place, code, text};

#[test]
fn whoever_reads_has_read_enough() {
    let place = Place::demo();
    // Longer than a pipe holds, so that the program does meet the closed end.
    let mut child = place
        .command(&["--json", "part", "list"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut first = [0];
    child.stdout.take().unwrap().read_exact(&mut first).unwrap();
    let out = child.wait_with_output().unwrap();
    assert_eq!((first, code(&out), text(&out.stderr)), (*b"{", 0, String::new()));
    let whole = place.run(&["--json", "part", "list"]);
    assert!(whole.stdout.len() > 1 << 17, "a pipe might hold {} bytes", whole.stdout.len());
}

#[test]
fn an_answer_that_cannot_be_written_is_no_success() {
    let place = Place::demo();
    let full = || std::fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
    let look = place.command(&["stock"]).stdout(full()).output().unwrap();
    let says = "spareseat: could not write the answer: No space left on device (os error 28)\n";
    assert_eq!((code(&look), text(&look.stderr)), (3, says.to_owned()));
    // A booking stands all the same; the same act gives the earlier answer.
    let args = [
        "--as",
        "AB",
        "--act",
        "00000000000000000000000000000007",
        "receive",
        "plover-mua-4.1-c3.0",
        "--lot",
        "L1",
        "--quantity",
        "1",
        "--place",
        "cabinet-2-drawer-3",
    ];
    let booked = place.command(&args).stdout(full()).output().unwrap();
    assert_eq!(code(&booked), 3);
    assert!(text(&booked.stderr).contains("WAS booked, do not book it again"), "{}", text(&booked.stderr));
    let again = place.run(&args);
    assert!(
        text(&again.stdout).starts_with(
            "Booked before by the same act; nothing was booked now. Entry 51 stands: received 1 piece"
        ),
        "{}",
        text(&again.stdout)
    );
    assert_eq!(code(&again), 0);
}

#[test]
fn no_colour_reaches_a_pipe() {
    let place = Place::demo();
    for line in [
        "visit 1047 --site 25 --broken prosthetic-screw",
        "swap 1047 25 abutment",
        "stock",
        "--help",
        "help use",
        "frobnicate",
        "receive plover-mua-4.1-c3.0 --lot L1 --quantity x --place cabinet-2-drawer-3",
    ] {
        let out = place
            .command(&words(line).iter().map(String::as_str).collect::<Vec<_>>())
            .env("TERM", "xterm-256color")
            .output()
            .unwrap();
        assert!(
            !out.stdout.contains(&0x1b) && !out.stderr.contains(&0x1b),
            "{line}: {}{}",
            text(&out.stdout),
            text(&out.stderr)
        );
    }
}

#[test]
fn answers_go_to_stdout_and_messages_to_stderr() {
    let place = Place::demo();
    let answer = typed(&place, "stock");
    assert!(!answer.stdout.is_empty() && answer.stderr.is_empty());
    // Folding anew takes longer, and that is said beside the answer, not in it.
    std::fs::remove_dir_all(place.home().join(spareseat::record::VIEW_FOLDER)).unwrap();
    std::fs::write(place.home().join(spareseat::record::VIEW_FOLDER), "in the way").unwrap();
    let beside = typed(&place, "stock");
    assert_eq!((code(&beside), &beside.stdout), (0, &answer.stdout));
    assert!(text(&beside.stderr).starts_with("note: "), "{}", text(&beside.stderr));
}

#[test]
fn the_version_is_the_package_s() {
    let out = typed(&Place::empty(), "--version");
    assert_eq!(text(&out.stdout), format!("spareseat {}\n", env!("CARGO_PKG_VERSION")));
}
