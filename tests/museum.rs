//! Old records stay readable: what was once written folds to the rows it folded to, until the view's format changes.
//!
//! tests/museum/README.md says how a logbook comes into the museum.

mod bridge;
mod eighth;
mod eleventh;
mod fifth;
mod fourth;
mod make;
mod ninth;
mod second;
mod seventh;
mod sixth;
mod third;

use std::collections::BTreeSet;
use std::fs;
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::sync::Once;

use spareseat::desk::{Desk, Home, Today, open_home};
use spareseat::logbook::{Head, Logbook as _};
use spareseat::record::{Entry, Record, VIEW_FOLDER, ViewPlace};
use tempfile::TempDir;

fn museum() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/museum")
}

/// Every logbook of the museum, written first where that was asked for.
fn logbooks() -> Vec<PathBuf> {
    static REFRESH: Once = Once::new();
    if std::env::var_os("SPARESEAT_REFRESH_MUSEUM").is_some() {
        REFRESH.call_once(refresh);
    }
    listed()
}

fn listed() -> Vec<PathBuf> {
    let listed = fs::read_dir(museum()).unwrap().map(|e| e.unwrap().path());
    let mut all: Vec<PathBuf> = listed.filter(|p| p.join("logbook.jsonl").exists()).collect();
    all.sort();
    all
}

/// A copy to open: the museum's own is never locked and gets no view.
fn copy(of: &Path) -> TempDir {
    let folder = crate::support::folder();
    let home = folder.path().join("home");
    fs::create_dir_all(home.join("editions")).unwrap();
    fs::copy(of.join("logbook.jsonl"), home.join("logbook.jsonl")).unwrap();
    for edition in fs::read_dir(of.join("editions")).unwrap().flatten() {
        fs::copy(edition.path(), home.join("editions").join(edition.file_name())).unwrap();
    }
    folder
}

fn open(folder: &TempDir) -> Desk {
    let today = Today { now: make::NOW.parse().unwrap(), date: make::DAY, said: true };
    open_home(&Home::at(&folder.path().join("home")), today).unwrap()
}

/// The digest that the museum keeps for a format of the view's rows.
fn kept_digest(of: &Path, format: &str) -> Option<String> {
    let kept = fs::read_to_string(of.join("folds-to")).unwrap_or_default();
    kept.lines()
        .filter_map(|l| l.split_once(' '))
        .find(|(f, _)| *f == format)
        .map(|(_, digest)| digest.to_owned())
}

/// What is wrong with a digest, in a sentence; nothing when it is the kept one.
fn complaint(kept: Option<&str>, digest: &str) -> Option<String> {
    match kept {
        Some(kept) if kept == digest => None,
        Some(_) => Some(format!(
            "the rows changed and their format did not: a view on disk would be misread. Give VIEW_FOLDER ({VIEW_FOLDER}) the next number, then SPARESEAT_REFRESH_MUSEUM=1 keeps the new digest beside the old one"
        )),
        None => Some(format!(
            "the museum keeps no digest for {VIEW_FOLDER} yet: SPARESEAT_REFRESH_MUSEUM=1 writes it"
        )),
    }
}

/// The name of a logbook, and how it is made.
type Makes = (&'static str, fn(&Path));

/// With SPARESEAT_REFRESH_MUSEUM=1: makes a logbook that is gone, and keeps digests for a new row format.
fn refresh() {
    let makers: [Makes; 11] = [
        ("logbook-1", make::first_logbook),
        ("logbook-2", second::second_logbook),
        ("logbook-3", third::third_logbook),
        ("logbook-4", fourth::fourth_logbook),
        ("logbook-5", fifth::fifth_logbook),
        ("logbook-6", sixth::sixth_logbook),
        ("logbook-7", seventh::seventh_logbook),
        ("logbook-8", eighth::eighth_logbook),
        ("logbook-9", ninth::ninth_logbook),
        ("logbook-10", bridge::bridge_logbook),
        ("logbook-11", eleventh::eleventh_logbook),
    ];
    for (name, make) in makers {
        let folder = museum().join(name);
        if !folder.join("logbook.jsonl").exists() {
            make(&folder);
        }
    }
    for logbook in listed() {
        if kept_digest(&logbook, VIEW_FOLDER).is_none() {
            let digest = open(&copy(&logbook)).view().digest().unwrap();
            let mut kept = fs::read_to_string(logbook.join("folds-to")).unwrap_or_default();
            kept.push_str(&format!("{VIEW_FOLDER} {digest}\n"));
            fs::write(logbook.join("folds-to"), kept).unwrap();
        }
    }
}

#[test]
fn every_old_logbook_folds_to_the_rows_it_folded_to() {
    assert!(!logbooks().is_empty());
    for logbook in logbooks() {
        let name = logbook.display();
        let folder = copy(&logbook);
        let mut desk = open(&folder);
        assert!(desk.trouble().is_none(), "{name}: {:?}", desk.trouble());
        let verified = desk.record().verify().unwrap();
        assert!(!verified.view_differs && verified.below_zero.is_empty(), "{name}: {verified:?}");
        let digest = desk.view().digest().unwrap();
        let home = Home::at(&folder.path().join("home"));
        let in_memory = Record::open(Box::new(home.logbook()), ViewPlace::Memory).unwrap();
        assert_eq!(in_memory.view().digest().unwrap(), digest, "{name}: on disk and in memory");
        let complaint = complaint(kept_digest(&logbook, VIEW_FOLDER).as_deref(), &digest.to_string());
        assert_eq!(complaint, None, "{name} folds to {digest}");
    }
}

#[test]
fn every_kind_of_entry_is_in_the_museum_and_is_written_as_it_was_read() {
    let mut kinds = BTreeSet::new();
    for logbook in logbooks() {
        let folder = copy(&logbook);
        let home = Home::at(&folder.path().join("home"));
        let id = home.logbook().identity().unwrap();
        let each = &mut |line: &spareseat::logbook::LineRef<'_>, _: &Head| {
            let entry = Entry::parse(line.entry).unwrap_or_else(|e| panic!("entry {}: {e}", line.seq));
            // Not a byte is lost or added on the way through the program.
            assert_eq!(entry.to_raw().get(), line.entry, "entry {}", line.seq);
            kinds.insert(entry.kind());
            ControlFlow::Continue(())
        };
        home.logbook().read(&Head::start(id), each).unwrap();
    }
    let all = [
        "accept.1",
        "bands.1",
        "bridge.1",
        "case-closed.1",
        "case.1",
        "catalogue.1",
        "catalogue.2",
        "check.1",
        "confirmed.1",
        "count.1",
        "counter.1",
        "discard.1",
        "event.1",
        "fit.1",
        "hold.1",
        "measured.1",
        "move.1",
        "need-off.1",
        "need.1",
        "new.1",
        "quarantine-lifted.1",
        "quarantine.1",
        "receive.1",
        "release.1",
        "reprocess.1",
        "return.1",
        "taken.1",
        "taken.2",
        "tray.1",
        "use.1",
        "use.2",
        "verification.1",
        "visit.1",
        "withdraw.1",
    ];
    assert_eq!(
        kinds.into_iter().collect::<Vec<_>>(),
        all,
        "a new kind gets a logbook of its own in the museum"
    );
}

#[test]
fn a_changed_digest_is_only_right_with_a_new_format() {
    assert_eq!(complaint(Some("12"), "12"), None);
    assert!(complaint(Some("12"), "13").unwrap().starts_with("the rows changed and their format did not"));
    assert!(complaint(None, "13").unwrap().starts_with("the museum keeps no digest for"));
}
