//! `spareseat case share`, `take`

use std::fs::File;
use std::io::Read as _;
use std::path::{Path, PathBuf};

use super::super::acting::Acted;
use super::super::failure::Failure;
use super::super::part::unreadable;
use super::super::{Answer, Context};
use crate::desk::Refused;
use crate::desk::write_whole;
use crate::lab::sharing::{self, FileError, MOST_BYTES, Opened, ShareTakeError};
use crate::record::Entry;
use crate::report;
use crate::units::{CaseNumber, printable};

#[derive(Debug, clap::Args)]
pub struct Share {
    /// The case
    case: CaseNumber,
    /// The file to write
    file: PathBuf,
    /// Put it in place of a file of that name
    #[arg(long)]
    over: bool,
}

#[derive(Debug, clap::Args)]
pub struct Take {
    /// The file
    file: PathBuf,
    /// A case that was shared: its number here [default: the practice's]
    #[arg(long, value_name = "CASE")]
    number: Option<CaseNumber>,
}

fn shown(path: &Path) -> String {
    printable(&path.to_string_lossy())
}

/// Never more than is read of such a file, whatever the system says of its length.
fn read(path: &Path, name: &str) -> Result<String, Failure> {
    let file = File::open(path).map_err(|e| unreadable(path, &e))?;
    let len = file.metadata().map_err(|e| unreadable(path, &e))?.len();
    let mut bytes = Vec::new();
    let most = MOST_BYTES as u64 + 1;
    file.take(most).read_to_end(&mut bytes).map_err(|e| unreadable(path, &e))?;
    let (file, len) = (name.to_owned(), len.max(bytes.len() as u64));
    if bytes.len() > MOST_BYTES {
        return Err(ShareTakeError::from(FileError::TooLong { file, len }).into());
    }
    let why = || "it is not UTF-8".to_owned();
    String::from_utf8(bytes).map_err(|_| ShareTakeError::from(FileError::NotJson { file, why: why() }).into())
}

pub fn share(args: &Share, context: &mut Context<'_>) -> Result<u8, Failure> {
    let mut desk = context.open()?;
    let today = desk.today();
    let shared = desk.ask(|view| sharing::share(view, &args.case, today))?;
    write_whole(&context.home, &args.file, shared.text.as_bytes(), args.over)?;
    let name = shown(&args.file);
    let answer = Answer::yes(report::text::shared(&shared, &name), report::json::shared(&shared, &name));
    context.print(Some(&mut desk), answer)
}

pub fn take(args: &Take, context: &mut Context<'_>) -> Result<u8, Failure> {
    let name = shown(&args.file);
    let text = read(&args.file, &name)?;
    let opened = sharing::open(&name, &text).map_err(ShareTakeError::from)?;
    if matches!(opened, Opened::Answer(..)) && args.number.is_some() {
        return Err(ShareTakeError::NumberOfAnswer.into());
    }
    let mut desk = context.open()?;
    let today = desk.today();
    let remarks =
        desk.ask(|view| sharing::remarks(view, &opened).map_err(Refused::<ShareTakeError>::from))?;
    let mut here: Option<CaseNumber> = None;
    let mut replaced = false;
    let booked = desk.book(context.by(), context.act()?, |view| {
        let entry = match &opened {
            Opened::Share(file, sum) => sharing::take(view, file, *sum, args.number.as_ref(), today)?,
            Opened::Answer(file, sum) => sharing::confirm(view, file, *sum, today)?,
        };
        here = Entry::case(&entry).cloned();
        replaced = here.as_ref().map_or(Ok(false), |n| view.case(n).map(|c| c.is_some()))?;
        Ok::<_, Refused<ShareTakeError>>(entry)
    })?;
    let number = here.map_or(String::new(), |n| n.to_string());
    let (said, json) = match &opened {
        Opened::Share(file, _) => (
            report::text::taken(&number, file, replaced),
            report::json::taken(&number, file, replaced, &remarks),
        ),
        Opened::Answer(file, _) => (report::text::answered(file), report::json::answered(file, &remarks)),
    };
    context.booked(&mut desk, &booked, Acted::new(said, json).notes(remarks))
}
