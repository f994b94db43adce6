//! L5: the command line: one file a command, one argument struct, one function. No arithmetic, no rules.
//!
//! This is the rim: the clock, the environment and the terminal are read here and handed in.

mod acting;
mod apart;
mod bands;
mod calc;
mod case;
mod count;
mod demo;
mod exchange;
mod failure;
mod find;
mod fit;
mod hold;
mod interface;
mod laying;
mod logbook;
mod moving;
mod need;
mod new;
mod packs;
mod part;
mod receive;
mod renamed;
mod returning;
mod reverse;
mod scan;
mod screen;
mod sheet;
mod stock;
mod swap;
mod tracing;
mod typed;
mod using;
mod visit;
mod weakest;

use std::io::{self, Write};
use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Parser, Subcommand};
use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;
use serde_json::Value as Json;

use crate::desk::{Desk, Home, NotComplete, Today, open_home, open_home_as_of};
use crate::units::{Act, Initials, parse_date};
use failure::Failure;

/// Keeps the parts that hold implant bridges: what is fitted in whom, what lies in which drawer, and whether a spare
/// puts the bridge back exactly where it was.
///
/// Decision support: a licensed clinician decides; the maker's instructions and local rules come first.
#[derive(Debug, Parser)]
#[command(name = "spareseat", version, max_term_width = 100)]
struct Args {
    #[command(flatten)]
    common: Common,
    #[command(subcommand)]
    command: Command,
}

/// What every command takes.
#[derive(Debug, clap::Args)]
struct Common {
    /// The practice's folder [default: $SPARESEAT_HOME, else the demo's]
    #[arg(long, global = true, value_name = "DIR")]
    home: Option<PathBuf>,
    /// Answer as one JSON object
    #[arg(long, global = true)]
    json: bool,
    /// Who books
    #[arg(long = "as", global = true, value_name = "INITIALS")]
    by: Option<Initials>,
    /// The day that counts, YYYY-MM-DD [default: today]
    #[arg(long, global = true, value_name = "DATE", value_parser = parse_date)]
    on: Option<Date>,
    /// Show the state after that entry; nothing can be booked there
    #[arg(long, global = true, value_name = "ENTRY")]
    as_of: Option<u64>,
    /// Print with every finding which rule states it and where that rule comes from
    #[arg(long, global = true)]
    why: bool,
    /// 32 hexadecimal digits: the same act again gives the earlier answer
    #[arg(long, global = true, value_name = "HEX", value_parser = Act::parse)]
    act: Option<Act>,
}

#[derive(Debug, Subcommand)]
enum Command {
    New(new::Args),
    Demo(demo::Args),
    Visit(visit::Args),
    Use(Box<using::Args>),
    Receive(receive::Args),
    Move(moving::Args),
    Hold(hold::Args),
    Release(hold::Release),
    Discard(apart::Discard),
    Return(returning::Args),
    Reprocess(apart::Reprocess),
    Quarantine(apart::Quarantine),
    Withdraw(tracing::Withdraw),
    Trace(tracing::Trace),
    Count(count::Args),
    Need(need::Args),
    Reverse(reverse::Args),
    #[command(hide = true)]
    Counter(renamed::Words),
    Stock(stock::Args),
    Swap(swap::Args),
    Fit(fit::Args),
    Bands(bands::Args),
    Weakest(weakest::Args),
    Scan(scan::Args),
    Find(find::Args),
    #[command(subcommand)]
    Sheet(sheet::Command),
    #[command(subcommand)]
    Case(case::Command),
    #[command(subcommand)]
    Part(part::Command),
    #[command(subcommand)]
    Interface(interface::Command),
    #[command(subcommand)]
    Calc(calc::Command),
    #[command(subcommand)]
    Logbook(logbook::Command),
}

/// What a command works with.
struct Context<'a> {
    common: &'a Common,
    home: Home,
    today: Today,
    out: &'a mut dyn Write,
    err: &'a mut dyn Write,
    /// The record is damaged: whatever is answered, the exit code says so.
    damaged: bool,
}

/// An answer: its text, its JSON, and whether it is a yes.
struct Answer {
    text: String,
    json: Json,
    yes: bool,
}

impl Answer {
    fn yes(text: String, json: Json) -> Self {
        Self { text, json, yes: true }
    }
}

