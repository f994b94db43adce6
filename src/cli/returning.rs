//! `spareseat return`

use super::failure::Failure;
use super::{Context, one_of};
use crate::catalog::Position;
use crate::record::Became;
use crate::shelf::returning::{Return, To, decide};
use crate::units::{CaseNumber, Note, PlaceId};

/// Book that a part came out of a patient and nothing takes its place; to be reprocessed, unless said otherwise
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The case
    case: CaseNumber,
    /// The tooth, ISO 3950
    #[arg(long, value_name = "TOOTH", allow_hyphen_values = true)]
    site: String,
    /// Where it stood
    #[arg(long, value_parser = one_of(Position::ALL.map(|p| (p, p.slug()))))]
    position: Position,
    /// It does not come back: 'kept' or 'discarded'
    #[arg(long, value_parser = one_of(Became::ALL), conflicts_with = "never_in_mouth")]
    old: Option<Became>,
    /// It was in no mouth, whatever was booked: it lies in the drawer of --place again
    #[arg(long, requires = "place")]
    never_in_mouth: bool,
    /// With --never-in-mouth: into which drawer
    #[arg(long, requires = "never_in_mouth")]
    place: Option<PlaceId>,
    /// With --never-in-mouth: the drawer is new, make it
    #[arg(long, requires = "never_in_mouth")]
    new_place: bool,
    /// Why
    #[arg(long, value_name = "REASON")]
    because: Note,
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    let to = match (args.old, &args.place) {
        (Some(became), _) => To::Gone(became),
        (None, Some(place)) => To::Drawer { place: place.clone(), new_place: args.new_place },
        (None, None) => To::Reprocess,
    };
    let ask = Return {
        case: args.case.clone(),
        site: args.site.clone(),
        position: args.position,
        to,
        because: args.because.clone(),
    };
    context.act_on_stock(|view| decide(view, &ask))
}
