//! `spareseat logbook …`

use std::path::PathBuf;

use jiff::civil::Date;
use serde_json::{Value as Json, json};

use super::acting::Acted;
use super::failure::{Failure, RECORD};
use super::packs::{LotOrLabel, lot_or_label, meant};
use super::{Answer, Context};
use crate::maintenance::upkeep::{self, Listed};
use crate::record::Verified;
use crate::report;
use crate::units::{CaseNumber, Note, parse_date};

/// The record: verify, backup, rebuild, accept, show
#[derive(Debug, clap::Subcommand)]
pub enum Command {
    /// Check every line, every edition, every balance, and the view against them
    Verify,
    /// Copy logbook and editions into a new folder, verified first
    Backup {
        /// The new folder
        to: PathBuf,
    },
    /// Throw the view away and fold it again from the logbook
    Rebuild,
    /// Go on with the logbook as it is found, once a person has decided that it is the right one
    Accept {
        /// Why
        #[arg(long, value_name = "REASON")]
        because: Note,
    },
    /// The entries, oldest first: who, when, what
    Show {
        /// Only what concerns this case
        #[arg(long)]
        case: Option<CaseNumber>,
        /// Only what names this lot; or the label as scanned
        #[arg(long, value_parser = lot_or_label)]
        lot: Option<LotOrLabel>,
        /// Only from this day on
        #[arg(long, value_name = "DATE", value_parser = parse_date)]
        since: Option<Date>,
    },
}

fn verified(v: &Verified) -> Json {
    let below = v.below_zero.iter().map(|b| {
        json!({ "entry": b.seq, "part": b.part.as_str(), "lot": b.lot.as_str(), "place": b.place.to_string(), "quantity": b.quantity })
    });
    json!({
        "version": report::json::VERSION, "as_of": v.head.seq, "sum": v.head.sum.to_string(), "editions": v.editions,
        "view_differs": v.view_differs, "below_zero": below.collect::<Json>(),
    })
}

pub fn run(command: &Command, context: &mut Context<'_>) -> Result<u8, Failure> {
    // Accepting ends the trouble, so there it is not said first.
    let mut desk =
        if matches!(command, Command::Accept { .. }) { context.open_quietly()? } else { context.open()? };
    match command {
        Command::Verify => {
            let found = upkeep::verify(&mut desk)?;
            let whole = found.below_zero.is_empty() && !found.view_differs;
            let answer = Answer::yes(report::text::verified(&found), verified(&found));
            let code = context.print(Some(&mut desk), answer)?;
            Ok(if whole { code } else { RECORD })
        }
        Command::Backup { to } => {
            let home = context.home.clone();
            let found = upkeep::backup(&home, &mut desk, to)?;
            let text =
                format!("Backed up to {}.\n{}", report::text::path(to), report::text::verified(&found));
            context.print(Some(&mut desk), Answer::yes(text, verified(&found)))
        }
        Command::Rebuild => {
            let entry = upkeep::rebuild(&mut desk)?;
            let text = format!("The view was folded again, up to entry {entry}.\n");
            context.print(
                Some(&mut desk),
                Answer::yes(text, json!({ "version": report::json::VERSION, "as_of": entry })),
            )
        }
        Command::Accept { because } => {
            let by = context.by().cloned();
            let (seen, found, booked) = upkeep::accept(&mut desk, by.as_ref(), context.act()?, because)?;
            let text = format!(
                "the logbook that ends at entry {found} is accepted; the view had held entry {seen}."
            );
            context.booked(&mut desk, &booked, Acted::new(text, json!({ "seen": seen, "found": found })))
        }
        Command::Show { case, lot, since } => {
            let head = desk.view().head().head;
            let lot = match lot {
                Some(said @ LotOrLabel::Label(_)) => {
                    Some(meant(&mut desk, None, Some(said), None)?.lot()?.clone())
                }
                Some(LotOrLabel::Lot(lot)) => Some(lot.clone()),
                None => None,
            };
            let all = upkeep::list(desk.record().logbook(), &head, case.as_ref(), lot.as_ref(), *since)?;
            let one = |l: &Listed| {
                json!({
                    "entry": l.seq, "at": l.at, "on": l.on.to_string(), "by": l.by,
                    "what": l.entry.as_ref().ok().and_then(|e| serde_json::to_value(e).ok()),
                })
            };
            let json = json!({
                "version": report::json::VERSION, "as_of": head.seq,
                "not_complete": report::json::not_complete(all.not_complete.as_ref()),
                "entries": all.entries.iter().map(one).collect::<Json>(),
            });
            context.say_short(all.not_complete.as_ref())?;
            context.print(Some(&mut desk), Answer::yes(report::text::entries(&all), json))
        }
    }
}