impl Context<'_> {
    /// Opens the home; what is wrong with it is said before any answer, which may be a refusal because of it.
    fn open(&mut self) -> Result<Desk, Failure> {
        let desk = self.open_quietly()?;
        self.say_trouble(&desk)?;
        Ok(desk)
    }

    fn open_quietly(&self) -> Result<Desk, Failure> {
        Ok(match self.common.as_of {
            None => open_home(&self.home, self.today)?,
            Some(entry) => open_home_as_of(&self.home, self.today, entry)?,
        })
    }

    fn say_trouble(&mut self, desk: &Desk) -> Result<(), Failure> {
        let Some(trouble) = desk.trouble().filter(|_| !self.damaged) else { return Ok(()) };
        let entry = desk.entry();
        writeln!(self.err, "note: answered as of entry {entry}; nothing can be booked: {trouble}")?;
        if !trouble.lets_look() {
            writeln!(self.err, "{}", failure::DECIDE)?;
            self.damaged = true;
        }
        Ok(())
    }

    /// Says beside an answer that a list in it could not be read to its end, and why.
    fn say_short(&mut self, short: Option<&NotComplete>) -> Result<(), Failure> {
        let Some(short) = short.filter(|_| !self.damaged) else { return Ok(()) };
        self.damaged = true;
        Ok(writeln!(self.err, "note: {short}: {}\n{}", short.why, failure::DECIDE)?)
    }

    /// Opens the home for an answer that judges dates.
    fn open_dated(&mut self) -> Result<Desk, Failure> {
        let desk = self.open()?;
        desk.check_clock()?;
        Ok(desk)
    }

    fn act(&self) -> Result<Act, Failure> {
        self.common.act.map_or_else(fresh_act, Ok)
    }

    fn by(&self) -> Option<&Initials> {
        self.common.by.as_ref()
    }

    /// Prints an answer, then what the person should know beside it.
    fn print(&mut self, desk: Option<&mut Desk>, answer: Answer) -> Result<u8, Failure> {
        if self.common.json {
            writeln!(self.out, "{}", screen::json(&answer.json))?;
        } else {
            write!(self.out, "{}", answer.text)?;
        }
        self.out.flush()?;
        if let Some(desk) = desk {
            if self.common.as_of.is_some() {
                writeln!(
                    self.err,
                    "note: an earlier state, after entry {}; what came later is not in it",
                    desk.entry()
                )?;
            }
            for notice in desk.notices() {
                writeln!(self.err, "note: {notice}")?;
            }
            self.say_trouble(desk)?;
        }
        Ok(u8::from(!answer.yes))
    }
}

fn fresh_act() -> Result<Act, Failure> {
    let mut bytes = [0; 16];
    getrandom::fill(&mut bytes)
        .map_err(|e| Failure::bug(format!("no random numbers from the system: {e}")))?;
    Ok(Act::from_bits(u128::from_be_bytes(bytes)))
}

/// The folder the demo uses: under target/ in the checkout, else the user's data folder.
fn default_home() -> PathBuf {
    let in_checkout = std::fs::read_to_string("Cargo.toml").is_ok_and(|t| t.contains("name = \"spareseat\""));
    if in_checkout {
        return PathBuf::from("target/demo-home");
    }
    let data = std::env::var_os("XDG_DATA_HOME").map(PathBuf::from).filter(|p| p.is_absolute());
    let data = data.or_else(|| std::env::var_os("HOME").map(|h| PathBuf::from(h).join(".local/share")));
    data.unwrap_or_else(std::env::temp_dir).join("spareseat")
}

/// Parses, runs, and turns the outcome into an exit code.
pub fn main() -> ExitCode {
    let args = match Args::try_parse() {
        Ok(args) => args,
        Err(e) => {
            let e = typed::cleaned(e);
            let _ = e.print();
            return ExitCode::from(if e.use_stderr() { failure::TYPED } else { 0 });
        }
    };
    let stdout = io::stdout();
    let stderr = io::stderr();
    let code = std::panic::catch_unwind(|| run(&args, &mut stdout.lock(), &mut stderr.lock()));
    ExitCode::from(code.unwrap_or(failure::BUG))
}

