//! `spareseat case bridge`

use jiff::civil::Date;
use serde_json::json;

use super::super::acting::Acted;
use super::super::failure::Failure;
use super::super::{Context, one_of};
use crate::case::{CrownFrom, Span};
use crate::cases::bridging::{BridgeAsk, HeldBy, end, enter, read_shoulder};
use crate::catalog::HeadSeat;
use crate::desk::open_home_after;
use crate::report;
use crate::units::{CaseNumber, InterfaceId, LIMITS, Length, Name, parse_date, printable};

#[derive(Debug, clap::Args)]
pub struct Args {
    /// The case
    case: CaseNumber,
    /// Its teeth, ISO 3950, with hyphens between them: the sites that carry it, and in brackets the teeth that have no
    /// implant (pontics), as in '24-25-(26)-27'. One site alone is a crown: 46
    #[arg(value_name = "TEETH", value_parser = Span::parse)]
    teeth: Span,
    /// How it is held
    #[arg(long, value_name = "HOW", value_parser = one_of(HeldBy::ALL), required_unless_present = "end")]
    retention: Option<HeldBy>,
    /// Which cement holds it
    #[arg(long, conflicts_with = "end")]
    cement: Option<Name>,
    /// How many teeth hang beyond the last site, to the patient's right and left: right=1,left=1
    #[arg(long, value_name = "SIDE=TEETH", value_parser = cantilever, value_delimiter = ',', conflicts_with = "end")]
    cantilever: Vec<(Side, u8)>,
    /// The interface of the frame's seats; left out: not known
    #[arg(long, value_name = "INTERFACE", conflicts_with = "end")]
    frame_seat: Option<InterfaceId>,
    /// What the screws' heads rest on in the frame, in mm: flat,1.9,1.6 or 'cone 30,1.9,1.6'; left out: not known
    #[arg(long, value_name = "FORM,MEAN,BORE", value_parser = read_shoulder, conflicts_with = "end")]
    head_seat: Option<HeadSeat>,
    /// How tall the crowns are, in mm
    #[arg(long, value_name = "MM", value_parser = crown, allow_hyphen_values = true, requires = "from", conflicts_with = "end")]
    crown: Option<Length>,
    /// From where that was measured: the platform of the implant, or the upper seat of the abutment
    #[arg(long, value_parser = one_of(CrownFrom::ALL.iter().copied()), requires = "crown")]
    from: Option<CrownFrom>,
    /// When it was built: what was on record on that day is what it stands on [default: today]
    #[arg(long, value_name = "DATE", value_parser = parse_date, conflicts_with = "end")]
    built_on: Option<Date>,
    /// It is not in any more since that day; its parts stay on record
    #[arg(long, value_name = "DATE", value_parser = parse_date)]
    end: Option<Date>,
}

/// An end of the arch, as the patient has it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Side {
    Right,
    Left,
}

fn cantilever(text: &str) -> Result<(Side, u8), String> {
    let wrong = || {
        let range = &LIMITS.cantilever;
        format!(
            "'{}' is not a cantilever: expected right=TEETH or left=TEETH, {} to {} teeth, such as right=1",
            printable(text),
            range.least,
            range.most
        )
    };
    let (side, teeth) = text.split_once('=').ok_or_else(wrong)?;
    let side = match side {
        "right" => Side::Right,
        "left" => Side::Left,
        _ => return Err(wrong()),
    };
    let teeth = LIMITS.cantilever.whole(teeth).map_err(|_| wrong())?;
    Ok((side, u8::try_from(teeth).map_err(|_| wrong())?))
}

/// How tall crowns are.
pub fn crown(text: &str) -> Result<Length, String> {
    Length::parse(text, &LIMITS.crown_height).map_err(|e| e.to_string())
}

impl Args {
    fn hanging(&self, side: Side) -> Result<u8, Failure> {
        let mut all = self.cantilever.iter().filter(|(s, _)| *s == side);
        let (first, second) = (all.next(), all.next());
        if second.is_some() {
            return Err(Failure::typed("--cantilever names the same side twice: say each side once"));
        }
        Ok(first.map_or(0, |(_, teeth)| *teeth))
    }
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    let mut desk = context.open()?;
    let today = desk.today();
    if let Some(on) = args.end {
        let booked =
            desk.book(context.by(), context.act()?, |view| end(view, &args.case, &args.teeth, on, today))?;
        let text = report::text::bridge_ended(&args.case, &args.teeth, on);
        let json = json!({ "case": args.case.as_str(), "ended": on.to_string() });
        return context.booked(&mut desk, &booked, Acted::new(text, json));
    }
    let Some(held_by) = args.retention else { return Err(Failure::bug("no --retention and no --end")) };
    let ask = BridgeAsk {
        case: args.case.clone(),
        span: args.teeth.clone(),
        held_by,
        cement: args.cement.clone(),
        cantilever_right: args.hanging(Side::Right)?,
        cantilever_left: args.hanging(Side::Left)?,
        frame_seat: args.frame_seat.clone(),
        head_seat: args.head_seat.clone(),
        crown: args.crown.zip(args.from),
        built_on: args.built_on,
    };
    let (home, day) = (context.home.clone(), context.today);
    let earlier = |entry| open_home_after(&home, day, entry);
    let (booked, entered) = enter(&mut desk, context.by(), context.act()?, &ask, earlier)?;
    let Some(entered) = entered else {
        return context.booked(&mut desk, &booked, Acted::new("", json!({})));
    };
    let text = report::text::bridge_entered(&args.case, &entered);
    let json = report::json::bridge_entered(&args.case, &entered);
    context.booked(&mut desk, &booked, Acted::new(text, json).notes(entered.remarks))
}
