//! A full disk and a read-only home, on a small file system of their own.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::time::Duration;

use spareseat::logbook::LOGBOOK_FILE;
use spareseat::record::VIEW_FOLDER;
use spareseat::units::Act;

use super::acts::{ACTS, Known};
use super::copies;
use super::recording::Recording;
use super::world::{self, Ledger, READY, Step};
use crate::support::{DAY, code, text};

/// A file system in memory, of a few megabytes, mounted for the test.
struct SmallDisk {
    at: tempfile::TempDir,
}

impl SmallDisk {
    fn mounted() -> Self {
        let at = crate::support::folder();
        mount(&["-t", "tmpfs", "-o", "size=6m", "tmpfs"], at.path());
        Self { at }
    }

    fn remounted(&self, how: &str) {
        let (option, at) = (format!("remount,{how}"), self.at.path());
        // A view that was just closed keeps its files open a moment longer: busy so long.
        let busy = || {
            !Command::new("mount").args(["-o", &option]).arg(at).output().is_ok_and(|o| o.status.success())
        };
        for _ in (0..100).take_while(|_| busy()) {
            std::thread::sleep(Duration::from_millis(20));
        }
        mount(&["-o", &option], at);
    }

    fn home(&self) -> PathBuf {
        self.at.path().join("home")
    }

    fn run(&self, args: &[String]) -> Output {
        self.run_as(world::act(fastrand::u32(..)), args)
    }

    fn run_as(&self, act: Act, args: &[String]) -> Output {
        let mut command = crate::support::started();
        command.arg("--home").arg(self.home()).args(["--on", DAY, "--as", "AB", "--act", &act.to_string()]);
        command.args(args).output().expect("the program starts")
    }

    fn ballast(&self) -> PathBuf {
        self.at.path().join("ballast")
    }

    /// Fills it to the last byte.
    fn fill(&self) {
        let mut filler =
            fs::OpenOptions::new().append(true).create(true).open(self.ballast()).expect("a file");
        while std::io::Write::write_all(&mut filler, &[1; 512]).is_ok() {}
    }
}

impl Drop for SmallDisk {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg("-l").arg(self.at.path()).output();
    }
}

fn mount(args: &[&str], at: &Path) {
    let done = Command::new("mount").args(args).arg(at).output().expect("mount starts");
    assert!(
        done.status.success(),
        "this test mounts a small file system and must run as root (as tests/run does in CI): {}",
        text(&done.stderr)
    );
}

fn words(words: &[&str]) -> Vec<String> {
    words.iter().map(|w| (*w).to_owned()).collect()
}

fn receive(disk: &SmallDisk) -> Output {
    disk.run(&Step::Receive(1, 0).command(Path::new(".")))
}

#[test]
fn a_full_disk_books_nothing_loses_nothing_and_still_answers() {
    let disk = SmallDisk::mounted();
    world::home(&disk.home(), &READY);
    let before = fs::read(disk.home().join("logbook.jsonl")).expect("a logbook");

    // The first few may still fit into the logbook's last page, or into what a discarded view left.
    let mut booked = 0;
    let refused = (0..40).find_map(|_| {
        disk.fill();
        let out = receive(&disk);
        booked += u32::from(code(&out) == 0);
        (code(&out) != 0).then_some(out)
    });
    let out = refused.expect("forty bookings went onto a full disk");
    assert_eq!(code(&out), 3, "{}", text(&out.stderr));
    let said = text(&out.stderr);
    for part in ["No space left on device", "nothing was booked", "make room on the disk"] {
        assert!(said.contains(part), "{said}");
    }
    let stock = disk.run(&words(&["stock"]));
    assert_eq!(code(&stock), 0, "{}", text(&stock.stderr));
    assert!(text(&stock.stdout).contains("lot PS-1120"), "{}", text(&stock.stdout));
    assert!(fs::read(disk.home().join("logbook.jsonl")).expect("a logbook").starts_with(&before));

    fs::remove_file(disk.ballast()).expect("room again");
    let out = receive(&disk);
    assert_eq!(code(&out), 0, "{}", text(&out.stderr));
    let all = format!("{} pieces", 6 + booked + 1);
    let stock = text(&disk.run(&words(&["stock"])).stdout);
    assert!(stock.contains(&all), "{all}, the acknowledged and no other: {stock}");
    let verified = disk.run(&words(&["logbook", "verify"]));
    assert_eq!(code(&verified), 0, "{}{}", text(&verified.stdout), text(&verified.stderr));
}

/// No line of the logbook is shorter.
const SHORTEST_LINE: u64 = 250;

