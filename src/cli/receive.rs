//! `spareseat receive`

use std::path::PathBuf;

use serde_json::json;

use super::failure::Failure;
use super::packs::{LotOrLabel, PartOrLabel, lot_or_label, part_or_label};
use super::part::read_one;
use super::{Context, quantity};
use crate::desk::Refused;
use crate::report::text::pieces;
use crate::shelf::delivery::{self, Line};
use crate::shelf::receiving::{Receive, ReceiveError};
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
        let careful =
            desk.ask(|view| Ok::<_, Refused<ReceiveError>>(delivery::careful(view, &lines, today)))?;
        let code = context.act_at(desk, |view| delivery::decide_all(view, &lines, today))?;
        for line in careful {
            writeln!(context.err, "CAREFUL: {line}.")?;
        }
        return Ok(code);
    }
    let (Some(said), Some(place)) = (&args.part, &args.place) else {
        return Err(Failure::typed(
            "say PART, --lot, --quantity and --place; a label and --place; or --lines FILE",
        ));
    };
    let (part, label) = match said {
        PartOrLabel::Part(part) => (Some(part.clone()), args.label.clone()),
        PartOrLabel::Label(_) if args.label.is_some() => {
            return Err(Failure::typed("the label stands in place of the part: leave --label out"));
        }
        PartOrLabel::Label(text) => (None, Some(RawLabel::new(text).map_err(Failure::typed)?)),
    };
    let (lot, label) = match (&args.lot, label) {
        (Some(LotOrLabel::Label(_)), Some(_)) => {
            return Err(Failure::typed(
                "two labels were said: scan one, the one of the pack. Nothing was booked",
            ));
        }
        (Some(LotOrLabel::Label(text)), None) => (None, Some(RawLabel::new(text).map_err(Failure::typed)?)),
        (Some(LotOrLabel::Lot(lot)), label) => (Some(lot.clone()), label),
        (None, label) => (None, label),
    };
    let line = Line {
        part,
        lot,
        quantity: args.quantity,
        place: place.clone(),
        new_place: args.new_place,
        expiry: args.expiry,
        label,
    };
    let mut desk = context.open()?;
    let (Receive { part, lot, quantity, .. }, careful) = desk.ask(|view| line.known(view, today))?;
    let booked = desk.book(context.by(), context.act()?, |view| delivery::decide(view, &line, today))?;
    let mut careful = careful;
    let unknown = |l: &StockLine| l.lot == lot && l.expiry == Expiry::NotRecorded;
    if desk.view().stock_of(&part).is_ok_and(|lines| lines.iter().any(unknown)) {
        careful.push("no expiry is on record of this lot: say it next time with --expiry, 'none' where the label carries none".to_owned());
    }
    let mut text = format!("{} of {part}, lot {lot}, put into {place}.", pieces(quantity));
    for line in &careful {
        text += &format!("\nCAREFUL: {}.", line.trim_end_matches('.'));
    }
    let json = json!({ "part": part.as_str(), "lot": lot.as_str(), "quantity": quantity, "place": place.as_str(), "careful": careful });
    context.booked(&mut desk, &booked, text, json)
}
