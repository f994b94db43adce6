//! `spareseat calc section`

use super::super::failure::Failure;
use super::super::{Answer, Context};
use super::joint::{axial, clamp, moment};
use super::{SeatArgs, diameter, size};
use crate::mechanics::joint::FlatJoint;
use crate::mechanics::section::{Loaded, SectionError};
use crate::report;

/// What a load adds to the screw of a joint that opens in part: a ring that cannot pull, round a preloaded bar
///
/// In JSON: mean_mpa and bending_mpa_per_mm, what is added in the middle of the bar and for each mm from it;
/// alternating_mpa, half of what its worst edge sees come and go; open, whether a part of the seat is no longer pressed;
/// with --limit breaks_at, the multiple of the load, null where it never gets there.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    seat: SeatArgs,
    /// The preload that is left after settling, in N
    #[arg(long, value_name = "N", value_parser = clamp, allow_hyphen_values = true)]
    clamp: f64,
    /// Diameter of the screw's core, in mm
    #[arg(long, value_name = "MM", value_parser = diameter, allow_hyphen_values = true)]
    core: f64,
    /// The bending moment, in N·mm
    #[arg(long, value_name = "NMM", value_parser = moment, allow_hyphen_values = true)]
    moment: f64,
    /// The load along the axis, in N: + presses, − pulls [default: 0]
    #[arg(long, value_name = "N", value_parser = axial, allow_hyphen_values = true)]
    axial: Option<f64>,
    /// An alternating stress in MPa: at which multiple of the load does the bar reach it?
    #[arg(long, value_name = "MPA", value_parser = limit, allow_hyphen_values = true)]
    limit: Option<f64>,
}

fn limit(text: &str) -> Result<f64, String> {
    size(text, "an alternating stress in MPa", "100")
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    let found = loaded(args)?;
    let text = report::text::cracked_section(&found, context.common.why);
    context.print(None, Answer::yes(text, report::json::cracked_section(&found)))
}

fn loaded(args: &Args) -> Result<Loaded, Failure> {
    let seat = args.seat.ring()?;
    let joint = FlatJoint::new(seat, args.core, args.clamp).map_err(Failure::typed)?;
    let found: Result<Loaded, SectionError> =
        Loaded::of(joint, args.moment, args.axial.unwrap_or(0.0), args.limit);
    found.map_err(Failure::typed)
}
