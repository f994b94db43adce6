//! `spareseat case close`, `reopen`, `check`, `due`

use jiff::civil::Date;
use serde_json::json;

use super::super::acting::Acted;
use super::super::failure::Failure;
use super::super::{Answer, Context, days};
use crate::cases::standing;
use crate::report;
use crate::units::{CaseNumber, Note, parse_date, show_date};

#[derive(Debug, clap::Args)]
pub struct Closing {
    /// The case
    case: CaseNumber,
    /// Why
    #[arg(long, value_name = "REASON")]
    because: Note,
}

#[derive(Debug, clap::Args)]
#[command(group(clap::ArgGroup::new("when").required(true).args(["due", "off"])))]
pub struct NextCheck {
    /// The case
    case: CaseNumber,
    /// When: today or later, YYYY-MM-DD
    #[arg(long, value_name = "DATE", value_parser = parse_date)]
    due: Option<Date>,
    /// Call the next check off
    #[arg(long)]
    off: bool,
    /// What for; or why it is called off
    #[arg(long, value_name = "WHAT")]
    because: Note,
}

#[derive(Debug, clap::Args)]
pub struct DueArgs {
    /// Only checks that are due within so many days; what is overdue is among them
    #[arg(long, value_name = "DAYS", value_parser = days, allow_hyphen_values = true)]
    within: Option<i32>,
}

pub fn close(args: &Closing, closed: bool, context: &mut Context<'_>) -> Result<u8, Failure> {
    let mut desk = context.open()?;
    let case = &args.case;
    let booked =
        desk.book(context.by(), context.act()?, |view| standing::close(view, case, closed, &args.because))?;
    let check = desk.view().state(case).ok().and_then(|s| s.check);
    let text = match (closed, check) {
        (true, Some((due, _))) => format!(
            "case {case} is closed; it stays on record, and its check on {} is not listed while it is closed.",
            show_date(due)
        ),
        (true, None) => format!("case {case} is closed; it stays on record."),
        (false, Some((due, why))) => {
            format!("case {case} is open again; its next check is on {}: {why}.", show_date(due))
        }
        (false, None) => format!("case {case} is open again."),
    };
    let json = json!({ "case": case.as_str(), "closed": closed, "because": args.because.as_str() });
    context.booked(&mut desk, &booked, Acted::new(text, json))
}

pub fn check(args: &NextCheck, context: &mut Context<'_>) -> Result<u8, Failure> {
    let mut desk = context.open()?;
    let (case, today) = (&args.case, desk.today());
    let booked = desk.book(context.by(), context.act()?, |view| {
        standing::check(view, case, args.due, &args.because, today)
    })?;
    let text = match args.due {
        Some(due) => format!("case {case} is to be checked on {}: {}.", show_date(due), args.because),
        None => format!("the next check of case {case} is called off."),
    };
    let json = json!({
        "case": case.as_str(), "due": args.due.map(|d| d.to_string()), "because": args.because.as_str(),
    });
    context.booked(&mut desk, &booked, Acted::new(text, json))
}

pub fn due(args: &DueArgs, context: &mut Context<'_>) -> Result<u8, Failure> {
    let mut desk = context.open_dated()?;
    let today = desk.today();
    let due = desk.ask(|view| standing::due(view, args.within, today))?;
    let (text, json) =
        (report::text::due(&due, args.within, today), report::json::due(&due, today, desk.entry()));
    context.print(Some(&mut desk), Answer::yes(text, json))
}
