//! `spareseat new`

use serde_json::json;

use super::failure::Failure;
use super::{Answer, Context};
use crate::units::{Initials, PracticeName};

/// Make a home: the folder that keeps a practice's logbook
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The practice's name, as it will stand on every line of the logbook
    #[arg(long, value_name = "NAME")]
    practice: PracticeName,
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    // Nothing of a patient is booked by the first line, so it needs no person.
    let by = context.by().cloned().map_or_else(|| Initials::new("SETUP"), Ok).map_err(Failure::typed)?;
    let id = super::fresh_act()?;
    let act = context.act()?;
    context.home.make(id, false, &args.practice, &by, context.today, act)?;
    let home = context.home.shown();
    let text = format!(
        "A home for {} was made at {home}.\nNext: 'spareseat part import FILES' for the catalogue, 'spareseat case import FILE' for a case, 'spareseat receive' for stock.\n",
        args.practice
    );
    let json = json!({ "version": crate::report::json::VERSION, "home": home, "practice": args.practice.as_str(), "logbook": id.to_string() });
    context.print(None, Answer::yes(text, json))
}
