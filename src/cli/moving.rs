//! `spareseat move`

use serde_json::json;

use super::failure::Failure;
use super::{Context, quantity};
use crate::desk::moving::{Move, decide};
use crate::report::text::pieces;
use crate::units::{Lot, PartCode, PlaceId};

/// Move stock from drawer to drawer
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
    /// From which drawer; not needed when only one holds the lot
    #[arg(long)]
    from: Option<PlaceId>,
    /// Into which drawer
    #[arg(long)]
    to: PlaceId,
    /// The drawer is new: make it
    #[arg(long)]
    new_place: bool,
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    let mut desk = context.open()?;
    let ask = Move {
        part: args.part.clone(),
        lot: args.lot.clone(),
        quantity: args.quantity,
        from: args.from.clone(),
        to: args.to.clone(),
        new_place: args.new_place,
    };
    let booked = desk.book(context.by(), context.act()?, |view| decide(view, &ask))?;
    let text =
        format!("{} of {}, lot {}, moved into {}.", pieces(args.quantity), args.part, args.lot, args.to);
    let json = json!({ "part": args.part.as_str(), "lot": args.lot.as_str(), "quantity": args.quantity, "to": args.to.as_str() });
    context.booked(&mut desk, &booked, text, json)
}
