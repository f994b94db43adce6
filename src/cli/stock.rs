//! `spareseat stock`

use super::failure::Failure;
use super::{Answer, Context, days};
use crate::desk::exchange;
use crate::desk::shelves::{StockError, Which, apart, held, list, needed};
use crate::report;
use crate::units::{PartCode, PlaceId};

/// What lies where in the house, and until when it can be used
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Only this part
    #[arg(long)]
    part: Option<PartCode>,
    /// Only this drawer
    #[arg(long)]
    place: Option<PlaceId>,
    /// Only what can be used for at most so many days more
    #[arg(long, value_name = "DAYS", value_parser = days, allow_hyphen_values = true)]
    expires_within: Option<i32>,
    /// As one bundle of HL7 FHIR R5, for another program
    #[arg(long)]
    fhir: bool,
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    let mut desk = context.open_for(args.fhir)?;
    desk.check_clock()?;
    let today = desk.today();
    let which =
        Which { part: args.part.clone(), place: args.place.clone(), expires_within: args.expires_within };
    let rows = desk.ask(|view| list(view, &which, today))?;
    let apart = desk.ask(|view| apart(view, &which))?;
    if args.fhir {
        let shelves = exchange::on_shelves(&rows, &apart);
        let told = desk.ask(|view| exchange::of_stock(view, &shelves, today).map_err(StockError::from))?;
        let bundle = report::fhir::stock(&shelves, exchange::only(&which).as_deref(), &told);
        return context.print_fhir(&mut desk, &bundle);
    }
    let held = desk.ask(|view| held(view, &which, today))?;
    let needed = desk.ask(|view| needed(view, &which, today))?;
    let text = report::text::stock(&rows, today)
        + &report::text::held(&held)
        + &report::text::apart(&apart)
        + &report::text::planned(&needed);
    let json = report::json::stock(&rows, &held, &apart, &needed, today, desk.entry());
    context.print(Some(&mut desk), Answer::yes(text, json))
}
