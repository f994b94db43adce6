//! `spareseat case …`

pub mod bridge;
mod found;
mod measured;
mod note;
mod sharing;
mod standing;

use std::path::PathBuf;

use serde_json::json;

use super::acting::Acted;
use super::failure::Failure;
use super::{Answer, Context, one_of};
use crate::case::{CaseHead, Grinding, Splint};
use crate::cases::entering;
use crate::desk::Refused;
use crate::report;
use crate::units::{CaseNumber, Note, printable};

/// Cases: new, import, show; enter what is fitted and what happened; close, check, see what is due
#[derive(Debug, clap::Subcommand)]
pub enum Command {
    /// Enter an empty case
    New(New),
    /// Enter a whole case from a TOML file
    Import {
        /// The file
        file: PathBuf,
        /// Put it in place of the case of that number
        #[arg(long)]
        replace: bool,
    },
    /// Everything on record about a case
    Show {
        /// Which
        case: CaseNumber,
    },
    /// The numbers of all cases
    List,
    /// Enter a part found in the patient; no stock moves
    Found(Box<found::Args>),
    /// Enter the bridge or crown that stands there, or that it is not in any more
    Bridge(Box<bridge::Args>),
    /// Take where the sites lie, from a measuring file or as typed
    Measured(measured::Args),
    /// Note that something happened
    Note(note::Args),
    /// Close a case: nothing is expected of it any more
    Close(standing::Closing),
    /// Open a closed case again
    Reopen(standing::Closing),
    /// Set when a case is to be checked next, or call that off
    NextCheck(standing::NextCheck),
    #[command(hide = true)]
    Fit(super::renamed::Words),
    #[command(hide = true)]
    Check(super::renamed::Words),
    /// Write a case to a file for a laboratory; only reads the record
    Share(sharing::Share),
    /// Take a file: a case that a practice shared, or a laboratory's answer
    Take(sharing::Take),
    /// What waits for somebody: checks, overdue first, and visits that have not ended
    Due(standing::DueArgs),
}

#[derive(Debug, clap::Args)]
pub struct New {
    /// Its number, never a name
    case: CaseNumber,
    /// Grinding
    #[arg(long, value_parser = one_of(Grinding::ALL.iter().copied()), default_value = "not asked")]
    grinding: Grinding,
    /// Splint
    #[arg(long, value_parser = one_of(Splint::ALL.iter().copied()), default_value = "not asked")]
    splint: Splint,
    /// What was told, seen or recorded
    #[arg(long)]
    signs: Option<Note>,
    /// What bites against it
    #[arg(long)]
    against: Option<Note>,
}

pub fn run(command: &Command, context: &mut Context<'_>) -> Result<u8, Failure> {
    match command {
        Command::New(args) => {
            let mut desk = context.open()?;
            let booked = desk.book(context.by(), context.act()?, |view| {
                entering::new(
                    view,
                    &args.case,
                    args.grinding,
                    args.splint,
                    args.signs.clone(),
                    args.against.clone(),
                )
            })?;
            let text = format!(
                "case {} is on record, without sites yet. Next: 'spareseat case found {} --site TOOTH …'",
                args.case, args.case
            );
            context.booked(&mut desk, &booked, Acted::new(text, json!({ "case": args.case.as_str() })))
        }
        Command::Import { file, replace } => {
            let text = super::part::read_one(file)?;
            let name = printable(&file.to_string_lossy());
            let mut desk = context.open()?;
            let today = desk.today();
            let booked = desk.book(context.by(), context.act()?, |view| {
                entering::import(view, &name, &text, *replace, today)
            })?;
            let shown = format!("the case in {name} is on record.");
            context.booked(&mut desk, &booked, Acted::new(shown, json!({ "file": name })))
        }
        Command::Show { case } => {
            let mut desk = context.open()?;
            let shown = desk.ask(|view| entering::show(view, case))?;
            let (text, json) = (report::text::case(&shown), report::json::case(&shown, desk.entry()));
            context.print(Some(&mut desk), Answer::yes(text, json))
        }
        Command::List => list(context),
        Command::Found(args) => found::run(args, context),
        Command::Fit(words) => words.refuse("case fit", "case found"),
        Command::Check(words) => words.refuse("case check", "case next-check"),
        Command::Bridge(args) => bridge::run(args, context),
        Command::Measured(args) => measured::run(args, context),
        Command::Note(args) => note::run(args, context),
        Command::Close(args) => standing::close(args, true, context),
        Command::Reopen(args) => standing::close(args, false, context),
        Command::NextCheck(args) => standing::check(args, context),
        Command::Share(args) => sharing::share(args, context),
        Command::Take(args) => sharing::take(args, context),
        Command::Due(args) => standing::due(args, context),
    }
}

fn list(context: &mut Context<'_>) -> Result<u8, Failure> {
    let mut desk = context.open()?;
    let all = desk.ask(|view| -> Result<_, Refused<entering::CaseError>> {
        let one = |c: CaseHead| Ok((view.state(&c.number)?.closed.is_some(), c.number));
        view.cases()?.into_iter().map(one).collect::<Result<Vec<_>, _>>()
    })?;
    let line =
        |(closed, n): &(bool, CaseNumber)| format!("  case {n}{}\n", if *closed { " (closed)" } else { "" });
    let lines: String = all.iter().map(line).collect();
    let text = format!("{} on record.\n{lines}", report::text::counted(all.len(), "case", "cases"));
    let numbers = |which: &dyn Fn(bool) -> bool| -> Vec<&str> {
        all.iter().filter(|(closed, _)| which(*closed)).map(|(_, n)| n.as_str()).collect()
    };
    let json = json!({
        "version": report::json::VERSION, "as_of": desk.entry(),
        "cases": numbers(&|_| true), "closed": numbers(&|closed| closed),
    });
    context.print(Some(&mut desk), Answer::yes(text, json))
}
