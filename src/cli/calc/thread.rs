//! `spareseat calc thread`

use super::super::failure::Failure;
use super::super::{Answer, Context};
use crate::mechanics::thread::Thread;
use crate::report;

/// Diameters and stress area of a metric thread
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The thread: M1.6 is the coarse one, M1.6x0.2 has its pitch with it, in mm
    #[arg(value_name = "THREAD", value_parser = thread, allow_hyphen_values = true)]
    thread: Thread,
}

/// Reads the name of a thread.
pub fn thread(text: &str) -> Result<Thread, String> {
    Thread::parse(text).map_err(|e| e.to_string())
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    let text = report::text::thread(&args.thread, context.common.why);
    context.print(None, Answer::yes(text, report::json::thread(&args.thread)))
}
