//! A full disk and a read-only home, on a small file system of their own.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use super::world::{self, READY, Step};
use crate::support::{DAY, code, program, text};

/// A file system in memory, of a few megabytes, mounted for the test.
struct SmallDisk {
    at: tempfile::TempDir,
}

impl SmallDisk {
    fn mounted() -> Self {
        let at = tempfile::tempdir().expect("a folder");
        mount(&["-t", "tmpfs", "-o", "size=6m", "tmpfs"], at.path());
        Self { at }
    }

    fn remounted(&self, how: &str) {
        mount(&["-o", &format!("remount,{how}")], self.at.path());
    }

    fn home(&self) -> PathBuf {
        self.at.path().join("home")
    }

    fn run(&self, args: &[String]) -> Output {
        let mut command = Command::new(program());
        command.arg("--home").arg(self.home()).args(["--on", DAY, "--as", "AB"]).args(args);
        command.output().expect("the program starts")
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
    let ballast = disk.at.path().join("ballast");
    let fill = || {
        let mut filler = fs::OpenOptions::new().append(true).create(true).open(&ballast).expect("a file");
        while std::io::Write::write_all(&mut filler, &[1; 512]).is_ok() {}
    };

    // The first few may still fit into the logbook's last page, or into what a discarded view left.
    let mut booked = 0;
    let refused = (0..40).find_map(|_| {
        fill();
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

    fs::remove_file(&ballast).expect("room again");
    let out = receive(&disk);
    assert_eq!(code(&out), 0, "{}", text(&out.stderr));
    let all = format!("{} pieces", 6 + booked + 1);
    let stock = text(&disk.run(&words(&["stock"])).stdout);
    assert!(stock.contains(&all), "{all}, the acknowledged and no other: {stock}");
    let verified = disk.run(&words(&["logbook", "verify"]));
    assert_eq!(code(&verified), 0, "{}{}", text(&verified.stdout), text(&verified.stderr));
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