fn run(args: &Args, out: &mut dyn Write, err: &mut dyn Write) -> u8 {
    let common = &args.common;
    let now = Timestamp::now();
    // Asked only when it matters: finding the zone reads a dozen folders.
    let date = common.on.unwrap_or_else(|| TimeZone::system().to_datetime(now).date());
    let today = Today { now, date, said: common.on.is_some() };
    let home = common.home.clone().or_else(|| std::env::var_os("SPARESEAT_HOME").map(PathBuf::from));
    let home = Home::at(&home.unwrap_or_else(default_home));
    let mut context = Context { common, home, today, out, err, damaged: false };
    let code = match dispatch(&args.command, &mut context) {
        Ok(code) => code,
        // Whoever reads us has read enough.
        Err(failure) if failure.is_broken_pipe() => 0,
        Err(failure) => {
            let _ = writeln!(context.err, "{failure}");
            failure.code()
        }
    };
    if context.damaged { failure::RECORD } else { code }
}

fn dispatch(command: &Command, context: &mut Context<'_>) -> Result<u8, Failure> {
    match command {
        Command::New(args) => new::run(args, context),
        Command::Demo(args) => demo::run(args, context),
        Command::Visit(args) => visit::run(args, context),
        Command::Use(args) => using::run(args, context),
        Command::Receive(args) => receive::run(args, context),
        Command::Move(args) => moving::run(args, context),
        Command::Hold(args) => hold::run(args, context),
        Command::Release(args) => hold::let_go(args, context),
        Command::Discard(args) => apart::discard(args, context),
        Command::Return(args) => returning::run(args, context),
        Command::Reprocess(args) => apart::reprocess(args, context),
        Command::Quarantine(args) => apart::quarantine(args, context),
        Command::Withdraw(args) => tracing::withdraw(args, context),
        Command::Trace(args) => tracing::trace(args, context),
        Command::Count(args) => count::run(args, context),
        Command::Need(args) => need::run(args, context),
        Command::Reverse(args) => reverse::run(args, context),
        Command::Counter(words) => words.refuse("counter", "reverse"),
        Command::Stock(args) => stock::run(args, context),
        Command::Fit(args) => fit::run(args, context),
        Command::Weakest(args) => weakest::run(args, context),
        Command::Bands(args) => bands::run(args, context),
        Command::Swap(args) => swap::run(args, context),
        Command::Scan(args) => scan::run(args, context),
        Command::Find(args) => find::run(args, context),
        Command::Sheet(command) => sheet::run(command, context),
        Command::Case(command) => case::run(command, context),
        Command::Part(command) => part::run(command, context),
        Command::Interface(command) => interface::run(command, context),
        Command::Calc(command) => calc::run(command, context),
        Command::Logbook(command) => logbook::run(command, context),
    }
}

/// A word of a fixed list, as clap wants it.
fn one_of<T: Copy + Send + Sync + 'static>(
    all: impl IntoIterator<Item = (T, &'static str)>,
) -> impl clap::builder::TypedValueParser<Value = T> {
    use clap::builder::{PossibleValuesParser, TypedValueParser as _};
    let all: Vec<(T, &'static str)> = all.into_iter().collect();
    let words: Vec<&'static str> = all.iter().map(|(_, w)| *w).collect();
    PossibleValuesParser::new(words).map(move |typed| {
        let found = all.iter().find(|(_, w)| *w == typed);
        found.map(|(value, _)| *value).expect("the parser let only these words through")
    })
}

/// The value of a word of a fixed list.
fn one_of_words<T: Copy>(word: &str, all: &[(T, &'static str)]) -> Result<T, String> {
    all.iter().find(|(_, w)| *w == word).map(|(value, _)| *value).ok_or_else(|| {
        let words: Vec<&str> = all.iter().map(|(_, w)| *w).collect();
        format!("'{word}' is none of {}", words.join(", "))
    })
}

/// A number of pieces.
fn quantity(text: &str) -> Result<u32, String> {
    let n = crate::units::LIMITS.quantity.whole(text).map_err(|e| e.to_string())?;
    u32::try_from(n).map_err(|e| e.to_string())
}

/// A number of pieces to set aside.
fn held_quantity(text: &str) -> Result<u32, String> {
    let n = crate::units::LIMITS.held.whole(text).map_err(|e| e.to_string())?;
    u32::try_from(n).map_err(|e| e.to_string())
}

/// A number of days.
fn days(text: &str) -> Result<i32, String> {
    let n = crate::units::LIMITS.days.whole(text).map_err(|e| e.to_string())?;
    i32::try_from(n).map_err(|e| e.to_string())
}

/// The number of an entry.
fn entry_number(text: &str) -> Result<u64, String> {
    let shown = crate::units::printable(text);
    text.parse()
        .map_err(|_| format!("'{shown}' is not the number of an entry: expected a whole number, such as 33"))
}
