//! `spareseat sheet …`

use super::failure::Failure;
use super::{Answer, Context, entry_number};
use crate::desk::open_home_after;
use crate::record::Became;
use crate::report;
use crate::tracing::sheets;
use crate::units::{CaseNumber, Note};

/// Sheets to print: the label for the bag with a broken piece, the complaint to its maker
#[derive(Debug, clap::Subcommand)]
pub enum Command {
    /// A label for the bag with the broken piece
    Bag {
        /// The case
        case: CaseNumber,
        /// The entry by which it came out [default: the last one]
        #[arg(long, value_parser = entry_number, allow_hyphen_values = true)]
        entry: Option<u64>,
    },
    /// A complaint to the maker of the part that gave way, to be signed; no name of the patient is on it
    Complaint {
        /// The case
        case: CaseNumber,
        /// The entry by which it came out [default: the last one]
        #[arg(long, value_parser = entry_number, allow_hyphen_values = true)]
        entry: Option<u64>,
        /// To whom; left out, a line to write on
        #[arg(long, value_name = "TEXT")]
        maker: Option<Note>,
    },
}

pub fn run(command: &Command, context: &mut Context<'_>) -> Result<u8, Failure> {
    let mut desk = context.open()?;
    match command {
        Command::Bag { case, entry } => {
            let labels = sheets::bag(&mut desk, case, *entry)?;
            let (text, json) = (report::text::bags(&labels), report::json::bags(&labels, desk.entry()));
            let code = context.print(Some(&mut desk), Answer::yes(text, json))?;
            for row in labels.iter().map(|l| &l.row).filter(|r| r.removed.became == Became::Discarded) {
                writeln!(
                    context.err,
                    "note: by entry {} this piece was thrown away. If it lies in the bag all the same, say so: 'spareseat --as INITIALS case note {case} TEXT --kept WHAT'",
                    row.entry
                )?;
            }
            Ok(code)
        }
        Command::Complaint { case, entry, maker } => {
            let (home, today) = (context.home.clone(), context.today);
            let earlier = |entry| open_home_after(&home, today, entry);
            let all = sheets::complaint(&mut desk, case, *entry, maker.as_ref(), earlier)?;
            let (text, json) = (report::text::complaints(&all), report::json::complaints(&all, desk.entry()));
            context.print(Some(&mut desk), Answer::yes(text, json))
        }
    }
}
