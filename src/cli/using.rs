//! `spareseat use`

use serde_json::json;

use super::acting::Acted;
use super::failure::Failure;
use super::laying::{
    self, LotSaid, OfLines, Torqued, Tray, read_became, read_label, read_leaning, read_lot, read_torqued,
};
use super::packs::{PartOrLabel, meant};
use super::{Context, one_of};
use crate::case::TorqueRecord;
use crate::catalog::{Lean, Position};
use crate::desk::Refused;
use crate::fitting::laying::Line;
use crate::fitting::using::{Use, UseError, decide, remarks};
use crate::lots::holds;
use crate::record::Became;
use crate::report::text::pieces;
use crate::units::{CaseNumber, Note, PartCode, PlaceId, RawLabel};

/// Book a part from a drawer into a patient, or the whole tray of a visit
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The case
    case: CaseNumber,
    /// The tooth, ISO 3950
    #[arg(long, value_name = "TOOTH", allow_hyphen_values = true, required_unless_present = "visit")]
    site: Option<String>,
    /// Where it stands
    #[arg(long, value_parser = one_of(Position::ALL.map(|p| (p, p.slug()))), required_unless_present = "visit")]
    position: Option<Position>,
    /// Which part; not needed beside --label
    #[arg(long, required_unless_present_any = ["visit", "label"])]
    part: Option<PartCode>,
    /// Which lot, as printed; not needed beside a label that says it; with --visit LINE=LOT, where alike parts are of
    /// several lots
    #[arg(long, value_parser = read_lot, required_unless_present_any = ["visit", "label"])]
    lot: Vec<LotSaid>,
    /// Torque in Ncm, or 'not-measured'; with --visit for every line that no LINE=NCM names, if those ask for one torque
    #[arg(long, value_name = "NCM", value_parser = read_torqued, allow_hyphen_values = true, required_unless_present = "visit")]
    torque: Vec<Torqued>,
    /// From which drawer; not needed when only one holds the lot
    #[arg(long)]
    place: Option<PlaceId>,
    /// Angled parts: which way it leans, seen from above: buccal, mesial, oral, distal, or degrees; with --visit
    /// LINE=DIRECTION
    #[arg(long, value_parser = read_leaning)]
    lean: Vec<(Option<Line>, Lean)>,
    /// The label as scanned, in place of part and lot or beside them; with --visit any number of them, each of a pack
    /// of the tray, LINE=LABEL for the one that went in there
    #[arg(long, value_parser = read_label)]
    label: Vec<(Option<Line>, RawLabel)>,
    /// It lay there although the record says no: book the correction with it (needs --place)
    #[arg(long)]
    found: bool,
    /// Use an expired lot all the same; the reason is recorded with your initials
    #[arg(long, value_name = "REASON")]
    expired_because: Option<Note>,
    /// Use what is set aside for another case all the same; the reason is recorded with your initials
    #[arg(long, value_name = "REASON")]
    held_because: Option<Note>,
    /// What became of the part that came out, 'kept' or 'discarded': it never goes back to a drawer; with --visit
    /// LINE=kept or LINE=discarded
    #[arg(long, value_parser = read_became)]
    old: Vec<(Option<Line>, Became)>,
    #[command(flatten)]
    tray: Tray,
}

/// The one value of an option that may be given for many lines with --visit.
fn only<T: Clone>(option: &str, values: &[(Option<Line>, T)]) -> Result<Option<T>, Failure> {
    match values {
        [] => Ok(None),
        [(None, value)] => Ok(Some(value.clone())),
        [(Some(_), _)] => {
            Err(Failure::typed(format!("{option} LINE=VALUE is for --visit: here say {option} VALUE")))
        }
        _ => Err(Failure::typed(format!("{option} stands more than once: one part is booked here"))),
    }
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    if args.tray.visit {
        let said_of = OfLines {
            torques: &args.torque,
            leans: &args.lean,
            old: &args.old,
            lots: &args.lot,
            labels: &args.label,
        };
        return laying::run(&args.case, &args.tray, &said_of, context);
    }
    if let Some(option) = args.tray.without_visit() {
        return Err(Failure::typed(format!(
            "{option} is for --visit, which books the whole tray: leave it out"
        )));
    }
    let (Some(site), Some(position)) = (&args.site, args.position) else {
        return Err(Failure::typed("say --site and --position, or --visit for the whole tray"));
    };
    let torque = only("--torque", &args.torque)?.unwrap_or(TorqueRecord::NotRecorded);
    let label = only("--label", &args.label)?;
    if args.lot.len() > 1 {
        return Err(Failure::typed("--lot stands more than once: one part is booked here"));
    }
    let lot = args.lot.first().map(|lot| {
        let of_line = || Failure::typed("--lot LINE=LOT is for --visit: here say --lot LOT");
        lot.whole.as_ref().ok_or_else(of_line)
    });
    let lot = lot.transpose()?;
    let (lean, became) =
        (only("--lean", &args.lean)?, only("--old", &args.old)?.unwrap_or(Became::Discarded));
    let mut desk = context.open()?;
    let today = desk.today();
    let part = args.part.clone().map(PartOrLabel::Part);
    let pack = meant(&mut desk, part.as_ref(), lot, label.as_ref())?;
    let (part, lot) = (&pack.part, pack.lot()?);
    let ask = Use {
        case: args.case.clone(),
        site: site.clone(),
        position,
        part: part.clone(),
        lot: lot.clone(),
        place: args.place.clone(),
        torque,
        lean,
        label: pack.label.clone(),
        found: args.found,
        expired_because: args.expired_because.clone(),
        held_because: args.held_because.clone(),
        became,
    };
    let remarks = desk.ask(|view| remarks(view, &ask, today).map_err(Refused::<UseError>::from))?;
    let booked = desk.book(context.by(), context.act()?, |view| decide(view, &ask, today))?;
    let left: i64 = desk
        .view()
        .stock_of(part)
        .map(|lines| {
            lines
                .iter()
                .filter(|l| l.place.house().is_some() && !l.expiry.is_over(today))
                .map(|l| l.quantity)
                .sum()
        })
        .unwrap_or(0);
    let text = format!(
        "case {}, tooth {}: {} is now {}, lot {}, {}; {} of this part left in the house.",
        args.case,
        site,
        position.words(),
        part,
        lot,
        torque,
        pieces(left)
    );
    let json = json!({
        "case": args.case.as_str(),
        "site": site,
        "position": position.slug(),
        "part": part.as_str(),
        "lot": lot.as_str(),
        "left_in_house": left,
    });
    let short = holds::short(desk.view(), std::slice::from_ref(part), today).unwrap_or_default();
    let told = Acted::new(text, json).careful(pack.careful.clone()).notes(remarks).notes(short);
    context.booked(&mut desk, &booked, told)
}
