//! `spareseat demo`

use serde_json::json;

use super::failure::Failure;
use super::{Answer, Context};
use crate::case::{Broken, Left};
use crate::desk::visit::{Reply, VisitQuestion};
use crate::desk::{demo, shelves, using, visit};
use crate::record::Became;
use crate::report;
use crate::units::{CaseNumber, Initials, PlaceId, Tooth};

/// Lay down a made-up practice and play an emergency visit through
///
/// Writes only into a missing or empty folder, or a home that is made up, which starts over.
#[derive(Debug, clap::Args)]
pub struct Args {}

pub fn run(_: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    let mut acts = Vec::new();
    for _ in 0..64 {
        acts.push(super::fresh_act()?);
    }
    let mut left = acts.into_iter();
    let mut desk = demo::lay_down(&context.home, context.today, || {
        left.next().unwrap_or(crate::units::Act::from_bits(0))
    })?;
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

    // The shank came out: three screws are used, the abutment stays in its drawer, so the visit can be asked again.
    let by = Initials::new("DEMO").map_err(|e| wrong(&e))?;
    let mut told = Vec::new();
    for row in &answer.tray {
        for site in &row.sites {
            let ask = screw(&question.case, *site, row)?;
            let booked =
                desk.book(Some(&by), super::fresh_act()?, |view| using::decide(view, &ask, today))?;
            told.push(format!(
                "  entry {}: {} at {site}, lot {}, {}",
                booked.seq,
                row.part.kind.words(),
                row.pick.lot,
                ask.torque
            ));
        }
    }
    let which = shelves::Which { place: PlaceId::new("cabinet-2-drawer-1").ok(), ..Default::default() };
    let rows = desk.ask(|view| shelves::list(view, &which, today))?;
    let shown = context.home.shown();
    text.push_str(&format!(
        "\n==== The shank came out with a probe. Booked: ====\n{}\n\n==== What lies in cabinet-2-drawer-1 after it ====\n{}\nAll of this is made up. It lies in {shown}; ask again:\n  spareseat --home {shown} visit 1047 --site 25 --broken prosthetic-screw --left shank-in-abutment\n",
        told.join("\n"),
        report::text::stock(&rows, today),
    ));
    let json = json!({
        "version": report::json::VERSION, "home": shown, "visit": json, "booked": told.len(),
        "stock": report::json::stock(&rows, today, desk.entry())["rows"],
    });
    context.print(Some(&mut desk), Answer::yes(text, json))
}

fn screw(case: &CaseNumber, site: Tooth, row: &visit::TrayRow) -> Result<using::Use, Failure> {
    let torque = row
        .part
        .torque
        .stated()
        .map_or(crate::case::TorqueRecord::NotMeasured, crate::case::TorqueRecord::Measured);
    Ok(using::Use {
        case: case.clone(),
        site: site.iso().to_string(),
        position: row.position,
        part: row.part.code.clone(),
        lot: row.pick.lot.clone(),
        place: Some(row.pick.place.clone()),
        torque,
        lean: None,
        label: None,
        found: false,
        expired_because: None,
        became: Became::Kept,
    })
}
