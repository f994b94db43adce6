//! `spareseat receive`

use std::path::PathBuf;

use serde_json::json;

use super::failure::Failure;
use super::part::read_one;
use super::{Context, quantity};
use crate::desk::finding::labelled;
use crate::desk::receiving::{Receive, decide, decide_all};
use crate::desk::{Desk, delivery};
use crate::report::text::pieces;
use crate::units::{Expiry, Lot, PartCode, PlaceId, RawLabel};

/// Book a delivery into a drawer
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Which part; or in its place the label as scanned, which says lot and expiry as well
    #[arg(value_parser = part_or_label, required_unless_present = "lines")]
    part: Option<PartOrLabel>,
    /// Which lot, as printed; not beside a label
    #[arg(long)]
    lot: Option<Lot>,
    /// How many pieces; left out beside a label: as it says, else as many as a pack holds
    #[arg(long, value_parser = quantity, allow_hyphen_values = true)]
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

/// A part by its code, or by what is printed on its pack.
#[derive(Debug, Clone)]
enum PartOrLabel {
    Part(PartCode),
    Label(String),
}

/// No part code begins as a label does, or is as long as the digits of one.
fn part_or_label(text: &str) -> Result<PartOrLabel, String> {
    let digits = text.len() >= 16 && text.bytes().take(16).all(|b| b.is_ascii_digit());
    if digits || text.starts_with([']', '(', '+', '*', '\u{1d}']) {
        return Ok(PartOrLabel::Label(text.to_owned()));
    }
    PartCode::new(text).map(PartOrLabel::Part).map_err(|e| e.to_string())
}

/// What a label stands for, and what must be known of it.
fn by_label(
    text: &str,
    place: &PlaceId,
    args: &Args,
    desk: &mut Desk,
) -> Result<(Receive, Vec<String>), Failure> {
    if args.lot.is_some() || args.label.is_some() {
        return Err(Failure::typed(
            "the label says the lot: leave --lot and --label out, or say the PART by its code",
        ));
    }
    let today = desk.today();
    let found = desk.ask(|view| labelled(view, text, today))?;
    let expiry = match (args.expiry, found.expiry) {
        (Some(said), Some(printed)) if said != printed => {
            return Err(Failure::typed(format!(
                "--expiry says {said}, the label {printed}: read the pack again; nothing was booked"
            )));
        }
        (said, printed) => said.or(printed),
    };
    let quantity = args.quantity.or(found.quantity).ok_or_else(|| {
        Failure::typed(format!("how many {} a pack holds is not on record: say --quantity", found.part.code))
    })?;
    let ask = Receive {
        part: found.part.code,
        lot: found.lot,
        quantity,
        place: place.clone(),
        new_place: args.new_place,
        expiry,
        label: Some(found.label),
    };
    Ok((ask, found.careful))
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    if let Some(file) = &args.lines {
        let lines = delivery::read(&read_one(file)?, args.new_place).map_err(Failure::typed)?;
        return context.act_on_stock(|view| decide_all(view, &lines));
    }
    let say =
        || Failure::typed("say PART, --lot, --quantity and --place; a label and --place; or --lines FILE");
    let place = args.place.as_ref().ok_or_else(say)?;
    let mut desk = context.open()?;
    let (ask, careful) = match (&args.part, &args.lot, args.quantity) {
        (Some(PartOrLabel::Label(text)), ..) => by_label(text, place, args, &mut desk)?,
        (Some(PartOrLabel::Part(part)), Some(lot), Some(quantity)) => {
            let (part, lot, place) = (part.clone(), lot.clone(), place.clone());
            let (expiry, label) = (args.expiry, args.label.clone());
            (Receive { part, lot, quantity, place, new_place: args.new_place, expiry, label }, Vec::new())
        }
        _ => return Err(say()),
    };
    let Receive { part, lot, quantity, .. } = &ask;
    let booked = desk.book(context.by(), context.act()?, |view| decide(view, &ask))?;
    let mut text = format!("{} of {part}, lot {lot}, put into {place}.", pieces(*quantity));
    for line in &careful {
        text += &format!("\nCAREFUL: {}.", line.trim_end_matches('.'));
    }
    let json = json!({ "part": part.as_str(), "lot": lot.as_str(), "quantity": quantity, "place": place.as_str(), "careful": careful });
    context.booked(&mut desk, &booked, text, json)
}
