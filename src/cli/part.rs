//! `spareseat part …`

use std::io::Read as _;
use std::path::{Path, PathBuf};

use serde_json::{Value as Json, json};

use super::acting::Acted;
use super::failure::Failure;
use super::packs::{PartOrLabel, part_or_label};
use super::{Answer, Context, one_of};
use crate::bench::swap::SwapError;
use crate::catalog::Kind;
use crate::desk::{Desk, DeskError, Refused, lookup};
use crate::maintenance::parts::{self, NumberWasWrong, PartError};
use crate::report;
use crate::units::{LIMITS, Note, PartCode, printable};

/// The largest file taken at once.
const MOST_BYTES: u64 = 256 << 20;

/// The catalogue: list, show, check, import; record a verification
#[derive(Debug, clap::Subcommand)]
pub enum Command {
    /// Every part, or those of a kind
    List {
        /// Only this kind
        #[arg(long, value_parser = one_of(Kind::ALL.iter().map(|k| (*k, k.slug()))))]
        kind: Option<Kind>,
    },
    /// One part with every number and its source
    Show {
        /// Which; or a label of it as scanned
        #[arg(value_name = "PART", value_parser = part_or_label)]
        part: PartOrLabel,
    },
    /// Read catalogue files and list every mistake, with file and line; changes nothing
    Check {
        /// TOML files, or a folder of them
        #[arg(required = true)]
        path: Vec<PathBuf>,
    },
    /// Make a new edition of the catalogue from files; the same code replaces
    ///
    /// Where a number of a part changes, the article changed: lots and patients keep the numbers of before. Where the
    /// number was wrong instead, say so: lots and patients on record get the right one.
    Import {
        /// TOML files, or a folder of them
        #[arg(required = true)]
        path: Vec<PathBuf>,
        /// Of this part the number was wrong, the article is what it was; 'all' for every part whose numbers change
        #[arg(long, value_name = "PART")]
        number_was_wrong: Vec<PartCode>,
    },
    /// Record that another maker's part was tried in place of one of ours
    Verify {
        /// Our part; or a label of it as scanned
        #[arg(value_name = "FITTED", value_parser = part_or_label)]
        fitted: PartOrLabel,
        /// The other maker's part; or a label of it
        #[arg(value_name = "CANDIDATE", value_parser = part_or_label)]
        candidate: PartOrLabel,
        /// How many pieces were tried
        #[arg(long, value_parser = pieces, allow_hyphen_values = true)]
        pieces: u32,
        /// How it was tried, and what came out
        #[arg(long)]
        how: Note,
    },
}

fn pieces(text: &str) -> Result<u32, String> {
    let n = LIMITS.pieces.whole(text).map_err(|e| e.to_string())?;
    u32::try_from(n).map_err(|e| e.to_string())
}

fn read(paths: &[PathBuf]) -> Result<Vec<(String, String)>, Failure> {
    let mut files = Vec::new();
    for path in paths {
        if path.is_dir() {
            let listed = std::fs::read_dir(path).map_err(|e| unreadable(path, &e))?;
            let mut inside: Vec<PathBuf> = listed.flatten().map(|e| e.path()).collect();
            inside.retain(|p| p.extension().is_some_and(|e| e == "toml"));
            inside.sort();
            files.extend(inside);
        } else {
            files.push(path.clone());
        }
    }
    files.iter().map(|path| Ok((printable_path(path), read_one(path)?))).collect()
}

fn printable_path(path: &Path) -> String {
    printable(&path.to_string_lossy())
}

pub fn unreadable(path: &Path, e: &std::io::Error) -> Failure {
    Failure::typed(format!("could not read {}: {e}", printable_path(path)))
}

/// The text of a file a person named.
pub fn read_one(path: &Path) -> Result<String, Failure> {
    let len = std::fs::metadata(path).map_err(|e| unreadable(path, &e))?.len();
    if len > MOST_BYTES {
        return Err(Failure::typed(format!(
            "{} has {len} bytes: at most {MOST_BYTES} are read",
            printable_path(path)
        )));
    }
    // What says of itself that it is empty may have no end.
    let (file, mut bytes) = (std::fs::File::open(path).map_err(|e| unreadable(path, &e))?, Vec::new());
    std::io::Read::take(file, MOST_BYTES + 1).read_to_end(&mut bytes).map_err(|e| unreadable(path, &e))?;
    if bytes.len() as u64 > MOST_BYTES {
        return Err(Failure::typed(format!(
            "{} has more than {MOST_BYTES} bytes: no more are read",
            printable_path(path)
        )));
    }
    String::from_utf8(bytes)
        .map_err(|_| Failure::typed(format!("{} is not text in UTF-8", printable_path(path))))
}

