//! What every [`Logbook`] must do: compare-and-append, read on, keep and fetch; in memory, in a folder, on a disk in
//! memory, and on one that fails every now and then.

use std::io::Read as _;
use std::ops::ControlFlow;
use std::sync::{Arc, Barrier};

use spareseat::catalog::EditionId;
use spareseat::logbook::{
    Append, Draft, FileLogbook, FolderDisk, Head, Logbook, LogbookError, LogbookId, Tail,
};

use crate::faults::disk::{Fault, Kind, SimDisk};
use crate::faults::world::{self, act};

/// A fresh logbook with its first line in it.
struct Fresh {
    logbook: Arc<dyn Logbook>,
    /// Gives the same lines to somebody who opens it anew, where that means anything.
    again: Option<Box<dyn Fn() -> Arc<dyn Logbook>>>,
    _folder: Option<tempfile::TempDir>,
}

fn in_memory() -> Fresh {
    Fresh { logbook: Arc::new(world::founded().in_memory()), again: None, _folder: None }
}

fn in_a_folder() -> Fresh {
    let folder = crate::support::folder();
    let root = folder.path().to_owned();
    let logbook = FileLogbook::new(FolderDisk::make(&root).expect("made"));
    logbook.found(world::id(), &world::founding()).expect("founded");
    let again = move || Arc::new(FileLogbook::new(FolderDisk::new(&root))) as Arc<dyn Logbook>;
    Fresh { logbook: Arc::new(logbook), again: Some(Box::new(again)), _folder: Some(folder) }
}

fn on(disk: SimDisk) -> Fresh {
    let logbook = FileLogbook::new(disk.clone());
    logbook.found(world::id(), &world::founding()).expect("founded");
    let again = move || Arc::new(FileLogbook::new(disk.clone())) as Arc<dyn Logbook>;
    Fresh { logbook: Arc::new(logbook), again: Some(Box::new(again)), _folder: None }
}

/// A logbook that fails on purpose: every third time something is asked of it, it does the thing's first half and then
/// says no. Whoever asks again gets what any logbook gives.
struct Failing {
    inner: FileLogbook<SimDisk>,
    asked: std::sync::atomic::AtomicUsize,
    /// The fault lies on the disk, where the next thread would step into it.
    turn: std::sync::Mutex<()>,
}

impl Failing {
    fn again<T>(&self, kind: Kind, ask: impl Fn() -> Result<T, LogbookError>) -> Result<T, LogbookError> {
        let _turn = self.turn.lock().unwrap_or_else(|e| e.into_inner());
        if self.asked.fetch_add(1, std::sync::atomic::Ordering::Relaxed).is_multiple_of(3) {
            self.inner.disk().fail(Some(Fault { kind: Some(kind), skip: 0, times: 1 }));
            let failed = ask();
            self.inner.disk().fail(None);
            // A thing that needs no such step has gone well.
            if !matches!(failed, Err(LogbookError::NotWritten { .. } | LogbookError::Unreadable { .. })) {
                return failed;
            }
        }
        ask()
    }
}

impl Logbook for Failing {
    fn identity(&self) -> Result<LogbookId, LogbookError> {
        self.inner.identity()
    }
    fn has_grown(&self, head: &Head) -> Result<bool, LogbookError> {
        self.inner.has_grown(head)
    }
    fn read(&self, after: &Head, each: &mut spareseat::logbook::EachLine<'_>) -> Result<Tail, LogbookError> {
        let each = std::cell::RefCell::new(each);
        self.again(Kind::Sync, || self.inner.read(after, &mut |line, head| (each.borrow_mut())(line, head)))
    }
    fn append(&self, after: &Head, draft: &Draft) -> Result<Append, LogbookError> {
        self.again(Kind::Sync, || self.inner.append(after, draft))
    }
    fn keep(&self, content: &[u8]) -> Result<EditionId, LogbookError> {
        self.again(Kind::SyncFolder, || self.inner.keep(content))
    }
    fn fetch(&self, edition: &EditionId) -> Result<Box<dyn std::io::Read + '_>, LogbookError> {
        self.inner.fetch(edition)
    }
}

fn on_a_failing_disk() -> Fresh {
    let disk = SimDisk::default();
    let fresh = on(disk.clone());
    let logbook =
        Failing { inner: FileLogbook::new(disk), asked: 0.into(), turn: std::sync::Mutex::default() };
    Fresh { logbook: Arc::new(logbook), ..fresh }
}

fn draft(n: u32) -> Draft {
    Draft { act: act(n), entry: world::received(1, 0).to_raw(), ..world::founding() }
}

