//! `spareseat move`

use serde_json::json;

use super::Context;
use super::acting::Acted;
use super::failure::Failure;
use super::packs::Pieces;
use crate::report::text::pieces;
use crate::shelf::apart::Units;
use crate::shelf::moving::{Move, decide};
use crate::units::PlaceId;

/// Move stock from drawer to drawer
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    pieces: Pieces,
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
    let (Units { part, lot, quantity }, careful) = args.pieces.read(&mut desk)?;
    let ask = Move {
        part: part.clone(),
        lot: lot.clone(),
        quantity,
        from: args.from.clone(),
        to: args.to.clone(),
        new_place: args.new_place,
    };
    let booked = desk.book(context.by(), context.act()?, |view| decide(view, &ask))?;
    let text = format!("{} of {part}, lot {lot}, moved into {}.", pieces(quantity), args.to);
    let json =
        json!({ "part": part.as_str(), "lot": lot.as_str(), "quantity": quantity, "to": args.to.as_str() });
    context.booked(&mut desk, &booked, Acted::new(text, json).careful(careful))
}
