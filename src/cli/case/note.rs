//! `spareseat case note`

use jiff::civil::Date;
use serde_json::json;

use super::super::acting::Acted;
use super::super::failure::Failure;
use super::super::{Context, one_of};
use crate::case::{Event, Happening};
use crate::cases::entering;
use crate::catalog::Position;
use crate::units::{CaseNumber, Note, parse_date};

#[derive(Debug, clap::Args)]
pub struct Args {
    /// The case
    case: CaseNumber,
    /// In words
    text: Note,
    /// The tooth, ISO 3950
    #[arg(long, value_name = "TOOTH", allow_hyphen_values = true)]
    site: Option<String>,
    /// To which part
    #[arg(long, value_parser = one_of(Position::ALL.map(|p| (p, p.slug()))))]
    position: Option<Position>,
    /// What happened
    #[arg(long, value_parser = one_of(Happening::ALL.iter().copied()), default_value = "noted")]
    what: Happening,
    /// What was kept of the piece
    #[arg(long)]
    kept: Option<Note>,
    /// When [default: today]
    #[arg(long, value_name = "DATE", value_parser = parse_date)]
    when: Option<Date>,
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    let mut desk = context.open()?;
    let today = desk.today();
    let event = Event {
        on: args.when.unwrap_or(today),
        tooth: None,
        position: args.position,
        what: args.what,
        note: Some(args.text.clone()),
        kept: args.kept.clone(),
    };
    let booked = desk.book(context.by(), context.act()?, |view| {
        entering::happened(view, &args.case, args.site.as_deref(), event.clone(), today)
    })?;
    let text = format!("case {}: {}.", args.case, args.what);
    context.booked(&mut desk, &booked, Acted::new(text, json!({ "case": args.case.as_str() })))
}
