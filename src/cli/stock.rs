//! `spareseat stock`

use super::failure::Failure;
use super::packs::{PartOrLabel, part, part_or_label};
use super::{Answer, Context, days, one_of};
use crate::desk::Refused;
use crate::report;
use crate::shelf::low::low;
use crate::shelf::shelves::{By, StockError, StockFilter, apart, held, list, needed};
use crate::tracing::exchange;
use crate::units::PlaceId;

/// What lies where in the house, and until when it can be used
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Only this part; or a label of it as scanned
    #[arg(long, value_parser = part_or_label)]
    part: Option<PartOrLabel>,
    /// Only this drawer
    #[arg(long)]
    place: Option<PlaceId>,
    /// Only what can be used for at most so many days more
    #[arg(long, value_name = "DAYS", value_parser = days, allow_hyphen_values = true)]
    expires_within: Option<i32>,
    /// What comes first
    #[arg(long = "by", value_name = "WHAT", value_parser = one_of(By::ALL), default_value = "part")]
    order: By,
    /// Which parts are low: fewer than the next visit takes, what is planned, and what is set aside
    #[arg(long, conflicts_with_all = ["part", "place", "expires_within"])]
    low: bool,
    /// As one bundle of HL7 FHIR R5, for another program
    #[arg(long, conflicts_with = "low")]
    fhir: bool,
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    let mut desk = context.open_for(args.fhir)?;
    desk.check_clock()?;
    let today = desk.today();
    if args.low {
        let all = desk.ask(|view| low(view, today))?;
        let answer = Answer::yes(report::text::low(&all), report::json::low(&all, desk.entry()));
        return context.print(Some(&mut desk), answer);
    }
    let part = part(&mut desk, args.part.as_ref(), context)?;
    let which = StockFilter { part, place: args.place.clone(), expires_within: args.expires_within };
    let mut rows = desk.ask(|view| list(view, &which, today))?;
    args.order.sort(&mut rows);
    let apart = desk.ask(|view| apart(view, &which))?;
    if args.fhir {
        let shelves = exchange::on_shelves(&rows, &apart);
        let told =
            desk.ask(|view| exchange::of_stock(view, &shelves, today).map_err(Refused::<StockError>::from))?;
        let bundle = report::fhir::stock(&shelves, exchange::only(&which).as_deref(), &told);
        return context.print_fhir(&mut desk, &bundle);
    }
    let held = desk.ask(|view| held(view, &which, today))?;
    let needed = desk.ask(|view| needed(view, &which, today))?;
    let text = report::text::stock(&rows, args.order, today)
        + &report::text::held(&held)
        + &report::text::apart(&apart)
        + &report::text::planned(&needed);
    let json = report::json::stock(&rows, &held, &apart, &needed, today, desk.entry());
    context.print(Some(&mut desk), Answer::yes(text, json))
}
