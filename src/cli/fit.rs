//! `spareseat fit`

use super::failure::Failure;
use super::{Answer, Context, one_of_words};
use crate::case::read_lean;
use crate::catalog::{Lean, Position};
use crate::desk::fit::{Asked, Incoming, answer};
use crate::report;
use crate::units::{CaseNumber, PartCode, printable};

/// Does the bridge still sit when these parts come in, and if not, by how much?
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The case
    case: CaseNumber,
    /// A part that is to come in, as 25:abutment=PART; several are judged as a set
    #[arg(long = "swap", value_name = "SITE:POSITION=PART", value_parser = incoming, allow_hyphen_values = true, required = true)]
    swaps: Vec<Incoming>,
    /// An angled abutment put in so many steps of its index from where the fitted one leans, as 35=1
    #[arg(long, value_name = "SITE=STEPS", value_parser = turned, allow_hyphen_values = true)]
    turned: Vec<(String, i8)>,
    /// An angled abutment put in leaning that way: buccal, mesial, oral, distal, or degrees, as 35=mesial
    #[arg(long, value_name = "SITE=DIRECTION", value_parser = leaning, allow_hyphen_values = true, conflicts_with = "turned")]
    lean: Vec<(String, Lean)>,
}

fn incoming(text: &str) -> Result<Incoming, String> {
    let expected = || {
        format!(
            "'{}' is no swap: expected a site, a position and a part, such as 25:abutment=plover-mua-4.1-c3.0",
            printable(text)
        )
    };
    let (at, part) = text.split_once('=').ok_or_else(expected)?;
    let (site, position) = at.split_once(':').ok_or_else(expected)?;
    Ok(Incoming {
        site: site.to_owned(),
        position: one_of_words(position, &Position::ALL.map(|p| (p, p.slug())))?,
        part: PartCode::new(part).map_err(|e| e.to_string())?,
    })
}

fn turned(text: &str) -> Result<(String, i8), String> {
    let expected =
        || format!("'{}' is no turn: expected a site and a number of steps, such as 35=1", printable(text));
    let (site, steps) = text.split_once('=').ok_or_else(expected)?;
    let steps = steps.parse::<i8>().map_err(|_| expected())?;
    if steps.unsigned_abs() > 24 {
        return Err(format!("{steps} steps: an index has at most 24"));
    }
    Ok((site.to_owned(), steps))
}

fn leaning(text: &str) -> Result<(String, Lean), String> {
    let (site, lean) = text.split_once('=').ok_or_else(|| {
        format!("'{}' is no direction: expected a site and a direction, such as 35=mesial", printable(text))
    })?;
    Ok((site.to_owned(), read_lean(lean)?))
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    let mut desk = context.open_dated()?;
    let asked = Asked { case: &args.case, incoming: &args.swaps, turned: &args.turned, leans: &args.lean };
    let fit = desk.ask(|view| answer(view, &asked))?;
    let (text, json) = (
        report::text::fit(&fit, desk.today(), context.common.why),
        report::json::fit(&fit, desk.today(), desk.entry()),
    );
    context.print(Some(&mut desk), Answer { text, json, yes: fit.judged.verdict.may_go_in() })
}
