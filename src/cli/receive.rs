//! `spareseat receive`

use std::path::PathBuf;

use serde_json::json;

use super::acting::Acted;
use super::failure::Failure;
use super::packs::{LotOrLabel, PartOrLabel, lot_or_label, meant, part_or_label};
use super::part::read_one;
use super::{Context, quantity};
use crate::report::text::pieces;
use crate::shelf::delivery;
use crate::shelf::receiving::{self, Receive};
use crate::stock::StockLine;
use crate::units::{Expiry, PlaceId, RawLabel};

/// Book a delivery into a drawer
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Which part; or in its place the label as scanned, which says lot and expiry as well
    #[arg(value_name = "PART", value_parser = part_or_label, required_unless_present = "lines")]
    part: Option<PartOrLabel>,
    /// Which lot, as printed; not needed beside a label that says it
    #[arg(long, value_parser = lot_or_label)]
    lot: Option<LotOrLabel>,
    /// How many pieces; left out beside a label: as it says, else as many as a pack holds
    #[arg(long, value_parser = quantity, allow_hyphen_values = true)]
    quantity: Option<u32>,
    /// Into which drawer; with --lines, for the lines that name none
    #[arg(long, required_unless_present = "lines")]
    place: Option<PlaceId>,
    /// A whole delivery in one entry, all or nothing: a CSV file with part, lot, quantity, place and, where known,
    /// expiry and label; or with a label on each line, as scanned
    #[arg(long, value_name = "FILE", conflicts_with_all = ["part", "lot", "quantity", "expiry", "label"])]
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
    let today = context.today.date;
    if let Some(file) = &args.lines {
        let text = read_one(file)?;
        let lines = delivery::read(&text, args.place.as_ref(), args.new_place).map_err(Failure::typed)?;
        let mut desk = context.open()?;
        let (all, careful) = desk.ask(|view| delivery::known(view, &lines, today))?;
        return context.act_at(desk, careful, |view| receiving::decide_all(view, &all));
    }
    let (Some(said), Some(place)) = (&args.part, &args.place) else {
        return Err(Failure::typed(
            "say PART, --lot, --quantity and --place; a label and --place; or --lines FILE",
        ));
    };
    let mut desk = context.open()?;
    let pack = meant(&mut desk, Some(said), args.lot.as_ref(), args.label.as_ref())?;
    let ask = Receive::of(&pack, args.expiry, args.quantity, place, args.new_place)?;
    let booked = desk.book(context.by(), context.act()?, |view| receiving::decide(view, &ask))?;
    let Receive { part, lot, quantity, .. } = ask;
    let mut careful = pack.careful;
    let unknown = |l: &StockLine| l.lot == lot && l.expiry == Expiry::NotRecorded;
    if desk.view().stock_of(&part).is_ok_and(|lines| lines.iter().any(unknown)) {
        careful.push("no expiry is on record of this lot: say it next time with --expiry, 'none' where the label carries none".to_owned());
    }
    let text = format!("{} of {part}, lot {lot}, put into {place}.", pieces(quantity));
    let json =
        json!({ "part": part.as_str(), "lot": lot.as_str(), "quantity": quantity, "place": place.as_str() });
    // The first form had them as `careful`.
    context.booked(&mut desk, &booked, Acted::new(text, json).version(2).careful(careful))
}
