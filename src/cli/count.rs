//! `spareseat count`

use super::failure::{Failure, NO};
use super::packs::{PartOrLabel, meant, part_or_label};
use super::{Answer, Context};
use crate::report::{json, text};
use crate::shelf::counting::{Count, Found, by_label, compare, decide};
use crate::units::{Note, PlaceId};

/// Say what lies in a drawer and see what differs from the record; with a reason the differences are booked
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Which drawer
    place: PlaceId,
    /// What lies there: PART=N, PART:LOT=N, or the label as scanned and its number, LABEL=N
    #[arg(value_name = "PART[:LOT]=N", value_parser = lying)]
    found: Vec<Lying>,
    /// Nothing else lies there: what is not named is missing
    #[arg(long)]
    all: bool,
    /// Book it, with this reason
    #[arg(long, value_name = "REASON")]
    because: Option<Note>,
}

/// What lies there, before its label was looked up.
#[derive(Debug, Clone)]
enum Lying {
    Found(Found),
    Label(PartOrLabel, u32),
}

fn lying(text: &str) -> Result<Lying, String> {
    match text.rsplit_once('=').map(|(named, counted)| (part_or_label(named), counted)) {
        Some((Ok(label @ PartOrLabel::Label(_)), counted)) => {
            Ok(Lying::Label(label, Found::counted(counted)?))
        }
        _ => Found::parse(text).map(Lying::Found),
    }
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    let mut desk = context.open()?;
    let (mut found, mut careful) = (Vec::new(), Vec::new());
    for lying in &args.found {
        found.push(match lying {
            Lying::Found(found) => found.clone(),
            Lying::Label(label, counted) => {
                let pack = meant(&mut desk, Some(label), None, None)?;
                let found = desk.ask(|view| by_label(view, &pack, *counted))?;
                careful.extend(pack.careful);
                found
            }
        });
    }
    let ask = Count { place: args.place.clone(), found, all: args.all };
    if let Some(because) = &args.because {
        return context.act_at(desk, careful, |view| decide(view, &ask, because));
    }
    context.careful(&careful)?;
    let compared = desk.ask(|view| compare(view, &ask))?;
    let same = compared.differences().next().is_none();
    let answer = Answer::yes(text::compared(&compared), json::compared(&compared, desk.entry()));
    let code = context.print(Some(&mut desk), answer)?;
    Ok(if same { code } else { code.max(NO) })
}
