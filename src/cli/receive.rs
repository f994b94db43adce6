//! `spareseat receive`

use serde_json::json;

use super::failure::Failure;
use super::{Context, quantity};
use crate::desk::receiving::{Receive, decide};
use crate::report::text::pieces;
use crate::units::{Expiry, Lot, PartCode, PlaceId, RawLabel};

/// Book a delivery into a drawer
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Which part
    part: PartCode,
    /// Which lot, as printed
    #[arg(long)]
    lot: Lot,
    /// How many pieces
    #[arg(long, value_parser = quantity, allow_hyphen_values = true)]
    quantity: u32,
    /// Into which drawer
    #[arg(long)]
    place: PlaceId,
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
    let mut desk = context.open()?;
    let ask = Receive {
        part: args.part.clone(),
        lot: args.lot.clone(),
        quantity: args.quantity,
        place: args.place.clone(),
        new_place: args.new_place,
        expiry: args.expiry,
        label: args.label.clone(),
    };
    let booked = desk.book(context.by(), context.act()?, |view| decide(view, &ask))?;
    let text =
        format!("{} of {}, lot {}, put into {}.", pieces(args.quantity), args.part, args.lot, args.place);
    let json = json!({ "part": args.part.as_str(), "lot": args.lot.as_str(), "quantity": args.quantity, "place": args.place.as_str() });
    context.booked(&mut desk, &booked, text, json)
}
