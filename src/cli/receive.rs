//! `spareseat receive`

use std::path::PathBuf;

use serde_json::json;

use super::failure::Failure;
use super::part::read_one;
use super::{Context, quantity};
use crate::desk::delivery;
use crate::desk::receiving::{Receive, decide, decide_all};
use crate::report::text::pieces;
use crate::units::{Expiry, Lot, PartCode, PlaceId, RawLabel};

/// Book a delivery into a drawer
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Which part
    #[arg(required_unless_present = "lines")]
    part: Option<PartCode>,
    /// Which lot, as printed
    #[arg(long, required_unless_present = "lines")]
    lot: Option<Lot>,
    /// How many pieces
    #[arg(long, value_parser = quantity, allow_hyphen_values = true, required_unless_present = "lines")]
    quantity: Option<u32>,
    /// Into which drawer
    #[arg(long, required_unless_present = "lines")]
    place: Option<PlaceId>,
    /// A whole delivery in one entry, all or nothing: a CSV file with part, lot, quantity, place and, where known,
    /// expiry and label
    #[arg(long, value_name = "FILE", conflicts_with_all = ["part", "lot", "quantity", "place", "expiry", "label"])]
    lines: Option<PathBuf>,
    /// The drawer is new: make it
    #[arg(long)]
    new_place: bool,
    /// YYYY-MM-DD, YYYY-MM, or 'none' when the label carries none; left out: as recorded for this lot
    #[arg(long, value_parser = Expiry::parse)]
    expiry: Option<Expiry>,
    /// The label as scanned
    #[arg(long, value_parser = RawLabel::new)]
    label: Option<RawLabel>,
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    if let Some(file) = &args.lines {
        let lines = delivery::read(&read_one(file)?, args.new_place).map_err(Failure::typed)?;
        return context.act_on_stock(|view| decide_all(view, &lines));
    }
    let (Some(part), Some(lot), Some(quantity), Some(place)) =
        (&args.part, &args.lot, args.quantity, &args.place)
    else {
        return Err(Failure::typed("say PART, --lot, --quantity and --place, or --lines FILE"));
    };
    let mut desk = context.open()?;
    let ask = Receive {
        part: part.clone(),
        lot: lot.clone(),
        quantity,
        place: place.clone(),
        new_place: args.new_place,
        expiry: args.expiry,
        label: args.label.clone(),
    };
    let booked = desk.book(context.by(), context.act()?, |view| decide(view, &ask))?;
    let text = format!("{} of {part}, lot {lot}, put into {place}.", pieces(quantity));
    let json =
        json!({ "part": part.as_str(), "lot": lot.as_str(), "quantity": quantity, "place": place.as_str() });
    context.booked(&mut desk, &booked, text, json)
}
