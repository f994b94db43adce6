//! `spareseat bands`

use serde_json::json;

use super::acting::Acted;
use super::failure::Failure;
use super::{Answer, Context};
use crate::bench::bands::{in_force, set};
use crate::case::{Bands, NO_LIMIT_IS_EVIDENCE};
use crate::report::json::VERSION;
use crate::units::{Length, Note};

/// What is called keeping the fit: shown, or set with a reason
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Up to this widest edge gap in the worse one-screw test it keeps the fit, µm
    #[arg(long, value_name = "UM", value_parser = Bands::width, requires_all = ["doubtful", "check", "because"], allow_hyphen_values = true)]
    keeps: Option<Length>,
    /// Beyond this a try-in is doubtful, µm
    #[arg(long, value_name = "UM", value_parser = Bands::width, requires = "keeps", allow_hyphen_values = true)]
    doubtful: Option<Length>,
    /// Up to this it is checked at try-in, beyond it does not keep the fit, µm
    #[arg(long, value_name = "UM", value_parser = Bands::width, requires = "keeps", allow_hyphen_values = true)]
    check: Option<Length>,
    /// Why these
    #[arg(long, value_name = "REASON", requires = "keeps")]
    because: Option<Note>,
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    let mut desk = context.open()?;
    if let (Some(keeps), Some(doubtful), Some(check), Some(because)) =
        (args.keeps, args.doubtful, args.check, args.because.as_ref())
    {
        let booked = desk.book(context.by(), context.act()?, |view| {
            set(view, Bands::new(keeps, doubtful, check, because.clone()))
        })?;
        let (bands, _) = desk.ask(in_force)?;
        let json = json(&bands, true);
        return context.booked(
            &mut desk,
            &booked,
            Acted::new(format!("from now on {}.", words(&bands)), json),
        );
    }
    let (bands, was_set) = desk.ask(in_force)?;
    let whose = if was_set { "Set here" } else { "Nobody set them here: as shipped" };
    let text = format!(
        "The widest edge gap in the worse one-screw test: {}.\n{whose}. Because: {}.\n{NO_LIMIT_IS_EVIDENCE}.\n",
        words(&bands),
        bands.because
    );
    let mut json = json(&bands, was_set);
    json["version"] = VERSION.into();
    json["as_of"] = desk.entry().into();
    context.print(Some(&mut desk), Answer::yes(text, json))
}

fn words(bands: &Bands) -> String {
    let [keeps, doubtful, check] = [bands.keeps, bands.doubtful, bands.check].map(Length::base);
    format!(
        "up to {keeps} µm keeps the fit, up to {check} µm is checked at try-in (over {doubtful} µm doubtful), over {check} µm does not keep it"
    )
}

fn json(bands: &Bands, was_set: bool) -> serde_json::Value {
    json!({
        "keeps_um": bands.keeps.base(), "doubtful_um": bands.doubtful.base(), "check_um": bands.check.base(),
        "because": bands.because.as_str(), "set_here": was_set, "note": NO_LIMIT_IS_EVIDENCE,
    })
}
