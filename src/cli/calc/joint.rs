//! `spareseat calc joint`

use super::super::failure::Failure;
use super::super::{Answer, Context};
use super::{SeatArgs, diameter, number, size};
use crate::mechanics::joint::{FlatJoint, Opening};
use crate::report;

/// The bending moment that opens a flat annular seat, and the one that tips it
///
/// With --core and a load it also says at which multiple of that load the seat opens, the preload not growing with it.
/// In JSON: kern_mm, opening_nmm, tipping_nmm; with a load screw_share and opens_at, null where it never opens.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    seat: SeatArgs,
    /// The force that holds it shut, in N
    #[arg(long, value_name = "N", value_parser = clamp, allow_hyphen_values = true)]
    clamp: f64,
    /// Diameter of the screw's core, in mm
    #[arg(long, value_name = "MM", value_parser = diameter, allow_hyphen_values = true, requires = "moment")]
    core: Option<f64>,
    /// The load's bending moment, in N·mm
    #[arg(long, value_name = "NMM", value_parser = moment, allow_hyphen_values = true, requires = "core")]
    moment: Option<f64>,
    /// The load along the axis, in N: + presses, − pulls [default: 0]
    #[arg(long, value_name = "N", value_parser = axial, allow_hyphen_values = true, requires = "moment")]
    axial: Option<f64>,
}

pub(super) fn clamp(text: &str) -> Result<f64, String> {
    size(text, "a clamp in N", "300")
}

pub(super) fn moment(text: &str) -> Result<f64, String> {
    number(text, "a moment in N·mm")
}

pub(super) fn axial(text: &str) -> Result<f64, String> {
    number(text, "an axial load in N")
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    let seat = args.seat.ring()?;
    let found = match (args.core, args.moment) {
        (Some(core_mm), Some(moment_nmm)) => {
            let joint = FlatJoint::new(seat, core_mm, args.clamp).map_err(Failure::typed)?;
            Opening::under(&joint, moment_nmm, args.axial.unwrap_or(0.0)).map_err(Failure::typed)?
        }
        _ => Opening::of(seat, args.clamp).map_err(Failure::typed)?,
    };
    let text = report::text::joint(&found, context.common.why);
    context.print(None, Answer::yes(text, report::json::joint(&found)))
}
