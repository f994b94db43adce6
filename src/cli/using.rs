//! `spareseat use`

use serde_json::json;

use super::failure::Failure;
use super::{Context, one_of};
use crate::case::{TorqueRecord, read_lean, read_torque_record};
use crate::catalog::{Lean, Position};
use crate::desk::using::{Use, UseError, decide, remarks};
use crate::record::Became;
use crate::report::text::pieces;
use crate::units::{CaseNumber, Lot, Note, PartCode, PlaceId, RawLabel};

/// Book a part from a drawer into a patient
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The case
    case: CaseNumber,
    /// The tooth, ISO 3950
    #[arg(long, value_name = "TOOTH", allow_hyphen_values = true)]
    site: String,
    /// Where it stands
    #[arg(long, value_parser = one_of(Position::ALL.map(|p| (p, p.slug()))))]
    position: Position,
    /// Which part
    #[arg(long)]
    part: PartCode,
    /// Which lot, as printed
    #[arg(long)]
    lot: Lot,
    /// Torque in Ncm, or 'not-measured'
    #[arg(long, value_name = "NCM", value_parser = read_torque_record, allow_hyphen_values = true)]
    torque: TorqueRecord,
    /// From which drawer; not needed when only one holds the lot
    #[arg(long)]
    place: Option<PlaceId>,
    /// Angled parts: which way it leans, seen from above: buccal, mesial, oral, distal, or degrees
    #[arg(long, value_parser = read_lean)]
    lean: Option<Lean>,
    /// The label as scanned
    #[arg(long, value_parser = RawLabel::new)]
    label: Option<RawLabel>,
    /// It lay there although the record says no: book the correction with it (needs --place)
    #[arg(long)]
    found: bool,
    /// Use an expired lot all the same; the reason is recorded with your initials
    #[arg(long, value_name = "REASON")]
    expired_because: Option<Note>,
    /// What became of the part that came out; it never goes back to a drawer
    #[arg(long, value_parser = one_of(Became::ALL), default_value = "discarded")]
    old: Became,
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    let mut desk = context.open()?;
    let today = desk.today();
    let ask = Use {
        case: args.case.clone(),
        site: args.site.clone(),
        position: args.position,
        part: args.part.clone(),
        lot: args.lot.clone(),
        place: args.place.clone(),
        torque: args.torque,
        lean: args.lean,
        label: args.label.clone(),
        found: args.found,
        expired_because: args.expired_because.clone(),
        became: args.old,
    };
    let remarks = desk.ask(|view| remarks(view, &ask).map_err(UseError::from))?;
    let booked = desk.book(context.by(), context.act()?, |view| decide(view, &ask, today))?;
    let left: i64 = desk
        .view()
        .stock_of(&args.part)
        .map(|lines| lines.iter().filter(|l| l.place.house().is_some()).map(|l| l.quantity).sum())
        .unwrap_or(0);
    let text = format!(
        "case {}, tooth {}: {} is now {}, lot {}, {}; {} of this part left in the house.",
        args.case,
        args.site,
        args.position.words(),
        args.part,
        args.lot,
        args.torque,
        pieces(left)
    );
    let json = json!({
        "case": args.case.as_str(),
        "site": args.site,
        "position": args.position.slug(),
        "part": args.part.as_str(),
        "lot": args.lot.as_str(),
        "left_in_house": left,
        "remarks": remarks,
    });
    let code = context.booked(&mut desk, &booked, text, json)?;
    for remark in remarks {
        writeln!(context.err, "note: {remark}.")?;
    }
    Ok(code)
}
