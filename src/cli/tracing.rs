//! `spareseat trace`, `spareseat withdraw`

use super::acting::Acted;
use super::failure::{Failure, NO};
use super::packs::{LotOrLabel, PartOrLabel, lot_or_label, meant, part_or_label};
use super::{Answer, Context};
use crate::desk::{Desk, NotComplete, Refused};
use crate::report::{fhir, json, text};
use crate::tracing::exchange;
use crate::tracing::trace::{self, TraceError};
use crate::tracing::withdrawing::decide;
use crate::units::{CaseNumber, Lot, Note, PartCode};

/// Where every unit of a lot went, or which lots a patient has and had; only reads
#[derive(Debug, clap::Args)]
pub struct Trace {
    /// Where every unit of this lot went, as printed; or the label as scanned, which says the part as well
    #[arg(long, value_parser = lot_or_label, required_unless_present = "case", conflicts_with = "case")]
    lot: Option<LotOrLabel>,
    /// Of this part, where several have a lot of that name
    #[arg(long, value_parser = part_or_label, conflicts_with = "case")]
    part: Option<PartOrLabel>,
    /// Which lots this case has and had
    #[arg(long)]
    case: Option<CaseNumber>,
    /// As one bundle of HL7 FHIR R5, for another program
    #[arg(long)]
    fhir: bool,
}

/// A lot was called back by its maker: keep apart what is left of it, and see where every unit went
#[derive(Debug, clap::Args)]
pub struct Withdraw {
    /// Which lot, as printed; or the label as scanned, which says the part as well
    #[arg(long, value_parser = lot_or_label)]
    lot: LotOrLabel,
    /// Of which part; not needed when only one has a lot of that name
    #[arg(long, value_parser = part_or_label)]
    part: Option<PartOrLabel>,
    /// What the maker says
    #[arg(long, value_name = "REASON")]
    because: Option<Note>,
}

/// The lot that is meant, and of which part where that was said.
fn lot_of(
    desk: &mut Desk,
    lot: &LotOrLabel,
    said: Option<&PartOrLabel>,
) -> Result<(Lot, Option<PartCode>), Failure> {
    match (lot, said) {
        // Nothing but a name: several parts may have a lot of it.
        (LotOrLabel::Lot(lot), None) => Ok((lot.clone(), None)),
        (lot, said) => {
            let pack = meant(desk, said, Some(lot), None)?;
            Ok((pack.lot()?.clone(), Some(pack.part)))
        }
    }
}

/// Another program would take half a list for the whole one.
fn no_bundle(short: Option<&NotComplete>) -> Result<(), Failure> {
    short.map_or(Ok(()), |s| Err(Failure::not_complete(s)))
}

pub fn trace(args: &Trace, context: &mut Context<'_>) -> Result<u8, Failure> {
    let mut desk = context.open_for(args.fhir)?;
    let (as_of, today) = (desk.entry(), desk.today());
    let answer = match (&args.lot, &args.case) {
        (Some(lot), _) => {
            let (lot, part) = lot_of(&mut desk, lot, args.part.as_ref())?;
            let (view, logbook) = desk.view_and_logbook();
            let all = trace::lot(view, logbook, &lot, part.as_ref())?;
            if args.fhir {
                no_bundle(all.not_complete.as_ref())?;
                let told = exchange::of_lots(view, &all.lots, today).map_err(Refused::<TraceError>::from)?;
                return context.print_fhir(&mut desk, &fhir::lots(&all.lots, &told));
            }
            context.say_short(all.not_complete.as_ref())?;
            Answer::yes(text::lots(&all), json::lots(&all, as_of))
        }
        (None, Some(case)) => {
            let (view, logbook) = desk.view_and_logbook();
            let found = trace::case(view, logbook, case)?;
            if args.fhir {
                no_bundle(found.not_complete.as_ref())?;
                let told = exchange::of_case(view, &found, today).map_err(Refused::<TraceError>::from)?;
                return context.print_fhir(&mut desk, &fhir::case(&found, &told));
            }
            context.say_short(found.not_complete.as_ref())?;
            Answer::yes(text::case_trace(&found), json::case_trace(&found, as_of))
        }
        (None, None) => return Err(Failure::typed("say --lot LOT or --case CASE")),
    };
    context.print(Some(&mut desk), answer)
}

pub fn withdraw(args: &Withdraw, context: &mut Context<'_>) -> Result<u8, Failure> {
    let mut desk = context.open()?;
    let (lot, part) = lot_of(&mut desk, &args.lot, args.part.as_ref())?;
    let because = args.because.as_ref();
    let booked =
        desk.book(context.by(), context.act()?, |view| decide(view, &lot, part.as_ref(), because))?;
    let (view, logbook) = desk.view_and_logbook();
    let all = trace::lot(view, logbook, &lot, part.as_ref())
        .map_err(|e| Failure::from(e).after_booking(booked.seq))?;
    let in_a_mouth = all.lots.iter().any(|t| !t.in_mouths.is_empty());
    let somebody = in_a_mouth || all.lots.iter().any(|t| t.astray() > 0);
    let said =
        booked.entry.as_ref().map_or(String::new(), |e| format!("{}.\n{}", text::told(e), text::lots(&all)));
    let mut told = booked.entry.as_ref().map_or(serde_json::json!({}), json::act);
    told["lots"] = json::lots(&all, desk.entry())["lots"].take();
    told["not_complete"] = json::not_complete(all.not_complete.as_ref());
    told["in_a_mouth"] = in_a_mouth.into();
    context.say_short(all.not_complete.as_ref())?;
    let code = context.booked(&mut desk, &booked, Acted::new(said, told))?;
    Ok(if somebody && code == 0 { NO } else { code })
}
