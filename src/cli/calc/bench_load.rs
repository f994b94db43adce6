//! `spareseat calc bench-load`

use super::super::failure::Failure;
use super::super::{Answer, Context};
use super::size;
use crate::mechanics::bench::bench_load;
use crate::report;

/// The bending moments of a load on the standard fatigue bench for implants (ISO 14801)
///
/// In JSON: moment_nmm where the holder grips, platform_moment_nmm at a platform at bone level, side_n, axial_n.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The load at 30° to the implant's axis, in N
    #[arg(long, value_name = "N", value_parser = force, allow_hyphen_values = true)]
    force: f64,
}

fn force(text: &str) -> Result<f64, String> {
    size(text, "a load in N", "250")
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    let found = bench_load(args.force).map_err(Failure::typed)?;
    let text = report::text::bench_load(&found, context.common.why);
    context.print(None, Answer::yes(text, report::json::bench_load(&found)))
}
