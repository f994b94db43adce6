//! `spareseat calc …`: the formulas by themselves, straight from plain decimals; no home is needed.

mod bench_load;
mod joint;
mod preload;
mod seat;
mod section;
mod share;
mod shut;
mod thread;
mod tightening;

use super::Context;
use super::failure::Failure;
use crate::mechanics::ring::Ring;
use crate::units::printable;

/// The formulas by themselves, with their working; no record is needed
#[derive(Debug, clap::Subcommand)]
pub enum Command {
    Seat(seat::Args),
    Shut(shut::Args),
    Thread(thread::Args),
    Preload(preload::Args),
    Tightening(tightening::Args),
    Joint(joint::Args),
    Section(section::Args),
    Share(share::Args),
    BenchLoad(bench_load::Args),
}

pub fn run(command: &Command, context: &mut Context<'_>) -> Result<u8, Failure> {
    match command {
        Command::Seat(args) => seat::run(args, context),
        Command::Shut(args) => shut::run(args, context),
        Command::Thread(args) => thread::run(args, context),
        Command::Preload(args) => preload::run(args, context),
        Command::Tightening(args) => tightening::run(args, context),
        Command::Joint(args) => joint::run(args, context),
        Command::Section(args) => section::run(args, context),
        Command::Share(args) => share::run(args, context),
        Command::BenchLoad(args) => bench_load::run(args, context),
    }
}

/// Reads a plain decimal; `what` names it with its unit, as in 'x in mm'.
fn number(text: &str, what: &str) -> Result<f64, String> {
    let shown = printable(text);
    // 'inf' and 'nan' are numbers to Rust and nothing that can be measured.
    let read = text.parse::<f64>().ok().filter(|n| n.is_finite());
    read.ok_or_else(|| format!("'{shown}' is not {what}: expected a plain decimal number such as 2.4"))
}

/// Reads a size: a finite number over zero; `what` names it with its unit.
fn size(text: &str, what: &str, example: &str) -> Result<f64, String> {
    let read = text.parse::<f64>().ok().filter(|n| n.is_finite() && *n > 0.0);
    read.ok_or_else(|| {
        format!(
            "'{}' is not {what}: expected a plain decimal number over 0, such as {example}",
            printable(text)
        )
    })
}

/// Reads a share of a whole: over zero up to one; `what` names it.
fn part_of_one(text: &str, what: &str, example: &str) -> Result<f64, String> {
    let read = text.parse::<f64>().ok().filter(|n| *n > 0.0 && *n <= 1.0);
    read.ok_or_else(|| {
        format!("'{}' is not {what}: expected over 0 up to 1, such as {example}", printable(text))
    })
}

/// The ring that a joint is seated on.
#[derive(Debug, clap::Args)]
struct SeatArgs {
    /// Outer diameter of the seat, in mm
    #[arg(long, value_name = "MM", value_parser = diameter, allow_hyphen_values = true)]
    outer: f64,
    /// Inner diameter of the seat, in mm; 0 for a full disc
    #[arg(long, value_name = "MM", value_parser = inner, allow_hyphen_values = true)]
    inner: f64,
}

impl SeatArgs {
    fn ring(&self) -> Result<Ring, Failure> {
        Ring::new(self.outer, self.inner).map_err(Failure::typed)
    }
}

fn diameter(text: &str) -> Result<f64, String> {
    size(text, "a diameter in mm", "4.8")
}

fn inner(text: &str) -> Result<f64, String> {
    number(text, "a diameter in mm")
}

/// Reads as many numbers as there are names, with commas between.
fn numbers<const N: usize>(text: &str, names: [&str; N]) -> Result<[f64; N], String> {
    let given: Vec<&str> = text.split(',').collect();
    if given.len() != N {
        return Err(format!(
            "'{}' has {} of {N} values: expected {}, with commas between",
            printable(text),
            given.len(),
            names.join(", ")
        ));
    }
    let mut values = [0.0; N];
    for ((value, text), name) in values.iter_mut().zip(given).zip(names) {
        *value = number(text, name)?;
    }
    Ok(values)
}
