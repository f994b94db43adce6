//! Homes that are made once a process: their files are kept in memory and written out for each test.

use std::collections::{BTreeMap, HashMap};
use std::fs::{self, File, Permissions};
use std::os::unix::fs::PermissionsExt as _;
use std::path::{Path, PathBuf};
use std::sync::{Arc, LazyLock, Mutex, OnceLock, PoisonError};
use std::time::Duration;

use spareseat::record::VIEW_FOLDER;

use crate::support::{Place, code, folder, text};

/// A folder with everything in it: below which path, with which rights, and what a file holds. A folder holds nothing.
#[derive(Debug, PartialEq, Eq)]
pub struct Files(BTreeMap<PathBuf, (u32, Option<Vec<u8>>)>);

impl Files {
    /// The files of a home that nobody has open any more.
    ///
    /// A view that this very process has closed is let go of a moment later, by a thread of its own.
    pub fn settled(home: &Path) -> Self {
        let store = home.join(VIEW_FOLDER).join("db");
        for _ in 0..2000 {
            let Ok(file) = File::open(&store) else { break };
            if file.try_lock().is_ok() {
                break;
            }
            std::thread::sleep(Duration::from_millis(1));
        }
        Self::read(home)
    }

    fn read(root: &Path) -> Self {
        let mut all = BTreeMap::new();
        let mut folders = vec![PathBuf::new()];
        while let Some(below) = folders.pop() {
            for entry in fs::read_dir(root.join(&below)).expect("a folder to keep") {
                let name = below.join(entry.expect("an entry").file_name());
                let path = root.join(&name);
                if path.is_dir() {
                    folders.push(name);
                } else {
                    let content = fs::read(&path).expect("a file to keep");
                    all.insert(name, (mode(&path), Some(content)));
                }
            }
            all.insert(below.clone(), (mode(&root.join(&below)), None));
        }
        Self(all)
    }

    /// Writes them into a folder that is not there yet.
    pub fn write(&self, root: &Path) {
        // A folder stands before what is in it.
        for (name, (mode, content)) in &self.0 {
            let path = root.join(name);
            match content {
                None => fs::create_dir(&path).expect("a folder"),
                Some(content) => fs::write(&path, content).expect("a file"),
            }
            fs::set_permissions(&path, Permissions::from_mode(*mode)).expect("its rights");
        }
    }
}

fn mode(path: &Path) -> u32 {
    fs::metadata(path).expect("its rights").permissions().mode() & 0o7777
}

/// What is kept under a name; made by whoever asks first, while others wait for that name alone.
pub fn files(name: &str, make: impl FnOnce() -> Files) -> Arc<Files> {
    type Kept = Mutex<HashMap<String, Arc<OnceLock<Arc<Files>>>>>;
    static KEPT: LazyLock<Kept> = LazyLock::new(Kept::default);
    let cell = {
        let mut kept = KEPT.lock().unwrap_or_else(PoisonError::into_inner);
        Arc::clone(kept.entry(name.to_owned()).or_default())
    };
    Arc::clone(cell.get_or_init(|| Arc::new(make())))
}

#[test]
fn a_copy_is_what_was_made_to_the_byte_and_its_rights() {
    let made = Place::empty();
    assert_eq!(code(&made.run(&["demo"])), 0);
    let kept = Files::settled(&made.home());
    let folder = folder();
    let copy = folder.path().join("copy");
    kept.write(&copy);
    assert_eq!(Files::read(&copy), kept);
    assert!(kept.0.len() >= 6, "logbook, edition, view and locks: {:?}", kept.0.keys());
    assert_eq!(kept.0[Path::new("")].0, 0o700, "{:?}", kept.0.keys());
    assert_eq!(kept.0[Path::new("logbook.jsonl")].0, 0o600);
}

#[test]
fn a_copied_demo_answers_as_one_that_was_just_made() {
    let (copied, made) = (Place::demo(), Place::empty());
    assert_eq!(code(&made.run(&["demo"])), 0);
    for line in ["stock", "case list", "logbook show", "logbook verify"] {
        let words: Vec<&str> = line.split(' ').collect();
        let said = |place: &Place| {
            let out = place.run(&words);
            let said = text(&out.stdout).lines().map(ToOwned::to_owned).collect::<Vec<_>>();
            // The sum of a chain is of the numbers of its acts, and no two homes have those in common.
            let is_sum = |l: &String| l.len() == 64 && l.bytes().all(|b| b.is_ascii_hexdigit());
            let said: Vec<String> = said.into_iter().filter(|l| !is_sum(l)).collect();
            (code(&out), said, text(&out.stderr))
        };
        assert_eq!(said(&copied), said(&made), "{line}");
        assert_eq!(said(&copied).0, 0, "{line}");
    }
}

#[test]
fn what_is_done_to_a_copy_stays_in_it() {
    let before = Files::settled(&Place::demo().home());
    let (one, two) = (Place::demo(), Place::demo());
    let words = ["move", "plover-prosthetic-screw-1.4", "--lot", "PS-1120", "--quantity", "1"];
    let booked = one.book(&[&words[..], &["--to", "cabinet-2-drawer-3"]].concat());
    assert_eq!(code(&booked), 0, "{}", text(&booked.stderr));
    assert_ne!(Files::settled(&one.home()), before);
    assert_eq!(Files::settled(&two.home()), before);
    assert_eq!(Files::settled(&Place::demo().home()), before);
}

#[test]
fn the_demo_of_somebody_else_is_another_practice() {
    let first = |place: &Place| {
        let all = fs::read_to_string(place.home().join("logbook.jsonl")).expect("a logbook");
        all.lines().next().expect("a first line").to_owned()
    };
    assert_eq!(first(&Place::demo()), first(&Place::demo()));
    assert_ne!(first(&Place::demo()), first(&Place::other_demo()));
}

#[test]
fn a_home_is_made_once_for_each_name() {
    let mut made = 0;
    let mut keep = |name: &str| {
        files(name, || {
            made += 1;
            Files(BTreeMap::new())
        })
    };
    let (one, again, other) = (keep("once, one"), keep("once, one"), keep("once, other"));
    assert_eq!(made, 2);
    assert!(Arc::ptr_eq(&one, &again) && !Arc::ptr_eq(&one, &other));
}
