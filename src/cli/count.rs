//! `spareseat count`

use super::failure::{Failure, NO};
use super::{Answer, Context};
use crate::desk::counting::{Count, Found, compare, decide};
use crate::report::{json, text};
use crate::units::{Note, PlaceId};

/// Say what lies in a drawer and see what differs from the record; with a reason the differences are booked
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Which drawer
    place: PlaceId,
    /// What lies there: PART=N, or PART:LOT=N
    #[arg(value_name = "PART[:LOT]=N", value_parser = Found::parse)]
    found: Vec<Found>,
    /// Nothing else lies there: what is not named is missing
    #[arg(long)]
    all: bool,
    /// Book it, with this reason
    #[arg(long, value_name = "REASON")]
    because: Option<Note>,
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    let ask = Count { place: args.place.clone(), found: args.found.clone(), all: args.all };
    if let Some(because) = &args.because {
        return context.act_on_stock(|view| decide(view, &ask, because));
    }
    let mut desk = context.open()?;
    let compared = desk.ask(|view| compare(view, &ask))?;
    let same = compared.differences().next().is_none();
    let answer = Answer::yes(text::compared(&compared), json::compared(&compared, desk.entry()));
    let code = context.print(Some(&mut desk), answer)?;
    Ok(if same { code } else { code.max(NO) })
}
