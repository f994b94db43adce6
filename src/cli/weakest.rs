//! `spareseat weakest`

use std::path::PathBuf;

use super::case::bridge::crown;
use super::failure::Failure;
use super::{Answer, Context, one_of};
use crate::case::CrownFrom;
use crate::desk::write_whole;
use crate::report;
use crate::units::{CaseNumber, Length, printable};
use crate::weakest::{LoadSaid, WeakestQuestion, answer};

/// What breaks next: which part goes first, and what the others carry while one is out
///
/// Compares parts under the same bite; it predicts no life. In JSON factors are multiples of the bite, at low, middle
/// and high friction, null where a part never gets there.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The case
    case: CaseNumber,
    /// A site of the restoration that is meant, where the case has several
    #[arg(long = "at", value_name = "SITE", allow_hyphen_values = true)]
    at: Option<String>,
    /// A site whose joint is out
    #[arg(long, value_name = "SITE", allow_hyphen_values = true)]
    without: Option<String>,
    /// How hard every bite is, in N [default: by tooth and grinding, catalog/tables/bites.toml]
    #[arg(long, value_name = "N", value_parser = force, allow_hyphen_values = true)]
    bite: Option<f64>,
    /// How far the oblique bites stand off the axis, in degrees; the steep ones half of it [default: 30]
    #[arg(long, value_name = "DEG", value_parser = angle, allow_hyphen_values = true)]
    angle: Option<f64>,
    /// How tall the crowns are, in mm, up to where they bite [default: as on record]
    #[arg(long, value_name = "MM", value_parser = crown, allow_hyphen_values = true, requires = "from")]
    crown: Option<Length>,
    /// From where that was measured: the platform of the implant, or the upper seat of the abutment
    #[arg(long, value_parser = one_of(CrownFrom::ALL.iter().copied()), requires = "crown")]
    from: Option<CrownFrom>,
    /// Write one page to print, as HTML
    #[arg(long, value_name = "FILE")]
    sheet: Option<PathBuf>,
    /// Put what is written in place of a file of that name
    #[arg(long)]
    over: bool,
}

fn between(text: &str, what: &str, [least, most]: [f64; 2]) -> Result<f64, String> {
    let read = text.parse::<f64>().ok().filter(|n| (least..=most).contains(n));
    read.ok_or_else(|| format!("'{}' is not {what}: expected {least} to {most}", printable(text)))
}

fn force(text: &str) -> Result<f64, String> {
    between(text, "a bite in N", [1.0, 2000.0])
}

fn angle(text: &str) -> Result<f64, String> {
    between(text, "an angle in degrees", [1.0, 80.0])
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    let mut desk = context.open_dated()?;
    let asked = WeakestQuestion {
        case: &args.case,
        at: args.at.as_deref(),
        without: args.without.as_deref(),
        said: LoadSaid { force_n: args.bite, angle_deg: args.angle },
        crown: args.crown.zip(args.from),
    };
    let found = desk.ask(|view| answer(view, &asked))?;
    let (mut text, mut json) =
        (report::text::weakest(&found, context.common.why), report::json::weakest(&found, desk.entry()));
    if let Some(path) = &args.sheet {
        let practice = desk.view().head().practice.as_ref().map_or(String::new(), ToString::to_string);
        let page = report::html::weakest_sheet(&found, &practice, desk.today());
        write_whole(&context.home, path, page.as_bytes(), args.over)?;
        let name = printable(&path.to_string_lossy());
        text += &format!("The sheet to print lies in {name}.\n");
        json["sheet"] = name.into();
    }
    context.print(Some(&mut desk), Answer::yes(text, json))
}
