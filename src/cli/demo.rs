//! `spareseat demo`

use serde_json::json;

use super::failure::Failure;
use super::{Answer, Context};
use crate::case::{Broken, Left};
use crate::chair::visit;
use crate::chair::visit::{Reply, VisitQuestion};
use crate::demo::{self, DemoError};
use crate::report;
use crate::shelf::shelves;
use crate::units::{CaseNumber, PlaceId};

/// Lay down a made-up practice and play an emergency visit through
///
/// Writes only into a missing or empty folder, or a home that is made up, which starts over.
#[derive(Debug, clap::Args)]
pub struct Args {}

pub fn run(_: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    let fresh = || super::fresh_act().map_err(|e| DemoError::NoAct(e.to_string()));
    let mut desk = demo::lay_down(&context.home, context.today, fresh)?;
    let today = desk.today();
    let wrong = |e: &dyn ToString| Failure::bug(e.to_string());
    let question = VisitQuestion {
        case: CaseNumber::new("1047").map_err(|e| wrong(&e))?,
        site: Some("25".to_owned()),
        broken: Some(Broken::ProstheticScrew),
        left: Some(Left::ShankInAbutment),
    };
    let Reply::Visit(answer) = desk.ask(|view| visit::answer(view, &question, today))? else {
        return Err(Failure::bug("the demo's case has lost its screw"));
    };
    let mut text = report::text::visit(&answer, today, context.common.why);
    let json = report::json::visit(&answer, desk.entry());

    let steps = demo::play(&mut desk, &question, &answer, fresh)?;
    let told: Vec<String> = steps.iter().map(|(entry, what)| format!("  entry {entry}: {what}")).collect();
    let which = shelves::StockFilter { place: PlaceId::new("cabinet-2-drawer-1").ok(), ..Default::default() };
    let rows = desk.ask(|view| shelves::list(view, &which, today))?;
    let shown = context.home.shown();
    text.push_str(&format!(
        "\n==== The shank came out with a probe. Booked: ====\n{}\n\n==== What lies in cabinet-2-drawer-1 after it ====\n{}\nAll of this is made up. It lies in {shown}; ask again:\n  spareseat --home {shown} visit 1047 --site 25 --broken prosthetic-screw --left shank-in-abutment\n",
        told.join("\n"),
        report::text::stock(&rows, shelves::By::Part, today),
    ));
    let json = json!({
        "version": report::json::VERSION, "home": shown, "visit": json, "booked": answer.tray.rows.iter().map(|row| row.sites.len()).sum::<usize>(),
        "stock": report::json::stock(&rows, &[], &[], &[], today, desk.entry())["rows"],
    });
    context.print(Some(&mut desk), Answer::yes(text, json))
}
