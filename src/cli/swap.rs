//! `spareseat swap`

use super::failure::Failure;
use super::{Answer, Context, one_of};
use crate::catalog::Position;
use crate::desk::swap::answer;
use crate::report;
use crate::units::{CaseNumber, PartCode};

/// May this part take that one's place? Without PART: every candidate, best first
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The case
    case: CaseNumber,
    /// The tooth, ISO 3950
    #[arg(allow_hyphen_values = true)]
    site: String,
    /// Where it stands
    #[arg(value_parser = one_of(Position::ALL.map(|p| (p, p.slug()))))]
    position: Position,
    /// The part that would come in
    part: Option<PartCode>,
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    let mut desk = context.open_dated()?;
    let today = desk.today();
    let swap = desk.ask(|view| answer(view, &args.case, &args.site, args.position, args.part.as_ref()))?;
    let (text, json) = (report::text::swap(&swap, today), report::json::swap(&swap, desk.entry()));
    context.print(Some(&mut desk), Answer { text, json, yes: swap.puts_it_back() })
}
