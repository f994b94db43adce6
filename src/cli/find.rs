//! `spareseat find`

use super::failure::Failure;
use super::{Answer, Context};
use crate::report;
use crate::shelf::finding::find;

/// Which part a label belongs to, and where it lies; exit status 1 when the catalogue has none
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The label as scanned, in quotes; see 'spareseat scan'
    #[arg(value_name = "LABEL")]
    label: String,
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    let mut desk = context.open_dated()?;
    let today = desk.today();
    let found = desk.ask(|view| find(view, &args.label, today))?;
    let yes = found.parts.len() == 1;
    let (text, json) = (report::text::found(&found, today), report::json::found(&found, today, desk.entry()));
    context.print(Some(&mut desk), Answer { text, json, yes })
}
