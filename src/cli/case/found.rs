//! `spareseat case found`

use jiff::civil::Date;
use serde_json::json;

use super::super::acting::Acted;
use super::super::failure::Failure;
use super::super::packs::{LotOrLabel, PartOrLabel, lot_or_label, meant};
use super::super::{Context, one_of};
use crate::case::{Sure, TorqueRecord, read_lean, read_torque_record};
use crate::cases::entering::{CaseError, Enter, FittedWithout, enter, remarks};
use crate::catalog::{Lean, Position};
use crate::desk::Refused;
use crate::units::{CaseNumber, PartCode, RawLabel, Tooth, parse_date};

#[derive(Debug, clap::Args)]
pub struct Args {
    /// The case
    case: CaseNumber,
    /// The tooth, ISO 3950; made when it is new
    #[arg(long, value_name = "TOOTH", value_parser = Tooth::parse, allow_hyphen_values = true)]
    site: Tooth,
    /// Where it stands
    #[arg(long, value_parser = one_of(Position::ALL.map(|p| (p, p.slug()))))]
    position: Position,
    /// Which part; not needed beside --label
    #[arg(long, required_unless_present = "label")]
    part: Option<PartCode>,
    /// Its lot; not needed beside a label that says it
    #[arg(long, value_parser = lot_or_label)]
    lot: Option<LotOrLabel>,
    /// Its label as scanned, in place of part and lot or beside them
    #[arg(long, value_parser = RawLabel::new)]
    label: Option<RawLabel>,
    /// When it was fitted
    #[arg(long, value_name = "DATE", value_parser = parse_date)]
    since: Option<Date>,
    /// Torque in Ncm, or 'not-measured'; left out: not recorded
    #[arg(long, value_name = "NCM", value_parser = read_torque_record, allow_hyphen_values = true)]
    torque: Option<TorqueRecord>,
    /// Angled parts: which way it leans, seen from above
    #[arg(long, value_parser = read_lean)]
    lean: Option<Lean>,
    /// The driver that reaches it
    #[arg(long, value_name = "PART")]
    driver: Option<PartCode>,
    /// How sure this is
    #[arg(long, value_parser = one_of(Sure::ALL.iter().copied()))]
    sure: Sure,
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    let mut desk = context.open()?;
    let today = desk.today();
    let part = args.part.clone().map(PartOrLabel::Part);
    let pack = meant(&mut desk, part.as_ref(), args.lot.as_ref(), args.label.as_ref())?;
    let fitted = FittedWithout {
        position: args.position,
        lot: pack.lot.clone(),
        label: pack.label.clone(),
        on: args.since,
        torque: args.torque.unwrap_or(TorqueRecord::NotRecorded),
        lean: args.lean,
        driver: args.driver.clone(),
        sure: args.sure,
    };
    let ask = Enter { case: args.case.clone(), site: args.site, part: pack.part.clone(), fitted };
    let remarks = desk.ask(|view| remarks(view, &ask).map_err(Refused::<CaseError>::from))?;
    let booked = desk.book(context.by(), context.act()?, |view| enter(view, &ask, today))?;
    let text = format!(
        "case {}, {} ({}): {} is on record as {}.",
        args.case,
        args.site,
        args.site.words(),
        args.position.words(),
        pack.part
    );
    let json = json!({
        "case": args.case.as_str(), "site": args.site.iso().to_string(), "position": args.position.slug(),
    });
    context.booked(&mut desk, &booked, Acted::new(text, json).careful(pack.careful).notes(remarks))
}
