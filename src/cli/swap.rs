//! `spareseat swap`

use super::failure::Failure;
use super::packs::{PartOrLabel, part, part_or_label};
use super::{Answer, Context, one_of};
use crate::bench::swap::{answer, answer_set};
use crate::catalog::Position;
use crate::report;
use crate::units::CaseNumber;

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
    /// The part that would come in; or its label as scanned
    #[arg(value_name = "PART", value_parser = part_or_label)]
    part: Option<PartOrLabel>,
    /// Another site of the same bridge and the part for it, as 24=PART: judged together, as a set
    #[arg(long, value_name = "TOOTH=PART", value_parser = also, requires = "part")]
    with: Vec<(String, PartOrLabel)>,
}

fn also(text: &str) -> Result<(String, PartOrLabel), String> {
    let (site, part) =
        text.split_once('=').ok_or("expected a tooth and a part, such as 24=plover-mua-4.1-c2.0")?;
    Ok((site.to_owned(), part_or_label(part)?))
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    let mut desk = context.open_dated()?;
    let today = desk.today();
    let why = context.common.why;
    let part = part(&mut desk, args.part.as_ref(), context)?;
    if let Some(part) = part.as_ref().filter(|_| !args.with.is_empty()) {
        let mut wanted = vec![(args.site.clone(), part.clone())];
        for (site, part) in &args.with {
            wanted.push((site.clone(), part.part(&mut desk, context)?));
        }
        let set = desk.ask(|view| answer_set(view, &args.case, args.position, &wanted, today))?;
        let (text, json) =
            (report::text::swap_set(&set, today, why), report::json::swap_set(&set, desk.entry()));
        return context.print(Some(&mut desk), Answer { text, json, yes: set.puts_it_back() });
    }
    let swap = desk.ask(|view| answer(view, &args.case, &args.site, args.position, part.as_ref(), today))?;
    let (text, json) = (report::text::swap(&swap, today, why), report::json::swap(&swap, desk.entry()));
    context.print(Some(&mut desk), Answer { text, json, yes: swap.puts_it_back() })
}
