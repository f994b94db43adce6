//! What the process-level tests share: the program, a home, a day.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use serde_json::Value;
use tempfile::TempDir;

/// The day every test lives on.
pub const DAY: &str = "2026-11-25";

/// The program under test.
pub fn program() -> &'static str {
    env!("CARGO_BIN_EXE_spareseat")
}

/// A folder that goes with the test, and the home in it.
pub struct Place {
    folder: TempDir,
}

impl Place {
    /// An empty folder.
    pub fn empty() -> Self {
        Self { folder: tempfile::tempdir().expect("a temporary folder") }
    }

    /// A home with the made-up practice in it.
    pub fn demo() -> Self {
        let place = Self::empty();
        let made = place.run(&["demo"]);
        assert!(made.status.success(), "{}", text(&made.stderr));
        place
    }

    /// Where the home is.
    pub fn home(&self) -> PathBuf {
        self.folder.path().join("home")
    }

    /// The folder around it.
    pub fn folder(&self) -> &Path {
        self.folder.path()
    }

    /// The command, on the day, in this home.
    pub fn command(&self, args: &[&str]) -> Command {
        let mut command = Command::new(program());
        command.arg("--home").arg(self.home()).args(["--on", DAY]).args(args);
        command.env_remove("SPARESEAT_HOME").current_dir(self.folder());
        command
    }

    /// Runs it to its end.
    pub fn run(&self, args: &[&str]) -> Output {
        self.command(args).output().expect("the program starts")
    }

    /// Runs it with initials.
    pub fn book(&self, args: &[&str]) -> Output {
        self.run(&[&["--as", "AB"], args].concat())
    }

    /// Runs it for its JSON, whatever the verdict.
    pub fn json(&self, args: &[&str]) -> Value {
        let out = self.run(&[&["--json"], args].concat());
        serde_json::from_slice(&out.stdout)
            .unwrap_or_else(|e| panic!("{e}: {args:?}: {} {}", text(&out.stdout), text(&out.stderr)))
    }
}

/// Bytes as text.
pub fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// What a person is told beside an answer: the remarks behind the sentence of an act, and what stands on stderr.
pub fn heard(out: &Output) -> String {
    let remark = |line: &&str| line.starts_with("note: ") || line.starts_with("CAREFUL: ");
    let remarks: String = text(&out.stdout).lines().filter(remark).map(|line| format!("{line}\n")).collect();
    remarks + &text(&out.stderr)
}

/// The exit code.
pub fn code(out: &Output) -> i32 {
    out.status.code().unwrap_or(-1)
}
