//! `spareseat calc seat`

use std::num::NonZeroUsize;

use super::super::failure::Failure;
use super::super::{Answer, Context};
use super::numbers;
use crate::fit::seating::{NoRest, Rest, Seat, middle, one_screw, rest};
use crate::report;

/// Where a rigid bridge comes to rest on seats that moved, and how far it stands off each
#[derive(Debug, clap::Args)]
pub struct Args {
    /// A seat: x in mm, y in mm, how much higher it stands than as built in µm, its radius in mm
    #[arg(long = "seat", value_name = "X,Y,RISE,RADIUS", value_parser = seat, allow_hyphen_values = true, required = true)]
    seats: Vec<Seat>,
    /// Where the bridge is pressed, in mm [default: in the middle of the seats]
    #[arg(long, value_name = "X,Y", value_parser = press, allow_hyphen_values = true, conflicts_with = "tighten")]
    press: Option<[f64; 2]>,
    /// The one-screw test: the screw of that seat alone is tightened, counted from 1
    #[arg(long, value_name = "N")]
    tighten: Option<NonZeroUsize>,
}

fn seat(text: &str) -> Result<Seat, String> {
    let [x, y, rise_um, radius] = numbers(text, ["x in mm", "y in mm", "rise in µm", "radius in mm"])?;
    Ok(Seat { at: [x, y], rise: rise_um / 1000.0, radius })
}

fn press(text: &str) -> Result<[f64; 2], String> {
    numbers(text, ["x in mm", "y in mm"])
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    let rest = at_rest(args)?;
    let (text, json) = (
        report::text::seating(&args.seats, &rest, context.common.why),
        report::json::seating(&args.seats, &rest),
    );
    context.print(None, Answer::yes(text, json))
}

fn at_rest(args: &Args) -> Result<Rest, Failure> {
    let found = match (args.tighten, args.press) {
        (Some(n), _) if n.get() > args.seats.len() => {
            return Err(Failure::typed(format!(
                "there is no seat {n}: expected 1 to {}, in the order they were given",
                args.seats.len()
            )));
        }
        (Some(n), _) => one_screw(&args.seats, n.get() - 1),
        (None, Some(at)) => rest(&args.seats, at),
        (None, None) => rest(&args.seats, middle(&args.seats)),
    };
    found.map_err(|e| {
        let hint = match e {
            NoRest::Tips(_) => ". Press between the seats, or leave --press out",
            NoRest::Doubtful { .. } => ". Expected: x, y and radius in mm, rise in µm",
            _ => "",
        };
        Failure::typed(format!("{e}{hint}"))
    })
}
