//! `spareseat visit`

use super::failure::Failure;
use super::{Answer, Context, one_of};
use crate::desk::visit::{Broken, Left, VisitQuestion, answer};
use crate::report;
use crate::units::CaseNumber;

/// What broke: what to take, from which drawer, at what torque, and what else must be new
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The case
    case: CaseNumber,
    /// The tooth, ISO 3950
    #[arg(long, value_name = "TOOTH", allow_hyphen_values = true)]
    site: String,
    /// What broke
    #[arg(long, value_name = "PART", value_parser = one_of(Broken::ALL))]
    broken: Broken,
    /// What stayed behind
    #[arg(long, value_name = "WHAT", value_parser = one_of(Left::ALL), default_value = "not-known")]
    left: Left,
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    let mut desk = context.open_dated()?;
    let today = desk.today();
    let question = VisitQuestion {
        case: args.case.clone(),
        site: args.site.clone(),
        broken: args.broken,
        left: args.left,
    };
    let visit = desk.ask(|view| answer(view, &question, today))?;
    let (text, json) =
        (report::text::visit(&visit, today, context.common.why), report::json::visit(&visit, desk.entry()));
    context.print(Some(&mut desk), Answer { text, json, yes: visit.is_complete() })
}