pub fn run(command: &Command, context: &mut Context<'_>) -> Result<u8, Failure> {
    let version = report::json::VERSION;
    match command {
        Command::List { kind } => {
            let mut desk = context.open()?;
            let mut all = desk.ask(|view| view.parts().map_err(Refused::<SwapError>::from))?;
            all.retain(|p| kind.is_none_or(|k| p.kind == k));
            let json = json!({ "version": version, "as_of": desk.entry(), "parts": all.iter().map(report::json::part).collect::<Json>() });
            context.print(Some(&mut desk), Answer::yes(report::text::parts(&all), json))
        }
        Command::Show { part } => {
            let mut desk = context.open()?;
            let part = part.part(&mut desk, context)?;
            let part = desk.ask(|view| lookup::part(view, &part).map_err(Refused::<SwapError>::from))?;
            let mut json = report::json::part(&part);
            json["version"] = version.into();
            json["as_of"] = desk.entry().into();
            context.print(Some(&mut desk), Answer::yes(report::text::part(&part), json))
        }
        Command::Check { path } => check(path, context),
        Command::Import { path, number_was_wrong } => {
            let files = read(path)?;
            let (all, named): (Vec<_>, Vec<_>) =
                number_was_wrong.iter().cloned().partition(|c| c.as_str() == "all");
            let said = NumberWasWrong { all: !all.is_empty(), parts: named };
            let mut desk = context.open()?;
            let by = context.by().cloned();
            let done = parts::import_saying(&mut desk, by.as_ref(), context.act()?, &files, &said)?;
            let text = format!(
                "the catalogue now has {}: {} added, {} changed.{}{}",
                report::text::counted(done.parts, "part", "parts"),
                done.added,
                done.changed,
                report::text::changed_parts(&done.changes),
                report::text::holes(&done.holes)
            );
            let json = json!({
                "parts": done.parts, "added": done.added, "changed": done.changed,
                "changed_parts": report::json::changed_parts(&done.changes),
                "holes": report::json::holes(&done.holes),
            });
            context.booked(&mut desk, &done.booked, Acted::new(text, json))
        }
        Command::Verify { fitted, candidate, pieces, how } => {
            let mut desk: Desk = context.open()?;
            let (fitted, candidate) =
                (&fitted.part(&mut desk, context)?, &candidate.part(&mut desk, context)?);
            let (by, on) = (context.by().cloned(), desk.today());
            let who = by.clone().ok_or(DeskError::<PartError>::NoInitials)?;
            let booked = desk.book(by.as_ref(), context.act()?, |view| {
                parts::verify(view, fitted, candidate, *pieces, how, &who, on)
            })?;
            let text = format!(
                "{candidate} was tried in place of {fitted}: {}. It is void when either part's numbers change.",
                report::text::pieces(*pieces)
            );
            context.booked(
                &mut desk,
                &booked,
                Acted::new(text, json!({ "fitted": fitted.as_str(), "candidate": candidate.as_str() })),
            )
        }
    }
}

fn check(path: &[PathBuf], context: &mut Context<'_>) -> Result<u8, Failure> {
    let files = read(path)?;
    // Checked against the home's catalogue where there is a home; on its own where there is none.
    let named = |files: &[(String, String)]| -> Vec<(String, String)> { files.to_vec() };
    let files = named(&files);
    let each = || files.iter().map(|(f, t)| (f.as_str(), t.as_str()));
    let edition = if context.home.has_logbook() {
        let mut desk = context.open()?;
        let record = desk.record();
        parts::check(record.view(), record.logbook(), each())?
    } else {
        crate::catalog::Edition::from_files(each()).map_err(PartError::from)?
    };
    let (parts, interfaces, systems) = (edition.parts.len(), edition.interfaces.len(), edition.systems.len());
    let holes = parts::holes_in(each());
    let text = format!(
        "No mistake. With these files the catalogue has {}, {}, {}.{}\n",
        report::text::counted(parts, "part", "parts"),
        report::text::counted(interfaces, "interface", "interfaces"),
        report::text::counted(systems, "system", "systems"),
        report::text::holes(&holes)
    );
    let json = json!({
        "version": report::json::VERSION, "mistakes": [], "parts": parts, "interfaces": interfaces, "systems": systems,
        "holes": report::json::holes(&holes),
    });
    context.print(None, Answer::yes(text, json))
}