/// Books what changes nothing else until the next line does not fit into the page the logbook ends in.
fn fill_the_last_page(home: &Path, ledger: &mut Ledger) {
    let (mut desk, _) = world::open(home).expect("it opens");
    let left = || 4096 - fs::metadata(home.join(LOGBOOK_FILE)).expect("a logbook").len() % 4096;
    for n in (1..).take_while(|_| left() > SHORTEST_LINE) {
        assert!(n < 150, "the last page is never full");
        let step = Step::Record(Recording::Bands(n));
        step.book(&mut desk, world::act(2000 + n as u32)).unwrap_or_else(|e| panic!("{step:?}: {e}"));
        ledger.acknowledged(step, world::act(2000 + n as u32));
    }
}

#[test]
fn no_act_is_booked_on_a_full_disk_and_each_is_when_there_is_room() {
    let (disk, files, act) = (SmallDisk::mounted(), world::folder(), world::act(77));
    for Known { name, step, before } in ACTS {
        let home = disk.home();
        let _ = fs::remove_dir_all(&home);
        world::home(&home, before);
        let mut ledger = Ledger::of(before);
        // Without a catalogue nobody can say what else changes nothing; an edition takes pages of its own.
        if !before.is_empty() {
            fill_the_last_page(&home, &mut ledger);
        }
        // A view that a full disk makes unusable is thrown away, and leaves room: then the act is booked.
        fs::remove_dir_all(home.join(VIEW_FOLDER)).expect("no view");
        disk.fill();
        let words = step.command(files.path());
        let out = disk.run_as(act, &words);
        let (told, said) = (text(&out.stdout), text(&out.stderr));
        assert_eq!((code(&out), told.as_str()), (3, ""), "{name}: {said}");
        assert!(
            said.contains("No space left on device") && said.contains("nothing was booked"),
            "{name}: {said}"
        );
        fs::remove_file(disk.ballast()).expect("room again");
        let whole =
            |ledger: &Ledger| ledger.check_whole(&mut world::open(&home).map_err(|e| e.to_string())?.0);
        whole(&ledger).unwrap_or_else(|e| panic!("{name}, not booked: {e}"));
        let out = disk.run_as(act, &words);
        assert_eq!(code(&out), step.ends_with(), "{name}, with room: {}", text(&out.stderr));
        ledger.acknowledged(*step, act);
        whole(&ledger).unwrap_or_else(|e| panic!("{name}, booked: {e}"));
    }
}

#[test]
fn a_backup_onto_a_full_disk_is_whole_or_not_there() {
    let (disk, files) = (SmallDisk::mounted(), world::folder());
    let home = files.path().join("home");
    // So many lines that the logbook ends many pages further on.
    let many = [&READY[..], &[Step::Receive(1, 0); 60]].concat();
    world::home(&home, &many);
    let to = disk.at.path().join("copy");
    let mut refused = 0;
    let out = (0..100).find_map(|pages: u64| {
        disk.fill();
        let full = fs::metadata(disk.ballast()).expect("it is there").len();
        let ballast = fs::OpenOptions::new().write(true).open(disk.ballast()).expect("it is there");
        ballast.set_len(full - pages * 4096).expect("room again");
        let out = copies::back_up(&home, &to);
        if code(&out) == 0 {
            return Some(out);
        }
        refused += 1;
        let said = text(&out.stderr);
        assert_eq!((code(&out), text(&out.stdout)), (3, String::new()), "{pages} pages: {said}");
        for part in ["No space left on device", "No backup was made", "make room there"] {
            assert!(said.contains(part), "{pages} pages: {said}");
        }
        let left: Vec<_> =
            fs::read_dir(disk.at.path()).expect("a folder").flatten().map(|e| e.path()).collect();
        assert_eq!(left, [disk.ballast()], "{pages} pages: nothing of it is left");
        None
    });
    assert!(out.is_some() && refused >= 5, "{refused} times there was too little room");
    copies::same(&home, &to).unwrap_or_else(|e| panic!("{e}"));
}

#[test]
fn a_read_only_home_answers_and_books_nothing() {
    let disk = SmallDisk::mounted();
    world::home(&disk.home(), &READY);
    disk.remounted("ro");
    let stock = disk.run(&words(&["stock"]));
    assert_eq!(code(&stock), 0, "{}", text(&stock.stderr));
    assert!(text(&stock.stdout).contains("6 pieces"), "{}", text(&stock.stdout));
    assert!(text(&stock.stderr).contains("note: the view cannot be used here"), "{}", text(&stock.stderr));
    let out = receive(&disk);
    assert_eq!(code(&out), 3, "{}", text(&out.stderr));
    let said = text(&out.stderr);
    assert!(said.contains("Read-only file system") && said.contains("nothing was booked"), "{said}");
    assert!(said.contains("mend its rights"), "{said}");

    disk.remounted("rw");
    assert_eq!(code(&receive(&disk)), 0);
    assert_eq!(code(&disk.run(&words(&["logbook", "verify"]))), 0);
}
