//! `spareseat interface …`

use serde_json::{Value as Json, json};

use super::failure::Failure;
use super::{Answer, Context};
use crate::bench::swap::SwapError;
use crate::desk::Refused;
use crate::report;
use crate::units::{InterfaceId, did_you_mean};

/// Mating geometries and their revisions
#[derive(Debug, clap::Subcommand)]
pub enum Command {
    /// Every interface with its revisions
    List,
    /// One interface
    Show {
        /// Which
        interface: InterfaceId,
    },
}

pub fn run(command: &Command, context: &mut Context<'_>) -> Result<u8, Failure> {
    let mut desk = context.open()?;
    let all = desk.ask(|view| view.interfaces().map_err(Refused::<SwapError>::from))?;
    let chosen = match command {
        Command::List => all,
        Command::Show { interface } => {
            let hint = did_you_mean(interface.as_str(), all.iter().map(|i| i.id.as_str()));
            let found: Vec<_> = all.into_iter().filter(|i| i.id == *interface).collect();
            if found.is_empty() {
                return Err(Failure::typed(format!(
                    "no interface '{interface}' in the catalogue.{hint} See 'spareseat interface list'"
                )));
            }
            found
        }
    };
    let json = json!({
        "version": report::json::VERSION, "as_of": desk.entry(),
        "interfaces": chosen.iter().map(report::json::interface).collect::<Json>(),
    });
    context.print(Some(&mut desk), Answer::yes(report::text::interfaces(&chosen), json))
}
