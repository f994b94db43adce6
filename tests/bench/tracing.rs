//! Where a lot is, which lots a patient has, and a lot called back, in a home of many entries: each reads the whole
//! logbook. Peers in the same run: `true`, and `grep -c` for the same lot in the same file.

use std::fs;
use std::path::Path;
use std::process::Command;

use super::{repeat, row, run, spareseat};

const RUNS: usize = 15;
/// One of the thousand cases of the scale example: a bridge over three sites.
const CASE: &str = "100500";

/// A lot from the middle of the logbook, with its part, as its first delivery has them.
fn lot_of(logbook: &str) -> (String, String) {
    let lines: Vec<&str> = logbook.lines().filter(|l| l.contains("\"receive.1\"")).collect();
    let line = lines.get(lines.len() / 2).expect("a delivery");
    let value = |key: &str| {
        let (_, after) = line.split_once(&format!("\"{key}\":\"")).expect("its field");
        after.split('"').next().expect("its end").to_owned()
    };
    (value("part"), value("lot"))
}

/// Every row, over this home.
pub fn all(home: &Path) {
    let logbook = home.join("logbook.jsonl");
    let (part, lot) = lot_of(&fs::read_to_string(&logbook).expect("a logbook"));
    repeat("true, beside tracing", RUNS, || Command::new("true"));
    repeat("grep -c LOT logbook.jsonl", RUNS, || {
        let mut command = Command::new("grep");
        command.arg("-c").arg(&lot).arg(&logbook);
        command
    });
    let trace = |what: &str, words: &[&str]| repeat(what, RUNS, || spareseat(home, words));
    trace("trace --lot LOT, 100 000 entries", &["trace", "--lot", &lot]);
    trace("trace --lot LOT --part PART", &["trace", "--lot", &lot, "--part", &part]);
    trace("trace --case CASE", &["trace", "--case", CASE]);
    trace("case show CASE, which reads no logbook", &["case", "show", CASE]);
    // Called back once; then taken back, untimed, so that the next run calls the same lot back again.
    let mut runs = Vec::new();
    for _ in 0..RUNS {
        runs.push(run(&mut spareseat(home, &["withdraw", "--lot", &lot, "--part", &part])));
        let entries = fs::read_to_string(&logbook).expect("a logbook").lines().count();
        let done = spareseat(home, &["reverse", &entries.to_string()]).output().expect("it starts");
        assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    }
    row("withdraw --lot LOT --part PART", runs);
}
