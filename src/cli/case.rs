//! `spareseat case …`

use std::path::PathBuf;

use jiff::civil::Date;
use serde_json::json;

use super::failure::Failure;
use super::{Answer, Context, one_of};
use crate::case::{Event, Grinding, Happening, Splint, Sure, TorqueRecord, read_lean, read_torque_record};
use crate::catalog::{Lean, Position};
use crate::desk::cases::{self, Enter, FittedWithout};
use crate::report;
use crate::units::{CaseNumber, Lot, Note, PartCode, RawLabel, Tooth, parse_date, printable};

/// Cases: new, import, show; enter what is fitted and what happened
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
    Fit(Box<Fit>),
    /// Note that something happened
    Note(NoteArgs),
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

#[derive(Debug, clap::Args)]
pub struct Fit {
    /// The case
    case: CaseNumber,
    /// The tooth, ISO 3950; made when it is new
    #[arg(long, value_name = "TOOTH", value_parser = Tooth::parse, allow_hyphen_values = true)]
    site: Tooth,
    /// Where it stands
    #[arg(long, value_parser = one_of(Position::ALL.map(|p| (p, p.slug()))))]
    position: Position,
    /// Which part
    #[arg(long)]
    part: PartCode,
    /// Its lot
    #[arg(long)]
    lot: Option<Lot>,
    /// Its label as scanned
    #[arg(long, value_parser = RawLabel::new)]
    label: Option<RawLabel>,
    /// When it was fitted
    #[arg(long, value_name = "DATE", value_parser = parse_date)]
    since: Option<Date>,
    /// Torque in Ncm, or 'not-measured'; left out: not recorded
    #[arg(long, value_name = "NCM", value_parser = read_torque_record, allow_hyphen_values = true)]
    torque: Option<TorqueRecord>,
    /// Angled parts: which way it leans, seen from above
    #[arg(long, value_parser = read_lean)]
    lean: Option<Lean>,
    /// The driver that reaches it
    #[arg(long, value_name = "PART")]
    driver: Option<PartCode>,
    /// How sure this is
    #[arg(long, value_parser = one_of(Sure::ALL.iter().copied()))]
    sure: Sure,
}

#[derive(Debug, clap::Args)]
pub struct NoteArgs {
    /// The case
    case: CaseNumber,
    /// In words
    text: Note,
    /// The tooth, ISO 3950
    #[arg(long, value_name = "TOOTH", allow_hyphen_values = true)]
    site: Option<String>,
    /// To which part
    #[arg(long, value_parser = one_of(Position::ALL.map(|p| (p, p.slug()))))]
    position: Option<Position>,
    /// What happened
    #[arg(long, value_parser = one_of(Happening::ALL.iter().copied()), default_value = "noted")]
    what: Happening,
    /// What was kept of the piece
    #[arg(long)]
    kept: Option<Note>,
    /// When [default: today]
    #[arg(long, value_name = "DATE", value_parser = parse_date)]
    when: Option<Date>,
}

pub fn run(command: &Command, context: &mut Context<'_>) -> Result<u8, Failure> {
    match command {
        Command::New(args) => {
            let mut desk = context.open()?;
            let booked = desk.book(context.by(), context.act()?, |view| {
                cases::new(
                    view,
                    &args.case,
                    args.grinding,
                    args.splint,
                    args.signs.clone(),
                    args.against.clone(),
                )
            })?;
            let text = format!(
                "case {} is on record, without sites yet. Next: 'spareseat case fit {} --site TOOTH …'",
                args.case, args.case
            );
            context.booked(&mut desk, &booked, text, json!({ "case": args.case.as_str() }))
        }
        Command::Import { file, replace } => {
            let text = super::part::read_one(file)?;
            let name = printable(&file.to_string_lossy());
            let mut desk = context.open()?;
            let today = desk.today();
            let booked = desk.book(context.by(), context.act()?, |view| {
                cases::import(view, &name, &text, *replace, today)
            })?;
            let shown = format!("the case in {name} is on record.");
            context.booked(&mut desk, &booked, shown, json!({ "file": name }))
        }
        Command::Show { case } => {
            let mut desk = context.open()?;
            let shown = desk.ask(|view| cases::show(view, case))?;
            let (text, json) = (report::text::case(&shown), report::json::case(&shown, desk.entry()));
            context.print(Some(&mut desk), Answer::yes(text, json))
        }
        Command::List => {
            let mut desk = context.open()?;
            let all = desk.ask(|view| view.cases().map_err(cases::CaseError::from))?;
            let numbers: Vec<&str> = all.iter().map(|c| c.number.as_str()).collect();
            let lines: String = numbers.iter().map(|n| format!("  case {n}\n")).collect();
            let text = format!("{} cases on record.\n{lines}", all.len());
            let json = json!({ "version": report::json::VERSION, "as_of": desk.entry(), "cases": numbers });
            context.print(Some(&mut desk), Answer::yes(text, json))
        }
        Command::Fit(args) => fit(args, context),
        Command::Note(args) => {
            let mut desk = context.open()?;
            let today = desk.today();
            let event = Event {
                on: args.when.unwrap_or(today),
                tooth: None,
                position: args.position,
                what: args.what,
                note: Some(args.text.clone()),
                kept: args.kept.clone(),
            };
            let booked = desk.book(context.by(), context.act()?, |view| {
                cases::happened(view, &args.case, args.site.as_deref(), event.clone(), today)
            })?;
            let text = format!("case {}: {}.", args.case, args.what);
            context.booked(&mut desk, &booked, text, json!({ "case": args.case.as_str() }))
        }
    }
}

fn fit(args: &Fit, context: &mut Context<'_>) -> Result<u8, Failure> {
    let mut desk = context.open()?;
    let today = desk.today();
    let fitted = FittedWithout {
        position: args.position,
        lot: args.lot.clone(),
        label: args.label.clone(),
        on: args.since,
        torque: args.torque.unwrap_or(TorqueRecord::NotRecorded),
        lean: args.lean,
        driver: args.driver.clone(),
        sure: args.sure,
    };
    let ask = Enter { case: args.case.clone(), site: args.site, part: args.part.clone(), fitted };
    let booked = desk.book(context.by(), context.act()?, |view| cases::enter(view, &ask, today))?;
    let text = format!(
        "case {}, {} ({}): {} is on record as {}.",
        args.case,
        args.site,
        args.site.words(),
        args.position.words(),
        args.part
    );
    let json = json!({ "case": args.case.as_str(), "site": args.site.iso().to_string(), "position": args.position.slug() });
    context.booked(&mut desk, &booked, text, json)
}
