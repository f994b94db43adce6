//! `spareseat discard`, `spareseat reprocess`, `spareseat quarantine`

use super::failure::Failure;
use super::packs::{LotOrLabel, PartOrLabel, Pieces, lot_or_label, meant, part_or_label};
use super::{Context, quantity};
use crate::shelf::apart::{self, Source, Units};
use crate::units::{Note, PlaceId};

/// Throw stock away
#[derive(Debug, clap::Args)]
pub struct Discard {
    #[command(flatten)]
    pieces: Pieces,
    /// From which drawer; not needed when only one holds the lot
    #[arg(long)]
    place: Option<PlaceId>,
    /// From what is kept apart
    #[arg(long, conflicts_with_all = ["place", "from_reprocessing"])]
    from_quarantine: bool,
    /// From what is to be reprocessed
    #[arg(long, conflicts_with = "place")]
    from_reprocessing: bool,
    /// Why
    #[arg(long, value_name = "REASON")]
    because: Note,
}

/// Put what was to be reprocessed, and has been, back into a drawer
#[derive(Debug, clap::Args)]
pub struct Reprocess {
    #[command(flatten)]
    pieces: Pieces,
    /// Into which drawer
    #[arg(long)]
    place: PlaceId,
    /// The drawer is new: make it
    #[arg(long)]
    new_place: bool,
}

/// Keep units of a lot apart, so that nobody is given them; or put them back
#[derive(Debug, clap::Args)]
pub struct Quarantine {
    /// Which part; or in its place the label as scanned, which says the lot as well
    #[arg(value_name = "PART", value_parser = part_or_label)]
    part: PartOrLabel,
    /// Which lot, as printed; not needed beside a label that says it
    #[arg(long, value_parser = lot_or_label)]
    lot: Option<LotOrLabel>,
    /// How many pieces; left out: all that lie in drawers
    #[arg(long, value_parser = quantity, allow_hyphen_values = true, required_if_eq("lift", "true"))]
    quantity: Option<u32>,
    /// From which drawer; with --lift into which
    #[arg(long, required_if_eq("lift", "true"))]
    place: Option<PlaceId>,
    /// Put them back into a drawer
    #[arg(long)]
    lift: bool,
    /// With --lift: the drawer is new, make it
    #[arg(long, requires = "lift")]
    new_place: bool,
    /// Why
    #[arg(long, value_name = "REASON")]
    because: Note,
}

pub fn discard(args: &Discard, context: &mut Context<'_>) -> Result<u8, Failure> {
    let mut desk = context.open()?;
    let (units, careful) = args.pieces.read(&mut desk)?;
    let source = match (args.from_quarantine, args.from_reprocessing) {
        (true, _) => Source::Quarantine,
        (false, true) => Source::Reprocess,
        (false, false) => Source::Drawer(args.place.clone()),
    };
    context.act_at(desk, careful, |view| apart::discard(view, &units, &source, &args.because))
}

pub fn reprocess(args: &Reprocess, context: &mut Context<'_>) -> Result<u8, Failure> {
    let mut desk = context.open()?;
    let (units, careful) = args.pieces.read(&mut desk)?;
    context.act_at(desk, careful, |view| apart::reprocess(view, &units, &args.place, args.new_place))
}

pub fn quarantine(args: &Quarantine, context: &mut Context<'_>) -> Result<u8, Failure> {
    let mut desk = context.open()?;
    let pack = meant(&mut desk, Some(&args.part), args.lot.as_ref(), None)?;
    let (part, lot, careful) = (&pack.part, pack.lot()?, pack.careful.clone());
    match (args.lift, args.quantity, &args.place) {
        (true, Some(quantity), Some(place)) => {
            let units = Units { part: part.clone(), lot: lot.clone(), quantity };
            context
                .act_at(desk, careful, |view| apart::lift(view, &units, place, args.new_place, &args.because))
        }
        (true, ..) => {
            Err(Failure::typed("--lift needs --quantity and --place: how many go into which drawer?"))
        }
        (false, quantity, place) => context.act_at(desk, careful, |view| {
            apart::quarantine(view, part, lot, quantity, place.as_ref(), &args.because)
        }),
    }
}