/// Every act after `after`, and the head there.
fn read(logbook: &dyn Logbook, after: &Head) -> (Vec<spareseat::units::Act>, Head) {
    let (mut acts, mut head) = (Vec::new(), *after);
    let tail = logbook.read(after, &mut |line, at| {
        assert_eq!(line.seq, at.seq);
        acts.push(line.act);
        head = *at;
        ControlFlow::Continue(())
    });
    assert_eq!(tail.expect("it reads"), Tail::Clean);
    (acts, head)
}

fn appended(outcome: Result<Append, LogbookError>) -> Head {
    match outcome {
        Ok(Append::Appended(head, None)) => head,
        other => panic!("not appended: {other:?}"),
    }
}

fn appends_and_reads_on(fresh: &Fresh) {
    let logbook = &*fresh.logbook;
    assert_eq!(logbook.identity().expect("an identity"), world::id());
    let start = Head::start(world::id());
    let (acts, first) = read(logbook, &start);
    assert_eq!((acts, first.seq), (vec![world::founding().act], 1));
    assert!(!logbook.has_grown(&first).expect("a look"), "nothing new");
    let mut heads = vec![first];
    for n in 0..20 {
        heads.push(appended(logbook.append(heads.last().expect("one"), &draft(n))));
    }
    assert!(logbook.has_grown(&first).expect("a look"));
    for (n, head) in heads.iter().enumerate() {
        let (acts, end) = read(logbook, head);
        assert_eq!(acts, (n as u32..20).map(act).collect::<Vec<_>>(), "read on from entry {}", n + 1);
        assert_eq!(end, heads[20]);
    }
    // Breaking off.
    let mut seen = 0;
    let broken = logbook.read(&start, &mut |_, _| {
        seen += 1;
        if seen == 5 { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    });
    assert!(broken.is_ok() && seen == 5, "a read ends where it is told to: {broken:?}, {seen}");
    if let Some(again) = &fresh.again {
        assert_eq!(read(&*again(), &heads[7]), read(logbook, &heads[7]), "the same to whoever opens it anew");
    }
}

fn one_of_two_after_one_head_wins(fresh: &Fresh) {
    let (_, mut head) = read(&*fresh.logbook, &Head::start(world::id()));
    let stale = head;
    for round in 0..60 {
        let both = Barrier::new(2);
        let outcomes: Vec<_> = std::thread::scope(|threads| {
            let ask = |n: u32| {
                let (logbook, both) = (fresh.logbook.clone(), &both);
                threads.spawn(move || {
                    both.wait();
                    logbook.append(&head, &draft(n))
                })
            };
            let asked = [ask(1000 + 2 * round), ask(1001 + 2 * round)];
            asked.into_iter().map(|t| t.join().expect("it ends well")).collect()
        });
        let heads: Vec<Head> = outcomes
            .iter()
            .filter_map(|o| match o {
                Ok(Append::Appended(head, _)) => Some(*head),
                Ok(Append::Moved) => None,
                Err(e) => panic!("round {round}: {e}"),
            })
            .collect();
        let [next] = heads[..] else { panic!("round {round}: {} won", heads.len()) };
        assert_eq!(next.seq, head.seq + 1);
        head = next;
    }
    let (acts, end) = read(&*fresh.logbook, &stale);
    assert_eq!((acts.len(), end), (60, head), "one line a round, and the winner's");
    assert!(
        matches!(fresh.logbook.append(&stale, &draft(1)), Ok(Append::Moved)),
        "an old head has been moved past"
    );
}

fn tells_lost_from_other(fresh: &Fresh) {
    let logbook = &*fresh.logbook;
    let (_, first) = read(logbook, &Head::start(world::id()));
    let second = appended(logbook.append(&first, &draft(1)));
    // A head of the same logbook further on than it goes, as after a backup was restored.
    let (bytes, third) = spareseat::logbook::draft_line(&second, &draft(2));
    assert!(!bytes.is_empty());
    // And one of another second entry.
    let (_, elsewhere) = spareseat::logbook::draft_line(&first, &draft(3));
    for (head, expected) in [
        (third, "entries are missing: the view has entry 3, the logbook ends at entry 2"),
        (
            elsewhere,
            "another logbook was put in place: the view holds entry 2 of one, this one has 2 entries and another entry 2",
        ),
    ] {
        assert_eq!(logbook.has_grown(&head).ok(), Some(true), "a look is enough to see it");
        let read = logbook.read(&head, &mut |_, _| panic!("nothing stands after a line that is not there"));
        assert_eq!(read.expect_err("it is not there").to_string(), expected);
        assert_eq!(logbook.append(&head, &draft(4)).expect_err("nothing is booked").to_string(), expected);
    }
    assert_eq!(read(logbook, &first), (vec![act(1)], second), "and nothing was written");
}

fn keeps_and_fetches(fresh: &Fresh) {
    let logbook = &*fresh.logbook;
    let large = vec![7; 3 << 20];
    for content in [&b"{\"x\":1}\n"[..], b"", &large] {
        let edition = logbook.keep(content).expect("kept");
        assert_eq!(edition, EditionId::of(content));
        assert_eq!(logbook.keep(content).expect("kept again"), edition);
        let mut back = Vec::new();
        logbook.fetch(&edition).expect("it is there").read_to_end(&mut back).expect("it reads");
        assert!(back == content, "what was kept comes back");
    }
    let missing = EditionId::of(b"never kept");
    match logbook.fetch(&missing).err() {
        Some(LogbookError::Edition { edition, why }) => {
            assert!(edition == missing && why.starts_with("is missing"), "{why}");
        }
        other => panic!("{other:?}"),
    }
}

fn refuses_what_no_line_holds(fresh: &Fresh) {
    let logbook = &*fresh.logbook;
    let (_, head) = read(logbook, &Head::start(world::id()));
    let long = format!("{{\"x.1\":\"{}\"}}", "x".repeat(2 << 20));
    let entry = serde_json::value::RawValue::from_string(long).expect("JSON");
    let refused = logbook.append(&head, &Draft { entry, ..draft(1) });
    let told = refused.expect_err("too long").to_string();
    assert!(told.contains("bytes: at most 1048576 are kept; nothing was booked"), "{told}");
    assert_eq!(read(logbook, &head).0, []);
}

#[test]
fn every_logbook_holds_to_the_contract() {
    type Part = fn(&Fresh);
    let parts: [(&str, Part); 5] = [
        ("append and read on", appends_and_reads_on),
        ("two after one head", one_of_two_after_one_head_wins),
        ("lost and other", tells_lost_from_other),
        ("keep and fetch", keeps_and_fetches),
        ("too long", refuses_what_no_line_holds),
    ];
    type Make = fn() -> Fresh;
    let backends: [(&str, Make); 4] = [
        ("memory", in_memory),
        ("folder", in_a_folder),
        ("disk in memory", || on(SimDisk::default())),
        ("failing disk", on_a_failing_disk),
    ];
    for (backend, make) in backends {
        for (part, check) in parts {
            println!("{backend}: {part}");
            check(&make());
        }
    }
}

#[test]
fn there_is_no_logbook_where_none_was_founded() {
    let folder = crate::support::folder();
    let logbook = FileLogbook::new(FolderDisk::new(folder.path()));
    let start = Head::start(world::id());
    for told in [
        logbook.identity().err(),
        logbook.has_grown(&start).err(),
        logbook.read(&start, &mut |_, _| ControlFlow::Continue(())).err(),
        logbook.append(&start, &draft(1)).err(),
    ] {
        assert_eq!(told.map(|e| e.to_string()).as_deref(), Some("no logbook here"));
    }
    assert!(matches!(logbook.found(world::id(), &world::founding()), Ok(Append::Appended(..))));
    assert!(matches!(logbook.found(world::id(), &world::founding()), Ok(Append::Moved)), "founded once");
}

/// The acknowledged outlive a disk that fails every now and then; a failed append leaves nothing behind.
#[test]
fn a_failed_append_leaves_nothing_behind() {
    for kind in [Kind::Write, Kind::Sync] {
        let disk = SimDisk::default();
        let fresh = on(disk.clone());
        let (_, mut head) = read(&*fresh.logbook, &Head::start(world::id()));
        for n in 0..30 {
            disk.fail((n % 3 == 0).then_some(Fault { kind: Some(kind), skip: 0, times: 1 }));
            let outcome = fresh.logbook.append(&head, &draft(n));
            disk.fail(None);
            match outcome {
                Ok(Append::Appended(next, None)) if n % 3 != 0 => head = next,
                Err(LogbookError::NotWritten { .. }) if n % 3 == 0 => {
                    assert_eq!(
                        disk.seen()["logbook.jsonl"].len() as u64,
                        head.offset,
                        "{kind:?}: cut back at once"
                    );
                }
                other => panic!("{kind:?}, append {n}: {other:?}"),
            }
        }
        let (acts, _) = read(&*fresh.logbook, &Head::start(world::id()));
        assert_eq!(acts[1..], (0..30).filter(|n| n % 3 != 0).map(act).collect::<Vec<_>>());
    }
}
