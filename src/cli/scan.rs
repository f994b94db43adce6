//! `spareseat scan LABEL`

use super::failure::Failure;
use super::{Answer, Context};
use crate::report;
use crate::scan::{Verdict, read};

/// What stands on a label: item, lot, serial number, expiry, quantity; no record is needed
///
/// GS1 as a scanner sends it or as it is printed in brackets, and HIBC. Nothing is taken from a label that is refused.
/// Two digits of a year are near to the year of --on, or of today. Exit status 0 when the label is in order, 1 when it is
/// doubtful, refused or of another kind.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The text in quotes, at most 200 bytes, as it came: a symbology identifier such as ]d2 may stand before it, and the
    /// separator of GS1 is the byte 1D (hexadecimal) itself; in many shells $'…' writes it as \x1d. Without a scanner,
    /// type what is printed, brackets and all: '(01)09521234543213(17)270228(10)A1'
    #[arg(value_name = "LABEL")]
    label: String,
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    let year = context.today.date.year();
    let label = read(&args.label, year);
    context.print(
        None,
        Answer {
            text: report::text::scanned(&label, year, context.common.why),
            json: report::json::scanned(&label),
            yes: label.verdict() == Verdict::Ok,
        },
    )
}
