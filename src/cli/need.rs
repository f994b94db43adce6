//! `spareseat need`

use jiff::civil::Date;

use super::failure::Failure;
use super::packs::{PartOrLabel, part_or_label};
use super::{Context, entry_number, quantity};
use crate::record::Needed;
use crate::shelf::planning::{call_off, plan};
use crate::units::{CaseNumber, Note, parse_date};

/// Plan work that takes parts on a day, or call it off; 'stock' shows what is planned and what is there for it
#[derive(Debug, clap::Args)]
pub struct Args {
    /// For which case
    case: CaseNumber,
    /// When, YYYY-MM-DD
    #[arg(long, value_name = "DATE", value_parser = parse_date, required_unless_present = "off")]
    date: Option<Date>,
    /// Which part; or a label of it as scanned
    #[arg(long, value_parser = part_or_label, required_unless_present = "off")]
    part: Option<PartOrLabel>,
    /// How many pieces
    #[arg(long, value_parser = quantity, allow_hyphen_values = true, required_unless_present = "off")]
    quantity: Option<u32>,
    /// Call off what was planned by that entry
    #[arg(long, value_name = "ENTRY", value_parser = entry_number, allow_hyphen_values = true, conflicts_with_all = ["date", "part", "quantity"])]
    off: Option<u64>,
    /// What for, or why not
    #[arg(long, value_name = "REASON")]
    because: Option<Note>,
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    let today = context.today.date;
    match (args.off, args.date, &args.part, args.quantity) {
        (Some(need), ..) => {
            context.act_on_stock(|view| call_off(view, &args.case, need, args.because.as_ref()))
        }
        (None, Some(on), Some(part), Some(quantity)) => {
            let mut desk = context.open()?;
            let (part, careful) = part.part_of_act(&mut desk)?;
            let (case, because) = (args.case.clone(), args.because.clone());
            let needed = Needed { case, on, part, quantity, because };
            context.act_at(desk, careful, |view| plan(view, &needed, today))
        }
        _ => Err(Failure::typed("say --date, --part and --quantity, or --off ENTRY")),
    }
}
