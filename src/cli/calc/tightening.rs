//! `spareseat calc tightening`

use super::super::failure::Failure;
use super::super::{Answer, Context, one_of_words};
use super::thread::thread;
use super::{part_of_one, size};
use crate::mechanics::thread::Thread;
use crate::mechanics::tightening::{Form, Tightening};
use crate::report;
use crate::units::printable;

/// The preload at which tightening takes up a share of a screw's yield strength, or the share a preload takes up
///
/// In JSON: preload_n, share_of_yield, tension_mpa, shear_mpa, equivalent_mpa, form.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The screw's thread, such as M1.6 or M1.6x0.2
    #[arg(long, value_name = "THREAD", value_parser = thread, allow_hyphen_values = true)]
    thread: Thread,
    /// Yield strength of the screw, in MPa
    #[arg(long = "yield", value_name = "MPA", value_parser = yield_strength, allow_hyphen_values = true)]
    yield_mpa: f64,
    /// The share of the yield strength that tightening may take up, over 0 up to 1
    #[arg(long, value_name = "SHARE", value_parser = share_of_yield, allow_hyphen_values = true, required_unless_present = "preload")]
    share: Option<f64>,
    /// A preload in N, in place of a share
    #[arg(long, value_name = "N", value_parser = preload, allow_hyphen_values = true, conflicts_with = "share")]
    preload: Option<f64>,
    /// Friction in the thread
    #[arg(long, value_name = "FRICTION", value_parser = friction, allow_hyphen_values = true)]
    friction: f64,
    /// How the section resists the twist: 2001, yielding all over, or 1986, at its edge [default: 2001]
    #[arg(long, value_name = "YEAR", value_parser = form, allow_hyphen_values = true)]
    form: Option<Form>,
}

fn yield_strength(text: &str) -> Result<f64, String> {
    size(text, "a yield strength in MPa", "795")
}

fn share_of_yield(text: &str) -> Result<f64, String> {
    part_of_one(text, "a share of yield", "0.9")
}

fn preload(text: &str) -> Result<f64, String> {
    size(text, "a preload in N", "300")
}

fn friction(text: &str) -> Result<f64, String> {
    size(text, "a friction", "0.2")
}

fn form(text: &str) -> Result<Form, String> {
    one_of_words(&printable(text), &Form::ALL.map(|f| (f, f.word())))
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    let form = args.form.unwrap_or(Form::Vdi2001);
    let found = match (args.share, args.preload) {
        (Some(share), _) => Tightening::to_share(args.thread, args.yield_mpa, share, args.friction, form),
        (None, preload) => {
            let preload = preload.expect("clap asks for a share or a preload");
            Tightening::at_preload(args.thread, args.yield_mpa, preload, args.friction, form)
        }
    };
    let found = found.map_err(Failure::typed)?;
    let text = report::text::tightening(&found, context.common.why);
    context.print(None, Answer::yes(text, report::json::tightening(&found)))
}
