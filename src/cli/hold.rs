//! `spareseat hold`, `spareseat release`

use jiff::civil::Date;

use super::failure::Failure;
use super::packs::{LotOrLabel, PartOrLabel, lot_or_label, meant, part_or_label};
use super::{Context, entry_number, held_quantity};
use crate::shelf::holding::{SetItAside, check_printed, release, set_aside};
use crate::units::{CaseNumber, Note, PlaceId, parse_date};

/// Set stock aside for a case until a day; no other case is given it meanwhile
#[derive(Debug, clap::Args)]
pub struct Args {
    /// For which case
    case: CaseNumber,
    /// Which part; or the label as scanned
    #[arg(long, value_parser = part_or_label)]
    part: PartOrLabel,
    /// Of this lot; left out: of the lots that are used up first and last until then
    #[arg(long, value_parser = lot_or_label)]
    lot: Option<LotOrLabel>,
    /// How many pieces
    #[arg(long, value_parser = held_quantity, allow_hyphen_values = true)]
    quantity: u32,
    /// The last day it counts, YYYY-MM-DD
    #[arg(long, value_name = "DATE", value_parser = parse_date)]
    until: Date,
    /// Of what lies in this drawer; the hold is on the lot and follows it wherever it is moved
    #[arg(long)]
    place: Option<PlaceId>,
    /// What for
    #[arg(long, value_name = "REASON")]
    because: Option<Note>,
}

/// Let go of what is set aside
#[derive(Debug, clap::Args)]
pub struct Release {
    /// Which holds, by the entries that made them
    #[arg(required = true, value_parser = entry_number)]
    hold: Vec<u64>,
    /// Why
    #[arg(long, value_name = "REASON")]
    because: Option<Note>,
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    let today = context.today.date;
    let mut desk = context.open()?;
    let pack = meant(&mut desk, Some(&args.part), args.lot.as_ref(), None)?;
    check_printed(&pack, args.until, today)?;
    let ask = SetItAside {
        case: args.case.clone(),
        part: pack.part,
        lot: pack.lot,
        quantity: args.quantity,
        until: args.until,
        place: args.place.clone(),
        because: args.because.clone(),
    };
    context.act_at(desk, pack.careful, |view| set_aside(view, &ask, today))
}

pub fn let_go(args: &Release, context: &mut Context<'_>) -> Result<u8, Failure> {
    context.act_on_stock(|view| release(view, &args.hold, args.because.as_ref()))
}
