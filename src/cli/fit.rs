//! `spareseat fit`

use std::path::PathBuf;

use serde_json::{Value as Json, json};

use super::failure::Failure;
use super::packs::{PartOrLabel, part_or_label};
use super::{Answer, Context, one_of_words};
use crate::bench::fit::{Exchange, Fit, FitQuestion, Incoming, answer};
use crate::case::read_lean;
use crate::catalog::{Lean, Position};
use crate::desk::{Desk, write_whole};
use crate::lab::sharing::{self, Answering};
use crate::record::AnswerSwap;
use crate::report;
use crate::units::{CaseNumber, Length, printable};

/// Does the bridge still sit when these parts come in, and if not, by how much?
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The case
    case: CaseNumber,
    /// A part that is to come in, as 25:abutment=PART or with its label as scanned; several are judged as a set
    #[arg(long = "swap", value_name = "SITE:POSITION=PART", value_parser = incoming, allow_hyphen_values = true, required = true)]
    swaps: Vec<ComesIn>,
    /// An angled abutment put in so many steps of its index from where the fitted one leans, as 35=1
    #[arg(long, value_name = "SITE=STEPS", value_parser = turned, allow_hyphen_values = true)]
    turned: Vec<(String, i8)>,
    /// An angled abutment put in leaning that way: buccal, mesial, oral, distal, or degrees, as 35=mesial
    #[arg(long, value_name = "SITE=DIRECTION", value_parser = leaning, allow_hyphen_values = true, conflicts_with = "turned")]
    lean: Vec<(String, Lean)>,
    /// Write one page to print and sign, as HTML
    #[arg(long, value_name = "FILE")]
    sheet: Option<PathBuf>,
    /// Write the answer as a file that the practice takes back; needs --as
    #[arg(long, value_name = "FILE")]
    answer: Option<PathBuf>,
    /// Put what is written in place of a file of that name
    #[arg(long)]
    over: bool,
}

/// A part that is to come in, before its label was looked up.
#[derive(Debug, Clone)]
struct ComesIn {
    site: String,
    position: Position,
    part: PartOrLabel,
}

fn incoming(text: &str) -> Result<ComesIn, String> {
    let expected = || {
        format!(
            "'{}' is no swap: expected a site, a position and a part, such as 25:abutment=plover-mua-4.1-c3.0",
            printable(text)
        )
    };
    let (at, part) = text.split_once('=').ok_or_else(expected)?;
    let (site, position) = at.split_once(':').ok_or_else(expected)?;
    Ok(ComesIn {
        site: site.to_owned(),
        position: one_of_words(position, &Position::ALL.map(|p| (p, p.slug())))?,
        part: part_or_label(part)?,
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

/// The laboratory's answer, with its working; nothing of what lies in the laboratory's own drawers goes with it.
fn answer_file(
    desk: &mut Desk,
    fit: &Fit,
    json: &Json,
    context: &Context<'_>,
) -> Result<sharing::Answer, Failure> {
    let by = context.by().ok_or_else(|| Failure::typed("say who answers: --as INITIALS"))?.clone();
    let swap =
        |e: &Exchange| AnswerSwap { site: e.site, position: e.position, part: e.candidate.part.clone() };
    let um = |band: Length| f64::from(band.base());
    let answering = Answering {
        swaps: fit.exchanges.iter().map(swap).collect(),
        verdict: fit.judged.verdict,
        worst_gap_um: fit.judged.judged_by.map(|mm| mm * 1000.0),
        bands_um: (um(fit.bands.keeps), um(fit.bands.check)),
        working: json!({
            "because": json["because"], "careful": json["careful"], "fit": json["fit"], "bands": json["bands"],
            "assumed": json["assumed"],
        }),
        by,
        on: desk.today(),
        laboratory: None,
    };
    Ok(desk.ask(|view| sharing::write_answer(view, &fit.case, answering.clone()))?)
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    if args.sheet.is_some() && args.sheet == args.answer {
        return Err(Failure::typed("--sheet and --answer name the same file: give each a name of its own"));
    }
    let mut desk = context.open_dated()?;
    let mut swaps = Vec::new();
    for ComesIn { site, position, part } in &args.swaps {
        swaps.push(Incoming {
            site: site.clone(),
            position: *position,
            part: part.part(&mut desk, context)?,
        });
    }
    let asked = FitQuestion {
        case: &args.case,
        incoming: &swaps,
        turned: &args.turned,
        leans: &args.lean,
        today: desk.today(),
    };
    let fit = desk.ask(|view| answer(view, &asked))?;
    let (mut text, mut json) = (
        report::text::fit(&fit, desk.today(), context.common.why),
        report::json::fit(&fit, desk.today(), desk.entry()),
    );
    // Both are made before either is written: what refuses the one leaves no half of the two behind.
    let page = args.sheet.as_ref().map(|path| {
        let practice = desk.view().head().practice.as_ref().map_or(String::new(), ToString::to_string);
        (path, report::html::fit_sheet(&fit, &practice, desk.today()))
    });
    let answer = match &args.answer {
        Some(path) => Some((path, answer_file(&mut desk, &fit, &json, context)?)),
        None => None,
    };
    if let Some((path, page)) = page {
        write_whole(&context.home, path, page.as_bytes(), args.over)?;
        let name = printable(&path.to_string_lossy());
        text += &format!("The sheet to print and sign lies in {name}.\n");
        json["sheet"] = name.into();
    }
    if let Some((path, answer)) = answer {
        write_whole(&context.home, path, answer.text.as_bytes(), args.over)?;
        let (name, to) = (printable(&path.to_string_lossy()), &answer.file.origin);
        text += &format!(
            "The answer lies in {name}; {} takes it back with 'spareseat --as INITIALS case take FILE'.\n",
            to.practice
        );
        json["answer_file"] = json!({
            "file": name, "sum": answer.sum.to_string(), "practice": to.practice.as_str(), "case": to.case.as_str(),
        });
    }
    context.print(Some(&mut desk), Answer { text, json, yes: fit.judged.verdict.may_go_in() })
}
