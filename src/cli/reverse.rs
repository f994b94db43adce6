//! `spareseat reverse`

use serde_json::json;

use super::acting::Acted;
use super::failure::Failure;
use super::{Context, entry_number};
use crate::amend::countering::{Counter, counter, remark};
use crate::desk::open_home_after;
use crate::report;
use crate::units::Note;

/// Take back an entry that was booked by mistake: the same day, by whoever booked it; nothing is erased
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Which entry, as its booking said: a delivery, a move, a use or a tray
    #[arg(value_parser = entry_number, allow_hyphen_values = true)]
    entry: u64,
    /// Why
    #[arg(long, value_name = "REASON")]
    because: Option<Note>,
    /// The parts were in a mouth: they are thrown away, never put back into a drawer
    #[arg(long)]
    was_in_mouth: bool,
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    let mut desk = context.open()?;
    let ask = Counter { entry: args.entry, because: args.because.clone(), was_in_mouth: args.was_in_mouth };
    let (home, today) = (context.home.clone(), context.today);
    let earlier = |entry| open_home_after(&home, today, entry);
    let (booked, done) = counter(&mut desk, context.by(), context.act()?, &ask, earlier)?;
    // Nothing was decided where the same act had booked it before: then the record says what stands.
    let (text, json) = done.map_or((String::new(), json!({})), |done| {
        let remark = remark(&done, args.was_in_mouth);
        let mut text = report::text::countered(&done);
        text.extend(remark.iter().map(|r| format!("\n{r}")));
        let mut json = report::json::countered(&done);
        json["was_in_mouth"] = args.was_in_mouth.into();
        json["remarks"] = remark.into_iter().collect();
        (text, json)
    });
    context.booked(&mut desk, &booked, Acted::new(text, json))
}
