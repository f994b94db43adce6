//! `spareseat calc share`

use std::num::NonZeroUsize;

use super::super::failure::Failure;
use super::super::{Answer, Context};
use super::{number, numbers};
use crate::mechanics::sharing::{Load, LoadShare, Sideways};
use crate::report;
use crate::units::printable;

/// How a rigid bridge shares a load out to its screws: along them, and across them in their plane
///
/// A force that presses is +: it goes into the seat under the bridge, not into the screw; one that pulls is −, and the
/// screw itself sees a part of it. The frame is taken as rigid on equal supports: an upper bound of the leverage.
///
/// In JSON: forces_n in the order given, 0 for a screw that is out; uncarried_nmm; note, where there is one; with
/// --sideways sideways_n, the length of each, and sideways_xy_n.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// A screw: x in mm, y in mm
    #[arg(long = "screw", value_name = "X,Y", value_parser = screw, allow_hyphen_values = true, required = true)]
    screws: Vec<[f64; 2]>,
    /// The load along the screws: x in mm, y in mm, N; + presses, − pulls
    #[arg(long, value_name = "X,Y,N", value_parser = load, allow_hyphen_values = true, required_unless_present = "sideways")]
    load: Option<[f64; 3]>,
    /// A load across the screws: x in mm, y in mm, N in x, N in y
    #[arg(long, value_name = "X,Y,NX,NY", value_parser = sideways, allow_hyphen_values = true)]
    sideways: Option<[f64; 4]>,
    /// How high above the seats the load across acts, in mm: its moment is then shared out along the screws too
    #[arg(long, value_name = "MM", value_parser = height, allow_hyphen_values = true, requires = "sideways")]
    height: Option<f64>,
    /// A screw that is out, counted from 1
    #[arg(long, value_name = "N", value_parser = counted, allow_hyphen_values = true)]
    without: Vec<NonZeroUsize>,
    /// Radius in mm by whose square each screw adds to the second moments [default: 0, the plain bolt group]
    #[arg(long, value_name = "MM", value_parser = rho, allow_hyphen_values = true)]
    rho: Option<f64>,
}

fn screw(text: &str) -> Result<[f64; 2], String> {
    numbers(text, ["x in mm", "y in mm"])
}

fn load(text: &str) -> Result<[f64; 3], String> {
    numbers(text, ["x in mm", "y in mm", "a force in N"])
}

fn sideways(text: &str) -> Result<[f64; 4], String> {
    numbers(text, ["x in mm", "y in mm", "a force in N in x", "a force in N in y"])
}

fn height(text: &str) -> Result<f64, String> {
    number(text, "a height in mm")
}

fn counted(text: &str) -> Result<NonZeroUsize, String> {
    text.parse()
        .map_err(|_| format!("'{}' is no screw: expected its number, counted from 1", printable(text)))
}

fn rho(text: &str) -> Result<f64, String> {
    number(text, "a radius in mm")
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    let count = args.screws.len();
    if let Some(n) = args.without.iter().find(|n| n.get() > count) {
        return Err(Failure::typed(format!(
            "there is no screw {n}: expected 1 to {count}, in the order they were given"
        )));
    }
    let out: Vec<bool> = (1..=count).map(|n| args.without.iter().any(|w| w.get() == n)).collect();
    if out.iter().all(|o| *o) {
        return Err(Failure::typed("no screw is left: expected at least one that is not out".to_owned()));
    }
    let across = args.sideways.map(|[x, y, nx, ny]| ([x, y], [nx, ny]));
    // A load across that is given no height has no arm, and then nothing is shared along the screws but the load along.
    let along = match (args.load, across, args.height) {
        (None, _, None) => None,
        (load, across, height) => {
            let [x, y, force_n] =
                load.unwrap_or_else(|| across.map_or([0.0; 3], |(at, _)| [at[0], at[1], 0.0]));
            let side_n = across.map_or([0.0; 2], |(_, side)| side);
            Some(Load { at_mm: [x, y], force_n, side_n, height_mm: height.unwrap_or(0.0) })
        }
    };
    let found = LoadShare::of(
        &args.screws,
        &out,
        along,
        across.map(|(at_mm, force_n)| Sideways { at_mm, force_n }),
        args.rho.unwrap_or(0.0),
    );
    let found = found.map_err(Failure::typed)?;
    let text = report::text::screw_shares(&found, context.common.why);
    context.print(None, Answer::yes(text, report::json::screw_shares(&found)))
}
